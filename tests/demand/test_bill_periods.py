"""Billing periods made ready for a fit."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from heatersel.demand.bill_periods import usable_periods
from heatersel.job.bills import Bills

AIR_C = tuple(float(m) for m in range(12))
MONTHS = ["120 therm"] * 12
KWH_PER_THERM = 29.3071


def usable(monthly: list[Any], fuel: str = "natural_gas", country: str = "US") -> Any:
    bills = Bills.model_validate({"fuel": fuel, "monthly": monthly})
    return usable_periods(bills, AIR_C, country)


def period(start: date, end: date, use: str, **more: Any) -> dict[str, Any]:
    return {"from": start, "to": end, "use": use} | more


def test_use_is_per_day_in_kwh() -> None:
    periods = usable(MONTHS)

    assert periods.days.tolist()[:3] == [31, 28, 31]
    assert periods.use_kwh_per_day[1] == pytest.approx(120 * KWH_PER_THERM / 28, rel=1e-5)
    assert periods.temp_c.tolist() == list(AIR_C)


def test_a_volume_of_fuel_carries_its_heat() -> None:
    """100 ft3 of gas at 1,026 Btu/ft3 are 1.026 therm (EIA heat content, seen)."""
    ccf = usable(["100 ccf"] * 12).use_kwh_per_day[0]

    assert ccf == pytest.approx(102.6 * KWH_PER_THERM / 31, rel=1e-4)


def test_canadian_gas_has_the_canadian_heat_content() -> None:
    """37.24 MJ/m3 (federal fuel charge, seen)."""
    assert usable(["100 m3"] * 12, country="CA").use_kwh_per_day[0] == pytest.approx(
        100 * 37.24 / 3.6 / 31, rel=1e-4
    )


def test_an_estimate_is_joined_with_the_true_reading_after_it() -> None:
    periods = usable(["90 therm estimated", "130 therm", *MONTHS[2:]])

    assert periods.days.tolist()[:2] == [59, 31]
    assert periods.use_kwh_per_day[0] == pytest.approx(220 * KWH_PER_THERM / 59, rel=1e-5)
    assert "1 estimated or short period was joined" in periods.notes[0]


def test_a_last_estimate_says_nothing() -> None:
    assert usable([*MONTHS[:11], "80 therm estimated"]).days.size == 11


def test_a_changed_meter_is_one_month_again() -> None:
    monthly = [
        period(date(2024, 1, 1), date(2024, 2, 1), "100 therm"),
        period(date(2024, 2, 1), date(2024, 2, 9), "30 therm"),
        period(date(2024, 2, 9), date(2024, 3, 1), "70 therm"),
        period(date(2024, 3, 1), date(2025, 1, 1), "500 therm"),
    ]
    periods = usable(monthly)

    assert periods.days.tolist() == [31, 29, 306]
    assert periods.use_kwh_per_day[1] == pytest.approx(100 * KWH_PER_THERM / 29, rel=1e-5)


def test_a_short_last_period_joins_the_one_before() -> None:
    monthly = [
        period(date(2024, 1, 1), date(2024, 12, 20), "500 therm"),
        period(date(2024, 12, 20), date(2024, 12, 27), "12 therm"),
    ]

    assert usable(monthly).days.tolist() == [361]


def test_a_missing_month_is_not_bridged() -> None:
    periods = usable(["90 therm estimated", "", *MONTHS[2:]])

    assert periods.days.size == 10
    assert periods.temp_c[0] == 2.0


def test_own_temperatures_come_before_long_term_means() -> None:
    monthly = [
        period(date(2024, 1, 1), date(2024, 7, 1), "500 therm", mean_temperature="50 degF"),
        period(date(2024, 7, 1), date(2025, 1, 1), "300 therm", degree_days="1840 degF day"),
    ]
    periods = usable(monthly)

    assert periods.temp_c == pytest.approx([10.0, (55 - 32) / 1.8])
    assert periods.notes == ()


def test_a_freezing_month_of_its_own_is_not_taken_for_a_missing_figure() -> None:
    whole = period(date(2024, 1, 1), date(2025, 1, 1), "900 therm", mean_temperature="0 degC")

    assert usable([whole]).notes == ()


def test_a_long_period_keeps_the_temperature_of_each_of_its_days() -> None:
    fills = [{"on": date(2023, month, 1), "amount": "100 gal"} for month in (1, 3, 11)]
    bills = Bills.model_validate({"fuel": "propane", "deliveries": fills})
    periods = usable_periods(bills, AIR_C)

    assert [temps.size for temps in periods.day_temp_c] == [59, 245]
    assert periods.day_temp_c[0].tolist() == [0.0] * 31 + [1.0] * 28
    assert periods.temp_c[0] == pytest.approx(28 / 59)
    assert "fill the tank to the same mark" in periods.notes[-1]


def test_long_term_means_are_named_as_such() -> None:
    assert "long-term means" in usable(MONTHS).notes[0]


def test_leap_days_have_a_place_in_the_year() -> None:
    year = usable([period(date(2024, 1, 1), date(2025, 1, 1), "900 therm")])

    days = year.day_of_year[0]
    assert days.size == 366
    assert (days[59], days[60], days[-1]) == (58, 59, 364)
