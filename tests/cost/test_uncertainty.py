"""Drawn futures: common to all options, seeded, and settled to the error they state."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from heatersel.cost.life_cycle import Ownership, StudyTerms, life_cycle_cost
from heatersel.cost.uncertainty import (
    INPUTS,
    CostCurve,
    Future,
    Ranges,
    Uncertain,
    bands,
    draw,
    field_shortfall_frac,
    futures_of,
    in_words,
    life_cycle_costs,
)
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, HeaterClass

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY
TERMS = StudyTerms(discount_rate=0.03, study_years=20)
CERTAIN = Ranges(
    demand_sd=0.0, price_sd=0.0, growth_low=0.0, growth_high=0.0, discount_low=0.0,
    discount_high=0.0, market_low=1.0, market_high=1.0, installed_low=1.0, installed_high=1.0,
)  # fmt: skip


def option(
    id_: str = "gas", heater_class: HeaterClass = HeaterClass.ATMOSPHERIC_STORAGE,
    source: EnergySource = GAS, energy: float = 300.0, shortfall: float = 0.0, **changes: Any,
) -> Uncertain:  # fmt: skip
    ownership = Ownership(**({
        "installed": 2000.0, "replacement": 1800.0, "life_years": 13.0,
        "energy_per_year": {source: energy}, "maintenance_per_year": 25.0,
    } | changes))  # fmt: skip
    return Uncertain(
        id=id_, heater_class=heater_class, ownership=ownership,
        price=CostCurve.straight(ownership.installed),
        receipts=tuple((years, _fixed(amount)) for years, amount in ownership.later_cash),
        curves={source: CostCurve.straight(energy)}, shortfall_frac=shortfall,
    )  # fmt: skip


def _fixed(amount: float) -> CostCurve:
    return CostCurve(scale=np.array([0.0, 1.0]), cost=np.array([amount, amount]))


HEAT_PUMP = option("hp", HeaterClass.HEAT_PUMP_240V, POWER, 200.0, installed=3500.0)


def fixed_future(life_quantile: float) -> Future:
    one = np.ones(1)
    return Future(
        demand=one, discount_rate=0.03 * one, market=one,
        price=dict.fromkeys(EnergySource, one), growth=dict.fromkeys(EnergySource, 0.0 * one),
        installed=dict.fromkeys(HeaterClass, one),
        life_quantile=dict.fromkeys(HeaterClass, life_quantile * one),
        field_quantile=dict.fromkeys(HeaterClass, 0.0 * one),
    )  # fmt: skip


@pytest.mark.parametrize("life", [6.5, 9.0, 10.0, 13.0, 20.0, 27.0])
def test_a_future_without_surprises_costs_what_the_ledger_says(life: float) -> None:
    shape = 3.0
    scale = 13.0 / stats.weibull_min.mean(shape)
    quantile = float(stats.weibull_min.cdf(life, shape, scale=scale))
    drawn = life_cycle_costs((option(),), TERMS, fixed_future(quantile))
    known = life_cycle_cost(option(life_years=life).ownership, TERMS)

    assert drawn[0, 0] == pytest.approx(known, rel=1e-9)


def test_life_follows_the_weibull_distribution_of_its_mean() -> None:
    lives = option().life_years(futures_of(draw(20_000, 1), TERMS, Ranges()))
    scale = 13.0 / stats.weibull_min.mean(3.0)

    assert lives.mean() == pytest.approx(13.0, rel=0.005)
    assert stats.kstest(lives, stats.weibull_min(3.0, scale=scale).cdf).statistic < 0.01


def test_inputs_have_the_spread_that_the_ranges_state() -> None:
    future = futures_of(draw(20_000, 2), TERMS, Ranges())

    assert future.demand.mean() == pytest.approx(1.0, abs=0.005)
    assert future.demand.std() == pytest.approx(0.20, abs=0.005)
    assert future.price[GAS].std() == pytest.approx(0.05, abs=0.002)
    assert future.growth[POWER].min() >= -0.01
    assert future.growth[POWER].max() <= 0.02
    # triangular: mean of the three corners
    assert future.discount_rate.mean() == pytest.approx(0.03 + (-0.01 + 0.0 + 0.04) / 3, abs=1e-3)
    assert future.market.mean() == pytest.approx((0.90 + 1.0 + 1.15) / 3, abs=1e-3)


def test_each_batch_takes_every_slice_of_an_input_once() -> None:
    uniform = draw(1000, 3)

    assert uniform.shape == (1000, len(INPUTS))
    for batch in uniform.reshape(10, 100, -1):
        slices = np.sort((batch * 100).astype(int), axis=0)
        assert np.array_equal(slices, np.repeat(np.arange(100)[:, None], len(INPUTS), axis=1))


def test_the_same_seed_gives_the_same_bands_and_another_seed_others() -> None:
    options = (option(), HEAT_PUMP)

    assert bands(options, TERMS, seed=7) == bands(options, TERMS, seed=7)
    assert bands(options, TERMS, seed=7) != bands(options, TERMS, seed=8)


def test_adding_an_option_changes_no_other_options_band() -> None:
    alone = bands((option(),), TERMS)[0]
    beside = bands((HEAT_PUMP, option()), TERMS)[1]

    assert (alone.p10, alone.p50, alone.p90, alone.mean) == (
        beside.p10, beside.p50, beside.p90, beside.mean,
    )  # fmt: skip


def test_probabilities_add_up_and_regret_is_never_negative() -> None:
    found = bands((option(), HEAT_PUMP, option("dear", energy=500.0)), TERMS)

    assert sum(band.cheapest_probability for band in found) == pytest.approx(1.0)
    assert all(band.regret >= 0.0 for band in found)
    assert all(band.p10 <= band.p50 <= band.p90 for band in found)


def test_twins_share_the_chance_of_being_cheapest() -> None:
    one, other = bands((option("a"), option("b")), TERMS)

    assert one.cheapest_probability == other.cheapest_probability == pytest.approx(0.5)
    assert one.regret == 0.0


def test_a_dearer_twin_is_never_the_cheapest() -> None:
    better, worse = bands((option(), option("dear", energy=310.0)), TERMS)

    assert better.cheapest_probability == 1.0
    assert worse.cheapest_probability == 0.0
    assert worse.regret > 0.0


@pytest.mark.parametrize("seed", range(1, 6))
def test_two_thousand_draws_have_settled_to_the_error_they_state(seed: int) -> None:
    options = (option(shortfall=0.2), HEAT_PUMP)
    truth = bands(options, TERMS, n_draws=200_000, seed=99)

    for found, true in zip(bands(options, TERMS, seed=seed), truth, strict=True):
        # four standard errors: with ten figures, one in a thousand tests would fail by chance
        assert abs(found.p50 - true.p50) < 4 * found.p50_error
        assert abs(found.cheapest_probability - true.cheapest_probability) < 4 * max(
            found.probability_error, 0.002
        )
        assert found.p50_error < 0.01 * found.p50
        assert found.probability_error < 0.02


def test_without_spread_only_life_is_left_to_chance() -> None:
    longer = option("long", life_years=13.0)
    (band,) = bands((longer,), TERMS, ranges=CERTAIN)
    kept = bands((option(life_years=13.0, replacement=0.0),), TERMS, ranges=CERTAIN)[0]

    assert band.p10 < band.p90
    assert kept.p10 == pytest.approx(kept.p90)


def test_a_field_shortfall_makes_energy_dearer() -> None:
    plain, short = bands((option("a"), option("b", shortfall=0.2)), TERMS)

    assert short.mean > plain.mean


def test_higher_prices_never_lower_a_band() -> None:
    for seed in (1, 2, 3):
        low = bands((option(energy=300.0),), TERMS, seed=seed)[0]
        high = bands((option(energy=330.0),), TERMS, seed=seed)[0]
        assert high.p10 >= low.p10
        assert high.p50 >= low.p50
        assert high.p90 >= low.p90


@pytest.mark.parametrize("life", [8.0, 13.0, 19.0])
def test_a_longer_mean_life_never_raises_a_band(life: float) -> None:
    shorter, longer = bands((option("a", life_years=life), option("b", life_years=life + 2)), TERMS)

    assert longer.p10 <= shorter.p10
    assert longer.p50 <= shorter.p50
    assert longer.p90 <= shorter.p90


def test_a_bent_cost_curve_is_taken_between_and_beyond_its_ends() -> None:
    curve = CostCurve(scale=np.array([0.0, 1.0, 2.0]), cost=np.array([0.0, 100.0, 300.0]))

    assert curve.at(np.array([0.5, 1.0, 1.5, 2.0, 3.0])).tolist() == [50, 100, 200, 300, 500]


def test_a_loan_is_as_large_as_the_price_turns_out_and_its_fee_stays() -> None:
    # all of it borrowed and paid at once is cash; receipts do not follow the market
    lent, fee = option(paid=((0.0, 0.25), (0.0, 0.75))), option(loan_fee=100.0)
    receipts = option(later_cash=((1.0, 500.0),))

    plain, as_lent, with_fee, with_receipts = (
        bands((each,), TERMS, seed=4)[0] for each in (option(), lent, fee, receipts)
    )
    assert as_lent.p90 == pytest.approx(plain.p90)
    assert with_fee.p90 == pytest.approx(plain.p90 + 100.0)
    assert with_receipts.mean < plain.mean


@pytest.mark.parametrize("n_draws", [50, 1005, 2_000_000])
def test_an_odd_number_of_draws_is_refused(n_draws: int) -> None:
    with pytest.raises(OutOfRangeError, match=f"n_draws is {n_draws}; allowed: a multiple of 10"):
        draw(n_draws, 1)


def test_no_option_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="options is none"):
        bands((), TERMS)


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.68, "cheapest in 7 of 10 futures"), (0.0, "hardly ever the cheapest"),
     (0.05, "cheapest in 1 of 20 futures"), (0.96, "cheapest in 9 of 10 futures"),
     (0.99, "cheapest in nearly every future"), (0.08, "cheapest in 1 of 10 futures")],
)  # fmt: skip
def test_probabilities_are_said_as_a_customer_would(probability: float, words: str) -> None:
    assert in_words(probability) == words


@pytest.mark.parametrize("heater_class", HeaterClass)
def test_every_class_has_a_field_shortfall(heater_class: HeaterClass) -> None:
    assert 0.0 <= field_shortfall_frac(heater_class) <= 0.3
