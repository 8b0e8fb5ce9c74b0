"""Daily hot and mixed water of a household, by fixture, from who lives there.

The volume follows the equations of the home-rating standard [1]_, which give hot water per day
for a number of bedrooms; bedrooms stand there for people (0.87 + 0.59 per bedroom), so the
equations are entered with the people themselves. The mixed part becomes hot water by the mixing
equation with the day's inlet; machines take hot water as it comes. Measured houses scatter
widely: in one study of ten, from 27 to 135 gal a day.

References
----------
.. [1] ANSI/RESNET/ICC 301-2019, "Calculation and Labeling of the Energy Performance of Dwelling
   and Sleeping Units", service hot water of the reference home, after Parker, Fairey and Lutz,
   ASHRAE Transactions 121(2), 2015.  (equations from memory, high)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, FixtureCounts, FixtureFlows, Household, Occupants
from heatersel.reference import records
from heatersel.water import mixing_hot_fraction

__all__ = [
    "AWAY_DAYS_USUAL",
    "GUEST_DAYS",
    "RUNS_HOT",
    "SHOWER_FLOW_USUAL_L_PER_MIN",
    "DailyUse",
    "adult_equivalents",
    "daily_use",
    "days_present",
    "hot_by_day_l",
    "published_hot_water_l",
]

Floats = NDArray[np.float64]

L_PER_GAL = 3.785411784

ADULT_WEIGHT, TEENAGER_WEIGHT, CHILD_WEIGHT = 1.0, 1.15, 0.58
"""Hot water of one person, an adult taken as 1. Child: mean of the terms for 0 to 5 and 6 to 13
years over the term for 14 and more in Lutz et al. (1996), LBL-37805 (that the equation tells
these ages apart is seen, its coefficients are memory, medium). Teenager: longer showers, assumed;
the equation counts them as adults."""

MEAN_PERSON_WEIGHT = 0.94
"""Weight of the average person behind the published equations: about 78 % adults, 7 % teenagers
and 16 % children under 13, US census of 2020 (memory, medium)."""

AWAY_DAYS_USUAL = 14
"""Days away in the year that the published yearly means contain; Hendron and Engebrecht (2010),
memory."""

GUEST_DAYS = 7
"""Guests, where the job names some, stay for one week of the year (assumed)."""

SHOWER_FLOW_USUAL_L_PER_MIN = 7.571
"""2.0 gal/min, the head behind the published volumes: measured mean 2.1, DeOreo et al. (2016),
memory. Other heads scale the showers, whose length people keep."""

RUNS_HOT = (Fixture.DISHWASHER, Fixture.CLOTHES_WASHER)
"""Machines: their daily volumes are hot water, taken unmixed."""

_SHOWER_SHARE, _BATH_SHARE = 14.0 / 30.0, 3.5 / 30.0
_KITCHEN_OF_SINKS = 0.5
_SPRAY_TIME_OF_SHOWER = 0.5
_SOAKS_PER_DAY = 1.0 / 7.0
_VACATION_BLOCKS = ((146, 3 / 14), (224, 7 / 14), (356, 4 / 14))
_GUESTS_FROM_DAY = 326


@dataclass(frozen=True, slots=True, kw_only=True)
class DailyUse:
    """Water used on a day when everybody is at home.

    Parameters
    ----------
    mixed_l : mapping of Fixture to float
        Mixed water at the use temperature, by fixture. [L]
    hot_l : mapping of Fixture to float
        Hot water that machines take unmixed. [L]
    """

    mixed_l: Mapping[Fixture, float]
    hot_l: Mapping[Fixture, float]

    def scaled(self, factor: float) -> DailyUse:
        """Return the same pattern with all volumes times `factor`."""
        return DailyUse(
            mixed_l={fixture: factor * volume for fixture, volume in self.mixed_l.items()},
            hot_l={fixture: factor * volume for fixture, volume in self.hot_l.items()},
        )


def published_hot_water_l(
    n_bedrooms: float, mains_c: float, *, setpoint_c: float = 51.667, use_c: float = 40.556
) -> float:
    """Return the daily hot water of the standard's reference home.

    Parameters
    ----------
    n_bedrooms : float
        Bedrooms, 0 or more; a fraction where it stands for people.
    mains_c : float
        Cold water. [°C]
    setpoint_c, use_c : float
        Hot water, 125 degF in the standard, and mixed water, 105 degF. [°C]

    Returns
    -------
    float
        Hot water per day. [L]

    Raises
    ------
    OutOfRangeError
        If the number of bedrooms is negative.

    References
    ----------
    .. [1] ANSI/RESNET/ICC 301-2019.  (memory, high)

    Examples
    --------
    >>> round(published_hot_water_l(3, 14.444) / 3.785411784, 1)
    50.5
    """
    dishes_l, clothes_l, fixtures_l = _published_parts_l(n_bedrooms)
    share = mixing_hot_fraction(use_c, setpoint_c, mains_c)
    return dishes_l + clothes_l + share * fixtures_l


def adult_equivalents(occupants: Occupants) -> float:
    """Return the household's people as average persons of the published equations.

    Parameters
    ----------
    occupants : Occupants
        Adults, teenagers and children.

    Returns
    -------
    float
        Equivalent number of average persons.

    Raises
    ------
    OutOfRangeError
        If nobody lives there.

    References
    ----------
    .. [1] See :data:`ADULT_WEIGHT`; Lutz, J., et al., "Modeling Patterns of Hot Water Use in
       Households", LBL-37805, 1996.  (memory, medium)
    """
    if occupants.total < 1:
        raise OutOfRangeError.of(
            "household.occupants", value=occupants.total, allowed="1 to 30 people",
            fix="count who sleeps in the house",
        )  # fmt: skip
    weight = (
        ADULT_WEIGHT * occupants.adults
        + TEENAGER_WEIGHT * occupants.teenagers
        + CHILD_WEIGHT * occupants.children
    )
    return weight / MEAN_PERSON_WEIGHT


def daily_use(household: Household) -> DailyUse:
    """Return the water of a day when everybody is at home, split over the fixtures.

    Parameters
    ----------
    household : Household
        People, fixtures and their flows.

    Returns
    -------
    DailyUse
        Mixed and hot volumes.

    Raises
    ------
    OutOfRangeError
        If nobody lives there or a shower's flow is not positive.

    Notes
    -----
    Mixed water is split 14 : 3.5 : 12.5 over showers, baths and sinks [1]_, sinks half and half
    over kitchen and lavatories (assumed). What a missing fixture would take goes to the next
    that can serve: tub to shower, shower to tub, both to the lavatory, a missing dishwasher to
    the kitchen sink; without a clothes washer nothing is washed at home. A body spray runs for
    half of the time of the shower it belongs to, a soaking tub is filled once a week (assumed).

    References
    ----------
    .. [1] Hendron, R., Engebrecht, C., "Building America House Simulation Protocols",
       NREL/TP-550-49246, 2010.  (memory, high)
    """
    present_share = 365.0 / (365.0 - AWAY_DAYS_USUAL)
    bedrooms = max((adult_equivalents(household.occupants) - 0.87) / 0.59, 0.0)
    dishes_l, clothes_l, fixtures_l = (
        present_share * part for part in _published_parts_l(bedrooms)
    )
    counts = household.fixtures
    mixed = {
        Fixture.SHOWER: _SHOWER_SHARE * fixtures_l,
        Fixture.BATHTUB: _BATH_SHARE * fixtures_l,
        Fixture.LAVATORY: (1 - _SHOWER_SHARE - _BATH_SHARE) * (1 - _KITCHEN_OF_SINKS) * fixtures_l,
        Fixture.KITCHEN_SINK: (1 - _SHOWER_SHARE - _BATH_SHARE) * _KITCHEN_OF_SINKS * fixtures_l,
    }
    hot = {Fixture.DISHWASHER: dishes_l, Fixture.CLOTHES_WASHER: clothes_l}
    if not counts.dishwasher:
        mixed[Fixture.KITCHEN_SINK] += hot.pop(Fixture.DISHWASHER)
    elif household.dishwasher_heats_water:
        hot[Fixture.DISHWASHER] = 0.0
    if not counts.clothes_washer:
        del hot[Fixture.CLOTHES_WASHER]
    _move_missing(mixed, counts)
    _add_luxuries(mixed, counts, household.fixture_flow)
    return DailyUse(mixed_l=mixed, hot_l=hot)


def days_present(household: Household) -> Floats:
    """Return by how much each day's use differs from a day when everybody is at home.

    0 on days away, above 1 in the week with guests, else 1. Days away fall in three blocks in
    late May, mid-August and from 23 December (Hendron and Engebrecht 2010, memory), guests come
    for the week from 23 November (assumed).

    Returns
    -------
    array of shape (365,)
        Share of the usual day. [-]
    """
    share = np.ones(365)
    if household.guests:
        extra = household.guests / household.occupants.total
        share[_GUESTS_FROM_DAY : _GUESTS_FROM_DAY + GUEST_DAYS] += extra
    left = household.days_away
    for first, part in _VACATION_BLOCKS:
        length = (
            left if (first, part) == _VACATION_BLOCKS[-1] else round(household.days_away * part)
        )
        share[np.arange(first, first + length) % 365] = 0.0
        left -= length
    return share


def hot_by_day_l(use: DailyUse, present: Floats, hot_share: Floats) -> dict[Fixture, Floats]:
    """Return the hot water of each fixture on each day.

    Parameters
    ----------
    use : DailyUse
        Volumes of a full day.
    present : array of shape (365,)
        From :func:`days_present`. [-]
    hot_share : array of shape (365,)
        Share of hot water in mixed water by day. [-]

    Returns
    -------
    dict of Fixture to array of shape (365,)
        Hot water at the setpoint. [L]
    """
    mixed = {fixture: volume * present * hot_share for fixture, volume in use.mixed_l.items()}
    return mixed | {fixture: volume * present for fixture, volume in use.hot_l.items()}


def _published_parts_l(n_bedrooms: float) -> tuple[float, float, float]:
    """Return hot water of dishes and clothes and mixed water of the other uses, waste included."""
    if n_bedrooms < 0.0:
        raise OutOfRangeError.of("n_bedrooms", value=n_bedrooms, allowed="0 or more")
    dishes_gal = (88.4 + 34.9 * n_bedrooms) * 8.16 / 365.0
    washer = (3.0 * 2.08 + 1.59) / (2.874 * 2.08 + 1.59)
    clothes_gal = 4.52 * (164.0 + 46.5 * n_bedrooms) * washer / 365.0
    fixtures_gal = 14.6 + 10.0 * n_bedrooms + 9.8 * n_bedrooms**0.43
    return dishes_gal * L_PER_GAL, clothes_gal * L_PER_GAL, fixtures_gal * L_PER_GAL


def _move_missing(mixed: dict[Fixture, float], counts: FixtureCounts) -> None:
    """Move the volume of fixtures that are not installed to the next that can serve."""
    serve = {
        Fixture.BATHTUB: (Fixture.SHOWER, Fixture.LAVATORY, Fixture.KITCHEN_SINK),
        Fixture.SHOWER: (Fixture.BATHTUB, Fixture.LAVATORY, Fixture.KITCHEN_SINK),
        Fixture.LAVATORY: (Fixture.KITCHEN_SINK, Fixture.SHOWER, Fixture.BATHTUB),
        Fixture.KITCHEN_SINK: (Fixture.LAVATORY, Fixture.SHOWER, Fixture.BATHTUB),
    }
    if not any(counts.of(fixture) for fixture in serve):
        raise OutOfRangeError.of(
            "household.fixtures", value="no shower, bathtub, lavatory or kitchen sink",
            allowed="at least one of them", fix="state what is installed, such as shower = 1",
        )  # fmt: skip
    for fixture, others in serve.items():
        if not counts.of(fixture):
            other = next(other for other in others if counts.of(other))
            mixed[other] += mixed.pop(fixture)


def _add_luxuries(mixed: dict[Fixture, float], counts: FixtureCounts, flows: FixtureFlows) -> None:
    """Scale showers by their head's flow, then add body sprays and soaking tubs."""
    shower_flow = flows.of(Fixture.SHOWER)
    if Fixture.SHOWER in mixed:
        shower_min = mixed[Fixture.SHOWER] / SHOWER_FLOW_USUAL_L_PER_MIN
        mixed[Fixture.SHOWER] = shower_min * shower_flow
        if counts.body_spray:
            sprays_l_per_min = counts.body_spray / counts.shower * flows.of(Fixture.BODY_SPRAY)
            mixed[Fixture.BODY_SPRAY] = _SPRAY_TIME_OF_SHOWER * shower_min * sprays_l_per_min
    if counts.soaking_tub:
        fill_l = use_volumes_l()[Fixture.SOAKING_TUB]
        mixed[Fixture.SOAKING_TUB] = counts.soaking_tub * _SOAKS_PER_DAY * fill_l


@lru_cache(maxsize=1)
def use_volumes_l() -> Mapping[Fixture, float]:
    """Return the water of one use of the fixtures that have a fixed volume. [L]"""
    rows = records("fixtures/uses", {"mixed_volume": "L", "duration": "min"})
    return {
        Fixture(row["fixture"]): row["mixed_volume"]
        for row in rows
        if row["mixed_volume"] is not None
    }


@lru_cache(maxsize=1)
def use_durations_min() -> Mapping[Fixture, float]:
    """Return the minutes of one use of the fixtures whose volume follows from their flow. [min]"""
    rows = records("fixtures/uses", {"mixed_volume": "L", "duration": "min"})
    return {Fixture(row["fixture"]): row["duration"] for row in rows if row["duration"] is not None}
