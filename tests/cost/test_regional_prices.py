"""Regional prices against what their publishers print, and how gaps are filled."""

from __future__ import annotations

from itertools import product

import pytest

from heatersel import units
from heatersel.climate import climates
from heatersel.cost.regional_prices import regional_price, regions
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource

ELECTRICITY, GAS = EnergySource.ELECTRICITY, EnergySource.NATURAL_GAS
PROPANE, OIL = EnergySource.PROPANE, EnergySource.FUEL_OIL


@pytest.mark.parametrize(
    ("region", "source", "amount", "unit", "basis"),
    [
        # EIA, Electric Power Annual with data for 2023 (seen): cents per kWh by state.
        ("MN", ELECTRICITY, 0.1473, "USD/kWh", "state"),
        ("HI", ELECTRICITY, 0.4239, "USD/kWh", "state"),
        ("CA", ELECTRICITY, 0.2951, "USD/kWh", "state"),
        # EIA, Short-Term Energy Outlook, 2024 (seen), by Census division.
        ("WY", ELECTRICITY, 0.1407, "USD/kWh", "division"),
        ("MN", GAS, 12.35, "USD/mcf", "division"),
        ("TX", GAS, 16.29, "USD/mcf", "division"),
        ("CA", GAS, 17.65, "USD/mcf", "division"),
        # EIA, Heating Oil and Propane Update, week of 2026-03-30 (seen).
        ("MN", PROPANE, 2.056, "USD/gal", "state"),
        ("WY", PROPANE, 2.266, "USD/gal", "district"),
        ("OR", PROPANE, 2.674, "USD/gal", "country"),
        ("ME", OIL, 3.591, "USD/gal", "country"),
        # Statistics Canada table 25-10-0059, 2023 (copy seen).
        ("ON", GAS, 0.469, "CAD/m3", "province"),
        ("QC", ELECTRICITY, 0.078, "CAD/kWh", "province"),
    ],
)
def test_price_is_that_of_the_narrowest_area_published(region, source, amount, unit, basis):
    found = regional_price(region, source)
    assert found.amount == pytest.approx(amount)
    assert (found.unit, found.basis) == (unit, basis)


@pytest.mark.parametrize("source", EnergySource)
def test_every_region_of_the_climate_table_has_a_price(source):
    for region in {place.region for place in climates()}:
        found = regional_price(region, source)
        assert found.amount > 0.0
        assert found.period
        assert found.status in {"seen", "memory", "computed"}


def test_california_is_not_canada():
    # "CA" is the code of both; a state never takes a price in the other currency.
    assert {regional_price("CA", source).currency for source in EnergySource} == {"USD"}
    assert {regional_price("NU", source).currency for source in EnergySource} == {"CAD"}


def test_heat_from_propane_costs_more_than_heat_from_gas():
    # US 2024 (EIA, seen): gas 13.88, propane 27.11 USD/MMBtu.
    kwh = {"USD/mcf": 1.036 * 293.07107, "USD/gal": 91_452 * 0.29307107e-3}
    for region in ("MN", "NY", "VT", "MO"):
        gas = regional_price(region, GAS).amount / kwh["USD/mcf"]
        assert regional_price(region, PROPANE).amount / kwh["USD/gal"] > gas


@pytest.mark.parametrize(("region", "source"), list(product(["MN", "ON"], EnergySource)))
def test_unit_is_one_that_the_units_table_knows(region, source):
    found = regional_price(region, source)
    currency, per = found.unit.split("/")
    assert found.currency == currency
    assert units.dimension(per) in {units.dimension("kWh"), units.dimension("L")}


@pytest.mark.parametrize("region", ["MN", "ON"])
def test_only_grid_and_pipe_have_a_fixed_charge(region):
    charges = {s: regional_price(region, s).fixed_charge_per_month for s in EnergySource}
    assert charges[ELECTRICITY] > 0.0
    assert charges[GAS] > 0.0
    assert charges[PROPANE] == charges[OIL] == 0.0


def test_codes_may_be_written_small():
    assert regional_price("mn", GAS).region == "MN"


def test_regions_are_51_states_and_13_provinces():
    assert len(regions()) == 64
    assert regions()["NL"] == "Newfoundland and Labrador"


@pytest.mark.parametrize(
    ("region", "hint"), [("Minnesota", "MN"), ("XX", "MN or ON"), ("", "MN or ON")]
)
def test_an_unknown_region_is_one_clear_message(region, hint):
    with pytest.raises(UnknownChoiceError, match=hint):
        regional_price(region, GAS)
