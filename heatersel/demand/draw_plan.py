"""What the draws of a household's year add up to, and who makes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.uses import (
    ADULT_WEIGHT,
    CHILD_WEIGHT,
    TEENAGER_WEIGHT,
    daily_use,
    days_present,
)
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, FixtureFlows, Household, Weekday

__all__ = ["DrawPlan", "plan_draws"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawPlan:
    """What the draws of a household add up to, and who makes them: the input of every year.

    Parameters
    ----------
    year_l : mapping of Fixture to float
        Water of the year: mixed, or hot for machines. [L]
    present : array of shape (365,)
        Share of the usual use on each day. [-]
    flow_scale : mapping of Fixture to float
        Flow of the household's fixture over the usual one. [-]
    person_weight : tuple of float
        Showers of each resident relative to an adult; children have less than half the largest.
    is_child : tuple of bool
        For each resident.
    guests : int
        People more in the week with guests.
    n_shower_heads : int
        Showers that can run at once.
    use_temp_c : float
        Mixed water. [°C]
    laundry_weekday : int or None
        0 = Monday; None if laundry is done on any day.
    """

    year_l: Mapping[Fixture, float]
    present: Floats
    flow_scale: Mapping[Fixture, float]
    person_weight: tuple[float, ...]
    is_child: tuple[bool, ...]
    guests: int
    n_shower_heads: int
    use_temp_c: float
    laundry_weekday: int | None


@lru_cache(maxsize=8)
def plan_draws(household: Household, volume_factor: float = 1.0) -> DrawPlan:
    """Return what the draws of a household's year have to add up to.

    Parameters
    ----------
    household : Household
        People, fixtures and habits.
    volume_factor : float
        As for :func:`heatersel.demand.household.demand_for`; above 0. [-]

    Returns
    -------
    DrawPlan
        Input of :func:`draw_year`.

    Raises
    ------
    OutOfRangeError
        If nobody lives there, nothing is installed, or the factor is not positive.
    """
    if volume_factor <= 0.0:
        raise OutOfRangeError.of("volume_factor", value=volume_factor, allowed="above 0")
    use, present = daily_use(household).scaled(volume_factor), days_present(household)
    volumes = dict(use.mixed_l) | dict(use.hot_l)
    people, usual = household.occupants, FixtureFlows()
    laundry_day = household.laundry_day
    return DrawPlan(
        year_l={
            fixture: volume * float(present.sum())
            for fixture, volume in volumes.items()
            if volume > 0.0
        },
        present=present,
        flow_scale={
            fixture: household.fixture_flow.of(fixture) / usual.of(fixture) for fixture in Fixture
        },
        person_weight=(ADULT_WEIGHT,) * people.adults
        + (TEENAGER_WEIGHT,) * people.teenagers
        + (CHILD_WEIGHT,) * people.children,
        is_child=(False,) * (people.adults + people.teenagers) + (True,) * people.children,
        guests=household.guests,
        n_shower_heads=household.fixtures.shower,
        use_temp_c=household.use_temp_c,
        laundry_weekday=None if laundry_day is None else list(Weekday).index(laundry_day),
    )
