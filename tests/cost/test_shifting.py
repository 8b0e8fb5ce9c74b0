"""The search for a heating schedule, against small tanks whose answer is known."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from heatersel.cost.bill import Use
from heatersel.cost.shifting import (
    HeatingSchedule,
    cheapest_plan,
    hour_prices,
    shift_heating,
)
from heatersel.cost.solar import SolarSurplus
from heatersel.cost.tariff import Tariff, flat_tariff
from heatersel.cost.timer_words import blocked_in_words
from heatersel.display import Display
from heatersel.errors import InputError, OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation.result import AnnualResult, Delivery

POWER = EnergySource.ELECTRICITY
US, CANADA = Display("us", "USD"), Display("si", "CAD")
OTHER = Use(monthly_kwh=np.full(12, 500.0))
WINDOWS = [
    {"hours": "16-21", "price": "0.40 USD/kWh"},
    {"hours": "21-16", "price": "0.10 USD/kWh"},
]
HOUR = np.arange(8760) % 24
MONTH_OF_HOUR = np.repeat(np.arange(12), np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
                          * 24)  # fmt: skip


def tank(hours_carried: float, runs: list[HeatingSchedule]) -> Callable[..., AnnualResult]:
    """Return a tank that heats 0.5 kWh each hour and can wait for so many hours.

    What it could not heat while blocked it heats in the next free hour; a longer wait leaves
    short water on every day. Each 5 K of store add an hour and cost 2 %.
    """

    def simulate(schedule: HeatingSchedule) -> AnnualResult:
        runs.append(schedule)
        hotter = (schedule.setpoint_c - 50.0) / 5.0
        hourly, owed = np.zeros(8760), 0.0
        for hour, blocked in enumerate(schedule.blocked):
            owed += 0.5 * (1.0 + 0.02 * hotter)
            if not blocked:
                hourly[hour], owed = owed, 0.0
        hourly[-1] += owed
        longest = int(schedule.blocked[:24].sum())
        short = 365.0 if longest > hours_carried + hotter else 0.0
        return AnnualResult(
            heater_id="tank", method="simulation", hourly_kwh={POWER: hourly},
            monthly_kwh={POWER: np.bincount(MONTH_OF_HOUR, hourly)}, delivered_kwh=4000.0,
            standby_loss_kwh=0.0,
            delivery=Delivery(short_days_per_year=short, short_minutes_per_year=0.0,
                              missed_l_per_year=0.0, coldest_c=45.0, warm_morning_probability=1.0,
                              n_years=1),
        )  # fmt: skip

    return simulate


@pytest.fixture
def by_time(tariff: Callable[..., Tariff]) -> Tariff:
    return tariff(energy=WINDOWS)


def test_a_tank_that_can_wait_avoids_every_dear_hour(by_time: Tariff) -> None:
    runs: list[HeatingSchedule] = []

    found = shift_heating(tank(8, runs), by_time, OTHER, bill_year=2027, setpoint_c=50.0)

    np.testing.assert_array_equal(found.schedule.blocked, (HOUR >= 16) & (HOUR < 21))
    # five hours a day of 0.5 kWh move from 0.40 to 0.10
    assert found.saving_per_year == pytest.approx(365 * 5 * 0.5 * 0.30, rel=0.01)
    assert found.short_days == found.short_days_before == 0.0
    assert found.n_runs == len(runs)


def test_a_tank_that_cannot_wait_so_long_avoids_what_it_can(by_time: Tariff) -> None:
    found = shift_heating(tank(4, []), by_time, OTHER, bill_year=2027, setpoint_c=50.0)

    assert found.short_days == 0.0
    assert found.schedule.hours_blocked_per_day == pytest.approx(4.0)
    assert found.saving_per_year == pytest.approx(365 * 4 * 0.5 * 0.30, rel=0.01)


def test_a_hotter_store_behind_a_tempering_valve_carries_it_over(by_time: Tariff) -> None:
    without = shift_heating(tank(4, []), by_time, OTHER, bill_year=2027, setpoint_c=50.0)
    hotter = shift_heating(
        tank(4, []), by_time, OTHER, bill_year=2027, setpoint_c=50.0, hottest_c=75.0
    )

    assert hotter.schedule.setpoint_c == pytest.approx(55.0)
    assert hotter.saving_per_year > without.saving_per_year
    assert "tempering valve" in hotter.sentence(US)


def test_a_demand_charge_alone_is_worth_avoiding(tariff: Callable[..., Tariff]) -> None:
    plan = tariff(energy="0.10 USD/kWh", demand=[{"price": "9 USD/kW/month", "hours": "17-20"}])

    found = shift_heating(tank(8, []), plan, OTHER, bill_year=2027, setpoint_c=50.0)

    np.testing.assert_array_equal(found.schedule.blocked, (HOUR >= 17) & (HOUR < 20))
    # half a kilowatt less at the highest hour of each month
    assert found.saving_per_year == pytest.approx(12 * 9 * 0.5, rel=0.01)


def test_long_dear_hours_leave_runs_for_a_hotter_store(tariff: Callable[..., Tariff]) -> None:
    plan = tariff(energy=[{"hours": "7-21", "price": "0.30 USD/kWh"},
                          {"hours": "21-7", "price": "0.10 USD/kWh"}])  # fmt: skip

    found = shift_heating(tank(3, []), plan, OTHER, bill_year=2027, setpoint_c=50.0, hottest_c=75.0)

    # three hours of its own and one more for each 5 K
    assert found.schedule.setpoint_c == pytest.approx(75.0)
    assert found.schedule.hours_blocked_per_day == pytest.approx(8.0)
    assert found.n_runs <= 30


def test_a_dear_season_is_no_span_that_a_tank_could_wait(tariff: Callable[..., Tariff]) -> None:
    plan = tariff(energy=[{"season": "october to may", "price": "0.30 USD/kWh"},
                          {"season": "june to september", "price": "0.10 USD/kWh"}])  # fmt: skip

    found = shift_heating(tank(8, []), plan, OTHER, bill_year=2027, setpoint_c=50.0)

    assert found.n_runs == 1


def test_a_flat_price_leaves_nothing_to_shift() -> None:
    found = shift_heating(
        tank(8, []), flat_tariff(POWER, 0.14), OTHER, bill_year=2027, setpoint_c=50.0
    )

    assert found.saving_per_year == 0.0
    assert found.n_runs == 1
    assert "saves nothing" in found.sentence(US)


def test_the_saving_is_the_difference_of_the_two_bills(by_time: Tariff) -> None:
    found = shift_heating(tank(8, []), by_time, OTHER, bill_year=2027, setpoint_c=50.0)

    assert found.cost_before - found.cost_per_year == found.saving_per_year > 0
    assert "$" in found.sentence(US)
    assert "C$" in found.sentence(CANADA)


def test_power_to_spare_on_the_roof_is_worth_waiting_for_on_a_flat_plan() -> None:
    roof = SolarSurplus(hourly_kwh=np.where((HOUR >= 9) & (HOUR < 16), 10.0, 0.0),
                        export_per_kwh=0.03)  # fmt: skip

    found = shift_heating(tank(17, []), flat_tariff(POWER, 0.25), OTHER, bill_year=2027,
                          setpoint_c=50.0, solar=roof)  # fmt: skip

    np.testing.assert_array_equal(found.schedule.blocked, (HOUR < 9) | (HOUR >= 16))
    # seventeen hours of 0.5 kWh a day come from the roof instead, which would have paid 0.03
    assert found.saving_per_year == pytest.approx(365 * 17 * 0.5 * (0.25 - 0.03), rel=0.01)
    assert "from heating from 4 pm to 9 am every day." in found.sentence(US)


def test_an_hour_of_sun_does_not_break_up_the_window_of_a_demand_charge(
    tariff: Callable[..., Tariff],
) -> None:
    plan = tariff(energy="0.10 USD/kWh", demand=[{"price": "9 USD/kW/month", "hours": "17-20"}])
    roof = SolarSurplus(hourly_kwh=np.where(HOUR == 19, 0.5, 0.0))

    found = shift_heating(tank(8, []), plan, OTHER, bill_year=2027, setpoint_c=50.0, solar=roof)

    np.testing.assert_array_equal(found.schedule.blocked, (HOUR >= 17) & (HOUR < 20))
    # half a kilowatt less at each month's peak, and 0.5 kWh a day bought that the roof had given
    assert found.saving_per_year == pytest.approx(12 * 9 * 0.5 - 365 * 0.5 * 0.10, rel=0.01)


@pytest.mark.parametrize(
    ("today_price", "lower"),
    # an even hour costs 0.40 * 5/24 + 0.10 * 19/24 = 0.1625 on the plan by the hour; with a timer
    # the heater's 4,380 kWh cost 0.10, the other 6,000 kWh cost 0.1625
    [(0.12, 6000 * (0.12 - 0.1625) + 4380 * (0.12 - 0.10)),
     (0.145, 6000 * (0.145 - 0.1625) + 4380 * (0.145 - 0.10)),
     (0.136, 6000 * (0.136 - 0.1625) + 4380 * (0.136 - 0.10))],
    ids=["stay", "change", "about the same"],
)  # fmt: skip
def test_a_plan_that_the_household_is_not_on_is_set_against_todays(
    by_time: Tariff, today_price: float, lower: float
) -> None:
    today = flat_tariff(POWER, today_price)
    found = shift_heating(tank(8, []), by_time, OTHER, bill_year=2027, setpoint_c=50.0, today=today)

    assert found.lower_than_today == pytest.approx(lower, abs=1.5)
    text = found.sentence(US)
    if lower > 12.0:
        assert f"about {US.money(lower)} a year lower than on today's plan “flat price”" in text
        assert "The timer keeps it from heating from 4 pm to 9 pm every day." in text
    else:
        assert "The plan “test” does not pay, not even with a timer" in text
        assert "timer keeps" not in text
        by = "a year higher than on" if lower < -12.0 else "would be hardly lower than on"
        assert f"{by} today's plan “flat price”" in text


def test_of_several_plans_the_one_with_the_lowest_bill_is_tried(
    by_time: Tariff, tariff: Callable[..., Tariff]
) -> None:
    cheap = tariff(name="cheap", energy=[w | {"price": "0.12 USD/kWh"} for w in WINDOWS])
    year = tank(8, [])(HeatingSchedule(setpoint_c=50.0, blocked=np.zeros(8760, dtype=bool)))

    assert cheapest_plan([by_time, cheap], year, OTHER, 2027) is cheap
    assert cheapest_plan([by_time, cheap], year, None, 2027) is cheap


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([{"hours": "16-20", "days": "weekdays", "season": "june to september"}],
         "from 4 pm to 8 pm on weekdays, June to September"),
        ([{"hours": "21-7"}], "from 9 pm to 7 am every day"),
        ([{"hours": "21-7", "days": "weekdays"}],
         "from midnight to 7 am and from 9 pm to midnight on weekdays"),
        ([{"hours": "7-12, 17-19", "season": "november to april"},
          {"hours": "12-17", "season": "may to october"}],
         "from 7 am to noon and from 5 pm to 7 pm every day, November to April;"
         " from noon to 5 pm every day, May to October"),
        ([{"hours": "0-24", "days": "weekends", "season": "july"}], "all day on weekends, July"),
        ([{"hours": "7-9, 12-13, 17-24"}],
         "from 7 am to 9 am, from noon to 1 pm and from 5 pm to midnight every day"),
        ([{"hours": "16-20", "season": "07-10 to 07-16"}], "from 4 pm to 8 pm every day, July"),
        ([], ""),
    ],
)  # fmt: skip
def test_blocked_hours_are_named_so_that_a_timer_can_be_set(
    tariff: Callable[..., Tariff], rows: list[dict[str, str]], said: str
) -> None:
    plan = tariff(energy="0.10 USD/kWh", credit=[r | {"price": "-0.01 USD/kWh"} for r in rows])
    blocked = np.abs(hour_prices(plan, 2027) - 0.10) > 1e-6
    schedule = HeatingSchedule(setpoint_c=50.0, blocked=blocked)

    assert blocked_in_words(schedule.blocked, plan, 2027) == said


def test_the_search_keeps_to_its_number_of_runs(by_time: Tariff) -> None:
    runs: list[HeatingSchedule] = []

    shift_heating(tank(4, runs), by_time, OTHER, bill_year=2027, setpoint_c=50.0,
                  hottest_c=75.0, most_runs=3)  # fmt: skip

    assert len(runs) == 3


def test_hours_are_priced_by_their_window(by_time: Tariff) -> None:
    prices = hour_prices(by_time, 2027)

    np.testing.assert_allclose(prices, np.where((HOUR >= 16) & (HOUR < 21), 0.40, 0.10))


def test_a_year_without_hours_or_delivery_is_refused(
    by_time: Tariff, year_of: Callable[..., AnnualResult]
) -> None:
    with pytest.raises(InputError, match="without hours or delivery"):
        shift_heating(lambda _: year_of(POWER, 4000.0), by_time, OTHER, bill_year=2027,
                      setpoint_c=50.0)  # fmt: skip


@pytest.mark.parametrize(
    ("values", "name"),
    [({"setpoint_c": 90.0}, "setpoint_c"), ({"setpoint_c": 50.0, "most_runs": 1}, "most_runs")],
)
def test_impossible_settings_are_refused(
    by_time: Tariff, values: dict[str, Any], name: str
) -> None:
    with pytest.raises(OutOfRangeError, match=f"{name} is"):
        shift_heating(tank(8, []), by_time, OTHER, bill_year=2027, **values)
