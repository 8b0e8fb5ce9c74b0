"""Replay stored quotes under other rules and prices: which would change, why and by how much."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from heatersel.errors import HeaterselError, InputError
from heatersel.heaters.catalogue import HeaterList
from heatersel.job.load import parse_job
from heatersel.quote.departures import refusals
from heatersel.quote.policy import Policy
from heatersel.quote.price_book import PriceBook
from heatersel.quote.quote import Quote, Request, quote_job
from heatersel.quote.record import quote_record
from heatersel.quote.register_rows import Entry

__all__ = ["LineChange", "OfferChange", "Replay", "replay"]

_ASKED = "departure from "
_PLACEHOLDER = "asked for by the rules under audit"
_NEAR = 0.005  # half a cent: amounts are compared as printed


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """A line of an offer that appears, goes, or has another amount.

    Parameters
    ----------
    item, text : str
        Which line.
    before, after : float or None
        Amounts; None where the line is not there.
    why : str
        What calls for a new line.
    """

    item: str
    text: str
    before: float | None
    after: float | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferChange:
    """What becomes of one option that was offered, is offered now, or both.

    Parameters
    ----------
    option_id, name : str
        The option.
    before, after : float or None
        Totals; None where it is not offered or has no complete price.
    lines : tuple of LineChange
        Where the difference comes from.
    per_year : float or None
        Change of the yearly running cost; None unless it is offered both times.
    why : str
        Why it is offered no more, or newly.
    """

    option_id: str
    name: str
    before: float | None
    after: float | None
    lines: tuple[LineChange, ...] = ()
    per_year: float | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """One stored quote, made again.

    Parameters
    ----------
    quote_id, title, date : str
        The stored quote.
    currency : str
        Of all amounts, "USD" or "CAD".
    trouble : str
        Why it cannot be made again, empty if it can.
    recommended_before, recommended_after : str
        Options.
    total_before, total_after : float or None
        Totals of the recommended offers.
    offers : tuple of OfferChange
        Offers that change; empty if none does.
    new_departures : tuple of str
        Rules that it would now depart from.
    new_opinions : tuple of str
        New reasons for a second look.
    inputs_changed : bool
        Whether program, tables or heater list differ from those of the stored quote, so that
        not every change comes from rules and prices.
    """

    quote_id: str
    title: str
    date: str
    currency: str
    trouble: str = ""
    recommended_before: str = ""
    recommended_after: str = ""
    total_before: float | None = None
    total_after: float | None = None
    offers: tuple[OfferChange, ...] = ()
    new_departures: tuple[str, ...] = ()
    new_opinions: tuple[str, ...] = ()
    inputs_changed: bool = False

    @property
    def changes(self) -> bool:
        """Whether a customer or a reviewer would see another quote."""
        return bool(self.trouble or self.offers or self.new_departures or self.new_opinions
                    or self.recommended_before != self.recommended_after)  # fmt: skip

    @property
    def difference(self) -> float | None:
        """Change of the recommended offer's total; None without both totals."""
        if self.total_before is None or self.total_after is None:
            return None
        return round(self.total_after - self.total_before, 2)


def replay(
    entry: Entry, heaters: HeaterList, policy: Policy, book: Callable[[str], PriceBook]
) -> Replay:
    """Return what a stored quote would be under other rules and prices.

    Parameters
    ----------
    entry : Entry
        The stored quote; its job, its day, and what was asked for by hand are used again.
    heaters : HeaterList
        The list to choose from.
    policy : Policy
        Rules under audit.
    book : callable
        Price book under audit for a currency.

    Returns
    -------
    Replay
        A quote that cannot be made again says why and stops nothing.
    """
    old = entry.record
    try:
        prices = book(old["currency"])
        if prices.currency != old["currency"]:
            raise InputError.of(
                "this quote", value=f"in {old['currency']}",
                fix=f"the price book is in {prices.currency}: audit with one in "
                f"{old['currency']} as well",
            )  # fmt: skip
        quote = _again(old, heaters, policy, prices)
    except HeaterselError as trouble:
        return Replay(quote_id=entry.id, title=old["title"], date=old["date"],
                      currency=old["currency"], trouble=str(trouble),
                      recommended_before=old["recommended"],
                      total_before=_total(old, old["recommended"]))  # fmt: skip
    new = quote_record(quote)
    known = {item["rule"] for item in old["departures"]}
    opinions = set(old["second_opinion"])
    return Replay(
        quote_id=entry.id, title=old["title"], date=old["date"], currency=old["currency"],
        recommended_before=old["recommended"], recommended_after=new["recommended"],
        total_before=_total(old, old["recommended"]),
        total_after=_total(new, new["recommended"]),
        offers=tuple(_changes(old, new, quote)),
        new_departures=tuple(d["rule"] for d in new["departures"] if d["rule"] not in known),
        new_opinions=tuple(text for text in new["second_opinion"] if text not in opinions),
        inputs_changed=old["fingerprint"] != new["fingerprint"],
    )  # fmt: skip


def _again(old: Mapping[str, Any], heaters: HeaterList, policy: Policy, book: PriceBook) -> Quote:
    """Return the quote made again; reasons that the new rules ask for are filled in."""
    job = parse_job(old["inputs"])
    asked = old["request"]
    reasons = {item["rule"]: item["reason"] for item in old["departures"] if item["reason"]}
    for _ in range(2):
        request = Request(
            date=dt.date.fromisoformat(old["date"]), by=old["by"], reasons=reasons,
            offers=tuple(asked["offers"]), without=tuple(asked["without"]),
        )  # fmt: skip
        try:
            return quote_job(job, heaters, policy=policy, book=book, request=request)
        except InputError as trouble:
            reasons = _with_reasons(reasons, trouble)
    return quote_job(job, heaters, policy=policy, book=book, request=request)


def _with_reasons(reasons: Mapping[str, str], trouble: InputError) -> dict[str, str]:
    """Return reasons that fit the new rules: without those nobody asks for, with those they do."""
    fitted = dict(reasons)
    for fault in trouble.faults:
        if fault.name.startswith(_ASKED):
            fitted[fault.name.removeprefix(_ASKED)] = _PLACEHOLDER
        elif fault.name.startswith("reason for "):
            fitted.pop(fault.name.removeprefix("reason for "), None)
        else:
            raise trouble
    return fitted


def _total(record: Mapping[str, Any], option_id: str) -> float | None:
    return next((o["total"] for o in record["offers"] if o["option"] == option_id), None)


def _changes(old: Mapping[str, Any], new: Mapping[str, Any], quote: Quote) -> Iterator[OfferChange]:
    before = {offer["option"]: offer for offer in old["offers"]}
    after = {offer["option"]: offer for offer in new["offers"]}
    for option_id, offer in before.items():
        if option_id not in after:
            yield OfferChange(option_id=option_id, name=offer["name"], before=offer["total"],
                              after=None, why=_why_gone(option_id, quote))  # fmt: skip
    for option_id, offer in after.items():
        if option_id not in before:
            yield OfferChange(option_id=option_id, name=offer["name"], before=None,
                              after=offer["total"], why=", ".join(offer["basis"]))  # fmt: skip
        elif (change := _same_option(before[option_id], offer)) is not None:
            yield change


def _same_option(before: Mapping[str, Any], after: Mapping[str, Any]) -> OfferChange | None:
    lines = tuple(_line_changes(before, after))
    per_year = after["per_year"] - before["per_year"]
    if not lines and before["total"] == after["total"] and abs(per_year) < _NEAR:
        return None
    return OfferChange(option_id=after["option"], name=after["name"], before=before["total"],
                       after=after["total"], lines=lines, per_year=per_year)  # fmt: skip


def _line_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[LineChange]:
    """Yield lines and taxes that differ, by what they are for."""
    old, new = (dict(_priced(offer)) for offer in (before, after))
    for key in dict.fromkeys((*old, *new)):
        was, now = old.get(key), new.get(key)
        if was is None or now is None or abs(was["amount"] - now["amount"]) > _NEAR:
            shown = now or was or {}
            yield LineChange(
                item=key[1], text=shown["text"], why="" if was else shown.get("why", ""),
                before=None if was is None else was["amount"],
                after=None if now is None else now["amount"],
            )  # fmt: skip


def _priced(offer: Mapping[str, Any]) -> Iterable[tuple[tuple[str, str], Mapping[str, Any]]]:
    for line in offer["lines"]:
        yield (line["kind"], line["item"]), line
    for tax in offer["taxes"]:
        yield ("tax", tax["text"]), tax


def _why_gone(option_id: str, quote: Quote) -> str:
    """Return why an option is not offered any more."""
    option = next((o for o in quote.comparison.options if o.id == option_id), None)
    if option is None:
        return "the heater list has it no more"
    if option.excluded_because:
        return option.excluded_because[0]
    reasons = refusals(option.heater, option.sizing.margin_frac, quote.policy)
    if reasons:
        return "; ".join(reasons)
    unpriced = next((item for item in quote.unpriced if item.option_id == option_id), None)
    if unpriced is not None:
        return "; ".join(item.why for item in unpriced.missing)
    return "another option comes first under the rules"
