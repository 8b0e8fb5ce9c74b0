"""Sentences for the customer: units of the bill, rounded as people speak."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from math import inf

import pytest

from heatersel.cost.basis import cost_basis
from heatersel.cost.break_even import PriceRange
from heatersel.cost.drawn import Lead
from heatersel.cost.option_cost import OptionCost, option_cost
from heatersel.cost.savings import Savings
from heatersel.cost.uncertainty import Band
from heatersel.cost.words import sentences
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.models import Job
from heatersel.simulation.result import AnnualResult

GAS, POWER, PROPANE = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY, EnergySource.PROPANE
BAND = Band(p10=8412.0, p50=9876.0, p90=12345.0, mean=10000.0, cheapest_probability=0.71,
            regret=120.0, p50_error=20.0, probability_error=0.01, n_draws=2000)  # fmt: skip


def savings(net: float, payback: float | None) -> Savings:
    return Savings(net_savings=net, extra_investment=500.0, operating_savings=net + 500.0, sir=2.0,
                   airr=0.05, simple_payback_years=payback, discounted_payback_years=payback,
                   equivalent_annual_savings=net / 15.0)  # fmt: skip


def between(source: EnergySource, low: float, high: float, today: float) -> PriceRange:
    return PriceRange(source=source, today_per_kwh=today, low_per_kwh=low, high_per_kwh=high)


@pytest.fixture
def said(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater],
) -> Callable[..., str]:  # fmt: skip
    def text(
        saved: Savings | None = None, *ranges: PriceRange, currency: str = "USD",
        lead: Lead | None = None,
    ) -> str:  # fmt: skip
        region = "ON" if currency == "CAD" else "MN"
        basis = cost_basis(job_with(prices={"region": region}))
        cost: OptionCost = option_cost(basis, gas_tank(), year_of(GAS, 5000.0))
        return " ".join(sentences(replace(cost, band=BAND), saved, ranges, (), basis, lead))

    return text


def test_the_span_and_the_chance_are_rounded_as_people_speak(said: Callable[..., str]) -> None:
    assert (
        "Over 20 years about $9,900 in today's money ($8,400 to $12,300 in 8 of 10 futures);"
        " cheapest in 7 of 10 futures." in said()
    )


@pytest.mark.parametrize(
    ("saved", "words"),
    [
        (savings(840.0, 6.4), "It saves $840 over 20 years against replacing like for like, and"
         " the extra price is back after about 6 years."),
        (savings(840.0, None), "It saves $840 over 20 years against replacing like for like."),
        (savings(840.0, 0.0), "and costs no more to put in."),
        (savings(-1260.0, None), "It costs $1,300 more over 20 years than replacing"),
    ],
)  # fmt: skip
def test_savings_are_told_with_their_payback(
    said: Callable[..., str], saved: Savings, words: str
) -> None:
    assert words in said(saved)


@pytest.mark.parametrize(
    ("net", "mean", "share", "words"),
    [
        (170.0, -940.0, 0.38, "If all goes as rated it saves $170 over 20 years against replacing"
         " like for like, but in 6 of 10 drawn futures replacing like for like costs less."),
        (170.0, -940.0, 0.53, "If all goes as rated it saves $170 over 20 years against replacing"
         " like for like, but on average over the drawn futures it costs $940 more."),
        (170.0, 40.0, 0.48, "but in about half of the drawn futures replacing like for like costs"),
        (170.0, -940.0, 0.02, "but in nearly all drawn futures replacing like for like costs"),
        (170.0, 940.0, 0.62, "It saves $170 over 20 years against replacing like for like, and"),
        (170.0, -4.0, 0.52, "It saves $170 over 20 years against replacing like for like, and"),
        (-170.0, 940.0, 0.71, "If all goes as rated it costs $170 more over 20 years than replacing"
         " like for like, but in 7 of 10 drawn futures it costs less."),
        (-170.0, 940.0, 0.45, "but on average over the drawn futures it saves $940."),
        (-170.0, -940.0, 0.45, "It costs $170 more over 20 years than replacing like for like."),
    ],
)  # fmt: skip
def test_a_saving_that_the_drawn_futures_turn_is_told_with_them(
    said: Callable[..., str], net: float, mean: float, share: float, words: str
) -> None:
    assert words in said(savings(net, 14.0), lead=Lead(mean=mean, share=share))


@pytest.mark.parametrize(
    ("price", "words"),
    [
        (between(POWER, 0.0, 0.21, 0.14), "electricity prices up to $0.210 per kWh (today $0.140)"),
        (between(GAS, 0.03, inf, 0.0375), "natural gas prices from $0.879 per therm upwards"),
        (between(GAS, 0.03, 0.06, 0.0375), "between $0.879 and $1.76 per therm (today $1.10)"),
        (between(POWER, 0.0, inf, 0.14), "the cheapest at any price of electricity."),
        (between(PROPANE, 0.0, 0.10, 0.09), "per gal (today $2.4"),
    ],
)
def test_prices_are_told_in_the_unit_of_the_bill(
    said: Callable[..., str], price: PriceRange, words: str
) -> None:
    assert words in said(None, price)


@pytest.fixture
def told(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater], electric_tank: Callable[..., Heater],
) -> Callable[..., str]:  # fmt: skip
    def text(source: EnergySource, *, other_gas: str = "0 Btu/h", **prices: object) -> str:
        home = {"fuels": ["natural_gas", "propane", "electricity"], "other_gas_input": other_gas}
        basis = cost_basis(job_with(home=home, prices=prices))
        heater = electric_tank() if source is POWER else gas_tank(energy_source=source)
        cost = option_cost(basis, heater, year_of(source, 4800.0))
        return " ".join(sentences(cost, None, (), (), basis))

    return text


def test_the_last_gas_appliance_carries_the_standing_charge(told: Callable[..., str]) -> None:
    gas = {"natural_gas": "1.10 USD/therm", "fixed_charge": {"natural_gas": "12 USD/month"}}

    assert "its standing charge of $144 a year is this heater's own" in told(GAS, **gas)
    assert "standing charge" not in told(GAS, other_gas="80000 Btu/h", **gas)


BLOCKS = [{"name": "steps", "energy": [{"blocks": [
    {"up_to": "500 kWh/month", "price": "0.10 USD/kWh"}, {"price": "0.20 USD/kWh"}]}]}]  # fmt: skip


def test_typical_use_is_named_where_it_bites(told: Callable[..., str]) -> None:
    assert "what homes in MN typically use" in told(POWER, electricity=BLOCKS)
    own = {"other_use": {"electricity": "600 kWh/month"}}
    assert "typically" not in told(POWER, electricity=BLOCKS, **own)
    assert "typically" not in told(POWER, electricity="0.14 USD/kWh")


def test_loads_that_come_sooner_are_explained(told: Callable[..., str]) -> None:
    propane = [{"name": "dealer", "energy": "2 USD/gal", "drop": "200 gal", "drop_fee": "10 USD"}]

    assert "Propane comes by the load" in told(PROPANE, propane=propane)
    assert "by the load" not in told(PROPANE, propane="2 USD/gal")


def test_a_loan_is_told_at_its_own_rate(told: Callable[..., str]) -> None:
    loan = {"rate": 0.0899, "years": 5.0}

    assert "a month for 5 years at 8.99 %." in told(GAS, natural_gas="1 USD/therm", finance=loan)


def test_a_middle_above_the_expected_cost_is_explained(said: Callable[..., str]) -> None:
    # the ledger of the fixture comes to less than the 9,876 of the band
    assert "With all as expected the years add up to $" in said()


def test_a_range_that_does_not_hold_today_is_not_told(said: Callable[..., str]) -> None:
    assert "stays the cheapest" not in said(None, between(POWER, 0.2, 0.3, 0.14))


def test_canadian_prices_are_in_canadian_dollars_and_units(said: Callable[..., str]) -> None:
    text = said(None, between(GAS, 0.0, 0.06, 0.04), currency="CAD")

    assert "C$" in text
    assert "per m3" in text


def test_a_saving_below_the_rounding_is_about_the_same(said: Callable[..., str]) -> None:
    for net in (3.0, -3.0):
        assert "comes to about the same over 20 years as replacing" in said(savings(net, None))
        assert "$0" not in said(savings(net, None))


@pytest.mark.parametrize(
    ("payback", "time"),
    [(0.4, "within the first year"), (1.2, "after about 1 year."), (7.6, "after about 8 years.")],
)
def test_a_payback_is_told_as_people_speak(
    said: Callable[..., str], payback: float, time: str
) -> None:
    assert time in said(savings(500.0, payback))


def test_a_loan_tells_its_share_its_fee_and_what_is_still_owed(told: Callable[..., str]) -> None:
    loan = {"rate": 0.09, "years": 25.0, "share": 0.5, "fee": "400 USD"}
    text = told(GAS, natural_gas="1 USD/therm", finance=loan)

    assert "Financed: 50 % of the price, $" in text
    assert " a month for 25 years at 9 %, and $400 at the start for the loan." in text
    assert "What is still owed after 20 years" in text
    assert re.search(r"\$\d\.\d\d a month|\$1\d\.\d\d a month", text)


def test_a_price_per_volume_counts_the_tariffs_own_heat(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater],
) -> None:  # fmt: skip
    gas = [{"name": "dealer", "energy": "0.50 CAD/m3", "heat_content": "35 MJ/m3"}]
    basis = cost_basis(job_with(
        place={"climate": "Toronto, ON"}, prices={"natural_gas": gas}))  # fmt: skip
    cost = option_cost(basis, gas_tank(), year_of(GAS, 5000.0))
    kwh_per_m3 = 35.0 / 3.6
    span = between(GAS, 0.3 / kwh_per_m3, 0.9 / kwh_per_m3, 0.5 / kwh_per_m3)

    text = " ".join(sentences(cost, None, (span,), (), basis))

    assert "between C$0.300 and C$0.900 per m3 (today C$0.500)" in text


def test_the_last_propane_appliance_makes_no_load_come_sooner(told: Callable[..., str]) -> None:
    propane = [{"name": "dealer", "energy": "2 USD/gal", "drop": "200 gal"}]
    alone = told(PROPANE, propane=propane, other_use={"propane": "0 gal/month"})

    assert "Propane comes by the load, so that" in alone
