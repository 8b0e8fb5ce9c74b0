"""Which work an option brings along in this house, and why: changes, cautions, company policy."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from heatersel.cautions.caution import Severity
from heatersel.cautions.remedies import without_doubles
from heatersel.comparison import Option
from heatersel.cost.basis import CostBasis
from heatersel.cost.installed import work_for_change
from heatersel.heaters.heater import Heater, Kind
from heatersel.job.models import Fixture, HeaterLocation, Job
from heatersel.quote.policy import MustHave, Policy, When
from heatersel.quote.work import counted_per, work_name

__all__ = ["Needed", "must_haves", "work_needed"]

_ALWAYS = ("permit", "disposal")
_BATHING = (Fixture.SHOWER, Fixture.BATHTUB, Fixture.SOAKING_TUB)
_PRESENT = {
    "tempering_valve": "tempering_valve", "expansion_tank": "expansion_tank",
    "drain_pan": "drain_pan", "carbon_monoxide_alarm": "co_alarm", "seismic_straps": "straps",
    "condensate_drain": "condensate_drain", "neutralizer": "neutralizer",
    "vacuum_relief": "vacuum_relief", "shutoff_valve": "shutoff_valve",
    "vehicle_barrier": "vehicle_guard", "point_of_use_valve": "point_of_use_valves",
    "pressure_reducing_valve": "pressure_regulator", "bonding_jumper": "bonding_jumper",
}  # fmt: skip
"""Pieces of work and the fact of the house that says they are done already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """One piece of work that goes into the price.

    Parameters
    ----------
    id : str
        As the price book names it.
    why : str
        What calls for it, for the working of the quote.
    quantity : int
        How many.
    """

    id: str
    why: str
    quantity: int = 1


def work_needed(
    job: Job, option: Option, basis: CostBasis, policy: Policy, without: Collection[str] = ()
) -> tuple[Needed, ...]:
    """Return the work that an option brings along beside its usual installation.

    Parameters
    ----------
    job : Job
        The house.
    option : Option
        With its cautions.
    basis : CostBasis
        What stands there now.
    policy : Policy
        Must-have items.
    without : collection of str
        Must-have items that the quote leaves out, each a departure with its reason. What a
        caution calls for stays in.

    Returns
    -------
    tuple of Needed
        Each once, without what another piece of work includes.
    """
    reasons: dict[str, str] = {}
    for work, why in (
        *((work, "goes with every installation") for work in _ALWAYS),
        *_changes(option.heater, basis),
        *_remedies(option),
        *(
            (item.item, f"company policy: {item.why or work_name(item.item)}")
            for item in must_haves(job, option.heater, policy)
            if item.item not in without
        ),
    ):
        reasons.setdefault(work, why)
    return tuple(
        Needed(id=work, why=reasons[work], quantity=_quantity(work, job, option.heater))
        for work in without_doubles(reasons)
    )


def must_haves(job: Job, heater: Heater, policy: Policy) -> Iterator[MustHave]:
    """Yield the items that the policy wants for a heater in this house and that are not there.

    A fact that nobody looked at counts as if the item were needed.
    """
    for item in policy.must_have:
        if item.classes and heater.heater_class not in item.classes:
            continue
        if _holds(item.when, job, heater) and not _is_there(item.item, job):
            yield item


def _changes(heater: Heater, basis: CostBasis) -> Iterator[tuple[str, str]]:
    for work in work_for_change(heater, basis.present):
        yield work, "the change from what stands there now"


def _remedies(option: Option) -> Iterator[tuple[str, str]]:
    for caution in option.cautions:
        if caution.severity is Severity.MUST:
            for work in caution.remedy_ids:
                yield work, f"caution {caution.id}: {caution.remedy}"


def _holds(when: When, job: Job, heater: Heater) -> bool:
    """Return whether a condition holds; unknown counts as yes."""
    home, site = job.home, job.home.site
    if when is When.VULNERABLE_OCCUPANTS:
        return bool(job.household.occupants.children) or home.vulnerable_occupants is not False
    if when is When.CLOSED_SYSTEM:
        return _any_or_unknown((home.backflow_preventer, site.check_valve, site.pressure_regulator))
    if when is When.LEAK_DAMAGES:
        above = home.heater_location is HeaterLocation.ATTIC or bool(site.upper_floor)
        return above or site.leak_damages is not False
    return {
        When.ALWAYS: True, When.BURNS_FUEL: heater.burns_fuel,
        When.HEAT_PUMP: heater.kind is Kind.HEAT_PUMP_STORAGE,
        When.TANKLESS: heater.is_tankless, When.STORAGE: not heater.is_tankless,
    }[when]  # fmt: skip


def _any_or_unknown(facts: Iterable[Any]) -> bool:
    known = [fact for fact in facts if fact is not None]
    return any(known) or not known


def _is_there(item: str, job: Job) -> bool:
    fact = _PRESENT.get(item)
    return bool(fact and getattr(job.home.site, fact))


def _quantity(work: str, job: Job, heater: Heater) -> int:
    """Return how often a piece of work is done: for each heater or bathing fixture, or once."""
    per = counted_per(work)
    if per == "bathing fixture":
        return max(1, sum(job.household.fixtures.of(fixture) for fixture in _BATHING))
    return heater.units if per == "unit" else 1
