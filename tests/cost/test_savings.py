"""Net savings, ratios and paybacks of one option against another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from heatersel.cost.finance import Finance, financed
from heatersel.cost.life_cycle import Ownership, StudyTerms
from heatersel.cost.savings import savings_against
from heatersel.heaters.heater import EnergySource

GAS = EnergySource.NATURAL_GAS
TERMS = StudyTerms(discount_rate=0.03, study_years=13)


def owned(installed: float, energy: float, life: float = 13.0) -> Ownership:
    return Ownership(
        installed=installed, replacement=installed, life_years=life, energy_per_year={GAS: energy}
    )


def test_an_option_against_itself_saves_nothing() -> None:
    same = savings_against(owned(2000, 300), owned(2000, 300), TERMS)

    assert same.net_savings == pytest.approx(0.0)
    assert same.sir is None
    assert same.simple_payback_years == 0.0


def test_what_costs_less_and_saves_more_pays_back_at_once() -> None:
    better = savings_against(owned(2000, 300), owned(1500, 200), TERMS)

    assert better.net_savings > 0
    assert (better.simple_payback_years, better.discounted_payback_years) == (0.0, 0.0)
    assert better.sir is None
    assert better.airr is None


def test_what_saves_nothing_never_pays_back() -> None:
    worse = savings_against(owned(2000, 300), owned(2500, 350), TERMS)

    assert worse.simple_payback_years is None
    assert worse.discounted_payback_years is None
    assert worse.sir is not None
    assert worse.sir < 0
    assert worse.airr is None


def test_a_payback_beyond_the_study_is_none() -> None:
    slow = savings_against(owned(2000, 300), owned(5000, 250), TERMS)

    assert slow.simple_payback_years == pytest.approx(60.0)
    assert slow.discounted_payback_years is None


def test_net_savings_are_savings_less_extra_investment() -> None:
    saved = savings_against(owned(2000, 300), owned(3000, 150, life=9.0), TERMS)

    assert saved.net_savings == pytest.approx(saved.operating_savings - saved.extra_investment)
    assert saved.sir == pytest.approx(saved.operating_savings / saved.extra_investment)


def test_a_loan_has_no_payback() -> None:
    loan = Finance(nominal_rate=0.08, years=10)
    base, option = (financed(own, loan, TERMS) for own in (owned(1500, 250), owned(4000, 200)))
    saved = savings_against(base, option, TERMS)

    assert saved.net_savings < 0
    assert saved.simple_payback_years is None
    assert saved.discounted_payback_years is None


def test_the_plain_fields_are_those_of_the_savings() -> None:
    fields = savings_against(owned(2000, 300), owned(3000, 150), TERMS).as_dict()

    assert set(fields) >= {"net_savings", "sir", "airr", "simple_payback_years"}


def rebated(after: float, amount: float = 1000.0) -> Ownership:
    return replace(owned(3000, 200), later_cash=((after, amount),))


@pytest.mark.parametrize(
    ("after", "years"),
    [
        # 1,000 more, 100 a year saved: half a year saves 50, the rebate pays the rest
        (0.5, 0.5),
        (5.0, 5.0),
        (12.0, 10.0),  # by then it is back without
    ],
)
def test_a_rebate_that_comes_later_counts_when_it_comes(after: float, years: float) -> None:
    found = savings_against(owned(2000, 300), rebated(after), TERMS)

    assert found.simple_payback_years == pytest.approx(years)


def test_a_part_of_the_price_that_comes_back_later_shortens_the_payback() -> None:
    # 1,000 more less 400 after a year: 100 a year brings back 600 in six years
    found = savings_against(owned(2000, 300), rebated(1.0, 400.0), TERMS)
    plain = savings_against(owned(2000, 300), owned(3000, 200), TERMS)

    assert found.simple_payback_years == pytest.approx(6.0)
    assert found.discounted_payback_years is not None
    assert plain.discounted_payback_years is None or (
        found.discounted_payback_years < plain.discounted_payback_years
    )


def test_a_rebate_on_the_base_makes_the_payback_longer() -> None:
    base = replace(owned(2000, 300), later_cash=((1.0, 400.0),))

    assert savings_against(base, owned(3000, 200), TERMS).simple_payback_years == pytest.approx(14)
