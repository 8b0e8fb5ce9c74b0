"""Emissions of a year and of the study, with and without what can be switched on."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from heatersel.cost.emissions import (
    RefrigerantLeak,
    co2_kg_by_year,
    co2_kg_per_year,
    emission_factors,
    methane_kg_co2e_per_kwh,
    refrigerant_leak,
)
from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.emission_table import EmissionChoices

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY


def test_no_energy_makes_no_emissions() -> None:
    assert co2_kg_per_year({GAS: 0.0, POWER: 0.0}, emission_factors("MN")) == 0.0


def test_sources_add_up() -> None:
    factors = emission_factors("ON")

    both = co2_kg_per_year({GAS: 1000.0, POWER: 500.0}, factors)

    assert both == pytest.approx(1000 * factors.kg_per_kwh[GAS] + 500 * factors.kg_per_kwh[POWER])
    assert "inventory" in factors.basis


def test_a_cleaner_grid_lowers_electricity_alone() -> None:
    factors = emission_factors("MN", EmissionChoices(grid_decline=0.1))
    power = co2_kg_by_year({POWER: 1000.0}, factors, 3)
    gas = co2_kg_by_year({GAS: 1000.0}, factors, 3)

    assert power[1] == pytest.approx(0.9 * power[0])
    assert power[2] == pytest.approx(0.81 * power[0])
    assert gas[0] == gas[2]


def test_a_marginal_rate_replaces_the_average_and_says_so() -> None:
    factors = emission_factors("MN", EmissionChoices.model_validate({"marginal": "700 g/kWh"}))

    assert factors.kg_per_kwh[POWER] == pytest.approx(0.7)
    assert "marginal" in factors.basis


def test_methane_is_left_out_unless_switched_on() -> None:
    plain = emission_factors("MN")
    leaking = emission_factors("MN", EmissionChoices(methane_leakage=0.015))

    assert plain.switches == ()
    assert "1.5%" in leaking.switches[0]
    assert leaking.kg_per_kwh[GAS] > plain.kg_per_kwh[GAS]
    assert leaking.kg_per_kwh[POWER] == plain.kg_per_kwh[POWER]


def test_methane_counts_more_over_20_years() -> None:
    assert methane_kg_co2e_per_kwh(0.01, 20) > 2 * methane_kg_co2e_per_kwh(0.01, 100)
    with pytest.raises(UnknownChoiceError, match="methane_horizon_years is 50; allowed: 20 or 100"):
        methane_kg_co2e_per_kwh(0.01, 50)


def test_refrigerant_is_left_out_unless_switched_on(
    heat_pump: Callable[..., Heater], gas_tank: Callable[..., Heater]
) -> None:
    off, on = (
        emission_factors("MN"),
        emission_factors("MN", EmissionChoices(refrigerant_leakage=True)),
    )

    assert refrigerant_leak(heat_pump(), off, 13.0) is None
    assert refrigerant_leak(gas_tank(), on, 13.0) is None
    assert refrigerant_leak(heat_pump(refrigerant="unheard of"), on, 13.0) is None
    leak = refrigerant_leak(heat_pump(units=2), on, 13.0)
    assert leak is not None
    assert leak.charge_kg == pytest.approx(1.8)


@pytest.mark.parametrize(
    ("life", "scrapped_in"), [(15.0, ()), (3.0, (2,)), (2.0, (1,)), (1.5, (1, 2))]
)
def test_refrigerant_leaks_each_year_and_half_of_the_rest_with_each_scrapped_unit(
    life: float, scrapped_in: tuple[int, ...]
) -> None:
    leak = RefrigerantLeak(charge_kg=1.0, warming=1430.0, life_years=life)

    years = co2_kg_by_year({}, emission_factors("MN"), 3, leak)

    left = 1430.0 * (1.0 - 0.02 * life)
    assert years == pytest.approx([28.6 + 0.5 * left * (k in scrapped_in) for k in range(3)])


def test_how_it_is_counted_is_said() -> None:
    plain = emission_factors("MN")
    told = emission_factors("MN", EmissionChoices(refrigerant_leakage=True, grid_decline=0.02))

    assert "eGRID2022" in plain.sentence
    assert "methane before the meter and of refrigerant are not counted" in plain.sentence
    assert "falling by 2 % a year; refrigerant: 2 %" in told.sentence
    assert told.as_dict()["switches"] == {"methane_leakage": False, "refrigerant_leakage": True}
    assert told.as_dict()["edition"] == "eGRID2022"


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(UnknownChoiceError, match="region is ZZ"):
        emission_factors("ZZ")
    with pytest.raises(OutOfRangeError, match="per_year_frac is 2"):
        RefrigerantLeak(charge_kg=1.0, warming=1.0, life_years=13.0, per_year_frac=2)
