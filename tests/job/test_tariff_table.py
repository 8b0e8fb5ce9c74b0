"""Tariff tables: what is whole is taken, what is not is refused with the reason."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from heatersel.job.tariff_table import TariffTable, holiday_calendars

FLAT = {"name": "flat", "energy": "0.14 USD/kWh"}
STEP = {"up_to": "600 kWh/month", "price": "0.10 USD/kWh"}
REST = {"price": "0.14 USD/kWh"}


def table(**values: Any) -> TariffTable:
    return TariffTable.model_validate(FLAT | values)


def trouble(**values: Any) -> str:
    with pytest.raises(ValidationError) as found:
        table(**values)
    context = found.value.errors()[0].get("ctx", {})
    return f"{context.get('field', '')}: {context.get('value', '')}; {context.get('allowed', '')}"


def test_a_plain_price_is_one_row_that_always_holds() -> None:
    row = table(delivery="0.02 USD/kWh").delivery[0]

    assert len(row.steps) == 1
    assert row.steps[0].up_to is None


def test_blocks_grow_and_the_last_has_no_end() -> None:
    steps = table(energy=[{"blocks": [STEP, REST]}]).energy[0].steps

    assert steps[0].up_to is not None
    assert steps[0].up_to.amount == pytest.approx(600.0)
    assert steps[1].up_to is None


@pytest.mark.parametrize(
    "blocks",
    [
        [STEP],
        [REST, STEP],
        [STEP, {"up_to": "500 kWh/month", "price": "0.12 USD/kWh"}, REST],
        [STEP, STEP, REST],
        [STEP, {"up_to": "30 kWh/day", "price": "0.12 USD/kWh"}, REST],
        [{"up_to": "0 kWh", "price": "0.1 USD/kWh"}, REST],
    ],
)
def test_blocks_out_of_order_are_refused(blocks: list[dict[str, str]]) -> None:
    assert trouble(energy=[{"blocks": blocks}]).startswith("blocks: out of order")


def test_a_row_needs_a_price_or_blocks_not_both() -> None:
    assert trouble(energy=[{}]).startswith("price: missing or twice")
    assert trouble(energy=[{"price": "0.1 USD/kWh", "blocks": [REST]}]).startswith(
        "price: missing or twice"
    )


def test_windows_that_overlap_or_leave_a_gap_name_the_first_hour() -> None:
    gap = [{"hours": "0-6", "price": "0.1 USD/kWh"}, {"hours": "7-24", "price": "0.2 USD/kWh"}]
    twice = [{"hours": "0-8", "price": "0.1 USD/kWh"}, {"hours": "7-24", "price": "0.2 USD/kWh"}]

    assert "energy: without a price on January 1, 06:00, weekdays" in trouble(energy=gap)
    assert "delivery: priced 2 times on January 1, 07:00, weekdays" in trouble(delivery=twice)


def test_credits_may_leave_hours_out_but_not_overlap() -> None:
    night = {"hours": "0-6", "price": "-0.02 USD/kWh"}

    assert len(table(credit=[night]).credit) == 1
    assert "at most one price" in trouble(credit=[night, {"price": "-0.01 USD/kWh"}])


def test_an_unknown_calendar_or_time_zone_is_refused() -> None:
    assert trouble(holidays="moon").startswith("holidays: moon; us_federal")
    assert trouble(time_zone="Mars/Olympus").startswith("time_zone: Mars/Olympus")
    assert set(holiday_calendars()) >= {"us_federal", "us_six", "canada_federal"}


def test_a_rider_is_a_share_or_an_amount_of_something_known() -> None:
    assert trouble(rider=[{"name": "tax"}]).startswith("share: missing or twice")
    assert trouble(rider=[{"name": "tax", "share": "5 %", "of": "moon"}]).startswith("of: moon")


def test_deliveries_fit_together() -> None:
    assert trouble(drop_fee="10 USD").startswith("drop: missing")
    assert trouble(drop="100 gal", minimum_drop="150 gal").startswith("drop: below minimum_drop")
    assert trouble(drop="0 gal").startswith("drop: 0")
    mixed = trouble(drop="200 gal", minimum_drop="5 GJ", short_drop_fee="50 USD")
    assert mixed.startswith("minimum_drop: in other units than drop")
    short = table(drop="100 gal", minimum_drop="150 gal", short_drop_fee="50 USD")
    assert short.short_drop_fee is not None


def test_every_amount_of_money_is_found_for_the_currency_check() -> None:
    made = table(
        fixed="5 USD/month", delivery=[{"blocks": [STEP, REST]}],
        demand=[{"price": "3 USD/kW/month"}], rider=[{"name": "levy", "amount": "1 USD/month"}],
    )  # fmt: skip

    fields = [field for field, _ in made.money()]

    assert fields == ["fixed", "energy.price", "delivery.blocks.price", "delivery.blocks.price",
                      "demand.price", "rider.amount"]  # fmt: skip
