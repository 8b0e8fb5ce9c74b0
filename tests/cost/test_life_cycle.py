"""Present values and the ledger: limits, balances, and what a longer life may never cost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cost.life_cycle import (
    Ownership,
    StudyTerms,
    annual_factor,
    equivalent_annual_cost,
    escalated_factor,
    ledger,
    life_cycle_cost,
    present_value,
    real_rate,
    replacement_times,
    unused_share,
)
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource

ELECTRICITY = EnergySource.ELECTRICITY
rates = st.floats(0.0, 0.15)
lives = st.floats(2.0, 40.0)


def option(**changes: object) -> Ownership:
    base: dict[str, object] = {
        "installed": 2000.0, "replacement": 1500.0, "life_years": 13.0,
        "energy_per_year": {ELECTRICITY: 400.0}, "maintenance_per_year": 20.0,
    }  # fmt: skip
    return Ownership(**(base | changes))  # type: ignore[arg-type]


def test_without_discount_a_factor_is_the_number_of_years() -> None:
    assert annual_factor(0.0, 20) == pytest.approx(20.0)
    assert escalated_factor(0.03, 0.03, 20) == pytest.approx(20.0)
    assert present_value(0.0, 12.5) == 1.0


@given(rates, st.floats(-0.05, 0.05), st.integers(1, 40))
def test_closed_form_of_growing_payments_equals_their_sum(
    rate: float, growth: float, years: int
) -> None:
    summed = sum(((1 + growth) / (1 + rate)) ** t for t in range(1, years + 1))

    assert escalated_factor(rate, growth, years) == pytest.approx(summed, rel=1e-6)


def test_a_year_of_life_beyond_the_study_is_credited() -> None:
    assert replacement_times(13.0, 20) == (13.0,)
    assert unused_share(13.0, 20) == pytest.approx(6 / 13)
    assert replacement_times(20.0, 20) == ()
    assert unused_share(20.0, 20) == 0.0
    assert replacement_times(10.0, 20) == (10.0,)
    assert unused_share(10.0, 20) == 0.0


@given(lives, lives, rates, st.integers(5, 30))
def test_a_longer_life_never_costs_more(a: float, b: float, rate: float, years: int) -> None:
    terms = StudyTerms(discount_rate=rate, study_years=years)
    short, long = sorted((a, b))

    assert life_cycle_cost(option(life_years=long), terms) <= (
        life_cycle_cost(option(life_years=short), terms) + 1e-6
    )


@given(st.floats(0.0, 2000.0), st.floats(0.0, 2000.0), rates)
def test_dearer_energy_never_costs_less(a: float, b: float, rate: float) -> None:
    terms = StudyTerms(discount_rate=rate)
    low, high = sorted((a, b))

    assert life_cycle_cost(option(energy_per_year={ELECTRICITY: low}), terms) <= (
        life_cycle_cost(option(energy_per_year={ELECTRICITY: high}), terms)
    )


@given(lives, rates, st.floats(-0.02, 0.04), st.integers(1, 30))
def test_the_parts_of_each_year_add_up_to_its_total(
    life: float, rate: float, growth: float, years: int
) -> None:
    terms = StudyTerms(discount_rate=rate, study_years=years, escalation={ELECTRICITY: growth})
    owned = option(life_years=life, later_cash=((0.5, 300.0),), fixed_per_year=120.0)

    for year in ledger(owned, terms):
        parts = year.investment + sum(year.energy.values()) + year.fixed
        assert year.total == pytest.approx(parts + year.maintenance + year.residual)


def test_a_replacement_stands_in_the_year_in_which_it_falls() -> None:
    years = ledger(option(life_years=6.5), StudyTerms(study_years=15))

    bought = {year.year: year.investment for year in years if year.investment}
    assert bought == {0: 2000.0, 7: 1500.0, 13: 1500.0}


def test_money_received_later_counts_at_its_own_date() -> None:
    terms = StudyTerms(discount_rate=0.05, study_years=10)
    gain = life_cycle_cost(option(), terms) - life_cycle_cost(
        option(later_cash=((2.0, 500.0),)), terms
    )

    assert gain == pytest.approx(500.0 / 1.05**2)


def test_the_equivalent_annual_cost_is_worth_the_life_cycle_cost() -> None:
    terms = StudyTerms(discount_rate=0.04, study_years=15)
    level = equivalent_annual_cost(5000.0, terms)

    assert sum(level * present_value(0.04, t) for t in range(1, 16)) == pytest.approx(5000.0)


def test_without_inflation_the_real_rate_is_the_nominal_one() -> None:
    assert real_rate(0.05, 0.0) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("values", "name"),
    [
        ({"discount_rate": 3.0}, "discount_rate"),
        ({"study_years": 0}, "study_years"),
        ({"inflation": -0.2}, "inflation"),
        ({"escalation": {ELECTRICITY: 0.9}}, "escalation.electricity"),
    ],
)
def test_terms_outside_their_range_are_refused(values: dict[str, object], name: str) -> None:
    with pytest.raises(OutOfRangeError, match=rf"{name} is .*allowed"):
        StudyTerms(**values)  # type: ignore[arg-type]


def test_a_life_below_a_year_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"life_years is 0.2"):
        option(life_years=0.2)
