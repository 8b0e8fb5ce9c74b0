"""Page one of a quote: what a homeowner reads, in words that are ready to print.

Every text is finished here, so that paper and screen say the same; the layouts only place it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from heatersel.cautions.caution import LOCAL_RULES, Caution, Severity, Status
from heatersel.cautions.order import gravest_first
from heatersel.cost.uncertainty import in_words
from heatersel.display import Display
from heatersel.quote.charts_svg import cost_over_years, cost_over_years_narrow
from heatersel.quote.money import money_text
from heatersel.quote.policy import OfferRule
from heatersel.quote.price_rows import RowKind
from heatersel.quote.pricing import PriceLine
from heatersel.quote.quote import Offer, Quote
from heatersel.quote.years import years_of
from heatersel.words import display_for, heater_name, people_words, verdict_sentence

__all__ = [
    "CautionText",
    "Letter",
    "OfferCard",
    "Picture",
    "caution_texts",
    "date_words",
    "letter",
    "offer_name",
]

_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August",
           "September", "October", "November", "December")  # fmt: skip
_BASES = {
    OfferRule.LOWEST_COST_TO_OWN: "costs least over the years",
    OfferRule.LOWEST_FIRST_COST: "lowest price today",
    OfferRule.LOWEST_EMISSIONS: "least greenhouse gas",
    OfferRule.LOWEST_RUNNING_COST: "costs least to run",
    OfferRule.LIKE_FOR_LIKE: "like the one you have",
    OfferRule.MOST_HOT_WATER: "most hot water",
    OfferRule.LONGEST_LIFE: "lasts longest",
    OfferRule.ANOTHER_KIND: "another kind",
    OfferRule.ANOTHER_SIZE: "another size",
}
_SAME_CO2_FRAC = 0.02
_MOST_CAUTIONS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferCard:
    """One offer as page one shows it.

    Parameters
    ----------
    letter, name : str
        A, B, C and the heater.
    recommended : bool
        Whether the company recommends it.
    why : str
        Why it is offered.
    price, price_note : str
        To the cent with tax, or that it follows; what the price holds.
    running, warm, life : str
        Sentences on running cost, hot water and life.
    compared : str
        How it differs from the recommended one; empty for that one.
    also : tuple of str
        Work that only some offers bring along.
    notes : tuple of str
        Incentives, and what has no price yet.
    """

    letter: str
    name: str
    recommended: bool
    why: str
    price: str
    price_note: str
    running: str
    warm: str
    life: str
    compared: str
    also: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture with its sentence and the words for someone who cannot see it.

    Parameters
    ----------
    svg, narrow : str
        The picture, and one for a phone; empty if the same serves both.
    title, caption, alt : str
        Its texts.
    """

    svg: str
    title: str
    caption: str
    alt: str
    narrow: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionText:
    """One caution, once for all offers that it concerns.

    Parameters
    ----------
    letters : str
        The offers it concerns; empty for all of them.
    must : bool
        Whether its remedy is needed, else it is good to know.
    text : str
        For the homeowner.
    trade, source : str
        For the trade, with where the rule comes from.
    """

    letters: str
    must: bool
    text: str
    trade: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """All texts of page one."""

    language: str
    title: str
    company: str
    contact: str
    licence: str
    dated: str
    valid: str
    heading: str
    house: str
    greeting: str
    advice: str
    cards: tuple[OfferCard, ...]
    picture: Picture | None
    cautions: tuple[CautionText, ...]
    n_more_cautions: int
    included: tuple[str, ...]
    next_steps: tuple[str, ...]
    terms: tuple[str, ...]
    sign_company: str
    sign_customer: str
    local_rules: str


def letter(quote: Quote) -> Letter:
    """Return the texts of page one.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    Letter
        In the units of the job; name of the plumber and dates stand in `dated`, `valid` and
        `sign_company` only.
    """
    comparison, wording = quote.comparison, quote.policy.wording
    show = display_for(comparison)
    cautions = [c for c in caution_texts(quote) if c.must]
    date, by = quote.request.date, quote.request.by
    return Letter(
        language="en-CA" if quote.book.currency == "CAD" else "en-US",
        title=f"Quote for hot water: {comparison.job.title or comparison.job.place.climate}",
        company=wording.company,
        contact=wording.contact,
        licence=wording.licence,
        dated=f"{date_words(date)}{f', by {by}' if by else ''}",
        valid=f"These offers hold until {date_words(quote.valid_until)}.",
        heading="Hot water for your house",
        house=_house(quote, show),
        greeting=wording.greeting,
        advice=_advice(quote, show),
        cards=tuple(_card(quote, offer, show) for offer in quote.offers),
        picture=_picture(quote, show),
        cautions=tuple(cautions[:_MOST_CAUTIONS]),
        n_more_cautions=max(0, len(cautions) - _MOST_CAUTIONS),
        included=_included(quote),
        next_steps=wording.next_steps,
        terms=wording.terms,
        sign_company=f"For {wording.company}{f': {by}' if by else ''}",
        sign_customer="I choose offer",
        local_rules=LOCAL_RULES,
    )


def date_words(date: dt.date) -> str:
    """Return a date that reads the same in both countries.

    Examples
    --------
    >>> date_words(dt.date(2027, 1, 31))
    '31 January 2027'
    """
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def offer_name(offer: Offer, show: Display) -> str:
    """Return the name of an offer's heater in the units of the job."""
    return heater_name(offer.option.heater, show)


def caution_texts(quote: Quote) -> tuple[CautionText, ...]:
    """Return each text of the offers once, what must be done first, danger before duty.

    The same caution says other things of another heater: its vent, its breaker, its room.
    """
    offers = {
        offer.letter: {_said(caution): caution for caution in offer.option.cautions}
        for offer in sorted(quote.offers, key=lambda offer: not offer.recommended)
    }
    first: dict[tuple[str, str, str], Caution] = {}
    for cautions in offers.values():
        for said, caution in cautions.items():
            known = first.setdefault(said, caution)
            if known.severity is Severity.NOTE and caution.severity is Severity.MUST:
                first[said] = caution
    found = sorted(first.values(), key=gravest_first)
    return tuple(
        CautionText(
            letters=_letters([name for name in sorted(offers) if _said(caution) in offers[name]],
                             len(offers)),
            must=caution.severity is not Severity.NOTE, text=caution.message,
            trade=caution.trade_message, source=_source(caution),
        )
        for caution in found
    )  # fmt: skip


def _said(caution: Caution) -> tuple[str, str, str]:
    return caution.id, caution.message, caution.trade_message


def _source(caution: Caution) -> str:
    """Return where a caution comes from; what nobody looked up again says so."""
    source = caution.source.replace(" (seen)", "").replace("(memory)", "(from memory)")
    marked = caution.status is not Status.MEMORY or "memory" in source
    return " ".join(part for part in (source, caution.edition, "" if marked else "(from memory)")
                    if part)  # fmt: skip


def _letters(letters: Sequence[str], n_offers: int) -> str:
    return "" if len(letters) == n_offers else " ".join(letters)


def _house(quote: Quote, show: Display) -> str:
    comparison = quote.comparison
    demand = comparison.demand
    return (
        f"{people_words(comparison.job)} in {comparison.job.place.climate}. On the coldest day "
        f"the cold water comes in at {show.temperature(comparison.inlet.design_c)}, and in your "
        f"busiest hour you use {show.volume(demand.peak_hour_hot_water_l)} of hot water. The "
        "heater has to keep up with that."
    )


def _advice(quote: Quote, show: Display) -> str:
    """Return what the company recommends and why, in one or two sentences."""
    best = quote.recommended
    name = offer_name(best, show)
    others = [offer for offer in quote.offers if offer is not best and not offer.price.missing]
    if best.price.missing or not others:
        return f"We recommend offer {best.letter}, {_lower(name)}."
    years = quote.comparison.job.preferences.study_years
    rival = min(others, key=lambda offer: offer.cost.life_cycle)
    spared = rival.cost.life_cycle - best.cost.life_cycle
    if abs(spared) <= quote.policy.offers.near * best.cost.life_cycle:
        yearly = rival.cost.total_per_year - best.cost.total_per_year
        less = f", and {show.money(yearly)} a year less to run" if yearly > 1.0 else ""
        money = f"over {years} years it costs about the same as {rival.letter}{less}"
    else:
        less = "less" if spared > 0 else "more"
        money = (f"over {years} years it costs about {show.money(abs(spared), 100)} {less} than "
                 f"{rival.letter}")  # fmt: skip
    return f"We recommend offer {best.letter}, {_lower(name)}: {money}{_and(best, rival, show)}."


def _and(best: Offer, rival: Offer, show: Display) -> str:
    """Return the other side of the advice: what speaks for the rival."""
    co2 = best.option.co2_kg_per_year - rival.option.co2_kg_per_year
    if co2 > _SAME_CO2_FRAC * best.option.co2_kg_per_year:
        return f", while {rival.letter} gives off {show.weight(co2)} less CO₂ a year"
    yearly = best.cost.total_per_year - rival.cost.total_per_year
    if yearly > 1.0:
        return f", while {rival.letter} costs {show.money(yearly)} a year less to run"
    return ""


def _card(quote: Quote, offer: Offer, show: Display) -> OfferCard:
    cost, price, option = offer.cost, offer.price, offer.option
    currency = quote.book.currency
    total = price.total_cents
    month = show.money(cost.total_per_year / 12)
    running = (
        f"About {month} a month: {show.money(cost.total_per_year)} a year, likely between "
        f"{show.money(offer.running.low)} and {show.money(offer.running.high)}"
    )
    chance = ""
    if cost.band is not None and len(quote.offers) > 1:
        words = in_words(cost.band.cheapest_probability)
        chance = f" Of these offers, {words}." if words else ""
    return OfferCard(
        letter=offer.letter,
        name=offer_name(offer, show),
        recommended=offer.recommended,
        why=", ".join(_BASES[rule] for rule in offer.basis) or "as you asked",
        price="Price to follow" if total is None else money_text(total, currency),
        price_note=_price_note(offer),
        running=running,
        warm=_warm(offer, show),
        life=f"Lasts about {cost.life_years:.0f} years.{chance}",
        compared=_compared(quote, offer, show),
        also=tuple(_work(line) for line in _own_work(quote, offer)),
        notes=(
            *(item.sentence for item in option.cost.incentives if option.cost and total),
            *([_missing(offer)] if price.missing else []),
        ),
    )  # fmt: skip


def _price_note(offer: Offer) -> str:
    missing = len(offer.price.missing)
    if missing:
        return (
            "one price is still missing" if missing == 1 else f"{missing} prices are still missing"
        )
    taxed = any(tax.amount_cents for tax in offer.price.taxes)
    return "installed, tax included" if taxed else "installed"


def _missing(offer: Offer) -> str:
    names = ", ".join(item.text for item in offer.price.missing)
    return f"No price yet for: {names}. You get the full price before you decide."


def _warm(offer: Offer, show: Display) -> str:
    delivery = offer.option.annual.delivery
    if delivery is None:
        return verdict_sentence(offer.option, show)
    if delivery.short_days_per_year == 0:
        return "Every shower stays warm in the simulated years."
    days = round(delivery.short_days_per_year)
    if days == 0:
        return "A shower turns lukewarm on a day in some years."
    return f"A shower turns lukewarm on about {days} {'day' if days == 1 else 'days'} a year."


def _compared(quote: Quote, offer: Offer, show: Display) -> str:
    best = quote.recommended
    if offer is best or offer.price.missing or best.price.missing:
        return ""
    first = offer.cost.installed - best.cost.installed
    yearly = offer.cost.total_per_year - best.cost.total_per_year
    return (
        f"{show.money(abs(first))} {'more' if first > 0 else 'less'} to install than "
        f"{best.letter}, {show.money(abs(yearly))} a year {'more' if yearly > 0 else 'less'} "
        "to run"
    )


def _work_lines(offer: Offer) -> list[PriceLine]:
    return [line for line in offer.price.lines if line.kind in (RowKind.WORK, RowKind.FEE)]


def _own_work(quote: Quote, offer: Offer) -> list[PriceLine]:
    """Return the work that not every offer brings along."""
    common = _common(quote)
    return [line for line in _work_lines(offer) if (line.item, line.quantity) not in common]


def _common(quote: Quote) -> set[tuple[str, int]]:
    works = [{(line.item, line.quantity) for line in _work_lines(o)} for o in quote.offers]
    return set.intersection(*works)


def _work(line: PriceLine) -> str:
    return f"{line.quantity} × {_lower(line.text)}" if line.quantity > 1 else line.text


def _included(quote: Quote) -> tuple[str, ...]:
    """Return what each offer includes, then the company's own words."""
    common = _common(quote)
    lines = [line for line in _work_lines(quote.offers[0]) if (line.item, line.quantity) in common]
    works = ", ".join(_lower(_work(line)) for line in lines)
    first = f"In each offer: the heater, put in and started{', ' if works else ''}{works}."
    return (first, *quote.policy.wording.included)


def _picture(quote: Quote, show: Display) -> Picture | None:
    """Return the costs over the years, None where no offer has a full price."""
    years = quote.comparison.job.preferences.study_years
    bars = [
        years_of(offer.letter, offer.cost, quote.basis.terms)
        for offer in quote.offers if not offer.price.missing
    ]  # fmt: skip
    if not bars:
        return None
    told = "; ".join(
        f"{bar.letter}: {show.money(bar.total, 100)} in all, of it {show.money(bar.heaters, 100)} "
        f"for heaters, {show.money(bar.energy, 100)} for energy and {show.money(bar.upkeep, 100)} "
        "for upkeep" for bar in bars
    )  # fmt: skip
    spans = any(bar.high is not None for bar in bars)

    def say(amount: float) -> str:
        return show.money(amount, 100)

    return Picture(
        svg=cost_over_years(bars, say),
        narrow=cost_over_years_narrow(bars, say),
        title=f"What each offer costs over {years} years, in today's money",
        caption="Heaters now and later, energy and upkeep."
        + (
            " Nobody knows what prices and repairs will do: of the many futures we worked through, "
            "8 of 10 end within the thin line."
            if spans
            else ""
        ),
        alt=f"Bars of the cost over {years} years. {told}.",
    )


def _lower(text: str) -> str:
    """Return a text without its capital, unless its first word is a short form."""
    return text if text[1:2].isupper() or text[:2].isdigit() else text[:1].lower() + text[1:]
