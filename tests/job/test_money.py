"""Money, shares and amounts of fuel as people write them."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from heatersel import units
from heatersel.job.money import (
    DemandPrice,
    EnergyPrice,
    FuelAmountType,
    HeatContent,
    MoneyAmount,
    Share,
    SignedEnergyPrice,
    SignedMoney,
    StandingCharge,
    YearCharge,
)


def read(kind: Any, text: Any) -> Any:
    return TypeAdapter(kind).validate_python(text)


@pytest.mark.parametrize(
    ("text", "amount", "currency", "per"),
    [
        ("0.14 USD/kWh", 0.14, "USD", "kWh"),
        ("1.10 USD/therm", 1.10 / 29.3071, "USD", "kWh"),
        ("9 CAD/GJ", 9 / 277.778, "CAD", "kWh"),
        ("1.20 CAD/m3", 1.20 / 1000, "CAD", "L"),
        ("1.0 USD/ccf", 1.0 / 2831.68, "USD", "L"),
        ("2.60 USD/gal", 2.60 / 3.785411784, "USD", "L"),
        ("1.50 CAD/L", 1.50, "CAD", "L"),
        ("14 cent/kWh", 0.14, "USD", "kWh"),
    ],
)
def test_energy_is_priced_per_unit_as_billed(
    text: str, amount: float, currency: str, per: str
) -> None:
    price = read(EnergyPrice, text)

    assert price.amount == pytest.approx(amount, rel=1e-5)
    assert (price.currency, price.per) == (currency, per)


def test_other_kinds_of_money_keep_their_own_unit() -> None:
    assert read(StandingCharge, "12.50 USD/month").per == "month"
    assert read(StandingCharge, "0.40 USD/day").per == "day"
    assert read(DemandPrice, "8 USD/kW/month").amount == pytest.approx(8.0)
    assert read(YearCharge, "60 USD/year").amount == pytest.approx(60.0)
    assert read(MoneyAmount, "500 CAD").currency == "CAD"
    assert read(SignedMoney, "-5 USD/month").amount == pytest.approx(-5.0)
    assert read(SignedEnergyPrice, "-0.05 USD/kWh").amount == pytest.approx(-0.05)


def test_an_amount_is_a_month_unless_it_says_a_day() -> None:
    month, day = read(FuelAmountType, "60 therm/month"), read(FuelAmountType, "10 kWh/day")

    assert (month.amount, month.days) == (pytest.approx(1758.43, rel=1e-4), False)
    assert (day.amount, day.days) == (pytest.approx(10.0), True)
    assert read(FuelAmountType, "60 therm") == month
    assert read(FuelAmountType, "100 gal").per == "L"


def test_shares_are_percentages_and_heat_is_per_volume() -> None:
    assert read(Share, "13 %") == pytest.approx(0.13)
    assert read(Share, "-23.5 %") == pytest.approx(-0.235)
    assert read(HeatContent, "1035 Btu/ft3") == pytest.approx(
        units.convert(1035.0, "Btu/ft3", "kWh/L")
    )


@pytest.mark.parametrize(
    ("kind", "given", "what"),
    [
        (EnergyPrice, "-0.10 USD/kWh", "negative"),
        (EnergyPrice, 0.14, "a number without a unit"),
        (EnergyPrice, "0.14", "no usable unit"),
        (EnergyPrice, "0.14 EUR/kWh", "no usable unit"),
        (EnergyPrice, "12 USD/month", "no usable unit"),
        (EnergyPrice, "400 USD/kWh", "out of range"),
        (EnergyPrice, True, "not text"),
        (SignedEnergyPrice, "0.05 USD/kWh", "out of range"),
        (StandingCharge, "-3 USD/month", "negative"),
        (DemandPrice, "8 USD/kW", "no usable unit"),
        (FuelAmountType, "60 therm/year", "not an amount of energy or fuel"),
        (Share, "130 %", "not a percentage"),
        (HeatContent, "1035 Btu", "not a heat content"),
    ],
)
def test_what_cannot_be_money_is_refused_with_an_example(kind: Any, given: Any, what: str) -> None:
    with pytest.raises(ValidationError, match=what) as trouble:
        read(kind, given)

    assert (
        "an example is" in trouble.value.errors()[0]["ctx"]["fix"]
        or "such as" in (trouble.value.errors()[0]["ctx"]["fix"])
    )
