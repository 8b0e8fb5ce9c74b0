"""Which vent serves, who is left behind, and where it may end."""

from __future__ import annotations

import pytest

from heatersel.cautions.remedies import remedies


def test_unknown_vent_is_asked_for_and_not_judged(raised, asked):
    changes = {"home.vent": ...}
    assert "home.vent" in asked("gas-condensing-50", changes)
    assert "vent-kind" not in raised("gas-condensing-50", changes)


@pytest.mark.parametrize(
    ("vent", "heater", "new"),
    [
        ("plastic_vent", "gas-condensing-50", False),
        ("stainless_vent", "gas-tankless-199", False),
        ("b_vent", "gas-tank-40", False),
        ("b_vent", "gas-condensing-50", True),
        ("plastic_vent", "gas-tankless-199", True),
        ("none", "gas-tank-40", True),
    ],
)
def test_new_vent_where_the_present_one_cannot_serve(house, vent, heater, new):
    remedies = {r for c in house(heater, {"home.vent": vent}).cautions for r in c.remedy_ids}
    assert ("new_vent" in remedies) is new


def test_electric_heaters_need_no_vent(raised, asked):
    assert "vent-kind" not in raised("heat-pump-50", {"home.vent": "none"})
    assert "home.vent" not in asked("heat-pump-50", {"home.vent": ...})


def test_canadian_plastic_is_named(house):
    changes = {"home.vent": "b_vent", "place.climate": "Toronto, ON"}
    found = next(c for c in house("gas-condensing-50", changes).cautions if c.id == "vent-kind")
    assert "ULC S636" in found.trade_message


def test_a_liner_settles_both_orphans(raised):
    leaving = {"home.site.chimney_other_leaves": True, "home.site.chimney_liner": True}
    assert "vent-orphaned" not in raised("gas-tank-40", leaving)
    staying = {"existing.energy_source": "natural_gas", "home.site.chimney_shared": True,
               "home.site.chimney_liner": True}  # fmt: skip
    assert "vent-left-behind" not in raised("heat-pump-50", staying)


def test_an_electric_house_leaves_nobody_behind(raised):
    changes = {"home.site.chimney_shared": True, "home.site.chimney_liner": False}
    assert "vent-left-behind" not in raised("heat-pump-50", changes)


def test_the_large_heater_of_a_new_code_is_sent_to_its_instructions(raised):
    assert "vent-terminal-instructions" in raised("gas-tankless-199")
    older = {"home.site.code_year": 2015}
    assert "vent-terminal-instructions" not in raised("gas-tankless-199", older)
    assert "vent-terminal-instructions" not in raised("gas-tankless-120")


def test_draft_is_tested_only_where_a_chimney_draws(raised):
    failed = {"home.site.draft_test": "fail"}
    assert "vent-draft-test" in raised("oil-tank-30", failed)
    assert "vent-draft-test" not in raised("gas-direct-vent-40", failed)


def test_altitude_shows_both_readings(house):
    found = next(c for c in house("gas-tank-40", elevation_m=1524.0).cautions if c.id == "altitude")
    assert "20" in found.message
    assert "12%" in found.trade_message


def test_a_chimney_whose_lining_nobody_saw_is_asked_about_and_not_priced(house, asked):
    unseen = {"home.vent": "masonry_chimney", "home.site.chimney_liner": False,
              "home.site.chimney_tile": ...}  # fmt: skip

    assert "home.site.chimney_tile" in asked("gas-tank-40", unseen)
    assert "chimney_liner" not in {
        remedy for c in house("gas-tank-40", unseen).cautions for remedy in c.remedy_ids
    }


def test_a_direct_vent_over_a_walk_is_left_to_local_rules_in_the_united_states(raised):
    assert "vent-terminal" not in raised(
        "gas-direct-vent-40", {"home.site.terminal_above_walkway": "6 ft"}
    )


@pytest.mark.parametrize("vent", ["plastic_vent", "stainless_vent"])
@pytest.mark.parametrize("heater", ["gas-power-vent-50", "gas-condensing-50"])
def test_a_sealed_vent_serves_again_only_if_the_instructions_name_it(house, asked, vent, heater):
    def remedies(named):
        changes = {"home.vent": vent, "home.site.vent_named": named}
        return {r for c in house(heater, changes).cautions for r in c.remedy_ids}

    assert "new_vent" not in remedies(True)
    assert "new_vent" in remedies(False)
    assert "new_vent" not in remedies(...)
    assert "home.site.vent_named" in asked(heater, {"home.vent": vent, "home.site.vent_named": ...})


def test_an_unknown_height_above_a_window_is_asked_and_never_counts_as_enough(raised, asked):
    near = {"home.site.terminal_to_window": "24 inch"}
    assert "vent-terminal" in raised("gas-power-vent-50", near)
    assert "home.site.terminal_above_window" in asked("gas-power-vent-50", near)
    assert "home.site.terminal_above_window" not in asked("gas-direct-vent-40", near)


def test_only_an_air_inlet_may_be_passed_by_height(house):
    low = {"home.site.terminal_above_grade": "6 inch"}
    found = next(c for c in house("gas-direct-vent-40", low).cautions if c.id == "vent-terminal")
    assert "above it" not in found.trade_message


@pytest.mark.parametrize("heater", ["heat-pump-50", "gas-tankless-199", "gas-direct-vent-40"])
def test_who_stays_on_a_chimney_that_spills_is_not_forgotten(raised, asked, heater):
    stays = {"existing.energy_source": "natural_gas", "home.site.chimney_shared": True}
    assert "vent-draft-test-left" in raised(heater, stays | {"home.site.draft_test": "fail"})
    assert "home.site.draft_test" in asked(heater, stays | {"home.site.draft_test": ...})
    assert "vent-left-behind-lined" in raised(heater, stays)  # a liner chosen for two


@pytest.mark.parametrize(
    ("area", "hood", "small"),
    [
        ("7 in2", "4 inch", True), ("12.5 in2", "4 inch", True), ("12.6 in2", "4 inch", False)
    ],  # pi/4 x 4² = 12.57 in2
)  # fmt: skip
def test_a_flue_narrower_than_the_outlet(raised, area, hood, small):
    changes = {"home.site.flue_area": area, "home.site.draft_hood": hood}
    assert ("vent-undersized" in raised("gas-tank-75", changes)) is small


def test_a_size_of_nothing_is_not_a_measurement(asked):
    nothing = {"home.site.flue_area": "0 in2", "home.site.draft_hood": "0 inch"}
    assert {"home.site.flue_area", "home.site.draft_hood"} <= asked("gas-tank-40", nothing)


def test_a_lined_chimney_without_liner_or_tile_is_believed_to_be_bare(raised):
    bare = {"home.site.chimney_liner": False, "home.site.chimney_tile": False}
    assert "vent-unlined" in raised("gas-tank-40", bare)


def test_oil_burns_through_its_own_kit(house, asked):
    steel = {"home.vent": "stainless_vent", "home.site.vent_named": ...}
    assert "home.site.vent_named" in asked("oil-tank-30-direct-vent", steel)
    bare = house("oil-tank-30-direct-vent", {"home.vent": "none"})
    found = next(c for c in bare.cautions if c.id == "vent-kind")
    assert "III" not in found.trade_message
    assert "kit for oil" in found.message


def test_a_double_wall_vent_is_resized_and_not_lined(house):
    alone = {"home.vent": "b_vent", "home.site.chimney_other_leaves": True,
             "home.site.chimney_liner": ...}  # fmt: skip
    found = next(c for c in house("gas-tank-40", alone).cautions if c.id == "vent-orphaned")
    assert found.remedy_ids == ("new_vent",)


def test_above_its_band_canada_is_told_that_it_is_an_estimate(house):
    def told(elevation):
        changes = {"place.climate": "Calgary, AB", "place.elevation": elevation}
        report = house("gas-tank-40", changes)
        return next(c for c in report.cautions if c.id == "altitude").trade_message

    assert "authority decides" in told("1500 m")
    assert "band of 10 %" in told("1300 m")


def test_an_appliance_that_leaves_too_is_left_alone_by_nobody(raised, asked):
    both = {"existing.energy_source": "natural_gas", "home.site.chimney_shared": True,
            "home.site.chimney_liner": False, "home.site.draft_test": "fail"}  # fmt: skip
    gone = raised("electric-tank-50", both | {"home.site.chimney_other_leaves": True})
    assert not gone & {"vent-left-behind", "vent-draft-test-left", "vent-left-behind-lined"}
    unsaid = both | {"home.site.chimney_other_leaves": ...}
    assert "vent-left-behind" in raised("electric-tank-50", unsaid)
    assert "home.site.chimney_other_leaves" in asked("electric-tank-50", unsaid)


def test_two_vents_are_two_lines_of_the_price(house):
    shared = {"existing.energy_source": "natural_gas", "home.vent": "b_vent",
              "home.site.chimney_shared": True, "home.site.chimney_liner": False}  # fmt: skip
    report = house("gas-power-vent-50", shared)
    assert {"new_vent", "vent_resize"} <= set(remedies({"x": report.cautions})["x"])


@pytest.mark.parametrize(
    ("area", "small"),
    # 3 in and 4 in outlets: 12.57 + 7.07 / 2 = 16.10 in2
    [("16.0 in2", True), ("16.2 in2", False)],
)
def test_a_flue_for_two_holds_the_larger_outlet_and_half_the_smaller(raised, asked, area, small):
    two = {"home.site.chimney_shared": True, "home.site.draft_hood": "3 inch",
           "home.site.other_outlet": "4 inch", "home.site.flue_area": area}  # fmt: skip
    assert ("vent-undersized" in raised("gas-tank-40", two)) is small
    assert "home.site.other_outlet" in asked("gas-tank-40", two | {"home.site.other_outlet": ...})
