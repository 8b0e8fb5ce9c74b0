"""Which vent serves, who is left behind, and where it may end."""

from __future__ import annotations

import pytest


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
