"""Incentives: inside their dates, in their order, never more than the price."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cost.incentives import AppliedIncentive, apply_incentives
from heatersel.cost.installed import InstalledLine, total
from heatersel.heaters.heater import DrawPattern, EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.job.incentive_table import IncentiveTable

DAY = dt.date(2027, 3, 1)
LINES = (
    InstalledLine(id="heater", text="Heater", amount=1800.0, repeats=True),
    InstalledLine(id="labour", text="Labour", amount=1000.0, repeats=True),
    InstalledLine(id="new_circuit_240v", text="Circuit", amount=700.0, repeats=False),
)
HEATER = Heater(
    id="hp", name="Heat pump", kind=Kind.HEAT_PUMP_STORAGE,
    heater_class=HeaterClass.HEAT_PUMP_240V, energy_source=EnergySource.ELECTRICITY,
    vent_type=VentType.NONE, draw_pattern=DrawPattern.MEDIUM, volume_l=180.0, input_kw=4.5,
    uef=3.5, recovery_efficiency=4.0,
)  # fmt: skip


def incentive(**changes: Any) -> IncentiveTable:
    base = {
        "name": "rebate", "amount": "400 USD", "eligibility": "owner-occupied",
        "first": dt.date(2027, 1, 1), "last": dt.date(2027, 12, 31),
    }  # fmt: skip
    given_percent = (
        {k: v for k, v in base.items() if k != "amount"} if "percent" in changes else base
    )
    return IncentiveTable.model_validate(given_percent | changes)


def applied(*incentives: IncentiveTable, **dates: dt.date) -> tuple[AppliedIncentive, ...]:
    return apply_incentives(incentives, HEATER, LINES, **({"installation_date": DAY} | dates))


def test_inside_its_dates_it_is_taken_off_the_price() -> None:
    (found,) = applied(incentive())

    assert found.applied
    assert found.price_cut == 400.0
    assert "rebate: $400 off the price" in found.sentence
    assert "owner-occupied" in found.sentence


@pytest.mark.parametrize(
    ("dates", "words"),
    [
        ({"installation_date": dt.date(2026, 12, 31)}, "begins on 2027-01-01"),
        ({"installation_date": dt.date(2028, 1, 1)}, "ended on 2027-12-31"),
        ({"installation_date": None}, "the job gives no installation date"),
    ],
)
def test_outside_its_dates_it_is_not_counted_and_says_so(dates: dict[str, Any], words: str) -> None:
    (found,) = applied(incentive(), **dates)

    assert not found.applied
    assert "not counted" in found.sentence
    assert words in found.sentence


@pytest.mark.parametrize("day", [dt.date(2027, 1, 1), dt.date(2027, 12, 31)])
def test_the_first_and_the_last_day_count(day: dt.date) -> None:
    assert applied(incentive(), installation_date=day)[0].applied


def test_one_that_goes_by_purchase_looks_at_the_purchase() -> None:
    by_purchase = incentive(dated_by="purchase")

    assert not applied(by_purchase)[0].applied
    assert applied(by_purchase, purchase_date=DAY)[0].applied


def test_a_percentage_is_capped_and_taken_of_its_basis() -> None:
    whole, capped, heater = applied(
        incentive(percent="10 %", pays="later_cash"),
        incentive(percent="50 %", cap="600 USD", pays="later_cash"),
        incentive(percent="10 %", basis="heater", pays="later_cash"),
    )

    assert whole.later_cash == pytest.approx(350.0)
    assert capped.later_cash == pytest.approx(600.0)
    assert heater.later_cash == pytest.approx(180.0)


def test_a_percentage_is_of_what_the_cuts_before_it_left() -> None:
    percent, fixed = incentive(percent="10 %", order=2), incentive(amount="500 USD", order=1)

    first, second = applied(percent, fixed)

    assert (first.price_cut, second.price_cut) == (pytest.approx(500.0), pytest.approx(300.0))


def test_later_cash_comes_later_and_does_not_lower_the_basis() -> None:
    later, percent = applied(
        incentive(pays="later_cash", months_later=18, order=1), incentive(percent="10 %", order=2)
    )

    assert later.after_years == pytest.approx(1.5)
    assert percent.price_cut == pytest.approx(350.0)


def test_it_applies_only_to_the_kinds_it_names() -> None:
    assert applied(incentive(applies_to=["heat_pump_storage"]))[0].applied
    assert "not of the kind" in applied(incentive(applies_to=["tankless"]))[0].sentence


@given(st.lists(st.tuples(st.floats(1, 6000), st.booleans()), min_size=1, max_size=5))
def test_all_together_never_exceed_the_price(amounts: list[tuple[float, bool]]) -> None:
    found = applied(*(
        incentive(amount=f"{amount:.2f} USD", pays="later_cash" if later else "price_cut")
        for amount, later in amounts
    ))  # fmt: skip

    assert sum(i.price_cut + i.later_cash for i in found) <= total(LINES) + 1e-6


def test_plain_fields_say_whether_it_was_applied() -> None:
    fields: Callable[[], Any] = applied(incentive())[0].as_dict

    assert fields()["applied"] is True


def test_cash_that_comes_after_the_study_is_not_counted_and_says_so() -> None:
    late = incentive(pays="later_cash", months_later=48)
    (after,) = apply_incentives((late,), HEATER, LINES, installation_date=DAY, study_years=3)
    (within,) = apply_incentives((late,), HEATER, LINES, installation_date=DAY, study_years=4)

    assert not after.applied
    assert "not counted, because it is paid after the 3 years" in after.sentence
    assert within.applied
