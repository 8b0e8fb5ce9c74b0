"""The room of a heat pump."""

from __future__ import annotations

from dataclasses import replace

import pytest


@pytest.mark.parametrize("way", [{"home.site.louvered": True}, {"home.site.ducting": "both_sides"}])
def test_louvres_or_ducts_open_a_small_room(raised, way):
    assert "heat-pump-room" not in raised("heat-pump-50", {"home.room_volume": "200 ft3", **way})


def test_split_heat_pumps_draw_on_the_open_air(raised):
    changes = {"home.room_volume": "200 ft3", "home.site.room_min_temperature": "20 degF"}
    found = raised("split-heat-pump-45", changes, coldest_air_c=-5.0)
    assert not {name for name in found if name.startswith("heat-pump-")}


@pytest.mark.parametrize(
    ("heater", "changes", "coldest_c", "dry"),
    [
        # listed from -15 degF: the coldest month's mean less 15 K reaches it at -11.1 degC
        ("split-heat-pump-45", {}, -11.2, True),
        ("split-heat-pump-45", {}, -11.0, False),
        ("plug-in-heat-pump-80", {"home.site.room_min_temperature": "0 degF"}, 0.0, True),
        ("plug-in-heat-pump-80", {"home.site.room_min_temperature": "60 degF"}, -30.0, False),
        ("heat-pump-50", {"home.site.room_min_temperature": "0 degF"}, 0.0, False),
    ],
)
def test_without_an_element_cold_air_means_no_hot_water(raised, heater, changes, coldest_c, dry):
    found = raised(heater, changes, coldest_air_c=coldest_c)
    assert ("heat-pump-no-element" in found) is dry
    assert "heat-pump-temperature" not in found or not dry


def test_floor_drain_stands_in_for_a_condensate_drain(raised):
    changes = {"home.site.condensate_drain": ..., "home.floor_drain": True}
    assert "heat-pump-condensate" not in raised("heat-pump-50", changes)


def test_two_sided_ducts_do_not_backdraft(raised):
    assert "heat-pump-backdraft" not in raised("heat-pump-50", {"home.site.ducting": "both_sides"})


def test_one_sided_duct_alone_in_the_room_is_fine(raised):
    changes = {"home.site.ducting": "one_side", "home.site.room_other_input": "0 Btu/h"}
    assert "heat-pump-backdraft" not in raised("heat-pump-50", changes)


def test_refrigerants_that_do_not_burn_are_not_asked_about(asked):
    changes = {"home.site.refrigerant_charge": ...}
    assert "home.site.refrigerant_charge" not in asked("heat-pump-50", changes)
    assert "home.site.refrigerant_charge" in asked("plug-in-heat-pump-80", changes)


def test_room_area_follows_from_volume_and_height(raised):
    # 800 ft3 under 8 ft: 100 ft2
    charged = {"place.climate": "Toronto, ON", "home.site.refrigerant_charge": "300 g",
               "home.room_volume": "800 ft3", "home.ceiling_height": "8 ft"}  # fmt: skip
    for needed, stops in (("99 ft2", False), ("101 ft2", True)):
        changes = {**charged, "home.site.nameplate_room_area": needed}
        assert ("heat-pump-refrigerant" in raised("plug-in-heat-pump-80", changes)) is stops


def test_quiet_units_disturb_nobody(raised, heater_of):
    from dataclasses import replace

    quiet = replace(heater_of("heat-pump-50"), noise_dba=40.0)
    assert "heat-pump-noise" not in raised(quiet, {"home.site.bedroom_distance": "1 m"})


def test_its_cold_is_counted_inside_the_house_only(raised):
    assert "heat-pump-cools-room" in raised("heat-pump-50")
    garage = {"home.heater_location": "garage"}
    assert "heat-pump-cools-room" not in raised("heat-pump-50", garage)


@pytest.mark.parametrize("refrigerant", ["", "R-unheard-of"])
def test_a_refrigerant_that_is_not_stated_or_not_known_is_asked_for(asked, heater_of, refrigerant):
    pump = replace(heater_of("heat-pump-50"), refrigerant=refrigerant)
    assert "home.site.nameplate_room_area" in asked(pump)
    assert "home.site.nameplate_room_area" not in asked("gas-tank-40")


@pytest.mark.parametrize(("charge", "stopped"), [("988 g", False), ("990 g", True)])
def test_no_room_is_large_enough_beyond_the_international_limit(heater_of, house, charge, stopped):
    # IEC 60335-2-40, 26 m³ x 38 g/m³: 988 g of R-290 (seen)
    propane = replace(heater_of("heat-pump-50"), refrigerant="R-290")
    large = {
        "place.climate": "Toronto, ON", "home.site.refrigerant_charge": charge,
        "home.site.nameplate_room_area": "20 ft2", "home.site.room_area": "900 ft2",
    }  # fmt: skip
    report = house(propane, large)
    assert ("heat-pump-refrigerant" in {c.id for c in report.stops}) is stopped


def test_a_refrigerant_nobody_knows_is_judged_by_its_nameplate(heater_of, house):
    unknown = replace(heater_of("heat-pump-50"), refrigerant="R-999")
    small = {"home.site.nameplate_room_area": "200 ft2", "home.site.room_area": "100 ft2"}
    assert "heat-pump-refrigerant" in {c.id for c in house(unknown, small).stops}
    wide = small | {"home.site.room_area": "300 ft2"}
    fine = house(unknown, wide)
    assert not fine.stops
    assert "home.site.nameplate_room_area" not in {m.field for m in fine.to_measure}


def test_a_charge_of_nothing_is_not_a_measurement(heater_of, house):
    propane = replace(heater_of("heat-pump-50"), refrigerant="R-290")
    report = house(propane, {"home.site.refrigerant_charge": "0 g"})
    assert "home.site.refrigerant_charge" in {m.field for m in report.to_measure}
