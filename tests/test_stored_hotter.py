"""Electric tanks in Canada are sized, simulated and priced as hot as the rules have them stored."""

from __future__ import annotations

import tomllib
from functools import cache

import pytest

from heatersel.api import Method, compare, morning
from heatersel.chain import VALVE_C, house_of, house_year
from heatersel.comparison import Comparison, Option
from heatersel.explain import explain
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.job.load import parse_job
from heatersel.reference import dataset_path
from heatersel.sized_job import size_job

ELECTRIC = ("electric-tank-50", "heat-pump-80")
OTHERS = ("gas-tank-50", "electric-tankless-27")
FEW = HeaterList(
    heaters=tuple(heater_by_id(load_heaters().heaters, id_) for id_ in ELECTRIC + OTHERS)
)


@cache
def compared(
    setpoint: str, valve: bool, method: Method = Method.SIMULATION, climate: str = "Toronto, ON"
) -> Comparison:
    text = dataset_path("jobs/town-house-ca.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    tables["preferences"] |= {"setpoint": setpoint, "tempering_valve": valve}
    tables["place"]["climate"] = climate
    tables["home"]["fuels"] = ["electricity", "natural_gas"]
    tables["home"]["site"] = tables["home"].get("site", {}) | {"tempering_valve": valve}
    return compare(parse_job(tables), FEW, method=method, n_years=1)


def option(found: Comparison, id_: str) -> Option:
    return next(o for o in found.options if o.heater.id.startswith(id_))


@pytest.mark.parametrize("method", Method)
@pytest.mark.parametrize("id_", ELECTRIC)
def test_a_cooler_wish_changes_nothing_that_the_rules_decide(id_: str, method: Method) -> None:
    # NPC 2.6.1.12 and Ontario Building Code 9.31.6.1 (number from memory): at least 60 degC
    wished, ruled = (option(compared(*at, method), id_)
                     for at in (("49 degC", False), ("60 degC", True)))  # fmt: skip

    assert wished.setpoint_c == 60.0
    assert wished.annual.energy_kwh == ruled.annual.energy_kwh
    assert wished.sizing == ruled.sizing
    assert wished.cost.energy_per_year == ruled.cost.energy_per_year
    assert "growth-electric-canada" in {c.id for c in wished.cautions}
    assert {c.id for c in wished.cautions} >= {c.id for c in ruled.cautions} - {
        "tempering-valve-planned"
    }


@pytest.mark.parametrize("id_", OTHERS)
def test_other_heaters_keep_the_setpoint_of_the_job(id_: str) -> None:
    assert option(compared("49 degC", False), id_).setpoint_c == 49.0


def test_the_united_states_rule_nothing_more() -> None:
    found = compared("49 degC", False, Method.BALANCE, "Duluth, MN")

    assert {o.setpoint_c for o in found.options} == {49.0}


def test_the_heater_that_stands_there_stays_as_it_is_set() -> None:
    found = compared("49 degC", False)

    assert found.existing is not None
    assert found.existing.setpoint_c == 49.0


def test_the_working_says_what_is_needed_of_the_hotter_tank() -> None:
    found = compared("49 degC", False)
    chosen = option(found, "heat-pump-80")
    extra = [step for step in explain(found, chosen.id) if "mixed down" in step.name]

    assert [step.value for step in extra] == [chosen.sizing.required]
    assert extra[0].value < found.demand.peak_hour_hot_water_l
    assert not [s for s in explain(compared("60 degC", True), chosen.id) if "mixed down" in s.name]


def test_a_morning_is_that_of_the_hotter_tank() -> None:
    wished, ruled = (compared(*at) for at in (("49 degC", False), ("60 degC", True)))
    heaters = [option(wished, id_).heater for id_ in ELECTRIC]

    one, other = (morning(found.job, heaters) for found in (wished, ruled))

    assert [m.heater_id for m in one] == list(ELECTRIC)
    for at_49, at_60 in zip(one, other, strict=True):
        assert at_49.input_kw.tolist() == at_60.input_kw.tolist()


def test_a_loop_behind_the_valve_is_as_warm_as_the_valve_lets_it() -> None:
    text = dataset_path("jobs/town-house-ca.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    tables["home"]["hot_pipe"] = {"length": "60 ft", "loop_pump": "continuous"}
    hot = house_year(house_of(size_job(parse_job(tables), FEW)), 1)
    tables["preferences"] |= {"setpoint": "120 degF", "tempering_valve": False}
    mild = house_year(house_of(size_job(parse_job(tables), FEW)), 1)

    assert (hot.setpoint_c, mild.setpoint_c) == (60.0, pytest.approx(VALVE_C))
    assert hot.loop is not None
    assert mild.loop is not None
    assert hot.loop.loss_kwh == pytest.approx(mild.loop.loss_kwh, rel=1e-6)
    assert hot.loop.return_c == pytest.approx(mild.loop.return_c)
    # added to a hotter tank's loss, it comes to the same heat
    room_c = hot.air.air.mean_c
    for year in (hot, mild):
        assert year.loop is not None
        lost_kwh = 0.024 * year.loop.mean_loss_w_per_k * (year.setpoint_c - room_c).sum()
        assert lost_kwh == pytest.approx(year.loop.loss_kwh)


def test_a_house_charged_for_240_volts_is_sized_with_them() -> None:
    def available(volts: int) -> float:
        text = dataset_path("jobs/warm-bungalow.toml").read_text(encoding="utf-8")
        tables = tomllib.loads(text)
        tables["home"].setdefault("panel", {})["line_voltage"] = volts
        sized = size_job(parse_job(tables), FEW)
        return next(o for o in sized.options if o.heater.id == "electric-tank-50").sizing.available

    assert available(120) == available(240)
    assert available(208) < available(240)
