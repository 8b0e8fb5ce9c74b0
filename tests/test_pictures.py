"""What the pictures of a comparison show, against the comparison itself."""

from __future__ import annotations

import pytest

from heatersel.api import Method, compare
from heatersel.job.load import parse_job, read_toml
from heatersel.pictures import best_of_each_kind, prices_that_turn_it
from heatersel.reference import dataset_path

TODAY = 16  # of 41 steps up to 2.5 times today's price


@pytest.mark.parametrize(
    "electricity",
    ["0.25 USD/kWh", [{"name": "least", "energy": "0.25 USD/kWh", "minimum_bill": "90 USD/month"}]],
    ids=["solar", "least bill and solar"],
)
def test_the_map_of_prices_stands_where_the_household_buys(electricity: object) -> None:
    tables = read_toml(dataset_path("jobs/cold-family.toml"))
    tables["prices"]["electricity"] = electricity
    tables["prices"]["solar"] = {"surplus": [1.5] * 8760, "export_price": "0.20 USD/kWh"}
    comparison = compare(parse_job(tables, ""), method=Method.BALANCE)

    found = prices_that_turn_it(comparison)

    assert found is not None
    # a kWh of the grid, however little of it the roof leaves to buy
    assert found.across_per_kwh[TODAY] == pytest.approx(0.25, rel=5e-3)
    options = [o for o in best_of_each_kind(comparison) if o.cost is not None]
    cheapest = min(options, key=lambda o: o.cost.life_cycle)
    assert found.cheapest[TODAY][TODAY] == cheapest.id
