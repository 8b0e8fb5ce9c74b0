"""A company's price book: one table, each row with a number that quotes refer to.

The table is a CSV or XLSX file of the company's own; the demo book under datasets/price_book is
invented. docs/price-book-and-policy.md tells how to fill one in.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations
from pathlib import Path

from heatersel.errors import Fault, InputError
from heatersel.quote.fingerprint import fingerprint
from heatersel.quote.price_rows import PriceRow, RowKind, currency_of, price_rows
from heatersel.quote.sheet import Sheet, read_sheet
from heatersel.reference import dataset_path

__all__ = ["PriceBook", "check_price_book", "demo_price_book", "load_price_book"]

_DEMOS = {"USD": "price_book/demo_us.csv", "CAD": "price_book/demo_canada.csv"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """All rows of a book, in one currency.

    Parameters
    ----------
    file : str
        Name of the file, without its folder.
    currency : str
        "USD" or "CAD".
    rows : tuple of PriceRow
        In the order of the file.
    digest : str
        Fingerprint of the rows; equal for the same prices however the file is laid out.
    """

    file: str
    currency: str
    rows: tuple[PriceRow, ...]
    digest: str = ""
    by_item: dict[tuple[RowKind, str], tuple[PriceRow, ...]] = field(
        default_factory=dict, repr=False, compare=False
    )

    @classmethod
    def of(cls, file: str, currency: str, rows: Sequence[PriceRow]) -> PriceBook:
        """Return the book of sound rows."""
        by_item: dict[tuple[RowKind, str], tuple[PriceRow, ...]] = {}
        for row in rows:
            key = row.kind, row.item
            by_item[key] = (*by_item.get(key, ()), row)
        content = [
            {name: getattr(row, name) for name in PriceRow.__slots__ if name != "line"}
            for row in sorted(rows, key=lambda row: row.id)
        ]
        digest = fingerprint({"currency": currency, "rows": content})
        return cls(file=file, currency=currency, rows=tuple(rows), digest=digest, by_item=by_item)

    def find(self, kind: RowKind, item: str, date: dt.date, region: str) -> PriceRow | None:
        """Return the row for an item on a day in a region; one named for the region comes first."""
        found = [r for r in self.by_item.get((kind, item), ()) if r.holds(date, region)]
        return min(found, key=lambda row: not row.regions, default=None)

    def why_not(self, kind: RowKind, item: str, date: dt.date, region: str) -> str:
        """Return why :meth:`find` finds nothing, in words that tell what to add."""
        rows = self.by_item.get((kind, item), ())
        if not rows:
            return f"{self.file} has no row of kind {kind} for {item}"
        here = [row for row in rows if row.is_for(region)]
        if not here:
            return f"the rows for {item} in {self.file} are not for {region}"
        spans = ", ".join(f"row {row.id} {_span(row)}" for row in here)
        return f"no row for {item} in {self.file} holds on {date}: {spans}"

    def taxes(self, date: dt.date, region: str) -> tuple[PriceRow, ...]:
        """Return the taxes of a region; a row named for it replaces one of the same name for all.

        Empty if the book says nothing about that region, which is not the same as no tax.
        """
        found: dict[str, PriceRow] = {}
        for (kind, item), _ in self.by_item.items():
            if kind is RowKind.TAX:
                row = self.find(kind, item, date, region)
                if row is not None:
                    found[item] = row
        return tuple(found.values())

    def has_kind(self, kind: RowKind) -> bool:
        """Return whether the book prices anything of a kind."""
        return any(row.kind is kind for row in self.rows)

    def setting(self, name: str, date: dt.date) -> str:
        """Return the name or version of the book on a day, empty if it has none."""
        row = self.find(RowKind.BOOK, name, date, "")
        return row.text if row is not None else ""

    def title(self, date: dt.date) -> str:
        """Return the name and version that a quote shows."""
        name = self.setting("name", date) or self.file
        return f"{name}, version {self.setting('version', date)}"


def load_price_book(path: Path) -> PriceBook:
    """Return a company's price book.

    Parameters
    ----------
    path : pathlib.Path
        CSV or XLSX file.

    Returns
    -------
    PriceBook

    Raises
    ------
    InputError
        With every fault of the file: file, line and column of each bad cell, rows that hold
        for the same thing on the same day, or a missing version.
    """
    sheet = read_sheet(path)
    currency, rows, faults = _read(sheet)
    if faults:
        raise InputError(*faults)
    return PriceBook.of(path.name, currency, rows)


def check_price_book(path: Path) -> tuple[Fault, ...]:
    """Return every fault of a price book; empty if it can be used."""
    try:
        load_price_book(path)
    except InputError as trouble:
        return trouble.faults
    return ()


@lru_cache(maxsize=2)
def demo_price_book(currency: str = "USD") -> PriceBook:
    """Return the invented book that ships, in USD or CAD."""
    if currency not in _DEMOS:
        raise InputError.of("currency", value=currency, allowed="USD or CAD",
                            fix="bring a price book in that currency")  # fmt: skip
    return load_price_book(dataset_path(_DEMOS[currency]))


def _read(sheet: Sheet) -> tuple[str, tuple[PriceRow, ...], list[Fault]]:
    rows, faults = price_rows(sheet)
    all_faults = [*faults, *_twice(rows, sheet.file), *_overlaps(rows, sheet.file)]
    if not faults:
        all_faults += _incomplete(rows, sheet.file)
    all_faults.sort(key=lambda fault: fault.line)
    return currency_of(sheet), rows, all_faults


def _twice(rows: Sequence[PriceRow], file: str) -> Iterator[Fault]:
    """Yield rows whose number an earlier row has."""
    first: dict[str, int] = {}
    for row in rows:
        if row.id in first:
            yield Fault(name="row", value=row.id, allowed="a number that no other row has",
                        fix=f"line {first[row.id]} has it too; give one of them another",
                        file=file, line=row.line)  # fmt: skip
        first.setdefault(row.id, row.line)


def _overlaps(rows: Sequence[PriceRow], file: str) -> Iterator[Fault]:
    """Yield rows that hold for the same thing, in the same region, on the same day."""
    groups: dict[tuple[RowKind, str], list[PriceRow]] = {}
    for row in rows:
        groups.setdefault((row.kind, row.item), []).append(row)
    for group in groups.values():
        for one, other in combinations(group, 2):
            if _same_place(one, other) and _same_time(one, other):
                yield Fault(
                    name="from, until", file=file, line=other.line,
                    value=f"{_span(other)} for {other.kind} {other.item}",
                    allowed="days on which no other row prices the same thing",
                    fix=f"row {one.id} in line {one.line} {_span(one)}; end it the day before, "
                    "with a date under until",
                )  # fmt: skip


def _same_place(one: PriceRow, other: PriceRow) -> bool:
    """Return whether two rows compete: a row for everywhere gives way to one for a region."""
    if not one.regions or not other.regions:
        return one.regions == other.regions
    return bool(set(one.regions) & set(other.regions))


def _same_time(one: PriceRow, other: PriceRow) -> bool:
    first = max(one.first or dt.date.min, other.first or dt.date.min)
    return first <= min(one.last or dt.date.max, other.last or dt.date.max)


def _span(row: PriceRow) -> str:
    if row.first is None and row.last is None:
        return "holds on every day"
    begin = f"from {row.first}" if row.first else ""
    end = f"until {row.last}" if row.last else ""
    return f"holds {begin} {end}".replace("  ", " ").rstrip()


def _incomplete(rows: Sequence[PriceRow], file: str) -> Iterator[Fault]:
    """Yield what a book as a whole lacks."""

    def lacks(name: str, allowed: str, fix: str) -> Fault:
        return Fault(name=name, value="missing", allowed=allowed, fix=fix, file=file)

    kinds = {row.kind for row in rows}
    if not any(row.kind is RowKind.BOOK and row.item == "version" for row in rows):
        yield lacks("version", "a row of kind book for version",
                    "add a row such as: B1, book, version, with 2027-1 under text")  # fmt: skip
    for kind in (RowKind.EQUIPMENT, RowKind.LABOUR, RowKind.TAX):
        if kind not in kinds:
            yield lacks(f"kind {kind}", "at least one row",
                        "add one; a tax of 0 percent says that none is charged"
                        if kind is RowKind.TAX else "add one")  # fmt: skip
    rates = {row.item for row in rows if row.kind is RowKind.RATE}
    for row in rows:
        if row.hours is not None and row.trade not in rates:
            yield Fault(name="trade", value=row.trade, file=file, line=row.line,
                        allowed="the item of a row of kind rate: " + (", ".join(sorted(rates))
                        or "none so far"), fix="add the rate, or correct the trade")  # fmt: skip
    rules = {row.item for row in rows if row.kind in (RowKind.MARGIN, RowKind.MARKUP)}
    for kind in (RowKind.EQUIPMENT, RowKind.MATERIALS, RowKind.WORK):
        costed = next((r for r in rows if r.kind is kind and r.cost is not None), None)
        if costed is not None and kind not in rules:
            yield Fault(name="cost", value=f"row {costed.id} without a margin", file=file,
                        line=costed.line, allowed=f"a row of kind margin or markup for {kind}",
                        fix="add one; 0 percent sells at cost")  # fmt: skip
    for item in rules:
        both = [r for r in rows if r.item == item and r.kind in (RowKind.MARGIN, RowKind.MARKUP)]
        if len({row.kind for row in both}) > 1:
            yield Fault(name="kind", value=f"margin and markup for {item}", file=file,
                        line=both[-1].line, allowed="one of the two", fix="remove the other",
                        )  # fmt: skip
