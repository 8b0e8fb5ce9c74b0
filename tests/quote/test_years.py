from __future__ import annotations

import pytest

from heatersel.quote.years import years_of


@pytest.mark.parametrize("name", ["cold-family", "town-house-ca"])
def test_parts_add_up_to_the_life_cycle_cost(quote_of, name):
    quote = quote_of(name)
    for offer in quote.offers:
        parts = years_of(offer.letter, offer.cost, quote.basis.terms)
        assert parts.total == pytest.approx(offer.cost.life_cycle)
        assert min(parts.heaters, parts.energy, parts.upkeep) > 0


def test_energy_of_flat_prices_is_the_yearly_cost_times_the_published_factor(quote_of):
    # NIST Handbook 135: UPV at 3 % over 20 years is 14.88 (table value 14.88, from memory).
    quote = quote_of()
    offer = quote.offers[0]
    parts = years_of("A", offer.cost, quote.basis.terms)
    assert quote.basis.terms.discount_rate == 0.03
    yearly = sum(offer.cost.energy_per_year.values())
    assert parts.energy == pytest.approx(14.88 * yearly, rel=5e-4)


def test_what_was_paid_only_grows_and_starts_with_the_price(quote_of):
    quote = quote_of()
    offer = quote.offers[0]
    paid = years_of("A", offer.cost, quote.basis.terms).by_year
    assert paid[0] == pytest.approx(offer.cost.installed)
    assert list(paid) == sorted(paid)
    assert len(paid) == quote.basis.terms.study_years + 1
