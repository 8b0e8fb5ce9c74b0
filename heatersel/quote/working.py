"""The working of a quote: prices row by row, size, running cost, rules, assumptions, versions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from heatersel.cautions.walk import question
from heatersel.cost.uncertainty import in_words
from heatersel.display import Display
from heatersel.job.keys import key_at
from heatersel.job.table import DefaultUsed
from heatersel.job.texts import said
from heatersel.job.words import meaning
from heatersel.quote.charts_svg import cost_by_year, hot_water
from heatersel.quote.fingerprint import short
from heatersel.quote.letter import CautionText, Picture, caution_texts, offer_name
from heatersel.quote.money import money_text
from heatersel.quote.quote import Offer, Quote
from heatersel.quote.record import quote_record
from heatersel.quote.years import years_of
from heatersel.words import display_for, heater_name

__all__ = ["PriceCell", "PriceEntry", "Table", "Working", "working"]

_CAUTION_ID = re.compile(r"^caution \S+: ")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceCell:
    """What a line costs in one offer and the row of the book behind it; empty if it is not in."""

    amount: str = ""
    row: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceEntry:
    """One line of the price table over all offers.

    Parameters
    ----------
    text, why : str
        The line, and what calls for it.
    cells : tuple of PriceCell
        One per offer.
    strong : bool
        Whether it is a sum.
    """

    text: str
    why: str
    cells: tuple[PriceCell, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A plain table; the first cell of a row names it."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """All texts after page one."""

    heading: str
    letters: tuple[str, ...]
    names: tuple[str, ...]
    prices: tuple[PriceEntry, ...]
    price_note: str
    size: Table
    size_picture: Picture
    size_note: str
    money: Table
    money_picture: Picture | None
    money_notes: tuple[str, ...]
    cautions: tuple[CautionText, ...]
    to_measure: Table
    departures: Table
    opinions: tuple[str, ...]
    unpriced: tuple[str, ...]
    assumptions: Table
    versions: Table


def working(quote: Quote) -> Working:
    """Return the texts of the working.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    Working
        In the units of the job; nothing in it depends on who quotes or when.
    """
    show = display_for(quote.comparison)
    return Working(
        heading="The working",
        letters=tuple(offer.letter for offer in quote.offers),
        names=tuple(offer_name(offer, show) for offer in quote.offers),
        prices=tuple(_prices(quote)),
        price_note="Small marks name the row of the price book behind each amount.",
        size=_size(quote, show),
        size_picture=_size_picture(quote, show),
        size_note=_size_note(quote, show),
        money=_money(quote, show),
        money_picture=_money_picture(quote, show),
        money_notes=tuple(dict.fromkeys(n for o in quote.offers for n in o.cost.notes)),
        cautions=caution_texts(quote),
        to_measure=_to_measure(quote),
        departures=Table(
            headings=("Rule", "Policy", "This quote", "Reason"),
            rows=tuple(
                (d.rule, d.policy_says, d.quote_has, d.reason or "none asked for")
                for d in quote.departures
            ),
        ),
        opinions=quote.second_opinion,
        unpriced=tuple(
            f"{heater_name(quote.comparison.option(item.option_id).heater, show)}: "
            + "; ".join(missing.why for missing in item.missing)
            for item in quote.unpriced
        ),
        assumptions=_assumptions(quote),
        versions=_versions(quote),
    )


def _prices(quote: Quote) -> Iterator[PriceEntry]:
    """Yield every line over all offers, then subtotal, taxes and total."""
    currency = quote.book.currency
    first: dict[tuple[str, str], tuple[str, str]] = {}
    cells: dict[tuple[str, str], dict[str, PriceCell]] = {}
    for offer in quote.offers:
        for line in offer.price.lines:
            usual = line.kind in ("equipment", "labour", "materials")
            key = (line.kind.value, "" if usual else line.item)
            text = line.text if line.quantity == 1 else f"{line.quantity} × {line.text}"
            if line.kind == "equipment":
                text = "Heater"
            first.setdefault(key, (text, _CAUTION_ID.sub("caution: ", line.why)))
            amount = money_text(line.amount_cents, currency)
            cells.setdefault(key, {})[offer.letter] = PriceCell(amount=amount, row=line.row)
        for item in offer.price.missing:
            key = ("missing", item.item)
            first.setdefault(key, (item.text[:1].upper() + item.text[1:], item.why))
            cells.setdefault(key, {})[offer.letter] = PriceCell(amount="no price yet")
    for key, (text, why) in first.items():
        yield PriceEntry(text=text, why=why, cells=_across(quote, cells[key]))
    yield _sum("Subtotal", quote, [offer.price.subtotal_cents for offer in quote.offers])
    yield from _taxes(quote)
    yield _sum("Total", quote, [offer.price.total_cents for offer in quote.offers])


def _taxes(quote: Quote) -> Iterator[PriceEntry]:
    found: dict[str, dict[str, PriceCell]] = {}
    names: dict[str, str] = {}
    for offer in quote.offers:
        for tax in offer.price.taxes:
            percent = f"{tax.percent.normalize():f}"
            base = "" if tax.on.value == "all" else f" of {tax.on.value}"
            names[tax.row] = f"{tax.text}, {percent} %{base}"
            amount = money_text(tax.amount_cents, quote.book.currency)
            found.setdefault(tax.row, {})[offer.letter] = PriceCell(amount=amount, row=tax.row)
    for row, cells in found.items():
        yield PriceEntry(text=names[row], why="", cells=_across(quote, cells))


def _across(quote: Quote, cells: dict[str, PriceCell]) -> tuple[PriceCell, ...]:
    return tuple(cells.get(offer.letter, PriceCell()) for offer in quote.offers)


def _sum(text: str, quote: Quote, cents: list[int | None]) -> PriceEntry:
    currency = quote.book.currency
    cells = tuple(
        PriceCell(amount="to follow" if c is None else money_text(c, currency)) for c in cents
    )
    return PriceEntry(text=text, why="", cells=cells, strong=True)


def _size(quote: Quote, show: Display) -> Table:
    rows = []
    for offer in quote.offers:
        sizing = offer.option.sizing
        for name, formula, value, unit in sizing.steps:
            how = formula.replace(" x ", " × ").replace(" - ", " − ")
            rows.append((offer.letter, name, how, show.measure(value, unit)))
        need = show.measure(sizing.required, sizing.unit)
        spare = f"{sizing.margin_frac:+.0%}, {sizing.verdict.value}"
        rows.append((offer.letter, "needed", "busiest hour or peak flow, coldest day", need))
        rows.append((offer.letter, "to spare", "given over needed, less one", spare))
    return Table(headings=("Offer", "What", "How", "Result"), rows=tuple(rows))


def _size_picture(quote: Quote, show: Display) -> Picture:
    rows = []
    for offer in quote.offers:
        sizing = offer.option.sizing
        text = (
            f"gives {show.measure(sizing.available, sizing.unit)}, you need "
            f"{show.measure(sizing.required, sizing.unit)}"
        )
        rows.append((offer.letter, sizing.required, sizing.available, text))
    return Picture(
        svg=hot_water(rows),
        title="Hot water on the coldest day",
        caption="Each bar shows what a heater gives; the line is what you need.",
        alt="; ".join(f"{letter} {text}" for letter, _, _, text in rows) + ".",
    )


def _size_note(quote: Quote, show: Display) -> str:
    demand, sizing = quote.comparison.demand, quote.policy.sizing
    stated = "as you told us" if demand.peak_hour_is_stated else (
        f"estimated for {quote.comparison.job.preferences.sizing_percentile:.0%} of mornings"
    )  # fmt: skip
    return (
        f"Busiest hour {show.volume(demand.peak_hour_hot_water_l)}, {stated}; peak flow "
        f"{show.flow(demand.peak_flow_l_per_min)} heated by "
        f"{show.rise(demand.temperature_rise_k)}; setpoint "
        f"{show.temperature(demand.setpoint_c)}. Company policy asks for at least "
        f"{sizing.margin:.0%} to spare."
    )


def _money(quote: Quote, show: Display) -> Table:
    years = quote.comparison.job.preferences.study_years
    names = ("Energy used in a year", "Energy", "Heating and cooling of the house",
             "Standing charges", "Upkeep", "A year in all", "in 8 of 10 futures", "Life",
             f"{years} years in today's money", "in 8 of 10 futures", "Chance",
             "CO₂ a year")  # fmt: skip
    columns = [_money_column(offer, show) for offer in quote.offers]
    rows = tuple((name, *cells) for name, *cells in zip(names, *columns, strict=True))
    return Table(headings=("", *(offer.letter for offer in quote.offers)), rows=rows)


def _money_column(offer: Offer, show: Display) -> list[str]:
    cost, annual = offer.cost, offer.option.annual
    energy = " + ".join(
        f"{show.energy(kwh, source)} {source.replace('_', ' ')}"
        for source, kwh in annual.energy_kwh.items() if kwh >= 0.5
    )  # fmt: skip
    band = cost.band
    return [
        energy,
        show.money(sum(cost.energy_per_year.values())),
        show.money(sum(cost.space_per_year.values())),
        show.money(cost.fixed_per_year),
        show.money(cost.maintenance_per_year),
        show.money(cost.total_per_year),
        f"{show.money(offer.running.low)} to {show.money(offer.running.high)}",
        f"{cost.life_years:.0f} years",
        "to follow" if offer.price.missing else show.money(cost.life_cycle),
        f"{show.money(band.p10, 100)} to {show.money(band.p90, 100)}" if band else "to follow",
        in_words(band.cheapest_probability) if band else "to follow",
        show.weight(offer.option.co2_kg_per_year),
    ]


def _money_picture(quote: Quote, show: Display) -> Picture | None:
    lines = [
        years_of(offer.letter, offer.cost, quote.basis.terms)
        for offer in quote.offers if not offer.price.missing
    ]  # fmt: skip
    if not lines:
        return None
    last = len(lines[0].by_year) - 1
    told = "; ".join(
        f"{line.letter} {show.money(line.by_year[0], 100)} today, "
        f"{show.money(line.by_year[-1], 100)} by year {last}" for line in lines
    )  # fmt: skip
    return Picture(
        svg=cost_by_year(lines, lambda amount: show.money(amount, 100)),
        title="What you have paid by each year",
        caption="In today's money. A step is the next heater of the same kind.",
        alt=f"Lines of the sum paid by each year: {told}.",
    )


def _to_measure(quote: Quote) -> Table:
    letters: dict[str, list[str]] = {}
    whys: dict[str, str] = {}
    for offer in quote.offers:
        for item in offer.option.to_measure:
            letters.setdefault(item.field, []).append(offer.letter)
            whys.setdefault(item.field, item.why)
    walked = sorted(whys, key=lambda field: question(field).order)
    # What follows the semicolon says how to write the answer into a job file.
    rows = tuple(
        (" ".join(letters[field]), question(field).question.partition(";")[0], whys[field])
        for field in walked
    )
    return Table(headings=("Offer", "What", "Decides"), rows=rows)


_ABOUT = {
    "prices.escalation": "Growth of the price, above inflation",
    "household.fixture_flow": "Flow",
    "household.fixtures": "Number installed",
    "prices.inflation": "Inflation",
}
"""What the values of a table or field are of, where their own names do not say it."""


def _assumptions(quote: Quote) -> Table:
    job = quote.comparison.job
    rows = []
    for default in job.defaults_used():
        table, _, name = default.field.rpartition(".")
        words = meaning(default.field).rstrip(".") or name.replace("_", " ")
        of = _ABOUT.get(default.field) or _ABOUT.get(table)
        about = f"{of}: {words}" if of else words
        rows.append((about[:1].upper() + about[1:], _assumed(default, quote), default.source))
    return Table(headings=("What", "We assumed", "Because"), rows=tuple(rows))


def _assumed(default: DefaultUsed, quote: Quote) -> str:
    """Return an assumed value in the units of the job; shares in percent."""
    key = key_at(default.field)
    if key is not None and key.reader is None and key.kind is float:
        return f"{100.0 * default.value:.3g} %"
    value = said(default.value, key, quote.comparison.job.units.value) if key else default.value
    text = str(value).replace("_", " ").replace("degF", "°F").replace("degC", "°C")
    return {"True": "yes", "False": "no"}.get(text, text)


def _versions(quote: Quote) -> Table:
    provenance, record = quote.comparison.provenance, quote_record(quote)
    date = quote.request.date
    editions = "; ".join(f"{name} {year}" for name, year in provenance["datasets"].items() if year)
    rows = (
        ("Policy", quote.policy.name, short(quote.policy.digest)),
        ("Price book", quote.book.title(date), short(quote.book.digest)),
        ("Job", quote.comparison.job.title or quote.comparison.job.place.climate,
         short(quote.fingerprint)),
        ("This quote", "equal for everybody who quotes this job", short(record["content_digest"])),
        ("Program", f"heatersel {provenance['version']}, seed {provenance['seed']}", ""),
        ("Tables", editions, ""),
    )  # fmt: skip
    return Table(headings=("What", "Version", "Fingerprint"), rows=rows)
