"""Tariffs per kWh, as made ready from the sheet of a utility."""

from __future__ import annotations

import pytest

from heatersel import units
from heatersel.cost.calendar import billing_year
from heatersel.cost.tariff import flat_tariff, row_of_hour, tariff_of
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource
from heatersel.job.tariff_table import TariffTable

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY


def table(**values: object) -> TariffTable:
    return TariffTable.model_validate({"name": "test"} | values)


def first_price(tariff: object) -> float:
    return tariff.components[0].rows[0].steps[0].per_kwh  # type: ignore[attr-defined,no-any-return]


def test_a_price_per_therm_and_the_same_per_gigajoule_are_one() -> None:
    by_therm = tariff_of(table(energy="1.0550559 USD/therm"), GAS)
    by_gigajoule = tariff_of(table(energy="10 USD/GJ"), GAS)

    assert first_price(by_therm) == pytest.approx(first_price(by_gigajoule), rel=1e-6)


def test_the_sheets_own_heat_content_comes_before_the_fuels() -> None:
    own = tariff_of(table(energy="1.0 USD/ccf", heat_content="1050 Btu/ft3"), GAS, 0.0107)
    usual = tariff_of(table(energy="1.0 USD/ccf"), GAS, 0.0107)

    assert first_price(own) == pytest.approx(1.0 / units.convert(105000.0, "Btu", "kWh"))
    assert first_price(usual) == pytest.approx(1.0 / (0.0107 * units.convert(1.0, "ccf", "L")))


def test_an_uncorrected_meter_at_altitude_makes_heat_dearer() -> None:
    # 17 % less heat per cubic foot at 5,000 ft (from memory): 1 / 0.83 dearer
    low = tariff_of(table(energy="1.0 USD/ccf"), GAS, 0.0107)
    high = tariff_of(table(energy="1.0 USD/ccf", altitude_factor=0.83), GAS, 0.0107)

    assert first_price(high) == pytest.approx(first_price(low) / 0.83)


def test_altitude_leaves_a_price_per_therm_alone() -> None:
    low = tariff_of(table(energy="1.0 USD/therm"), GAS, 0.0107)
    high = tariff_of(table(energy="1.0 USD/therm", altitude_factor=0.83), GAS, 0.0107)

    assert first_price(high) == first_price(low)


def test_electricity_by_volume_is_refused() -> None:
    with pytest.raises(InputError, match="per volume; allowed: per energy"):
        tariff_of(table(energy="1.0 USD/gal"), POWER)


def test_only_a_tariff_without_blocks_peaks_or_minimum_is_straight() -> None:
    assert flat_tariff(POWER, 0.14).is_straight
    blocks = [{"up_to": "600 kWh", "price": "0.1 USD/kWh"}, {"price": "0.2 USD/kWh"}]
    for bent in (
        table(energy=[{"blocks": blocks}]),
        table(energy="0.1 USD/kWh", minimum_bill="20 USD/month"),
        table(energy="0.1 USD/kWh", demand=[{"price": "5 USD/kW/month"}]),
    ):
        assert not tariff_of(bent, POWER).is_straight


def test_a_scaled_tariff_keeps_its_standing_charge() -> None:
    twice = flat_tariff(POWER, 0.14, fixed_per_month=12.0).scaled(2.0)

    assert first_price(twice) == pytest.approx(0.28)
    assert twice.fixed_per_month == 12.0


def test_hours_go_to_the_row_of_their_season_kind_of_day_and_clock() -> None:
    made = tariff_of(
        table(
            energy=[
                {"season": "november to april", "days": "weekdays", "hours": "7-11",
                 "price": "0.2 USD/kWh"},
                {"season": "november to april", "days": "weekdays", "hours": "11-7",
                 "price": "0.1 USD/kWh"},
                {"season": "november to april", "days": "weekends", "price": "0.1 USD/kWh"},
                {"season": "may to october", "price": "0.12 USD/kWh"},
            ]
        ),
        POWER,
    )  # fmt: skip
    year = billing_year(2027)  # 1 January 2027 is a Friday
    rows = row_of_hour(made.components[0].rows, year)

    assert rows[:24].tolist() == [1] * 7 + [0] * 4 + [1] * 13
    assert set(rows[24:48]) == {2}
    assert set(rows[year.month == 6]) == {3}
    assert rows.min() >= 0
