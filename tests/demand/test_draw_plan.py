"""What the draws of a household add up to."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.uses import daily_use, days_present
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, Household

Households = Callable[..., Household]


def test_the_year_is_the_day_times_the_days_present(household: Households) -> None:
    house = household(guests=1)
    plan = plan_draws(house)

    assert plan.year_l[Fixture.SHOWER] == pytest.approx(
        daily_use(house).mixed_l[Fixture.SHOWER] * days_present(house).sum()
    )


def test_bills_scale_every_volume_alike(household: Households) -> None:
    plain, scaled = plan_draws(household()), plan_draws(household(), 0.7)

    assert {f: v / plain.year_l[f] for f, v in scaled.year_l.items()} == pytest.approx(
        dict.fromkeys(plain.year_l, 0.7)
    )


@pytest.mark.parametrize("factor", [0.0, -1.0])
def test_a_factor_that_leaves_no_water_is_refused(household: Households, factor: float) -> None:
    with pytest.raises(OutOfRangeError, match="volume_factor"):
        plan_draws(household(), factor)


def test_people_keep_their_kind(household: Households) -> None:
    plan = plan_draws(household({"adults": 2, "teenagers": 1, "children": 2}, guests=3))

    assert plan.is_child == (False, False, False, True, True)
    assert plan.person_weight[2] > plan.person_weight[0] > plan.person_weight[3]
    assert plan.guests == 3


def test_a_dishwasher_with_its_own_heater_has_no_draws(household: Households) -> None:
    assert Fixture.DISHWASHER not in plan_draws(household(dishwasher_heats_water=True)).year_l


def test_flows_are_relative_to_the_usual_ones(household: Households) -> None:
    plan = plan_draws(household(fixture_flow={"shower": "1.0 gal/min"}))

    assert plan.flow_scale[Fixture.SHOWER] == pytest.approx(0.5, rel=1e-3)
    assert plan.flow_scale[Fixture.BATHTUB] == 1.0


def test_the_laundry_day_counts_from_monday(household: Households) -> None:
    assert plan_draws(household(laundry_day="sunday")).laundry_weekday == 6
    assert plan_draws(household()).laundry_weekday is None
