"""Monthly bills: every shape of tariff, the margin, and that all parts reconcile."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatersel.cost.bill import Use, heater_bill, household_bill
from heatersel.cost.tariff import Tariff, flat_tariff, tariff_of
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.job.tariff_table import TariffTable

POWER, PROPANE = EnergySource.ELECTRICITY, EnergySource.PROPANE
YEAR = 2027


def tariff(source: EnergySource = POWER, content: float | None = None, **table: object) -> Tariff:
    return tariff_of(TariffTable.model_validate({"name": "test"} | table), source, content)


def even(kwh_per_month: float) -> Use:
    return Use(monthly_kwh=np.full(12, kwh_per_month))


FLAT = flat_tariff(POWER, 0.14, fixed_per_month=12.0)
BLOCKS = [{"up_to": "600 kWh/month", "price": "0.10 USD/kWh"}, {"price": "0.20 USD/kWh"}]
WINDOWS = [
    {"days": "weekdays", "hours": "16-21", "price": "0.30 USD/kWh"},
    {"days": "weekdays", "hours": "21-16", "price": "0.10 USD/kWh"},
    {"days": "weekends", "price": "0.10 USD/kWh"},
]
EVERYTHING = tariff(
    fixed="0.5 USD/day", energy=WINDOWS, delivery=[{"blocks": BLOCKS}],
    credit=[{"price": "-0.03 USD/kWh", "up_to": "10 kWh/day"}],
    demand=[{"price": "4 USD/kW/month", "hours": "16-21", "days": "weekdays"}],
    minimum_bill="40 USD/month",
    rider=[{"name": "tax", "share": "13 %"}, {"name": "rebate", "share": "-20 %", "of": "energy"},
           {"name": "levy", "amount": "2 USD/month"}, {"name": "fee", "share": "5 %",
                                                       "of": "total"}],
    holidays="us_six", time_zone="America/Chicago",
)  # fmt: skip


def test_a_flat_price_bills_energy_and_the_standing_charge() -> None:
    bill = household_bill(FLAT, even(100.0), YEAR)

    np.testing.assert_allclose(bill.parts["fixed"], 12.0)
    np.testing.assert_allclose(bill.parts["energy"], 14.0)
    assert bill.annual == pytest.approx(312.0)


def test_a_daily_charge_follows_the_days_of_the_month() -> None:
    bill = household_bill(tariff(energy="0.1 USD/kWh", fixed="1 USD/day"), even(0.0), 2028)

    assert bill.parts["fixed"].tolist()[:2] == [31.0, 29.0]
    assert bill.annual == pytest.approx(366.0)


def test_blocks_bite_at_the_margin() -> None:
    bill = heater_bill(tariff(energy=[{"blocks": BLOCKS}]), even(300.0), even(500.0), YEAR)

    # the first 100 kWh still fit into the first block
    months = np.delete(bill.monthly, 1)
    np.testing.assert_allclose(months, 100 * 0.10 + 200 * 0.20)


def test_a_block_threshold_per_day_grows_with_the_month() -> None:
    per_day = tariff(
        energy=[{"blocks": [{"up_to": "10 kWh/day", "price": "0.1 USD/kWh"},
                            {"price": "0.5 USD/kWh"}]}]
    )  # fmt: skip
    bill = household_bill(per_day, even(310.0), YEAR)

    assert bill.parts["energy"][0] == pytest.approx(31.0)
    assert bill.parts["energy"][3] == pytest.approx(30.0 + 10 * 0.5)


def test_a_season_that_ends_within_a_month_brings_its_share_of_the_block() -> None:
    steps = [{"up_to": "300 kWh/month", "price": "0.1 USD/kWh"}, {"price": "0.2 USD/kWh"}]
    split = tariff(
        energy=[{"season": "01-01 to 04-15", "blocks": steps},
                {"season": "04-16 to 12-31", "blocks": steps}]
    )  # fmt: skip
    bill = household_bill(split, even(300.0), YEAR)

    # April: 150 kWh and a block of 150 kWh on either side, so nothing reaches the second block
    assert bill.parts["energy"][3] == pytest.approx(30.0)


def test_removing_a_block_that_nobody_reaches_changes_nothing() -> None:
    unused = [{"up_to": "5000 kWh", "price": "0.20 USD/kWh"}, {"price": "0.90 USD/kWh"}]
    with_it = tariff(energy=[{"blocks": [*BLOCKS[:1], *unused]}])
    without = tariff(energy=[{"blocks": BLOCKS}])

    np.testing.assert_allclose(
        household_bill(with_it, even(900.0), YEAR).monthly,
        household_bill(without, even(900.0), YEAR).monthly,
    )


def test_time_of_use_bills_each_hour_at_its_own_price() -> None:
    hourly = np.zeros(8760)
    hourly[17] = 2.0  # Friday 1 January 2027, 17:00: peak
    hourly[24 + 17] = 2.0  # Saturday
    use = Use(monthly_kwh=np.array([4.0] + [0.0] * 11), hourly_kwh=hourly)

    bill = household_bill(tariff(energy=WINDOWS), use, YEAR)

    assert bill.parts["energy"][0] == pytest.approx(2 * 0.30 + 2 * 0.10)


def test_a_holiday_is_billed_like_a_weekend() -> None:
    hourly = np.zeros(8760)
    hourly[17] = 2.0  # 1 January
    use = Use(monthly_kwh=np.array([2.0] + [0.0] * 11), hourly_kwh=hourly)

    bill = household_bill(tariff(energy=WINDOWS, holidays="us_federal"), use, YEAR)

    assert bill.parts["energy"][0] == pytest.approx(2 * 0.10)


@pytest.mark.parametrize("zone", [None, "America/Chicago"])
def test_a_household_is_billed_by_the_clock_it_lives_by(zone: str | None) -> None:
    hourly = np.zeros(8760)
    july_first = 181 * 24  # Thursday 1 July 2027
    hourly[july_first + 15] = 1.0  # by the clock, an hour before the peak of summer and winter
    hourly[july_first + 16] = 1.0
    use = Use(monthly_kwh=np.array([0.0] * 6 + [2.0] + [0.0] * 5), hourly_kwh=hourly)

    bill = household_bill(tariff(energy=WINDOWS, time_zone=zone), use, YEAR)

    assert bill.annual == pytest.approx(0.10 + 0.30)


def test_a_month_spread_evenly_bills_its_whole_energy_when_the_clock_changes() -> None:
    split = tariff(
        energy=[{"season": "january to june", "price": "0.10 USD/kWh"},
                {"season": "july to december", "price": "0.10 USD/kWh"}],
        time_zone="America/Chicago",
    )  # fmt: skip

    bill = household_bill(split, even(744.0), YEAR)

    np.testing.assert_allclose(np.delete(bill.monthly, 1), 74.4)


@pytest.mark.parametrize(("year", "days"), [(2027, 365), (2028, 366)])
def test_a_year_bills_each_of_its_hours_once(year: int, days: int) -> None:
    use = Use(monthly_kwh=np.full(12, 730.0), hourly_kwh=np.ones(8760))
    flat_by_hour = [dict(row, price="0.10 USD/kWh") for row in WINDOWS]

    bill = household_bill(tariff(energy=flat_by_hour, time_zone="America/Toronto"), use, year)

    assert bill.annual == pytest.approx(0.10 * 24 * days)


def test_the_demand_charge_takes_the_highest_hour_of_the_month_in_its_window() -> None:
    hourly = np.full(8760, 0.5)
    hourly[3] = 9.0  # outside the window
    hourly[18] = 4.5
    use = Use(monthly_kwh=np.full(12, 365.0), hourly_kwh=hourly)

    bill = household_bill(EVERYTHING, use, YEAR)

    # 1 January is a holiday, so the 4.5 kW at 18:00 do not count either
    assert bill.parts["demand"][0] == pytest.approx(4.0 * 0.5)


def test_a_minimum_bill_swallows_small_use() -> None:
    least = tariff(energy="0.10 USD/kWh", fixed="5 USD/month", minimum_bill="30 USD/month")

    added = heater_bill(least, even(50.0), even(100.0), YEAR)

    np.testing.assert_allclose(np.delete(added.monthly, 1), 0.0)
    assert household_bill(least, even(100.0), YEAR).parts["minimum bill"][0] == pytest.approx(15.0)


def test_a_minimum_a_day_is_owed_for_every_day_of_the_month() -> None:
    least = tariff(energy="0.10 USD/kWh", minimum_bill="1 USD/day")

    bill = household_bill(least, even(0.0), 2028)

    assert bill.monthly[:2].tolist() == [31.0, 29.0]
    assert bill.annual == pytest.approx(366.0)


def test_demand_charges_without_names_add_up() -> None:
    two = tariff(
        energy="0.10 USD/kWh",
        demand=[{"price": "4 USD/kW/month", "hours": "16-21"}, {"price": "3 USD/kW/month"}],
    )
    use = Use(monthly_kwh=even(730.0).monthly_kwh, hourly_kwh=np.ones(8760))

    bill = household_bill(two, use, YEAR)

    # 1 kW in every hour: 4 and 3 dollars beside the energy
    assert bill.parts["demand 1"].tolist() == [4.0] * 12
    assert bill.parts["demand 2"].tolist() == [3.0] * 12
    assert bill.annual == pytest.approx(0.10 * 8760 + 12 * 7.0)


@pytest.mark.parametrize("name", ["energy", "fixed", "peak", "minimum bill", "deliveries"])
def test_charges_of_one_name_all_stay_on_the_bill(name: str) -> None:
    alike = tariff(
        energy="0.10 USD/kWh", fixed="5 USD/month", minimum_bill="200 USD/month",
        demand=[{"name": "peak", "price": "2 USD/kW/month"},
                {"name": name, "price": "3 USD/kW/month"}],
        rider=[{"name": name, "amount": "7 USD/month"}, {"name": "peak", "amount": "1 USD/month"}],
    )  # fmt: skip
    use = Use(monthly_kwh=even(730.0).monthly_kwh, hourly_kwh=np.ones(8760))

    bills = household_bill(alike, use, YEAR), household_bill(alike, use.scaled(3.0), YEAR)

    # the least, else 5 + 2232 hours' energy + 15 for 3 kW, and 8 of riders
    assert bills[0].monthly[0] == pytest.approx(200.0 + 8.0)
    assert bills[1].monthly[0] == pytest.approx(5.0 + 0.10 * 2232 + 15.0 + 8.0)
    assert set(bills[0].parts) == set(bills[1].parts)


def test_riders_apply_in_order_to_what_they_name() -> None:
    taxed = tariff(
        energy="0.10 USD/kWh", fixed="10 USD/month",
        rider=[{"name": "fuel", "share": "10 %", "of": "energy"},
               {"name": "tax", "share": "10 %", "of": "charges"},
               {"name": "fee", "share": "10 %", "of": "total"}],
    )  # fmt: skip
    parts = household_bill(taxed, even(100.0), YEAR).parts

    assert [parts[name][0] for name in ("fuel", "tax", "fee")] == pytest.approx(
        [1.0, 2.0, 0.1 * (20 + 1 + 2)]
    )


def test_the_standing_charge_falls_away_only_with_the_last_appliance() -> None:
    last = heater_bill(FLAT, even(100.0), None, YEAR)
    not_last = heater_bill(FLAT, even(100.0), even(200.0), YEAR)

    assert last.account_closes
    assert last.fixed_per_year == pytest.approx(144.0)
    assert not_last.fixed_per_year == 0.0
    assert last.energy_per_year == pytest.approx(not_last.energy_per_year)


def test_a_heater_that_uses_nothing_keeps_no_account_open() -> None:
    bill = heater_bill(FLAT, even(0.0), None, YEAR)

    assert bill.with_heater.annual == 0.0
    assert (bill.energy_per_year, bill.fixed_per_year) == (0.0, 0.0)


def test_propane_is_billed_when_it_comes_and_a_year_pays_for_what_it_burns() -> None:
    dealer = tariff(
        PROPANE, 7.0, energy="0.70 USD/L", drop="700 L", drop_fee="20 USD"
    )  # fmt: skip
    bill = household_bill(dealer, even(700.0), YEAR)  # 100 L a month, 700 L a drop

    arrivals = np.flatnonzero(bill.parts["energy"])
    assert arrivals.tolist() == [6, 11]
    assert bill.parts["energy"][6] == pytest.approx(490.0)
    assert float(np.sum(bill.parts["energy"])) == pytest.approx(1200 * 0.70)
    assert float(np.sum(bill.parts["deliveries"])) == pytest.approx(20.0 * 1200 / 700)


def test_a_short_drop_costs_its_fee() -> None:
    short = tariff(
        PROPANE, 7.0, energy="0.70 USD/L", drop="300 L", minimum_drop="500 L",
        drop_fee="20 USD", short_drop_fee="60 USD",
    )  # fmt: skip

    bill = household_bill(short, even(700.0), YEAR)

    assert float(np.sum(bill.parts["deliveries"])) == pytest.approx(80.0 * 1200 / 300)


@settings(max_examples=30)
@given(st.floats(0.0, 900.0), st.floats(0.0, 1500.0), st.booleans())
def test_bills_with_and_without_the_heater_differ_by_what_is_shown(
    heater_kwh: float, other_kwh: float, has_other: bool
) -> None:
    other = even(other_kwh) if has_other else None
    bill = heater_bill(EVERYTHING, even(heater_kwh), other, YEAR)

    np.testing.assert_allclose(
        bill.with_heater.monthly, bill.without_heater.monthly + bill.monthly, atol=1e-9
    )
    assert bill.energy_per_year + bill.fixed_per_year == pytest.approx(
        float(np.sum(bill.monthly)), abs=0.005
    )


@settings(max_examples=30)
@given(st.floats(0.0, 2000.0))
def test_the_parts_of_a_bill_are_its_total_to_the_cent(kwh: float) -> None:
    bill = household_bill(EVERYTHING, even(kwh), YEAR)

    for month in range(12):
        parts = sum(float(charge[month]) for charge in bill.parts.values())
        assert parts == pytest.approx(float(bill.monthly[month]), abs=0.005)


@settings(max_examples=30)
@given(st.floats(1.0, 3.0), st.floats(0.0, 900.0))
def test_a_higher_price_never_lowers_the_cost(factor: float, kwh: float) -> None:
    dear = tariff(energy=WINDOWS, delivery=[{"blocks": BLOCKS}], minimum_bill="20 USD/month")

    low = heater_bill(dear, even(kwh), even(400.0), YEAR)
    high = heater_bill(dear.scaled(factor), even(kwh), even(400.0), YEAR)

    assert float(np.sum(high.monthly)) >= float(np.sum(low.monthly)) - 1e-9


@settings(max_examples=30)
@given(st.floats(0.0, 900.0), st.floats(0.0, 900.0))
def test_more_use_never_costs_less(a: float, b: float) -> None:
    steps = tariff(energy=WINDOWS, delivery=[{"blocks": BLOCKS}],
                   demand=[{"price": "4 USD/kW/month"}])  # fmt: skip
    low, high = sorted((a, b))

    assert household_bill(steps, even(low), YEAR).annual <= (
        household_bill(steps, even(high), YEAR).annual + 1e-9
    )


def test_even_hours_bill_as_the_months_alone() -> None:
    months = even(730.0)
    hours = Use(monthly_kwh=months.monthly_kwh, hourly_kwh=months.hours())

    np.testing.assert_allclose(
        household_bill(EVERYTHING, months, 2028).monthly,
        household_bill(EVERYTHING, hours, 2028).monthly,
    )


@pytest.mark.parametrize("values", [np.full(12, -5.0), np.zeros(11)])
def test_impossible_use_is_refused(values: np.ndarray) -> None:
    with pytest.raises(OutOfRangeError, match=r"monthly_kwh is .*12 values, none negative"):
        Use(monthly_kwh=values)
