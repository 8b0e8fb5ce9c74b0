"""Which input moves the choice: one at a time, and by shares of variance."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.cost.life_cycle import Ownership, StudyTerms
from heatersel.cost.sensitivity import influences, shares_of_variance, variance_shares
from heatersel.cost.uncertainty import CostCurve, Ranges, Uncertain
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, HeaterClass

TERMS = StudyTerms()


def option(
    heater_class: HeaterClass, source: EnergySource, installed: float, energy: float
) -> Uncertain:
    return Uncertain(
        id=heater_class.value, heater_class=heater_class,
        ownership=Ownership(installed=installed, replacement=installed, life_years=13.0,
                            energy_per_year={source: energy}),
        price=CostCurve.straight(installed), curves={source: CostCurve.straight(energy)},
        shortfall_frac=0.1,
    )  # fmt: skip


GAS = option(HeaterClass.ATMOSPHERIC_STORAGE, EnergySource.NATURAL_GAS, 1900.0, 280.0)
HEAT_PUMP = option(HeaterClass.HEAT_PUMP_240V, EnergySource.ELECTRICITY, 3600.0, 160.0)


def test_the_strongest_influence_comes_first_and_none_is_foreign() -> None:
    found = influences(GAS, HEAT_PUMP, TERMS)
    names = {item.input for item in found}

    assert [item.swing for item in found] == sorted((i.swing for i in found), reverse=True)
    assert "today's price of natural gas" in names
    assert not any("propane" in name or "tankless" in name for name in names)


def test_each_influence_shows_its_range() -> None:
    by_name = {item.input: item for item in influences(GAS, HEAT_PUMP, TERMS)}

    price = by_name["today's price of electricity"]
    assert price.low < 1.0 < price.high
    # dearer electricity raises the lead of the gas heater
    assert price.lead_high > price.lead_low
    life = by_name["how long a chimney-vented gas tank lasts"]
    assert 5.0 < life.low < 13.0 < life.high < 22.0
    discount = by_name["how much less later money counts (the discount rate)"]
    assert discount.low < 0.03 + 0.01 < discount.high
    assert life.as_dict()["swing"] == life.swing


def test_each_range_is_told_in_words() -> None:
    by_name = {item.input: item for item in influences(GAS, HEAT_PUMP, TERMS)}

    # Weibull of shape 3 and mean 13: scale 14.56, tenth 14.56 * 0.1054^(1/3), ninetieth * 2.303^
    assert by_name["how long a chimney-vented gas tank lasts"].span == "7 to 19 years"
    # uniform up to 10 %
    assert by_name["how far a heat pump tank falls short of its rating"].span == "1% to 9%"
    # lognormal of 5 %: 1.2816 standard deviations to either side
    assert by_name["today's price of electricity"].span == "-6% to +6%"
    assert by_name["how natural gas grows dearer"].span == "-0.5 % to +1.2 % a year"


def test_an_input_without_range_moves_nothing() -> None:
    still = Ranges(price_sd=0.0)
    by_name = {item.input: item for item in influences(GAS, HEAT_PUMP, TERMS, still)}

    assert by_name["today's price of electricity"].swing == pytest.approx(0.0, abs=1e-6)


def test_total_shares_hold_the_first_order_ones_and_come_in_order() -> None:
    found = shares_of_variance(GAS, HEAT_PUMP, TERMS)

    assert [share.total for share in found] == sorted((s.total for s in found), reverse=True)
    assert sum(share.first_order for share in found) <= 1.1
    assert all(share.total >= share.first_order - 0.06 for share in found)


def test_a_sum_of_inputs_splits_its_variance_by_their_squares() -> None:
    weights = np.array([3.0, 2.0, 1.0])
    first, total = variance_shares(lambda u: u @ weights, 3, n_samples=16_384)

    np.testing.assert_allclose(first, weights**2 / 14.0, atol=0.03)
    np.testing.assert_allclose(total, weights**2 / 14.0, atol=0.03)


def test_a_constant_has_no_variance_to_share() -> None:
    first, total = variance_shares(lambda u: np.zeros(len(u)), 2)

    assert first.tolist() == total.tolist() == [0.0, 0.0]


@pytest.mark.parametrize(("n_inputs", "n_samples"), [(0, 4096), (2, 10)])
def test_impossible_counts_are_refused(n_inputs: int, n_samples: int) -> None:
    with pytest.raises(OutOfRangeError, match="n_samples is"):
        variance_shares(lambda u: u[:, 0], n_inputs, n_samples=n_samples)
