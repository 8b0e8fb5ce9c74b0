"""The words that every face says: names, verdicts, sentences, the working of a number."""

from __future__ import annotations

from heatersel.comparison import Comparison, Option
from heatersel.cost.uncertainty import in_words
from heatersel.demand.household import Demand
from heatersel.display import Display, years_text
from heatersel.explain import Step
from heatersel.heaters.heater import Heater
from heatersel.job.models import Fixture, Job
from heatersel.sizing.verdict import Verdict

__all__ = [
    "MONTHS",
    "basis_words",
    "currency_of",
    "delivery_sentence",
    "display_for",
    "fixtures_word",
    "heater_name",
    "household_sentence",
    "need_sentence",
    "of_100",
    "reason_sentences",
    "short_days",
    "size_words",
    "step_inputs",
    "step_value",
    "verdict_sentence",
]

_SAME_A_YEAR = 1.0  # money a year that nobody tells apart
_SAME_FRAC = 0.02
# Costs over the years that are closer than this are said to be about the same.

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

_BASES = {
    "lowest_cost_to_own": "least to own",
    "lowest_first_cost": "least to buy",
    "lowest_emissions": "least emissions",
    "another_kind": "another kind",
}
_FIXTURES = {
    Fixture.SHOWER: ("shower", "showers"),
    Fixture.BATHTUB: ("bathtub", "bathtubs"),
    Fixture.LAVATORY: ("wash basin", "wash basins"),
    Fixture.KITCHEN_SINK: ("kitchen sink", "kitchen sinks"),
    Fixture.DISHWASHER: ("dishwasher", "dishwashers"),
    Fixture.CLOTHES_WASHER: ("clothes washer", "clothes washers"),
    Fixture.SOAKING_TUB: ("soaking tub", "soaking tubs"),
    Fixture.BODY_SPRAY: ("body spray", "body sprays"),
}


def display_for(comparison: Comparison) -> Display:
    """Return the formatter for a comparison's job."""
    return Display(comparison.job.units.value, currency_of(comparison))


def currency_of(comparison: Comparison) -> str:
    """Return the currency of a comparison's amounts."""
    return str(comparison.provenance["currency"])


def fixture_words(fixture: Fixture, count: int) -> str:
    """Return "2 showers" or "1 kitchen sink"."""
    one, many = _FIXTURES[fixture]
    return f"{count} {one if count == 1 else many}"


def fixtures_word(fixture: Fixture) -> str:
    """Return "showers" or "kitchen sinks"."""
    return _FIXTURES[fixture][1]


def people_words(job: Job) -> str:
    """Return who lives there in words."""
    occupants = job.household.occupants
    groups = (
        (occupants.adults, "adult", "adults"),
        (occupants.teenagers, "teenager", "teenagers"),
        (occupants.children, "child", "children"),
    )
    said = [f"{count} {one if count == 1 else many}" for count, one, many in groups if count]
    if len(said) > 1:
        said[-2:] = [f"{said[-2]} and {said[-1]}"]
    return ", ".join(said)


def household_sentence(comparison: Comparison) -> str:
    """Return who lives where and how cold the water gets."""
    job, show = comparison.job, display_for(comparison)
    design_c = comparison.inlet.design_c
    coldest = show.temperature(design_c, digits=int(show.system == "si" and design_c < 1.0))
    return (
        f"{people_words(job)} in {job.place.climate}. "
        f"The cold water falls to {coldest} on the coldest day "
        f"and averages {show.temperature(comparison.inlet.annual_mean_c)}."
    )


def need_sentence(comparison: Comparison) -> str:
    """Return what the heater has to deliver, and on which share of mornings that is enough."""
    demand, show = comparison.demand, display_for(comparison)
    hour = (
        f"as you named it, busier than {of_100(demand.peak_hour_share_below)} mornings"
        if demand.peak_hour_is_stated
        else f"enough on {of_100(demand.percentile)} mornings"
    )
    moment = (
        "as you named it"
        if demand.peak_flow_is_stated
        else f"enough in {of_100(demand.percentile)} moments"
    )
    return (
        f"In the busiest hour it has to give {show.volume(demand.peak_hour_hot_water_l)} of hot "
        f"water, {hour}; at the peak {show.flow(demand.peak_flow_l_per_min)}, {moment}, heated by "
        f"{show.rise(demand.temperature_rise_k)} ({show.heat_rate(demand.peak_output_kw)})."
        + _bills_sentence(demand)
    )


def _bills_sentence(demand: Demand) -> str:
    if demand.bills is None:
        return ""
    if demand.bills.accepted:
        return " The volumes follow your bills."
    return f" Your bills are not used: {demand.bills.reason}."


def of_100(share: float) -> str:
    """Return a share as "82 of 100"; near one, with a decimal so that it is not all."""
    return f"{100.0 * share:.{0 if share <= 0.985 else 1}f} of 100".replace(".0 of", " of")


def size_words(heater: Heater, show: Display) -> str:
    """Return the size of a heater as the trade says it."""
    if heater.is_tankless:
        return show.flow(heater.max_flow_l_per_min)
    return show.volume(heater.volume_l)


def heater_name(heater: Heater, show: Display) -> str:
    """Return the name of a heater; the trade's nominal gallons and kBtu/h in SI where asked."""
    return show.heater_name(heater.name)


def basis_words(basis: tuple[str, ...]) -> str:
    """Return why an option is offered."""
    return ", ".join(_BASES[part] for part in basis)


def verdict_sentence(option: Option, show: Display) -> str:
    """Return what a plumber would say about the size."""
    sizing = option.sizing
    have, need = (
        show.measure(sizing.available, sizing.unit),
        show.measure(sizing.required, sizing.unit),
    )
    if sizing.measure == "first_hour_delivery":
        fact = f"It gives {have} in the first hour on the coldest day; you need {need}."
    else:
        fact = f"It holds {have} on the coldest day; you need {need}."
        if sizing.leaves_a_tap_cold and sizing.least_draw is not None:
            fact += f" A tap that draws {show.measure(sizing.least_draw, sizing.unit)} alone may"
            fact += " not start it."
    spare = f"{abs(sizing.margin_frac):.0%}"
    meaning = {
        Verdict.ADEQUATE: f"Enough, with {spare} to spare.",
        Verdict.TIGHT: f"Just enough, {spare} to spare: guests will notice.",
        Verdict.SHORT: f"Too small by {spare}: somebody's shower goes cold.",
    }[sizing.verdict]
    return f"{meaning} {fact}"


def short_days(option: Option) -> str:
    """Return on how many days a year somebody's water turns cold, "-" if it is not known."""
    delivery = option.annual.delivery
    if delivery is None:
        return "-"
    days = delivery.short_days_per_year
    return "0" if days < 0.05 else "<1" if days < 1.0 else f"{days:.0f}"


def delivery_sentence(option: Option) -> str:
    """Return what the simulated years say of cold showers; empty for the closed form."""
    delivery = option.annual.delivery
    if delivery is None:
        return ""
    days = delivery.short_days_per_year
    if days < 1.0:
        return (
            "The water stays warm all year, but for a day in some years."
            if days
            else ("The water stays warm on every day of the simulated years.")
        )
    minutes = max(delivery.short_minutes_per_year / days, 1.0)
    if option.sizing.verdict is Verdict.SHORT:
        return (
            f"Somebody's water turns cold on about {days:.0f} days a year, for {minutes:.0f} "
            "minutes or so."
        )
    return (
        f"Still, on about {days:.0f} days a year more is drawn than usual and somebody's water "
        f"turns cold, for {minutes:.0f} minutes or so."
    )


def reason_sentences(comparison: Comparison) -> list[str]:
    """Return the reasons for the recommendation against the runner-up, the strongest first."""
    best = comparison.recommended
    rival_id = comparison.recommendation.runner_up_id
    if best is None or rival_id is None:
        return []
    rival, show = comparison.option(rival_id), display_for(comparison)
    years = comparison.job.preferences.study_years
    spared = rival.cost.life_cycle - best.cost.life_cycle
    rival_name = heater_name(rival.heater, show)
    said = [
        f"about the same over {years_text(years)} as the next best kind, the {rival_name}"
        if spared < _SAME_FRAC * best.cost.life_cycle
        else f"{show.money(spared, 10)} less over {years_text(years)} than the next best kind, "
        f"the {rival_name}"
    ]
    if best.cost.band is not None:
        chance = in_words(best.cost.band.cheapest_probability)
        low, high = (show.money(value, 100) for value in (best.cost.band.p10, best.cost.band.p90))
        said.append(f"{chance}; {low} to {high} over {years_text(years)} in 8 of 10 of them")
    first, yearly = (
        best.cost.installed - rival.cost.installed,
        best.cost.total_per_year - rival.cost.total_per_year,
    )
    put_in = (
        "about as much to put in as that one"
        if abs(first) < 5.0
        else f"{show.money(abs(first), 10)} {'more' if first > 0 else 'less'} to put in than that "
        "one"
    )
    run = (
        "about as much to run"
        if abs(yearly) < _SAME_A_YEAR
        else f"{show.money(abs(yearly))} a year {'more' if yearly > 0 else 'less'} to run"
    )
    said.append(f"{put_in}, {run}")
    co2 = rival.co2_kg_per_year - best.co2_kg_per_year
    said.append(
        f"{show.weight(abs(co2))} {'less' if co2 >= 0 else 'more'} CO2 a year than that one"
    )
    existing = comparison.existing
    if existing is not None:
        change = existing.cost.total_per_year - best.cost.total_per_year
        said.append(
            "about as much to run as the heater that stands there now"
            if abs(change) < _SAME_A_YEAR
            else f"{show.money(abs(change))} a year {'less' if change >= 0 else 'more'} to run "
            "than the heater that stands there now"
        )
    return said


_UNITS = {
    "_kg_per_kwh": "kg/kWh",
    "_w_per_k": "W/K",
    "_kj_per_k": "kJ/K",
    "_c": "degC",
    "_k": "K",
    "_l_per_min": "L/min",
    "_l": "L",
}


def step_value(step: Step, show: Display) -> str:
    """Return the result of a step of the working, with its unit."""
    if step.unit in ("USD", "CAD", "USD/yr", "CAD/yr"):
        return show.money(step.value) + (" a year" if step.unit.endswith("/yr") else "")
    if step.unit == "kg":
        return show.weight(step.value)
    if step.name == "margin":
        return f"{step.value:+.0%}"
    if step.unit == "kWh" and step.name.startswith("natural gas"):
        billed = show.energy(step.value, "natural_gas")
        return f"{step.value:,.0f} kWh" + (f" ({billed})" if "kWh" not in billed else "")
    return show.measure(step.value, step.unit)


def step_inputs(step: Step, show: Display) -> str:
    """Return what goes into a step of the working, each with its unit; empty if nothing does."""
    return ", ".join(
        f"{_plain(name)} {_input(name, value, show)}" for name, value in step.inputs.items()
    )


def _plain(name: str) -> str:
    ending = next((e for e in (*_UNITS, "_per_kwh", "_kwh", "_kw") if name.endswith(e)), "")
    return name.removesuffix(ending).replace("_", " ")


def _input(name: str, value: float, show: Display) -> str:
    if name.endswith("_per_kwh") and not name.endswith("_kg_per_kwh"):
        return f"{show.money(value, 0.001)}/kWh"
    if name.endswith("_kwh") and not name.endswith("_per_kwh"):
        return f"{value:,.0f} kWh"
    if name.endswith("_kw"):
        return show.heat_rate(value)
    unit = next((unit for ending, unit in _UNITS.items() if name.endswith(ending)), "")
    return show.measure(value, unit)
