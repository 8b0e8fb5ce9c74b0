"""Gas pipe, meter and flexible tube."""

from __future__ import annotations

import pytest

from heatersel.errors import InputError

TREE = {
    "segments": [
        {"name": "trunk", "size": "1 in", "length": "20 ft"},
        {"name": "furnace", "after": "trunk", "size": "3/4 in", "length": "10 ft",
         "load": "80000 Btu/h"},
        {"name": "heater", "after": "trunk", "size": "1/2 in", "length": "20 ft",
         "feeds_heater": True},
    ]
}  # fmt: skip


def test_the_failing_segment_and_its_size_are_named(house):
    report = house("gas-tankless-199", {"home.gas_pipe": TREE})
    found = next(c for c in report.cautions if c.id == "gas-pipe")
    assert "heater (1/2 in)" in found.trade_message
    assert "trunk" not in found.trade_message
    assert "needs 1 in" in found.trade_message
    assert found.remedy_ids == ("gas_line_upsize",)


def test_a_tank_on_the_same_tree_fits(raised):
    assert "gas-pipe" not in raised("gas-tank-40", {"home.gas_pipe": TREE})


def test_a_measured_tree_leaves_the_single_run_unasked(asked):
    assert not {f for f in asked("gas-tank-40", {"home.gas_pipe": TREE}) if "gas_pipe.size" in f}


def test_flexible_tube_for_natural_gas_is_asked_of_the_maker(asked, raised):
    changes = {"home.gas_pipe": {"size": "EHD 23", "length": "20 ft", "material": "csst"}}
    assert "home.gas_pipe.listed_capacity" in asked("gas-tank-40", changes)
    assert "gas-pipe" not in raised("gas-tank-40", changes)
    for listed, short in (("75000 Btu/h", True), ("80000 Btu/h", False)):  # with 40 000 beside it
        changes["home.gas_pipe"]["listed_capacity"] = listed
        assert ("gas-pipe" in raised("gas-tank-40", changes)) is short
        assert "home.gas_pipe.listed_capacity" not in asked("gas-tank-40", changes)
    assert "gas-flexible-tube-bond" in raised("gas-tank-40", changes)


def test_flexible_tube_for_propane_is_judged_by_the_table(raised):
    changes = {"home.gas_pipe": {"size": "EHD 15", "length": "20 ft", "material": "csst",
                                 "dedicated": True}}  # fmt: skip
    assert "gas-pipe" in raised("propane-tankless-199", changes)
    # EHD 31 carries 430 thousand Btu/h or more over 20 ft (2018 IRC G2413.4(16), seen)
    changes["home.gas_pipe"]["size"] = "EHD 31"
    assert "gas-pipe" not in raised("propane-tankless-199", changes)


def test_a_gas_that_is_not_here_has_no_pipe_to_judge(asked):
    changes = {"home.fuels": ["electricity"], "home.gas_pipe": ...}
    assert asked("gas-tank-40", changes) == set()


@pytest.mark.parametrize(
    ("heater", "word"), [("gas-tankless-199", "regulator"), ("propane-tankless-199", "tank's rate")]
)
def test_supplier_is_asked_about_a_large_rise(house, heater, word):
    report = house(heater, {"home.gas_pipe.meter_capacity": ...})
    found = next(c for c in report.cautions if c.id == "gas-meter-unknown")
    assert word in found.trade_message


def test_canadian_pipe_is_an_estimate_that_its_tables_decide(house):
    changes = {"place.climate": "Toronto, ON", "home.gas_pipe.size": "1/2 in"}
    found = next(c for c in house("gas-tankless-199", changes).cautions
                 if c.id == "gas-pipe-canada")  # fmt: skip
    assert "CSA B149.1 decide" in found.trade_message


def test_two_pounds_of_gas_is_not_judged_by_the_low_pressure_equation(house):
    # NFPA 54 and IFGC 402.4: the low-pressure equation holds below 1.5 psi (seen)
    small = {"home.gas_pipe.size": "1/2 in", "home.gas_pipe.supply": "2 psi"}
    found = {c.id: c for c in house("gas-tankless-199", small).cautions}

    assert "gas-pipe" not in found
    assert "tables for that pressure" in found["gas-pressure"].trade_message


@pytest.mark.parametrize(
    "existing", [{"energy_source": "natural_gas", "input": "40000 Btu/h"}, ...]
)
@pytest.mark.parametrize(
    "field", ["home.gas_pipe.supply", "home.gas_pipe.meter_capacity", "home.other_gas_input"]
)
def test_even_a_like_replacement_asks_what_nobody_measured(asked, existing, field):
    changes = {"existing": existing, field: ..., "home.gas_pipe.dedicated": True}
    assert field in asked("gas-tank-40", changes)


def test_a_tree_that_names_fewer_loads_than_the_house_is_doubted(raised, asked):
    # the meter is judged by the larger of both figures
    tree = {"meter_capacity": "200000 Btu/h", "supply": "7 inWC",
            "segments": [{"name": "run", "size": "1/2 in", "length": "40 ft",
                          "feeds_heater": True}]}  # fmt: skip
    changes = {"home.gas_pipe": tree, "home.other_gas_input": "250000 Btu/h"}
    assert "gas-meter" in raised("gas-tank-40", changes)
    assert "home.other_gas_input" in asked("gas-tank-40", changes)


def test_an_unstated_material_is_asked_for(asked):
    changes = {"home.gas_pipe.material": ...}
    assert "home.gas_pipe.material" in asked("gas-tank-40", changes)


def test_a_size_of_flexible_tube_is_no_steel_pipe(job_of):
    with pytest.raises(InputError, match=r"csst, since EHD 13"):
        job_of({"home.gas_pipe": {"size": "EHD 13", "length": "20 ft"}})
