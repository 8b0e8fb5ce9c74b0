"""Which heater, and why: feasible and adequate options ranked by what they cost to own.

An option takes part if the house has its fuel, nothing stops it, and it is big enough on the
coldest morning. The rest is kept with the reason, never dropped in silence.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from heatersel.heaters.heater import EnergySource
from heatersel.sizing.verdict import Verdict

if TYPE_CHECKING:
    from heatersel.comparison import Option

__all__ = [
    "MOST_SHORT_DAYS",
    "NEAR_FRAC",
    "Offer",
    "Recommendation",
    "exclusions",
    "rank_options",
    "recommend",
    "three_offers",
]

NEAR_FRAC = 0.05
"""Figures closer than this count as equal when offers are chosen: a choice between them would be
none to the customer (common practice, no source)."""

MOST_SHORT_DAYS = 26.0
"""An option that leaves somebody short on more days a year than this, one in two weeks, is not
ranked (common practice, no source; the simulated year says how many there are)."""

_FUEL_MISSING = "fuel-missing"

FUEL_NAMES = {
    EnergySource.NATURAL_GAS: "natural gas",
    EnergySource.PROPANE: "propane",
    EnergySource.FUEL_OIL: "heating oil",
    EnergySource.ELECTRICITY: "electricity",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One of the offers laid on the table.

    Parameters
    ----------
    basis : str
        Why it is offered: "lowest_first_cost", "lowest_cost_to_own" or "lowest_emissions".
        Several are joined where one option leads in more than one respect.
    option_id : str
        The option.
    """

    basis: tuple[str, ...]
    option_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Recommendation:
    """The option to choose and the reasons.

    Parameters
    ----------
    option_id : str or None
        The option, None if no option can be recommended.
    runner_up_id : str or None
        The next best, which the reasons compare it with.
    reasons : tuple of (str, float, float)
        Name of the respect, its value for the option and for the runner-up. The faces turn
        them into sentences in the user's units.
    offers : tuple of Offer
        Up to three different options.
    """

    option_id: str | None
    runner_up_id: str | None
    reasons: tuple[tuple[str, float, float], ...]
    offers: tuple[Offer, ...]


def exclusions(option: Option, fuels: Sequence[EnergySource]) -> tuple[str, ...]:
    """Return every reason that keeps an option out of the ranking.

    Parameters
    ----------
    option : Option
        A sized option with its cautions.
    fuels : sequence of EnergySource
        What the house has.

    Returns
    -------
    tuple of str
        Plain reasons, empty if it takes part.
    """
    reasons = []
    if option.heater.energy_source not in fuels:
        reasons.append(f"no {FUEL_NAMES[option.heater.energy_source]} in this house")
    reasons += [
        f"{caution.message} What would lift it: {caution.lifts}"
        if caution.lifts
        else caution.message
        for caution in option.cautions
        if caution.severity.value == "stop" and caution.id != _FUEL_MISSING  # said above
    ]
    if option.sizing.verdict is Verdict.SHORT:
        reasons.append(f"too small by {-option.sizing.margin_frac:.0%} on the coldest morning")
    delivery = option.annual.delivery
    if delivery is not None and delivery.short_days_per_year > MOST_SHORT_DAYS:
        reasons.append(
            f"too small for the year: somebody's water turns cold on about "
            f"{delivery.short_days_per_year:.0f} days{_hotter_store(option)}"
        )
    return tuple(reasons)


def _hotter_store(option: Option) -> str:
    """Return what would help a tank that runs short."""
    if option.heater.is_tankless:
        return ""
    return "; a hotter store with a tempering valve would help"


def rank_options(options: Sequence[Option]) -> tuple[Option, ...]:
    """Return the options with ranks, the ranked ones first, by life-cycle cost.

    Parameters
    ----------
    options : sequence of Option
        With their exclusions filled in.

    Returns
    -------
    tuple of Option
        Ranked 1, 2, ...; then the excluded ones, rank None, in the order of their names. An
        equal cost ranks the lower first cost first, then the id, so that the order is stable.
    """
    ranked = sorted(
        (option for option in options if not option.excluded_because),
        key=lambda option: (option.cost.life_cycle, option.cost.installed, option.heater.id),
    )
    rest = sorted(
        (option for option in options if option.excluded_because), key=lambda o: o.heater.name
    )
    return (
        *(replace(option, rank=place) for place, option in enumerate(ranked, start=1)),
        *(replace(option, rank=None) for option in rest),
    )


def three_offers(ranked: Sequence[Option]) -> tuple[Offer, ...]:
    """Return up to three different offers: cost to own, first cost, emissions.

    An option that comes within :data:`NEAR_FRAC` of the best figure counts as leading too, and
    among those the best-ranked one is offered. Where one option leads in several respects it is
    offered once, for all of them; the offers that this frees go to the best-ranked option of
    another kind or energy source, failing that of another construction, so that the customer
    still sees a real choice.

    Parameters
    ----------
    ranked : sequence of Option
        Options that take part, by rank.

    Returns
    -------
    tuple of Offer
        In the order cost to own, first cost, emissions, then the further choices.
    """
    if not ranked:
        return ()
    leaders = {
        "lowest_cost_to_own": ranked[0],
        "lowest_first_cost": _leader(ranked, lambda option: option.cost.installed),
        "lowest_emissions": _leader(ranked, lambda option: option.co2_kg_per_year),
    }
    bases: dict[str, list[str]] = {}
    for basis, option in leaders.items():
        bases.setdefault(option.id, []).append(basis)
    for kind in (_kind, _construction):
        shown = {kind(option) for option in ranked if option.id in bases}
        for option in ranked:
            if len(bases) < 3 and kind(option) not in shown:
                shown.add(kind(option))
                bases[option.id] = ["another_kind"]
    return tuple(Offer(basis=tuple(basis), option_id=id_) for id_, basis in bases.items())


def _kind(option: Option) -> tuple[str, ...]:
    return option.heater.kind, option.heater.energy_source


def _construction(option: Option) -> tuple[str, ...]:
    return option.heater.heater_class, option.heater.energy_source


def _leader(ranked: Sequence[Option], measure: Callable[[Option], float]) -> Option:
    """Return the best-ranked option whose measure is near the lowest."""
    lowest = min(map(measure, ranked))
    limit = lowest + NEAR_FRAC * abs(lowest)  # emissions may be negative: heat that warms the house
    return next(option for option in ranked if measure(option) <= limit)


def recommend(ranked: Sequence[Option]) -> Recommendation:
    """Return the recommendation among ranked options.

    Parameters
    ----------
    ranked : sequence of Option
        Options that take part, by rank.

    Returns
    -------
    Recommendation
        The first, with its figures beside those of the best option of another class (or the
        second, where there is only one class).
    """
    if not ranked:
        return Recommendation(option_id=None, runner_up_id=None, reasons=(), offers=())
    best = ranked[0]
    others = [o for o in ranked[1:] if o.heater.heater_class is not best.heater.heater_class]
    rival = next(iter(others or ranked[1:]), None)
    reasons: tuple[tuple[str, float, float], ...] = ()
    if rival is not None:
        reasons = (
            ("life_cycle", best.cost.life_cycle, rival.cost.life_cycle),
            ("total_per_year", best.cost.total_per_year, rival.cost.total_per_year),
            ("installed", best.cost.installed, rival.cost.installed),
            ("margin_frac", best.sizing.margin_frac, rival.sizing.margin_frac),
            ("co2_kg_per_year", best.co2_kg_per_year, rival.co2_kg_per_year),
            ("life_years", best.cost.life_years, rival.cost.life_years),
        )
    return Recommendation(
        option_id=best.heater.id,
        runner_up_id=rival.heater.id if rival else None,
        reasons=reasons,
        offers=three_offers(ranked),
    )
