"""Hot water in the busiest hour, from the uses that fall into it.

Each use is counted as mixed water (flow times minutes, or a volume) and made hot by the mixing
equation at the coldest inlet, so that a colder place or a cooler setpoint shows. The federal
worksheet's fixed gallons per use stand beside it: they have no inlet, no setpoint and no flow,
and the worksheet itself has changed a shower from 20 to 12 to 10 and back to 20 gal.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

from heatersel.demand.uses import use_durations_min, use_volumes_l
from heatersel.job.models import Fixture, FixtureFlows, Household
from heatersel.reference import records

__all__ = [
    "WORKSHEET_LINES",
    "estimated_uses",
    "peak_hour_by_fixture_l",
    "use_mixed_l",
    "worksheet_l",
]

_SHOWERS_PER_HEAD_AND_HOUR = 3
_TUB_FILLS_PER_HOUR = 2
_ADULT_SHOWERS, _CHILD_SHOWERS = 0.6, 0.3

WORKSHEET_LINES: Mapping[Fixture, str] = {
    Fixture.SHOWER: "shower",
    Fixture.BATHTUB: "bath",
    Fixture.LAVATORY: "shaving",
    Fixture.KITCHEN_SINK: "hand_dishwashing",
    Fixture.DISHWASHER: "dishwasher",
    Fixture.CLOTHES_WASHER: "clothes_washer",
}
"""The worksheet's line for each fixture; tubs to soak in and body sprays have none."""


def estimated_uses(household: Household) -> dict[Fixture, int]:
    """Return the uses of the busiest hour where the household has not named them.

    Parameters
    ----------
    household : Household
        People and fixtures.

    Returns
    -------
    dict of Fixture to int
        Uses; only fixtures that are installed.

    Notes
    -----
    Common practice, no source: six of ten adults and teenagers and three of ten children shower
    in the same hour (rounded up, three to a shower head), every second person uses a lavatory,
    the kitchen sink is used once. A house without shower fills tubs instead. For the family
    of the federal worksheet's example, four people, it gives the example's three showers.
    """
    people, counts = household.occupants, household.fixtures
    grown = people.adults + people.teenagers
    washers = max(1, math.ceil(_ADULT_SHOWERS * grown + _CHILD_SHOWERS * people.children - 1e-9))
    uses = {
        Fixture.SHOWER: min(washers, _SHOWERS_PER_HEAD_AND_HOUR * counts.shower),
        Fixture.LAVATORY: math.ceil(people.total / 2) if counts.lavatory else 0,
        Fixture.KITCHEN_SINK: min(1, counts.kitchen_sink),
    }
    if not counts.shower:
        uses[Fixture.BATHTUB] = min(washers, _TUB_FILLS_PER_HOUR * counts.bathtub)
    if counts.shower and counts.body_spray:
        uses[Fixture.BODY_SPRAY] = counts.body_spray
    if not any(uses.values()):
        uses[Fixture.SOAKING_TUB] = counts.soaking_tub
    return {fixture: n for fixture, n in uses.items() if n}


def use_mixed_l(fixture: Fixture, flows: FixtureFlows) -> float:
    """Return the water of one use: mixed, or hot where a machine takes it unmixed. [L]

    References
    ----------
    datasets/fixtures/uses.csv, each row with its source.
    """
    minutes = use_durations_min().get(fixture)
    return use_volumes_l()[fixture] if minutes is None else minutes * flows.of(fixture)


def peak_hour_by_fixture_l(
    uses: Mapping[Fixture, int], flows: FixtureFlows, hot_share: Mapping[Fixture, float]
) -> dict[Fixture, float]:
    """Return the hot water of the busiest hour by fixture.

    Parameters
    ----------
    uses : mapping of Fixture to int
        Uses within the hour.
    flows : FixtureFlows
        Flow of each kind.
    hot_share : mapping of Fixture to float
        Hot share of each fixture's water on the design day. [-]

    Returns
    -------
    dict of Fixture to float
        Hot water at the setpoint. [L]
    """
    return {
        fixture: n * use_mixed_l(fixture, flows) * hot_share[fixture]
        for fixture, n in uses.items()
        if n
    }


def worksheet_l(uses: Mapping[Fixture, int]) -> dict[str, float]:
    """Return what the federal worksheet would say for these uses, by edition of the worksheet.

    Parameters
    ----------
    uses : mapping of Fixture to int
        Uses within the hour; those without a line in an edition are left out of its sum.

    Returns
    -------
    dict of str to float
        Hot water by edition ("older", "middle", "later"). [L]

    References
    ----------
    .. [1] US Department of Energy, "Sizing a New Water Heater", worksheet.  (older edition
       seen, others memory)
    """
    lines = _worksheet()
    return {
        version: sum(
            n * gal.get(WORKSHEET_LINES.get(fixture, ""), 0.0) for fixture, n in uses.items()
        )
        for version, gal in lines.items()
    }


@lru_cache(maxsize=1)
def _worksheet() -> dict[str, dict[str, float]]:
    """Return litres by edition and line."""
    lines: dict[str, dict[str, float]] = {}
    for row in records("fixtures/peak_hour_worksheet", {"hot_water": "L"}):
        lines.setdefault(row["version"], {})[row["use"]] = row["hot_water"]
    return lines
