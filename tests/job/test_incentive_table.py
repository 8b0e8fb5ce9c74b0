"""Incentives and loans as entered; an incentive without its dates is refused."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from pydantic import ValidationError

from heatersel.job.incentive_table import FinanceTable, IncentiveTable

WHOLE = {
    "name": "utility rebate", "amount": "400 USD", "eligibility": "owner-occupied",
    "first": dt.date(2027, 1, 1), "last": dt.date(2027, 12, 31),
}  # fmt: skip


def refusal(model: type[Any], values: dict[str, Any]) -> dict[str, Any]:
    with pytest.raises(ValidationError) as found:
        model.model_validate(values)
    return dict(found.value.errors()[0].get("ctx", {}))


def test_a_whole_incentive_is_taken() -> None:
    assert IncentiveTable.model_validate(WHOLE).amount is not None


@pytest.mark.parametrize("missing", ["first", "last"])
def test_an_incentive_without_dates_is_refused(missing: str) -> None:
    context = refusal(IncentiveTable, {k: v for k, v in WHOLE.items() if k != missing})

    assert "missing" in context["value"]
    assert "a first and a last date" in context["allowed"]


def test_dates_in_the_wrong_order_are_refused() -> None:
    context = refusal(IncentiveTable, WHOLE | {"last": dt.date(2026, 1, 1)})

    assert context["value"] == "2027-01-01 to 2026-01-01"


def test_amount_or_percent_not_both_and_not_neither() -> None:
    both, neither = WHOLE | {"percent": "30 %"}, {k: v for k, v in WHOLE.items() if k != "amount"}

    assert refusal(IncentiveTable, both)["allowed"] == "either amount or percent"
    assert refusal(IncentiveTable, neither)["allowed"] == "either amount or percent"


def test_a_negative_percentage_is_refused() -> None:
    values = {k: v for k, v in WHOLE.items() if k != "amount"} | {"percent": "-5 %"}

    assert refusal(IncentiveTable, values)["allowed"] == "0 % to 100 %"


def test_a_loan_needs_a_share_of_the_price() -> None:
    assert refusal(FinanceTable, {"rate": 0.08, "years": 5, "share": "0 %"})["field"] == "share"
    assert FinanceTable.model_validate({"rate": 0.08, "years": 5}).share == 1.0
