from __future__ import annotations

import numpy_financial as npf
import pytest

from heatersel.quote.years import years_of


@pytest.mark.parametrize("name", ["cold-family", "town-house-ca"])
def test_parts_add_up_to_the_life_cycle_cost(quote_of, name):
    quote = quote_of(name)
    for offer in quote.offers:
        parts = years_of(offer.letter, offer.cost, quote.basis.terms)
        assert parts.total == pytest.approx(offer.cost.life_cycle)
        assert min(parts.heaters, parts.energy, parts.upkeep) > 0


def test_energy_is_the_present_value_of_its_yearly_cost(quote_of):
    # Oracle: numpy-financial's present value at the rate net of each price's growth.
    quote = quote_of()
    terms = quote.basis.terms
    for offer in quote.offers:
        parts = years_of("A", offer.cost, terms)
        expected = sum(
            npf.pv((1 + terms.discount_rate) / (1 + terms.escalation.get(source, 0.0)) - 1,
                   terms.study_years, -cost)
            for source, cost in offer.cost.ownership.energy_per_year.items()
        )  # fmt: skip
        assert parts.energy == pytest.approx(float(expected), rel=1e-9)


def test_what_was_paid_only_grows_and_starts_with_the_price(quote_of):
    quote = quote_of()
    offer = quote.offers[0]
    paid = years_of("A", offer.cost, quote.basis.terms).by_year
    assert paid[0] == pytest.approx(offer.cost.installed)
    assert list(paid) == sorted(paid)
    assert len(paid) == quote.basis.terms.study_years + 1
