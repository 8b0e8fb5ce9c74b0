"""Lines of an installation, and that the demo tables hold together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from heatersel import reference
from heatersel.cautions.remedies import REMEDIES
from heatersel.cost.installed import (
    PresentHeater,
    descaling_price,
    installed_cost,
    maintenance_per_year,
    replacement_cost,
    total,
    upkeep,
    work_for_change,
)
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.simulation.hard_water import descaling_interval_months

MakeHeater = Callable[..., Heater]
ON_GAS = PresentHeater(energy_source=EnergySource.NATURAL_GAS)


def test_a_like_for_like_change_needs_no_further_work(gas_tank: MakeHeater) -> None:
    present = PresentHeater(energy_source=EnergySource.NATURAL_GAS, vent_type=VentType.DRAFT_HOOD)
    lines = installed_cost(gas_tank(), present=present)

    assert [line.id for line in lines] == ["heater", "labour", "fittings", "permit", "disposal"]
    assert replacement_cost(lines) == total(lines)


def test_the_lines_add_up_and_one_off_work_is_not_repeated(heat_pump: MakeHeater) -> None:
    lines = installed_cost(heat_pump(), present=ON_GAS,
                           remedies=("panel_upgrade",))  # fmt: skip
    once = {line.id for line in lines if not line.repeats}

    assert total(lines) == pytest.approx(sum(line.amount for line in lines))
    assert once == {"cap_gas_line", "new_circuit_240v", "condensate_drain", "panel_upgrade"}
    assert replacement_cost(lines) == pytest.approx(
        total(lines) - sum(line.amount for line in lines if line.id in once)
    )


def test_work_that_two_reasons_call_for_is_charged_once(heat_pump: MakeHeater) -> None:
    lines = installed_cost(heat_pump(), present=ON_GAS,
                           remedies=("new_circuit_240v", "condensate_drain"))  # fmt: skip

    assert len({line.id for line in lines}) == len(lines)


def test_what_is_not_known_of_the_present_heater_adds_no_work(heat_pump: MakeHeater) -> None:
    assert work_for_change(heat_pump(), PresentHeater()) == ("condensate_drain",)


@pytest.mark.parametrize(
    ("changes", "source", "vent", "work"),
    [
        ({"vent_type": VentType.POWER_VENT}, EnergySource.NATURAL_GAS, VentType.DRAFT_HOOD,
         ("new_vent",)),
        ({}, EnergySource.ELECTRICITY, None, ("new_gas_line", "new_vent")),
        ({"heater_class": HeaterClass.CONDENSING_STORAGE}, None, None, ("condensate_drain",)),
    ],
)  # fmt: skip
def test_a_change_of_fuel_or_vent_brings_its_work(
    gas_tank: MakeHeater, changes: dict[str, object], source: EnergySource | None,
    vent: VentType | None, work: tuple[str, ...],
) -> None:  # fmt: skip
    present = PresentHeater(energy_source=source, vent_type=vent)
    assert work_for_change(gas_tank(**changes), present) == work


@pytest.mark.parametrize(
    ("kind", "source", "runs"),
    [(Kind.STORAGE, EnergySource.ELECTRICITY, True), (Kind.TANKLESS, EnergySource.PROPANE, True),
     (Kind.TANKLESS, EnergySource.ELECTRICITY, False), (None, None, False)],
)  # fmt: skip
def test_an_electric_tankless_heater_gets_heavy_circuits_unless_its_like_has_them(
    electric_tank: MakeHeater, kind: Kind | None, source: EnergySource | None, runs: bool
) -> None:
    tankless = electric_tank(heater_class=HeaterClass.TANKLESS_ELECTRIC)
    work = work_for_change(tankless, PresentHeater(kind=kind, energy_source=source))

    assert ("tankless_electric_circuits" in work) is runs


@pytest.mark.parametrize(
    ("heater_class", "known", "line"),
    [(HeaterClass.HEAT_PUMP_240V, "has_circuit_240v", "new_circuit_240v"),
     (HeaterClass.HEAT_PUMP_120V, "has_outlet_120v", "outlet_120v")],
)  # fmt: skip
def test_power_that_is_there_already_is_not_charged(
    heat_pump: MakeHeater, heater_class: HeaterClass, known: str, line: str
) -> None:
    heater = heat_pump(heater_class=heater_class)
    there = replace(ON_GAS, **{known: True})

    assert line in work_for_change(heater, ON_GAS)
    assert line not in work_for_change(heater, there)


def test_two_units_cost_twice_the_base_and_a_larger_one_costs_more(gas_tank: MakeHeater) -> None:
    one, two = installed_cost(gas_tank()), installed_cost(gas_tank(units=2))
    large = installed_cost(gas_tank(volume_l=300.0))

    assert total(two) > 1.5 * total(one)
    assert large[0].amount > one[0].amount


def test_each_unit_in_parallel_takes_its_own_vent(gas_tank: MakeHeater) -> None:
    alone, pair = (
        {line.id: line for line in installed_cost(gas_tank(units=n), remedies=("new_vent",))}
        for n in (1, 2)
    )

    assert pair["new_vent"].amount == 2 * alone["new_vent"].amount
    assert pair["new_vent"].text == f"2 x {alone['new_vent'].text}"
    assert pair["permit"].amount == alone["permit"].amount


def test_each_shower_and_bath_takes_its_own_valve(gas_tank: MakeHeater) -> None:
    one, three = (
        installed_cost(gas_tank(), remedies=("point_of_use_valve",), bathing_fixtures=n)[-1]
        for n in (1, 3)
    )

    assert three.amount == 3 * one.amount


def test_ducts_for_a_heat_pump_make_a_louvred_door_needless(heat_pump: MakeHeater) -> None:
    lines = installed_cost(heat_pump(), remedies=("makeup_air", "heat_pump_duct"))
    ids = [line.id for line in lines]

    assert "heat_pump_duct" in ids
    assert "makeup_air" not in ids


def test_canadian_prices_are_their_own_table(gas_tank: MakeHeater) -> None:
    assert total(installed_cost(gas_tank(), currency="CAD")) > total(installed_cost(gas_tank()))


def test_another_currency_is_refused(gas_tank: MakeHeater) -> None:
    with pytest.raises(UnknownChoiceError, match="currency is EUR; allowed: USD or CAD"):
        installed_cost(gas_tank(), currency="EUR")


@pytest.mark.parametrize("heater_class", HeaterClass)
@pytest.mark.parametrize("currency", ["USD", "CAD"])
def test_every_class_has_a_price_a_life_and_a_source(
    gas_tank: MakeHeater, heater_class: HeaterClass, currency: str
) -> None:
    heater = gas_tank(heater_class=heater_class)

    assert total(installed_cost(heater, currency=currency)) > 500
    found = upkeep(heater_class, currency)
    assert 5 < found.life_years < 30
    assert found.maintenance_per_year > 0
    assert found.life_source


def test_hard_water_costs_a_tankless_heater_what_it_asks_for(gas_tank: MakeHeater) -> None:
    heater = gas_tank(heater_class=HeaterClass.TANKLESS_NON_CONDENSING)
    keeping = upkeep(heater.heater_class)
    rest = keeping.maintenance_per_year - keeping.descalings_per_year * descaling_price()

    assert maintenance_per_year(heater) == keeping.maintenance_per_year
    assert maintenance_per_year(heater, descaling_months=12.0) == rest + descaling_price()
    assert maintenance_per_year(heater, descaling_months=4.0) == rest + 3.0 * descaling_price()


def test_two_heaters_in_parallel_are_kept_up_twice(gas_tank: MakeHeater) -> None:
    one = gas_tank(heater_class=HeaterClass.TANKLESS_CONDENSING)
    two = replace(one, units=2)

    assert maintenance_per_year(two, "CAD", 6.0) == 2.0 * maintenance_per_year(one, "CAD", 6.0)


@pytest.mark.parametrize("heater_class", HeaterClass)
@pytest.mark.parametrize("currency", ["USD", "CAD"])
def test_no_water_is_so_soft_that_upkeep_is_less_than_nothing(
    gas_tank: MakeHeater, heater_class: HeaterClass, currency: str
) -> None:
    softest = descaling_interval_months(0.0, 100.0, 49.0)

    assert maintenance_per_year(gas_tank(heater_class=heater_class), currency, softest) >= 0.0


def test_both_countries_price_the_same_work() -> None:
    us, canada = (
        [
            (row["id"], row["text"], row["repeats"], row["includes"])
            for row in reference.records(f"costs/adders_{country}", {})
        ]
        for country in ("us", "canada")
    )

    assert us == canada


@pytest.mark.parametrize("place", ["us", "canada"])
def test_every_remedy_that_a_caution_names_has_a_price(place: str) -> None:
    priced = {row["id"] for row in reference.records(f"costs/adders_{place}", {})}

    assert set(REMEDIES) <= priced


def test_work_that_other_work_includes_is_not_charged(heat_pump: MakeHeater) -> None:
    lines = installed_cost(heat_pump(), remedies=("condensate_pump", "subpanel", "panel_upgrade"))
    ids = {line.id for line in lines}

    assert {"condensate_pump", "panel_upgrade"} <= ids
    assert ids.isdisjoint({"condensate_drain", "subpanel"})


def test_invented_prices_say_that_they_are() -> None:
    for name in ("installed_us", "installed_canada", "adders_us", "adders_canada"):
        assert reference.sidecar(f"costs/{name}")["status"] == "invented"
