"""Daily hot water from synthetic bills of an invented household."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from heatersel.climate import climate
from heatersel.demand.bills import (
    BillsResult,
    HeaterInUse,
    hot_water_from_bills,
    other_use_kwh_per_year,
    typical_heater_in_use,
)
from heatersel.demand.inlet import mains_correlation_c
from heatersel.heaters.heater import EnergySource
from heatersel.job.bills import Bills
from heatersel.water import heat_kwh

HERE = climate("Duluth, MN")
AIR_C = np.array(HERE.monthly_air_c)
INLET_C = mains_correlation_c(HERE.monthly_air_c)
DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
SETPOINT_C = 51.667


def by_month(daily: np.ndarray) -> np.ndarray:
    return np.array([part.mean() for part in np.split(daily, np.cumsum(DAYS)[:-1])])


GAS = HeaterInUse(recovery_efficiency=0.77, standby_kwh_per_day=3.5, basis="as made up")
STOVE_KWH = (22.6 + 2.7 * 3) * 29.30711


def synthetic(
    litres: float,
    heating_kwh_per_k: float = 3.2,
    other_kwh_per_day: float = STOVE_KWH / 365,
    heater: HeaterInUse = GAS,
) -> np.ndarray:
    """Use per day of each month: hot water by its own inlet, standby, other, heating below 15."""
    hot = heat_kwh(np.full(12, litres), by_month(INLET_C), np.full(12, SETPOINT_C))
    heating = heating_kwh_per_k * np.maximum(15.0 - AIR_C, 0.0)
    return (
        hot / heater.recovery_efficiency + heater.standby_kwh_per_day + other_kwh_per_day + heating
    )


def read(
    use_per_day: np.ndarray, n_people: int = 4, people_l: np.ndarray | None = None, **more: Any
) -> BillsResult:
    monthly = [f"{use * days:.3f} kWh" for use, days in zip(use_per_day, DAYS, strict=True)]
    given = {"fuel": "natural_gas", "monthly": monthly, "also_runs": ["stove"]} | more
    return hot_water_from_bills(
        Bills.model_validate(given),
        monthly_air_c=HERE.monthly_air_c,
        daily_inlet_c=INLET_C,
        setpoint_c=SETPOINT_C,
        n_people=n_people,
        n_bedrooms=3,
        occupants_by_day_l=np.full(365, 280.0) if people_l is None else people_l,
        heater=GAS if given["fuel"] == "natural_gas" else None,
    )


@pytest.mark.parametrize("litres", [120.0, 200.0, 260.0, 400.0])
def test_clean_bills_give_the_household_back(litres: float) -> None:
    """Within 2 %: the seasonal swing of hot water itself is taken for heating."""
    result = read(synthetic(litres))

    assert result.accepted, result.reason
    assert result.daily_hot_water_l == pytest.approx(litres, rel=0.02)
    assert result.low_l < litres < result.high_l
    assert result.volume_factor == pytest.approx(litres / 280.0, rel=0.02)


def test_noisy_bills_hold_the_household_within_their_interval() -> None:
    rng = np.random.default_rng(4)
    inside, accepted = 0, 0
    for _ in range(60):
        result = read(synthetic(260.0) + 2.0 * rng.standard_normal(12))
        accepted += result.accepted
        inside += result.low_l <= 260.0 <= result.high_l

    assert accepted >= 57
    assert inside >= 54


def test_deliveries_of_propane_give_the_household_back() -> None:
    """Eleven fills in two years, some after a spring, some after a summer; 300 L a day within 10 %.

    With the mean temperature of each span in place of its days it would be 423 L.
    """
    here = climate("Helena, MT")
    inlet_c = mains_correlation_c(here.monthly_air_c)
    fills = [date(2022, 10, 1), date(2022, 12, 1), date(2023, 1, 10), date(2023, 2, 20),
             date(2023, 4, 15), date(2023, 8, 15), date(2023, 11, 20), date(2024, 1, 5),
             date(2024, 2, 10), date(2024, 4, 1), date(2024, 7, 20), date(2024, 10, 20),
    ]  # fmt: skip

    def burnt_kwh(day: date) -> float:
        place = min(day.timetuple().tm_yday - 1, 364)
        hot = heat_kwh(300.0, float(inlet_c[place]), SETPOINT_C) / GAS.recovery_efficiency
        return hot + 3.5 + 4.0 * max(15.0 - here.monthly_air_c[day.month - 1], 0.0)

    amounts = [
        sum(burnt_kwh(before + timedelta(days=i)) for i in range((fill - before).days))
        for before, fill in pairwise(fills)
    ]
    given = [{"on": fills[0], "amount": "150 gal"}] + [
        {"on": fill, "amount": f"{kwh:.1f} kWh"}
        for fill, kwh in zip(fills[1:], amounts, strict=True)
    ]
    result = hot_water_from_bills(
        Bills.model_validate({"fuel": "propane", "deliveries": given}),
        monthly_air_c=here.monthly_air_c, daily_inlet_c=inlet_c, setpoint_c=SETPOINT_C,
        n_people=4, n_bedrooms=3, occupants_by_day_l=np.full(365, 280.0), heater=GAS,
    )  # fmt: skip

    assert result.accepted, result.reason
    assert result.daily_hot_water_l == pytest.approx(300.0, rel=0.1)
    assert result.low_l < 300.0 < result.high_l


def test_weeks_away_in_summer_do_not_make_the_household_small() -> None:
    """Three weeks of July and August without anybody, in the bills and in the people's figure."""
    at_home = np.ones(365)
    at_home[202:223] = 0.0
    hot_kwh = by_month(at_home * heat_kwh(np.full(365, 260.0), INLET_C, np.full(365, SETPOINT_C)))
    result = read(synthetic(0.0) + hot_kwh / GAS.recovery_efficiency, people_l=280.0 * at_home)

    assert result.accepted, result.reason
    assert result.volume_factor == pytest.approx(260.0 / 280.0, rel=0.03)
    assert result.occupants_l == pytest.approx(280.0 * at_home.mean())


def test_the_hot_waters_share_of_the_base_load() -> None:
    """An invented household of 200 L a day: two thirds hot water, a fifth standby, the rest stove.

    The parts are what went in: heat of the warm months over the heater's efficiency.
    """
    result = read(synthetic(200.0))
    base = result.base_kwh_per_day
    hot_kwh = base - result.standby_kwh_per_day - result.other_kwh_per_day
    warm_c = float(by_month(INLET_C)[AIR_C > 15.0].mean())

    assert hot_kwh == pytest.approx(
        heat_kwh(200.0, warm_c, SETPOINT_C) / GAS.recovery_efficiency, rel=0.02
    )
    assert hot_kwh / base == pytest.approx(0.67, abs=0.02)
    assert result.standby_kwh_per_day / base == pytest.approx(0.19, abs=0.02)


def test_fuel_that_does_not_heat_the_house_needs_no_slope() -> None:
    result = read(synthetic(260.0, heating_kwh_per_k=0.0), heats_house=False)

    assert result.accepted, result.reason
    assert result.fit is not None
    assert result.fit.n_parameters == 1
    assert result.daily_hot_water_l == pytest.approx(260.0, rel=0.02)


def test_the_share_of_the_stove_is_taken_off() -> None:
    with_stove = read(synthetic(260.0))
    without = read(synthetic(260.0), also_runs=[])

    assert with_stove.other_kwh_per_day == pytest.approx(STOVE_KWH / 365)
    assert without.daily_hot_water_l > with_stove.daily_hot_water_l


def test_an_electric_house_with_heating_and_cooling_is_split() -> None:
    """Five parameters: base of an invented all-electric house in a mixed climate."""
    here = climate("Nashville, TN")
    air_c = np.array(here.monthly_air_c)
    inlet_c = mains_correlation_c(here.monthly_air_c)
    other = (1.71 * 1800 + 455 + 637 + 413 + 78 + 38 + 128 * 3) / 365
    hot = heat_kwh(np.full(12, 200.0), by_month(inlet_c), np.full(12, SETPOINT_C))
    use = (
        other + 0.65 + hot / 0.98
        + 1.6 * np.maximum(12.0 - air_c, 0.0) + 1.1 * np.maximum(air_c - 20.0, 0.0)
    )  # fmt: skip
    monthly = [f"{u * d:.1f} kWh" for u, d in zip(use, DAYS, strict=True)]
    bills = Bills.model_validate({"fuel": "electricity", "monthly": monthly})
    result = hot_water_from_bills(
        bills, monthly_air_c=here.monthly_air_c, daily_inlet_c=inlet_c, setpoint_c=SETPOINT_C,
        n_people=3, n_bedrooms=3, occupants_by_day_l=np.full(365, 210.0),
    )  # fmt: skip

    assert result.fit is not None
    assert result.fit.n_parameters == 5
    assert result.accepted, result.reason
    assert result.daily_hot_water_l == pytest.approx(200.0, rel=0.1)
    assert any("Floor area 1,800 ft2 assumed" in note for note in result.notes)


def test_scattered_bills_are_refused_and_the_people_count() -> None:
    rng = np.random.default_rng(1)
    result = read(np.abs(40.0 + 40.0 * rng.standard_normal(12)))

    assert not result.accepted
    assert "scatters by" in result.reason
    assert result.volume_factor == 1.0


def test_use_that_the_temperature_does_not_explain_is_refused() -> None:
    use = synthetic(260.0, heating_kwh_per_k=0.6)
    use *= 1.0 + 0.2 * np.array([1, -1, 1, -1, 1, -1, 1, -1, 1, -1, 1, -1])
    result = read(use, heats_house=True)

    assert not result.accepted
    assert "explains only" in result.reason


def test_a_base_load_that_standby_takes_is_refused() -> None:
    result = read(synthetic(0.0) - 2.0)

    assert not result.accepted
    assert "whole base load" in result.reason


def test_a_wide_interval_is_refused() -> None:
    use = synthetic(60.0)
    use[[6, 7]] += (9.0, -9.0)
    result = read(use)

    assert not result.accepted
    assert "interval is too wide" in result.reason


def test_an_implausible_volume_is_refused() -> None:
    result = read(synthetic(1400.0), n_people=1)

    assert not result.accepted
    assert "L a person and day is not plausible" in result.reason


def test_too_few_usable_readings_are_refused_not_a_fault() -> None:
    monthly = ["90 therm estimated"] * 11 + ["110 therm"]
    result = hot_water_from_bills(
        Bills.model_validate({"fuel": "natural_gas", "monthly": monthly}),
        monthly_air_c=HERE.monthly_air_c, daily_inlet_c=INLET_C, setpoint_c=SETPOINT_C,
        n_people=4, n_bedrooms=3, occupants_by_day_l=np.full(365, 280.0),
    )  # fmt: skip

    assert not result.accepted
    assert "too few for a fit" in result.reason
    assert result.as_dict()["daily_hot_water_l"] is None


def test_bills_of_another_fuel_than_the_heaters_leave_the_people() -> None:
    result = read(synthetic(260.0), heats_water=False)

    assert not result.accepted
    assert result.reason == "this fuel does not heat the water"
    assert result.volume_factor == 1.0


def test_plain_fields_for_json() -> None:
    fields = read(synthetic(260.0)).as_dict()

    assert {"daily_hot_water_l", "low_l", "high_l", "cv_rmse", "accepted"} <= set(fields)
    assert fields["accepted"] is True


def test_other_use_grows_with_appliances_and_people() -> None:
    electric = {"fuel": "electricity", "monthly": ["900 kWh"] * 12, "floor_area": "2000 ft2"}
    plain = Bills.model_validate(electric)
    more = Bills.model_validate(electric | {"also_runs": ["dryer", "stove"]})

    assert other_use_kwh_per_year(plain, 3) == pytest.approx(
        1.71 * 2000 + 455 + 637 + 413 + 78 + 38 + 384, rel=1e-3
    )
    assert other_use_kwh_per_year(more, 3) - other_use_kwh_per_year(plain, 3) == pytest.approx(
        331 + 39 * 3 + 524 + 149 * 3
    )


def test_a_flue_costs_standby() -> None:
    electric = typical_heater_in_use(EnergySource.ELECTRICITY)
    gas, oil = (typical_heater_in_use(s) for s in (EnergySource.PROPANE, EnergySource.FUEL_OIL))

    assert gas.standby_kwh_per_day > electric.standby_kwh_per_day
    assert oil.recovery_efficiency > gas.recovery_efficiency
