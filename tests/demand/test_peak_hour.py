"""Hot water of the uses in the busiest hour."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from heatersel.demand.peak_hour import (
    WORKSHEET_LINES,
    estimated_uses,
    peak_hour_by_fixture_l,
    use_mixed_l,
    worksheet_l,
)
from heatersel.job.models import Fixture, FixtureFlows, Household

Households = Callable[..., Household]
FLOWS = FixtureFlows()


@pytest.mark.parametrize(("people", "showers"), [(1, 1), (2, 2), (4, 3), (5, 3), (8, 3)])
def test_showers_in_the_hour_grow_with_the_people_up_to_three_a_head(
    household: Households, people: int, showers: int
) -> None:
    assert estimated_uses(household(people))[Fixture.SHOWER] == showers


def test_a_second_shower_lets_more_people_shower(household: Households) -> None:
    assert estimated_uses(household(8, fixtures={"shower": 2}))[Fixture.SHOWER] == 5


def test_children_shower_less_in_that_hour(household: Households) -> None:
    family = estimated_uses(household({"adults": 2, "children": 4}, fixtures={"shower": 2}))

    assert family[Fixture.SHOWER] == 3


def test_without_a_shower_tubs_are_filled(household: Households) -> None:
    uses = estimated_uses(household(4, fixtures={"shower": 0}))

    assert Fixture.SHOWER not in uses
    assert uses[Fixture.BATHTUB] == 2


def test_only_installed_fixtures_are_used(household: Households) -> None:
    house = household(4, fixtures={"kitchen_sink": 0, "body_spray": 2})

    uses = estimated_uses(house)

    assert Fixture.KITCHEN_SINK not in uses
    assert uses[Fixture.BODY_SPRAY] == 2
    assert all(house.fixtures.of(fixture) for fixture in uses)


def test_a_house_with_a_soaking_tub_alone_fills_it(household: Households) -> None:
    bare = dict.fromkeys(("shower", "bathtub", "lavatory", "kitchen_sink"), 0)

    assert estimated_uses(household(2, fixtures=bare | {"soaking_tub": 1})) == {
        Fixture.SOAKING_TUB: 1
    }


def test_a_shower_is_flow_times_minutes() -> None:
    assert use_mixed_l(Fixture.SHOWER, FLOWS) == pytest.approx(7.8 * 7.571)


def test_a_bath_is_a_volume_whatever_the_flow() -> None:
    fast = FixtureFlows.model_validate({"bathtub": "9 gal/min"})

    assert use_mixed_l(Fixture.BATHTUB, fast) == use_mixed_l(Fixture.BATHTUB, FLOWS)


def test_hot_water_is_uses_times_volume_times_share() -> None:
    by_fixture = peak_hour_by_fixture_l(
        {Fixture.SHOWER: 3, Fixture.LAVATORY: 0}, FLOWS, dict.fromkeys(Fixture, 0.8)
    )

    assert by_fixture == {Fixture.SHOWER: pytest.approx(3 * 7.8 * 7.571 * 0.8)}


def test_uses_without_a_line_count_for_nothing_in_the_worksheet() -> None:
    assert Fixture.BODY_SPRAY not in WORKSHEET_LINES
    assert worksheet_l({Fixture.BODY_SPRAY: 2}) == {"older": 0.0, "middle": 0.0, "later": 0.0}
