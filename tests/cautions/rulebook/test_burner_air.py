"""Whose air counts, and which method."""

from __future__ import annotations

import pytest

SMALL = {"home.room_volume": "2500 ft3", "home.site.air_changes": ...}


def test_direct_vent_and_electric_heaters_take_no_room_air(raised):
    for heater in ("gas-direct-vent-40", "gas-tankless-199", "heat-pump-50", "electric-tank-50"):
        assert not {name for name in raised(heater, SMALL) if name.startswith("air-")}


def test_other_burners_of_the_room_count(raised):
    alone = {**SMALL, "home.site.room_other_input": "0 Btu/h"}
    assert "air-room-volume" not in raised("gas-tank-40", alone)
    assert "air-room-volume" in raised("gas-tank-40", SMALL)


def test_unknown_others_count_as_all_in_this_room(house, asked):
    changes = {**SMALL, "home.site.room_other_input": ...}
    found = next(c for c in house("gas-tank-40", changes).cautions if c.id == "air-room-volume")
    burners_kw = dict((name, value) for name, value, _ in found.numbers)["burners_kw"]
    assert burners_kw == pytest.approx((36_000 + 40_000) * 2.9307107e-4)
    assert "home.site.room_other_input" in asked("gas-tank-40", changes)


def test_a_tight_house_bars_the_usual_method(raised):
    roomy = {"home.room_volume": "4000 ft3"}  # 3800 ft3 would be enough by the usual method
    tight = {**roomy, "home.site.air_changes": "0.39 1/h"}
    assert {"air-room-volume", "air-tight-house"}.isdisjoint(
        raised("gas-tank-40", {**roomy, "home.site.air_changes": "0.4 1/h"})
    )
    assert "air-tight-house" in raised("gas-tank-40", tight)


def test_fan_assisted_heaters_need_less_of_a_tight_house(house):
    tight = {"home.room_volume": "100 ft3", "home.site.air_changes": "0.3 1/h",
             "home.site.room_other_input": "0 Btu/h"}  # fmt: skip

    def needed_per_kw(heater: str) -> float:
        found = next(c for c in house(heater, tight).cautions if c.id == "air-tight-house")
        values = {name: value for name, value, _ in found.numbers}
        return values["needed_m3"] / values["burners_kw"]

    ratio = needed_per_kw("gas-tank-40") / needed_per_kw("gas-power-vent-40")
    assert ratio == pytest.approx(21 / 15)


def test_openings_of_every_kind_are_offered(house):
    found = next(c for c in house("gas-tank-40", SMALL).cautions if c.id == "air-room-volume")
    for words in ("to the next room", "straight outdoors", "level ducts", "one of"):
        assert words in found.trade_message
    assert found.remedy_ids == ("combustion_air",)


def test_a_canadian_room_is_left_to_the_canadian_tables(raised):
    canada = {**SMALL, "place.climate": "Toronto, ON"}
    assert {name for name in raised("gas-tank-40", canada) if name.startswith("air-")} == {
        "air-canada"
    }
