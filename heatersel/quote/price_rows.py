"""The rows of a price book: what each may hold, and every fault with file, line and column."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from heatersel import units
from heatersel.errors import Fault, InputError
from heatersel.heaters.heater import HeaterClass
from heatersel.job.money import CURRENCIES
from heatersel.quote.money import decimal_of
from heatersel.quote.sheet import Sheet, SheetRow, column_letter
from heatersel.quote.work import OWN_PREFIX, known_work

__all__ = ["COLUMNS", "PriceRow", "RowKind", "TaxedOn", "currency_of", "price_rows"]


class RowKind(StrEnum):
    """What a row prices."""

    BOOK = "book"  # name and version of the book itself
    EQUIPMENT = "equipment"  # a heater, by its id in the list
    LABOUR = "labour"  # taking out and putting in, by heater or construction class
    MATERIALS = "materials"  # valves and connectors of a usual job, likewise
    WORK = "work"  # a remedy or another piece of work
    FEE = "fee"  # passed on as it is: permit, disposal
    RATE = "rate"  # price of an hour
    MARGIN = "margin"  # share of the selling price that is not cost
    MARKUP = "markup"  # share of the cost that is added to it
    TAX = "tax"  # a tax, by state or province


class TaxedOn(StrEnum):
    """What a tax is charged on."""

    GOODS = "goods"
    LABOUR = "labour"
    ALL = "all"


COLUMNS = {
    "row": "the row's own number, once in the book",
    "kind": "what it prices",
    "item": "which heater, class, work, rate or tax",
    "where": "states and provinces it is for; all if empty",
    "text": "the line as the customer reads it",
    "cost": "what it costs the company",
    "price": "what the customer pays, where it is fixed",
    "hours": "hours of labour",
    "trade": "whose rate the hours are charged at",
    "percent": "margin, markup or tax",
    "on": "what a tax is on: goods, labour or all",
    "taxed": "yes or no; yes if empty, no for a fee",
    "from": "first day it holds",
    "until": "last day it holds",
}
"""Every column with its meaning."""

_NEEDED = ("row", "kind", "item")
_MONEY = ("cost", "price")
_REGION = re.compile(r"[A-Z]{2}")
_MOST = Decimal(1_000_000)
_SETTINGS = ("name", "version")
_PRICED = (RowKind.EQUIPMENT, RowKind.LABOUR, RowKind.MATERIALS, RowKind.WORK)
_COSTED = (RowKind.EQUIPMENT, RowKind.MATERIALS, RowKind.WORK)
_TIMED = (RowKind.LABOUR, RowKind.WORK)
_SOLD = (*_PRICED, RowKind.FEE)
_LONGEST_TEXT = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One row of a price book.

    Parameters
    ----------
    id : str
        The row's own number.
    kind : RowKind
        What it prices.
    item : str
        Which heater, class, piece of work, rate, tax or setting.
    regions : tuple of str
        State and province codes; empty for everywhere.
    text : str
        As the customer reads it.
    cost, price : Decimal or None
        What the company pays; what the customer pays. One of the two at most.
    hours : Decimal or None
        Labour. [h]
    trade : str
        Item of the rate row that prices the hours.
    percent : Decimal or None
        Margin, markup or tax.
    on : TaxedOn
        What a tax is charged on.
    taxed : bool
        Whether taxes are charged on it.
    first, last : datetime.date or None
        Days from and until which it holds, both included; None for no limit.
    line : int
        Where it stands in the file.
    """

    id: str
    kind: RowKind
    item: str
    regions: tuple[str, ...] = ()
    text: str = ""
    cost: Decimal | None = None
    price: Decimal | None = None
    hours: Decimal | None = None
    trade: str = "hour"
    percent: Decimal | None = None
    on: TaxedOn = TaxedOn.ALL
    taxed: bool = True
    first: dt.date | None = None
    last: dt.date | None = None
    line: int = 0

    def holds(self, date: dt.date, region: str) -> bool:
        """Return whether the row is in force on a day in a state or province."""
        begun = self.first is None or self.first <= date
        return begun and (self.last is None or date <= self.last) and self.is_for(region)

    def is_for(self, region: str) -> bool:
        """Return whether the row is for a state or province."""
        return not self.regions or region in self.regions


def currency_of(sheet: Sheet) -> str:
    """Return the currency that the headings of the money columns name; raise InputError else."""
    found = {}
    for heading in sheet.headings:
        name, unit = _heading(sheet, heading)
        if name in _MONEY:
            found[heading] = unit
    wrong = [heading for heading, unit in found.items() if unit not in CURRENCIES]
    if wrong or len(set(found.values())) != 1:
        raise InputError.of(
            f"column {(wrong or [*found, 'price'])[0]!r}", file=sheet.file, line=sheet.line,
            value="without one currency", allowed="USD or CAD, the same in every money column",
            fix='head them "cost [USD]" and "price [USD]"',
        )  # fmt: skip
    return next(iter(found.values()))


def price_rows(sheet: Sheet) -> tuple[tuple[PriceRow, ...], tuple[Fault, ...]]:
    """Return the rows that can be used and the faults of the others.

    Parameters
    ----------
    sheet : Sheet
        The table.

    Returns
    -------
    rows : tuple of PriceRow
        In the order of the file.
    faults : tuple of Fault
        Each with file, line and column.

    Raises
    ------
    InputError
        If a heading is unknown, or a column that every book needs is missing.
    """
    names = _column_names(sheet)
    rows: list[PriceRow] = []
    faults: list[Fault] = []
    for line in sheet.rows:
        row, found = _Reader(sheet.file, names, line).read()
        faults += found
        if row is not None:
            rows.append(row)
    return tuple(rows), tuple(faults)


def _heading(sheet: Sheet, heading: str) -> tuple[str, str]:
    try:
        return units.heading(heading)
    except InputError:
        return heading, ""


def _column_names(sheet: Sheet) -> dict[str, int]:
    """Return the index of each column; raise InputError where the headings do not fit."""
    names: dict[str, int] = {}
    faults = []
    for index, heading in enumerate(sheet.headings):
        name, unit = _heading(sheet, heading)
        wanted = "h" if name == "hours" else ""
        place = f"column {column_letter(index)} {heading!r}"
        if name not in COLUMNS:
            near = difflib.get_close_matches(name, COLUMNS, n=1)
            fix = f"did you mean {near[0]}?" if near else "remove the column"
            faults.append(Fault(name=place, value="unknown", allowed=", ".join(COLUMNS), fix=fix,
                                file=sheet.file, line=sheet.line))  # fmt: skip
        elif name in names:
            faults.append(Fault(name=place, value="twice", allowed="each column once",
                                fix="remove one", file=sheet.file, line=sheet.line))  # fmt: skip
        elif name not in _MONEY and unit not in ("", wanted):
            head = f"{name} [{wanted}]" if wanted else name
            faults.append(Fault(name=place, value=unit, allowed=wanted or "no unit",
                                fix=f"head it {head!r}", file=sheet.file,
                                line=sheet.line))  # fmt: skip
        names.setdefault(name, index)
    faults += [
        Fault(name=f"column {name!r}", value="missing", allowed=f"a column for {COLUMNS[name]}",
              fix=f"add a column headed {name!r}", file=sheet.file, line=sheet.line)
        for name in _NEEDED if name not in names
    ]  # fmt: skip
    if faults:
        raise InputError(*faults)
    return names


class _Reader:
    """Reads one row and collects what is wrong with it."""

    def __init__(self, file: str, names: dict[str, int], line: SheetRow) -> None:
        self.file, self.names, self.line = file, names, line
        self.faults: list[Fault] = []

    def read(self) -> tuple[PriceRow | None, list[Fault]]:
        """Return the row, None if it has faults, and the faults."""
        kind = self.choice("kind", RowKind, None)
        if kind is None:
            return None, self.faults
        fields: dict[str, Any] = {
            "id": self.filled("row"), "kind": kind, "item": self.filled("item"),
            "regions": self.regions(), "text": self.text(),
            "cost": self.number("cost", "above 0", lambda n: 0 < n < _MOST),
            "price": self.number("price", "0 or more", lambda n: 0 <= n < _MOST),
            "hours": self.number("hours", "above 0, up to 500", lambda n: 0 < n <= 500),
            "trade": self.cell("trade") or "hour", "percent": self.percent(kind),
            "on": self.choice("on", TaxedOn, TaxedOn.ALL),
            "taxed": self.yes("taxed", kind is not RowKind.FEE),
            "first": self.date("from"), "last": self.date("until"), "line": self.line.line,
        }  # fmt: skip
        if not self.faults:
            row = PriceRow(**fields)
            self.faults += self.contradictions(row)
            if not self.faults:
                return row, []
        return None, self.faults

    def cell(self, column: str) -> str:
        return self.line.cells[self.names[column]] if column in self.names else ""

    def fault(self, column: str, value: object, allowed: str, fix: str) -> Fault:
        index = self.names.get(column)
        place = f"{column} (column {column_letter(index)})" if index is not None else column
        return Fault(name=place, value=str(value), allowed=allowed, fix=fix, file=self.file,
                     line=self.line.line)  # fmt: skip

    def refuse(self, column: str, value: object, allowed: str, fix: str) -> None:
        self.faults.append(self.fault(column, value, allowed, fix))

    def filled(self, column: str) -> str:
        value = self.cell(column)
        if not value:
            self.refuse(column, "empty", COLUMNS[column], "fill the cell in")
        elif len(value) > _LONGEST_TEXT:
            self.refuse(column, f"{value[:20]}...", f"up to {_LONGEST_TEXT} characters", "shorten")
        return value

    def text(self) -> str:
        text = self.cell("text")
        if len(text) > _LONGEST_TEXT:
            self.refuse("text", f"{text[:20]}...", f"up to {_LONGEST_TEXT} characters", "shorten")
        return " ".join(text.split())

    def choice(self, column: str, words: type[StrEnum], default: Any) -> Any:
        value = self.cell(column)
        if not value and default is not None:
            return default
        if value in list(words):
            return words(value)
        near = difflib.get_close_matches(value, list(words), n=1)
        fix = f"did you mean {near[0]}?" if near else "use one of these words"
        self.refuse(column, value or "empty", ", ".join(words), fix)
        return None

    def yes(self, column: str, default: bool) -> bool:
        value = self.cell(column).lower()
        if value not in ("", "yes", "no"):
            self.refuse(column, value, "yes or no", "write yes or no")
        return default if not value else value == "yes"

    def number(self, column: str, allowed: str, fits: Callable[[Decimal], bool]) -> Decimal | None:
        value = self.cell(column)
        if not value:
            return None
        number = decimal_of(value)
        if number is None:
            self.refuse(column, value, f"a plain number, {allowed}", "write it like 1250.50")
        elif not fits(number):
            self.refuse(column, value, allowed, "correct the cell, or leave it empty if unknown")
        elif column in _MONEY and number != number.quantize(Decimal("0.01")):
            self.refuse(column, value, "whole cents", "round it to two decimals")
        return number

    def percent(self, kind: RowKind) -> Decimal | None:
        most = {RowKind.MARGIN: 95, RowKind.MARKUP: 1000}.get(kind, 50)
        return self.number("percent", f"0 to {most}", lambda n: 0 <= n <= most)

    def date(self, column: str) -> dt.date | None:
        value = self.cell(column)
        if not value:
            return None
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            self.refuse(column, value, "a date", "write it like 2027-01-31")
            return None

    def regions(self) -> tuple[str, ...]:
        codes = self.cell("where").replace(",", " ").split()
        for code in codes:
            if not _REGION.fullmatch(code):
                self.refuse("where", code, "codes of states and provinces", "an example is MN WI")
        return tuple(dict.fromkeys(codes))

    def contradictions(self, row: PriceRow) -> Iterator[Fault]:
        """Yield what does not fit together, each value being sound by itself."""
        if row.first and row.last and row.last < row.first:
            yield self.fault("until", row.last, f"{row.first} or later", "correct one of the two")
        if row.cost is not None and row.price is not None:
            yield self.fault("price", row.price, "a cost or a price, not both",
                             "keep the price for flat rate, the cost for cost and margin",
                             )  # fmt: skip
        yield from self._of_kind(row)
        yield from self._strays(row)

    def _of_kind(self, row: PriceRow) -> Iterator[Fault]:
        kind, item = row.kind, row.item
        priced = row.cost is not None or row.price is not None
        if kind in _PRICED and not priced and row.hours is None:
            yield self.fault("price", "empty", "a price, a cost or hours", "fill one in; a row "
                             "without any would be worth nothing")  # fmt: skip
        if kind is RowKind.EQUIPMENT and row.price == 0:
            yield self.fault("price", row.price, "above 0", "correct the cell")
        if kind in (RowKind.FEE, RowKind.RATE) and row.price is None:
            yield self.fault("price", "empty", "a price", "fill it in")
        if kind in (RowKind.MARGIN, RowKind.MARKUP, RowKind.TAX) and row.percent is None:
            yield self.fault("percent", "empty", "a percentage", "fill it in; 0 if there is none")
        yield from self._item(kind, item)

    def _item(self, kind: RowKind, item: str) -> Iterator[Fault]:
        if kind is RowKind.WORK or kind is RowKind.FEE:
            known = known_work()
            if item not in known and not item.startswith(OWN_PREFIX):
                near = difflib.get_close_matches(item, known, n=1)
                hint = f"did you mean {near[0]}? " if near else ""
                yield self.fault("item", item, "a remedy or piece of work that cautions or changes "
                                 "of fuel call for", f"{hint}work of your own begins with "
                                 f"{OWN_PREFIX}, such as {OWN_PREFIX}{item}")  # fmt: skip
        if kind in (RowKind.MARGIN, RowKind.MARKUP):
            yield from self._one_of(item, _COSTED)
        if kind is RowKind.BOOK:
            yield from self._one_of(item, _SETTINGS)
            if not self.cell("text"):
                yield self.fault("text", "empty", f"the {item} of the book", "fill the cell in")
        # Ids of heaters are the supplier's own words; only what looks like a class is a slip.
        by_heater = kind in (RowKind.LABOUR, RowKind.MATERIALS)
        if by_heater and difflib.get_close_matches(item, HeaterClass, n=1, cutoff=0.8):
            yield from self._one_of(item, tuple(HeaterClass))

    def _one_of(self, item: str, allowed: tuple[str, ...]) -> Iterator[Fault]:
        if item not in allowed:
            near = difflib.get_close_matches(item, allowed, n=1)
            fix = f"did you mean {near[0]}?" if near else "use one of these words"
            yield self.fault("item", item, ", ".join(allowed), fix)

    def _strays(self, row: PriceRow) -> Iterator[Fault]:
        """Yield cells that mean nothing in a row of this kind: a price in the wrong column."""
        meant = {
            "cost": row.kind in _COSTED, "price": row.kind in (*_SOLD, RowKind.RATE),
            "hours": row.kind in _TIMED, "trade": row.kind in _TIMED,
            "percent": row.kind in (RowKind.MARGIN, RowKind.MARKUP, RowKind.TAX),
            "on": row.kind is RowKind.TAX, "taxed": row.kind in _SOLD,
        }  # fmt: skip
        for column, means in meant.items():
            if self.cell(column) and not means:
                yield self.fault(column, self.cell(column), f"empty in a row of kind {row.kind}",
                                 "move it to the column it belongs to, or remove it")  # fmt: skip
