"""Bills in a job file: what is accepted and what each fault says."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic_core import PydanticCustomError

from heatersel.errors import JobError
from heatersel.job.bills import Bills, degree_day_temp_c
from heatersel.job.load import parse_job

YEAR = [f"{use} therm" for use in (120, 110, 90, 60, 35, 20, 18, 18, 22, 45, 80, 110)]


def bills(**given: Any) -> Bills:
    return Bills.model_validate({"fuel": "natural_gas"} | given)


def job_with(**given: Any) -> dict[str, Any]:
    return {
        "household": {"occupants": 4, "bills": {"fuel": "natural_gas"} | given},
        "place": {"climate": "Duluth, MN"},
        "home": {"fuels": ["natural_gas", "electricity"]},
    }


def fault_of(**given: Any) -> str:
    with pytest.raises(JobError) as caught:
        parse_job(job_with(**given))
    assert len(caught.value.faults) == 1
    return str(caught.value)


def test_plain_texts_are_whole_months_from_january() -> None:
    first, *_, last = bills(monthly=YEAR).periods

    assert (first.start, first.end) == (date(2001, 1, 1), date(2001, 2, 1))
    assert (last.start, last.end) == (date(2001, 12, 1), date(2002, 1, 1))


def test_another_first_month_and_more_than_a_year() -> None:
    periods = bills(monthly=YEAR + YEAR[:2], first_month="november").periods

    assert periods[0].start == date(2001, 11, 1)
    assert periods[-1].end == date(2003, 1, 1)


def test_missing_readings_leave_a_gap_and_estimates_are_marked() -> None:
    given = ["", "missing", "92 therm estimated", *YEAR[3:]]
    periods = bills(monthly=given).periods

    assert len(periods) == 10
    assert [p.estimated for p in periods[:2]] == [True, False]
    assert periods[0].use == "92 therm"


def test_dated_periods_are_put_in_order() -> None:
    dated = [
        {"from": date(2024, 5, 2), "to": date(2025, 1, 1), "use": "90 ccf"},
        {"from": date(2024, 1, 5), "to": date(2024, 5, 2), "use": "80 ccf", "estimated": True},
    ]
    periods = bills(monthly=dated).periods

    assert [p.use for p in periods] == ["80 ccf", "90 ccf"]
    assert periods[0].days == 118


def test_a_delivery_covers_the_time_since_the_one_before() -> None:
    fills = [
        {"on": date(2023, 12, 1), "amount": "150 gal"},
        {"on": date(2024, 6, 1), "amount": "310 gal"},
        {"on": date(2024, 12, 1), "amount": "120 gal"},
    ]
    periods = bills(fuel="propane", deliveries=fills).periods

    assert [(p.start, p.use) for p in periods] == [
        (date(2023, 12, 1), "310 gal"),
        (date(2024, 6, 1), "120 gal"),
    ]


@pytest.mark.parametrize(
    ("text", "unit"), [("92 therm", "kWh"), ("9 GJ", "kWh"), ("90 ccf", "L"), ("250 m3", "L")]
)
def test_gas_is_energy_or_volume(text: str, unit: str) -> None:
    assert bills(monthly=YEAR).amount(text)[1] == unit


def test_degree_days_stand_for_a_temperature() -> None:
    assert degree_day_temp_c("0 degF day", 30) == pytest.approx((65 - 32) / 1.8)
    assert degree_day_temp_c("300 degC day", 30) == pytest.approx(8.0)
    assert degree_day_temp_c("1,320 degF days", 31) == pytest.approx((65 - 1320 / 31 - 32) / 1.8)


@pytest.mark.parametrize("text", ["1320", "1320 degF", "many degF day"])
def test_figures_that_are_no_degree_days_are_refused(text: str) -> None:
    with pytest.raises(PydanticCustomError, match="not degree days"):
        degree_day_temp_c(text, 30)


def test_negative_use_is_named() -> None:
    message = fault_of(monthly=["-4 therm", *YEAR[1:]])

    assert "monthly (number 1) is -4 therm" in message
    assert "allowed: 0 or more" in message
    assert "missing with an empty text" in message


def test_overlapping_periods_are_named_with_their_dates() -> None:
    message = fault_of(
        monthly=[
            {"from": date(2024, 1, 5), "to": date(2024, 6, 8), "use": "92 therm"},
            {"from": date(2024, 6, 7), "to": date(2025, 1, 5), "use": "80 therm"},
        ]
    )

    assert "2024-01-05 to 2024-06-08 and 2024-06-07" in message
    assert "do not overlap" in message


def test_fewer_than_nine_months_are_refused() -> None:
    assert "nine months or more" in fault_of(monthly=YEAR[:8])


def test_nine_months_are_enough() -> None:
    assert parse_job(job_with(monthly=YEAR[:9])).household.bills is not None


@pytest.mark.parametrize("text", ["92", "92 ft", "92 gal/min", "a lot"])
def test_a_unit_that_is_no_use_of_fuel_is_refused(text: str) -> None:
    message = fault_of(monthly=[text, *YEAR[1:]])

    assert "volume of natural gas" in message
    assert '"92 therm"' in message


def test_electricity_has_no_volume() -> None:
    message = fault_of(fuel="electricity", monthly=["90 gal"] * 12)

    assert "energy" in message
    assert "volume" not in message


def test_a_fuel_the_house_does_not_have_is_refused() -> None:
    message = fault_of(fuel="propane", monthly=["40 gal"] * 12)

    assert "household.bills.fuel is propane" in message
    assert "natural_gas, electricity" in message


def test_bills_of_another_fuel_than_the_present_heaters_are_refused() -> None:
    tables = job_with(monthly=YEAR) | {"existing": {"energy_source": "electricity"}}
    with pytest.raises(JobError, match="the fuel of the existing heater, electricity"):
        parse_job(tables)

    tables["household"]["bills"]["heats_water"] = False
    assert parse_job(tables).household.bills is not None


def test_an_unknown_fuel_suggests_the_nearest() -> None:
    assert "did you mean natural_gas?" in fault_of(fuel="naturalgas", monthly=YEAR)


def test_bills_without_readings_are_refused() -> None:
    assert "monthly readings or deliveries" in fault_of()


def test_readings_and_deliveries_together_are_refused() -> None:
    fills = [{"on": date(2024, month, 1), "amount": "40 gal"} for month in (1, 6, 12)]

    assert "one of the two" in fault_of(monthly=YEAR, deliveries=fills)


def test_a_period_that_ends_before_it_begins_is_refused() -> None:
    message = fault_of(
        monthly=[{"from": date(2024, 6, 8), "to": date(2024, 5, 8), "use": "92 therm"}]
    )

    assert "2024-06-08 to 2024-05-08" in message


def test_bad_degree_days_are_refused() -> None:
    message = fault_of(
        monthly=[{"from": date(2024, 1, 1), "to": date(2025, 1, 1), "use": "900 therm",
                  "degree_days": "9800"}]
    )  # fmt: skip

    assert '"1320 degF day"' in message


def test_two_deliveries_on_a_day_are_refused() -> None:
    fills = [{"on": date(2024, 1, 1), "amount": "40 gal"}] * 2

    assert "add the two amounts" in fault_of(deliveries=fills)
