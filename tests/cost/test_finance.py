"""Loans for the installation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cost.finance import Finance, financed, monthly_payment
from heatersel.cost.life_cycle import Ownership, StudyTerms, life_cycle_cost
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource

OWNED = Ownership(
    installed=3000.0, replacement=2500.0, life_years=14.0,
    energy_per_year={EnergySource.ELECTRICITY: 300.0},
)  # fmt: skip


def test_without_interest_the_loan_is_shared_evenly() -> None:
    assert monthly_payment(1200.0, Finance(nominal_rate=0.0, years=2)) == pytest.approx(50.0)


@given(st.floats(0.0, 0.3), st.floats(0.0, 0.3))
def test_a_higher_rate_never_lowers_the_payment(a: float, b: float) -> None:
    low, high = sorted((a, b))

    assert monthly_payment(3000.0, Finance(nominal_rate=low, years=5)) <= (
        monthly_payment(3000.0, Finance(nominal_rate=high, years=5)) + 1e-9
    )


def test_a_loan_at_the_customers_own_rate_costs_as_much_as_cash() -> None:
    # 3 % real and 2 % inflation make 5.06 % nominal a year, charged monthly.
    yearly = 1.03 * 1.02
    monthly_rate = 12.0 * (yearly ** (1 / 12) - 1.0)
    loan = Finance(nominal_rate=monthly_rate, years=5)
    terms = StudyTerms(discount_rate=0.03, inflation=0.02)

    assert life_cycle_cost(financed(OWNED, loan, terms), terms) == pytest.approx(
        life_cycle_cost(OWNED, terms), abs=0.01
    )


@pytest.mark.parametrize("study_years", [3, 5, 10, 20])
def test_what_is_owed_at_the_end_of_the_study_is_not_given_away(study_years: int) -> None:
    # At the customer's own rate a loan is worth what it lends, however long either lasts.
    rate = 12.0 * ((1.03 * 1.02) ** (1 / 12) - 1.0)
    terms = StudyTerms(discount_rate=0.03, inflation=0.02, study_years=study_years)
    own, free = (
        life_cycle_cost(financed(OWNED, Finance(nominal_rate=r, years=15), terms), terms)
        for r in (rate, 0.0)
    )

    assert own == pytest.approx(life_cycle_cost(OWNED, terms), abs=0.01)
    assert 0.5 * own < free < own


def test_a_dear_loan_costs_more_than_cash_and_a_fee_adds_to_it() -> None:
    terms = StudyTerms(discount_rate=0.03)
    dear = financed(OWNED, Finance(nominal_rate=0.12, years=7), terms)
    fee = financed(OWNED, Finance(nominal_rate=0.12, years=7, fee=100.0), terms)

    assert life_cycle_cost(dear, terms) > life_cycle_cost(OWNED, terms)
    assert life_cycle_cost(fee, terms) == pytest.approx(life_cycle_cost(dear, terms) + 100.0)


@pytest.mark.parametrize(
    "values",
    [
        {"nominal_rate": 8.0, "years": 5},
        {"nominal_rate": 0.08, "years": 50},
        {"nominal_rate": 0.05, "years": 5, "share": 1.5},
    ],
)
def test_an_impossible_loan_is_refused(values: dict[str, float]) -> None:
    with pytest.raises(OutOfRangeError, match="allowed"):
        Finance(**values)
