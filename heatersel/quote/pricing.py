"""The price of an option from the company's book: every line from a row, totals to the cent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from heatersel.heaters.heater import Heater
from heatersel.quote.money import cents, rounded
from heatersel.quote.needed import Needed
from heatersel.quote.policy import Rounding, TaxRounding
from heatersel.quote.price_book import PriceBook
from heatersel.quote.price_rows import PriceRow, RowKind, TaxedOn
from heatersel.quote.work import work_name

__all__ = ["MissingPrice", "Price", "PriceLine", "Pricer", "TaxLine"]

_HUNDRED = Decimal(100)
_REPEATED_FEES = ("permit", "disposal")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line of an offer.

    Parameters
    ----------
    item : str
        Heater, class or piece of work.
    kind : RowKind
        What it is.
    text : str
        As the customer reads it.
    quantity : int
        How many; the amounts are of all together.
    goods_cents, labour_cents : int
        The two parts, for taxes.
    row : str
        The row of the price book that prices it.
    rows : tuple of str
        That row and those of its margin and rate.
    file_line : int
        Where the row stands in the book.
    why : str
        What calls for it.
    taxed : bool
        Whether taxes are charged on it.
    repeats : bool
        Whether the next heater costs it again.
    """

    item: str
    kind: RowKind
    text: str
    quantity: int
    goods_cents: int
    labour_cents: int
    row: str
    rows: tuple[str, ...]
    file_line: int
    why: str
    taxed: bool
    repeats: bool

    @property
    def amount_cents(self) -> int:
        """What the line comes to, before tax."""
        return self.goods_cents + self.labour_cents

    def taxable_cents(self, on: TaxedOn) -> int:
        """Return the part of the line that a tax is charged on."""
        if not self.taxed:
            return 0
        parts = {TaxedOn.GOODS: self.goods_cents, TaxedOn.LABOUR: self.labour_cents}
        return parts.get(on, self.amount_cents)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxLine:
    """One tax on an offer.

    Parameters
    ----------
    text : str
        Its name.
    row : str
        Row of the price book.
    percent : Decimal
        Its rate.
    on : TaxedOn
        What it is charged on.
    base_cents, amount_cents : int
        What is taxed, and the tax.
    """

    text: str
    row: str
    percent: Decimal
    on: TaxedOn
    base_cents: int
    amount_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingPrice:
    """A line that the price book cannot price.

    Parameters
    ----------
    item, text : str
        What has no price.
    why : str
        What the book lacks.
    """

    item: str
    text: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The price of one offer; it has no total while anything is missing.

    Parameters
    ----------
    lines : tuple of PriceLine
        In the order in which they are read.
    taxes : tuple of TaxLine
        Empty while anything is missing.
    missing : tuple of MissingPrice
        What the book cannot price.
    """

    lines: tuple[PriceLine, ...]
    taxes: tuple[TaxLine, ...] = ()
    missing: tuple[MissingPrice, ...] = ()

    @property
    def subtotal_cents(self) -> int | None:
        """Sum of the lines; None while anything is missing."""
        return None if self.missing else sum(line.amount_cents for line in self.lines)

    @property
    def tax_cents(self) -> int | None:
        """Sum of the taxes; None while anything is missing."""
        return None if self.missing else sum(tax.amount_cents for tax in self.taxes)

    @property
    def total_cents(self) -> int | None:
        """What the customer pays; None while anything is missing."""
        subtotal, tax = self.subtotal_cents, self.tax_cents
        return None if subtotal is None or tax is None else subtotal + tax

    @property
    def replacement_cents(self) -> int:
        """What the next heater of the kind costs: lines that repeat, with their part of the tax."""
        again = sum(line.amount_cents for line in self.lines if line.repeats)
        tax = Decimal(0)
        for item in self.taxes:
            base = sum(line.taxable_cents(item.on) for line in self.lines if line.repeats)
            tax += base * item.percent / _HUNDRED
        return again + int(tax)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pricer:
    """A price book on one day in one place.

    Parameters
    ----------
    book : PriceBook
        The prices.
    date : datetime.date
        Day of the quote.
    region : str
        State or province code.
    rounding : Rounding
        Of lines and taxes.
    """

    book: PriceBook
    date: dt.date
    region: str
    rounding: Rounding

    def price(self, heater: Heater, work: Iterable[Needed]) -> Price:
        """Return the price of putting in a heater with the work it brings along.

        Parameters
        ----------
        heater : Heater
            One heater, or several in parallel.
        work : iterable of Needed
            Beside the usual installation.

        Returns
        -------
        Price
            With what is missing named, line by line; such a price has no total.
        """
        lines: list[PriceLine] = []
        missing: list[MissingPrice] = []
        for found in (*self._installation(heater), *(self._work(need) for need in work)):
            (lines if isinstance(found, PriceLine) else missing).append(found)  # type: ignore[arg-type]
        taxes: tuple[TaxLine, ...] = ()
        if not (rows := self.book.taxes(self.date, self.region)):
            missing.append(self._no_tax())
        elif not missing:
            taxes = tuple(self._tax(row, lines) for row in rows)
        return Price(lines=tuple(lines), taxes=taxes, missing=tuple(missing))

    def _installation(self, heater: Heater) -> Iterator[PriceLine | MissingPrice]:
        """Yield heater, labour and materials of a usual installation."""
        one = heater.id.removesuffix(f"-x{heater.units}")
        name = heater.name.removeprefix(f"{heater.units} x ")
        yield self._line(RowKind.EQUIPMENT, (one,), name, heater.units, "the heater")
        items = (one, heater.heater_class)
        yield self._line(RowKind.LABOUR, items, "labour", heater.units, "putting it in")
        if self.book.has_kind(RowKind.MATERIALS):
            yield self._line(RowKind.MATERIALS, items, "materials", heater.units, "putting it in")

    def _work(self, need: Needed) -> PriceLine | MissingPrice:
        is_fee = (RowKind.FEE, need.id) in self.book.by_item
        kind = RowKind.FEE if is_fee else RowKind.WORK
        return self._line(kind, (need.id,), work_name(need.id), need.quantity, need.why)

    def _line(
        self, kind: RowKind, items: Sequence[str], name: str, quantity: int, why: str
    ) -> PriceLine | MissingPrice:
        """Return the line of the first item that the book prices."""
        row = next(filter(None, (self._find(kind, item) for item in items)), None)
        if row is None:
            reason = self.book.why_not(kind, items[-1], self.date, self.region)
            return MissingPrice(item=items[0], text=name, why=reason)
        parts = self._parts(row)
        if isinstance(parts, str):
            return MissingPrice(item=row.item, text=row.text or name, why=parts)
        goods, labour, rows = parts
        amount = rounded(quantity * (goods + labour), self.rounding.step, self.rounding.half)
        if not labour:
            goods_part = amount
        elif not goods:
            goods_part = Decimal(0)
        else:  # what the step adds or takes falls to labour
            goods_part = min(rounded(quantity * goods, half=self.rounding.half), amount)
        return PriceLine(
            item=row.item, kind=kind, text=row.text or name[:1].upper() + name[1:],
            quantity=quantity, goods_cents=cents(goods_part),
            labour_cents=cents(amount - goods_part), row=row.id, rows=(row.id, *rows),
            file_line=row.line, why=why, taxed=row.taxed,
            repeats=kind in (RowKind.EQUIPMENT, RowKind.LABOUR, RowKind.MATERIALS)
            or row.item in _REPEATED_FEES,
        )  # fmt: skip

    def _parts(self, row: PriceRow) -> tuple[Decimal, Decimal, tuple[str, ...]] | str:
        """Return goods, labour and further rows behind one unit, or what is missing."""
        rows: list[str] = []
        labour = Decimal(0)
        if row.hours is not None:
            rate = self._find(RowKind.RATE, row.trade)
            if rate is None or rate.price is None:
                return self.book.why_not(RowKind.RATE, row.trade, self.date, self.region)
            labour = row.hours * rate.price
            rows.append(rate.id)
        if row.price is not None:  # flat; the hours only say how much of it is labour
            labour = row.price if row.kind is RowKind.LABOUR else min(labour, row.price)
            return row.price - labour, labour, tuple(rows)
        if row.cost is None:
            return Decimal(0), labour, tuple(rows)
        rule = self._find(RowKind.MARGIN, row.kind) or self._find(RowKind.MARKUP, row.kind)
        if rule is None or rule.percent is None:
            return self.book.why_not(RowKind.MARGIN, row.kind, self.date, self.region)
        share = rule.percent / _HUNDRED
        is_margin = rule.kind is RowKind.MARGIN
        goods = row.cost / (1 - share) if is_margin else row.cost * (1 + share)
        return goods, labour, (rule.id, *rows)

    def _tax(self, row: PriceRow, lines: Sequence[PriceLine]) -> TaxLine:
        percent = row.percent or Decimal(0)
        bases = [line.taxable_cents(row.on) for line in lines]
        taxed = bases if self.rounding.tax is TaxRounding.LINE else [sum(bases)]
        amount = sum(
            (
                rounded(Decimal(base) / _HUNDRED * percent / _HUNDRED, half=self.rounding.half)
                for base in taxed
            ),
            Decimal(0),
        )
        return TaxLine(text=row.text or work_name(row.item), row=row.id, percent=percent,
                       on=row.on, base_cents=sum(bases), amount_cents=cents(amount))  # fmt: skip

    def _no_tax(self) -> MissingPrice:
        return MissingPrice(
            item="tax", text="tax",
            why=f"{self.book.file} has no row of kind tax for {self.region}; "
            "0 percent says that none is charged",
        )  # fmt: skip

    def _find(self, kind: RowKind, item: str) -> PriceRow | None:
        return self.book.find(kind, item, self.date, self.region)
