from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatersel.cost.uncertainty import Ranges, field_shortfall_frac
from heatersel.heaters.heater import EnergySource
from heatersel.quote.pricing import MissingPrice
from heatersel.quote.recost import recosted


def test_a_price_with_a_gap_changes_nothing(quote_of):
    quote = quote_of()
    option = quote.comparison.ranked[0]
    gap = MissingPrice(item="permit", text="permit", why="test")
    price = replace(quote.offers[0].price, missing=(gap,))
    assert recosted(option, quote.basis, price) is option


def test_the_next_heater_costs_what_repeats(quote_of):
    offer = quote_of().offers[0]
    own = offer.cost.ownership
    assert own.replacement == offer.price.replacement_cents / 100
    assert own.replacement < own.installed


def test_tax_stands_on_its_own_line_of_the_cost(quote_of):
    offer = quote_of().offers[0]
    lines = {line.id: line.amount for line in offer.cost.installed_lines}
    assert lines["tax"] == offer.price.tax_cents / 100
    assert sum(lines.values()) == pytest.approx(offer.price.total_cents / 100)


def test_range_of_the_running_cost_agrees_with_a_plain_simulation(quote_of):
    """Oracle: numpy's own lognormal draws, many of them, with the ranges as documented."""
    flat = {"prices": {"electricity": "0.14 USD/kWh"}}
    quote = quote_of("warm-bungalow", offers=("electric-tank-50",), changes=flat)
    (offer,) = quote.offers
    assert quote.basis.tariffs[EnergySource.ELECTRICITY].is_straight
    ranges, random = Ranges(), np.random.default_rng(2026)

    def lognormal(sd):
        sigma = np.sqrt(np.log1p(sd**2))
        return random.lognormal(-(sigma**2) / 2, sigma, 400_000)

    shortfall = field_shortfall_frac(offer.option.heater.heater_class) * random.random(400_000)
    energy = offer.cost.energy_per_year[EnergySource.ELECTRICITY]
    yearly = energy * lognormal(ranges.demand_sd) * lognormal(ranges.price_sd) / (1 - shortfall)
    yearly += offer.cost.fixed_per_year + offer.cost.maintenance_per_year
    low, high = np.quantile(yearly, (0.1, 0.9))
    assert offer.running.low == pytest.approx(low, rel=0.02)  # of 1000 draws
    assert offer.running.high == pytest.approx(high, rel=0.02)
