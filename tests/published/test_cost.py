"""Bills, heat contents, present values and emissions against printed and independent figures."""

from __future__ import annotations

import numpy as np
import numpy_financial as npf
import pytest
from SALib.analyze import sobol as salib_sobol
from SALib.sample import sobol as salib_sample
from SALib.test_functions import Ishigami

from heatersel import units
from heatersel.cost.bill import Use, household_bill
from heatersel.cost.emissions import (
    co2_kg_per_year,
    emission_factors,
    methane_kg_co2e_per_kwh,
)
from heatersel.cost.finance import Finance, monthly_payment
from heatersel.cost.life_cycle import (
    Ownership,
    StudyTerms,
    annual_factor,
    escalated_factor,
    ledger,
    life_cycle_cost,
    present_value,
    real_rate,
)
from heatersel.cost.savings import savings_against
from heatersel.cost.sensitivity import variance_shares
from heatersel.cost.tariff import Tariff, flat_tariff, tariff_of
from heatersel.heaters.heater import EnergySource
from heatersel.job.prices import Prices
from heatersel.job.tariff_table import TariffTable
from heatersel.reference import records

GAS, POWER, PROPANE, OIL = (
    EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY, EnergySource.PROPANE, EnergySource.FUEL_OIL,
)  # fmt: skip
MMBTU_KWH = units.convert(1.0, "MMBtu", "kWh")


def ontario(name: str) -> TariffTable:
    tables = Prices.model_validate({"electricity": {"tariff": "ontario-2025"}}).electricity
    assert isinstance(tables, tuple)
    return next(table for table in tables if table.name == name)


def commodity(name: str) -> Tariff:
    """Return the energy prices of a plan alone: the published part."""
    bare = ontario(name).model_copy(update={"delivery": (), "fixed": None, "rider": ()})
    return tariff_of(bare, POWER)


# Ontario Energy Board, Regulated Price Plan from 1 November 2025: prices seen in a republication
# of the announcement of 17 October 2025; the arithmetic is worked by hand below.


def test_ontario_tiers_in_a_winter_month() -> None:
    bill = household_bill(commodity("tiered"), Use(monthly_kwh=np.full(12, 1300.0)), 2026)

    # 1,000 kWh at 12.0 cents and 300 kWh at 14.2 cents
    assert bill.monthly[0] == pytest.approx(162.60, abs=0.005)


def test_ontario_tiers_in_a_summer_month() -> None:
    bill = household_bill(commodity("tiered"), Use(monthly_kwh=np.full(12, 1300.0)), 2026)

    # 600 kWh at 12.0 cents and 700 kWh at 14.2 cents
    assert bill.monthly[6] == pytest.approx(0.12 * 600 + 0.142 * 700, abs=0.005)


def test_ontario_time_of_use_in_a_winter_month() -> None:
    # 700 kWh split 64/18/18 over off-, mid- and on-peak of January 2026; the split is the
    # example's, laid here on hours of a Friday and a Saturday of that month.
    hourly = np.zeros(8760)
    friday, saturday = 8 * 24, 9 * 24  # 9 and 10 January 2026
    hourly[saturday + 12] = 0.64 * 700
    hourly[friday + 12] = 0.18 * 700
    hourly[friday + 8] = 0.18 * 700
    use = Use(monthly_kwh=np.array([700.0] + [0.0] * 11), hourly_kwh=hourly)

    bill = household_bill(commodity("time of use"), use, 2026)

    # 448 * 9.8 + 126 * 15.7 + 126 * 20.3 cents
    assert bill.monthly[0] == pytest.approx(89.26, abs=0.006)


def test_ontario_ultra_low_overnight_is_a_night_price_every_day() -> None:
    hourly = np.zeros(8760)
    hourly[[3, 24 * 9 + 23]] = 50.0
    use = Use(monthly_kwh=np.array([100.0] + [0.0] * 11), hourly_kwh=hourly)

    bill = household_bill(commodity("ultra-low overnight"), use, 2026)

    assert bill.monthly[0] == pytest.approx(100 * 0.039, abs=1e-9)


@pytest.mark.parametrize(
    ("kwh", "cents", "printed"), [(711.0, 22.71, 161.55), (570.0, 16.81, 95.77)]
)
def test_average_residential_bills_of_connecticut_and_maine(
    kwh: float, cents: float, printed: float
) -> None:
    # US Energy Information Administration, 2020 Average Monthly Bill, Residential, table 5.A
    # (seen). The printed inputs are rounded: 0.15 dollars of play.
    bill = household_bill(
        flat_tariff(POWER, cents / 100.0), Use(monthly_kwh=np.full(12, kwh)), 2021
    )

    assert bill.monthly[0] == pytest.approx(printed, abs=0.15)


@pytest.mark.parametrize(
    ("source", "price", "heat", "printed"),
    [
        # printed in fuel-cost tables (seen); dollars per million Btu
        (PROPANE, "0.70 USD/gal", "91523 Btu/gal", 7.6484),
        (OIL, "0.60 USD/gal", "138500 Btu/gal", 4.3321),
        # EIA Short-Term Energy Outlook 2024 averages (seen), computed
        (GAS, "14.38 USD/mcf", "1036 Btu/ft3", 13.88),
        (PROPANE, "2.479 USD/gal", "91452 Btu/gal", 27.11),
        (OIL, "3.591 USD/gal", "138500 Btu/gal", 25.93),
        (POWER, "0.1637 USD/kWh", None, 47.97),
    ],
)
def test_fuel_prices_per_million_btu(
    source: EnergySource, price: str, heat: str | None, printed: float
) -> None:
    table = {"name": "t", "energy": price} | ({"heat_content": heat} if heat else {})
    tariff = tariff_of(TariffTable.model_validate(table), source)
    per_kwh = tariff.components[0].rows[0].steps[0].per_kwh

    assert per_kwh * MMBTU_KWH == pytest.approx(printed, abs=0.01)


def test_a_month_of_gas_at_its_printed_heat_factor() -> None:
    # 81,300 ft3 at 1,025 Btu/ft3 are 833.3 therms (printed worked example, seen)
    table = {"name": "t", "energy": "1.0 USD/therm", "heat_content": "1025 Btu/ft3"}
    by_volume = {"name": "t", "energy": f"{1025 / 1e5 * 100} USD/ccf",
                 "heat_content": "1025 Btu/ft3"}  # fmt: skip
    kwh = units.convert(833.325, "therm", "kWh")
    use = Use(monthly_kwh=np.array([kwh] + [0.0] * 11))

    for tariff in (table, by_volume):
        made = tariff_of(TariffTable.model_validate(tariff), GAS)
        assert household_bill(made, use, 2026).annual == pytest.approx(833.325, abs=0.01)


def test_a_hundred_gallons_of_propane_in_therms() -> None:
    # 100 gal at 0.9133 therm/gal are 91.33 therms (printed, seen)
    assert units.convert(100 * 91333.0, "Btu", "therm") == pytest.approx(91.33, abs=0.01)


# Present values: the formulas of NIST Handbook 135 (from memory); figures computed independently
# and, where it has the function, by numpy-financial.


def test_present_value_factors() -> None:
    assert present_value(0.03, 12) == pytest.approx(0.7014, abs=1e-4)
    assert annual_factor(0.03, 20) == pytest.approx(14.8775, abs=1e-4)
    assert annual_factor(0.03, 10) == pytest.approx(8.5302, abs=1e-4)
    assert annual_factor(0.07, 15) == pytest.approx(9.1079, abs=1e-4)
    assert escalated_factor(0.03, 0.015, 13) == pytest.approx(11.7490, abs=1e-4)


@pytest.mark.parametrize("rate", [0.02, 0.03, 0.05, 0.07, 0.10])
@pytest.mark.parametrize("years", [1, 5, 13, 20, 30])
def test_annual_factors_against_numpy_financial(rate: float, years: int) -> None:
    assert annual_factor(rate, years) == pytest.approx(-float(npf.pv(rate, years, 1.0)))


def test_implied_inflation_of_the_2010_federal_rates() -> None:
    # 3.0 % real and 4.0 % nominal (Federal Energy Management Program, 15 March 2010, seen) imply
    # 0.9 % inflation as printed; 0.97 % from the rounded rates.
    assert real_rate(0.04, 0.0097) == pytest.approx(0.03, abs=1e-4)
    assert real_rate(0.04, 0.009) == pytest.approx(0.03, abs=0.001)


BASE = Ownership(installed=2000.0, replacement=2000.0, life_years=13.0,
                 energy_per_year={POWER: 420.0}, maintenance_per_year=20.0)  # fmt: skip
BETTER = Ownership(installed=4200.0, replacement=4200.0, life_years=13.0,
                   energy_per_year={POWER: 150.0}, maintenance_per_year=30.0)  # fmt: skip
TERMS = StudyTerms(discount_rate=0.03, study_years=13, escalation={POWER: 0.01})


def test_the_measures_of_the_federal_method() -> None:
    # 10 CFR 436.19 to 436.23 (436.19 and 436.22 seen); the case is computed independently
    saved = savings_against(BASE, BETTER, TERMS)

    assert life_cycle_cost(BASE, TERMS) == pytest.approx(6985.24, abs=0.01)
    assert life_cycle_cost(BETTER, TERMS) == pytest.approx(6223.53, abs=0.01)
    assert saved.net_savings == pytest.approx(761.71, abs=0.01)
    assert saved.sir == pytest.approx(1.3462, abs=1e-4)
    assert saved.airr == pytest.approx(0.0538, abs=1e-4)
    assert saved.simple_payback_years == pytest.approx(8.462, abs=1e-3)
    assert saved.discounted_payback_years == pytest.approx(9.336, abs=1e-3)


def test_the_ledger_against_numpy_financial() -> None:
    flows = [year.total for year in ledger(BETTER, TERMS)]

    assert float(npf.npv(0.03, flows)) == pytest.approx(life_cycle_cost(BETTER, TERMS))


def test_the_adjusted_rate_of_return_against_numpy_financial() -> None:
    # MIRR with both rates at the discount rate is the adjusted internal rate of return
    flows = [base.total - better.total for base, better in
             zip(ledger(BASE, TERMS), ledger(BETTER, TERMS), strict=True)]  # fmt: skip

    assert savings_against(BASE, BETTER, TERMS).airr == pytest.approx(
        float(npf.mirr(flows, 0.03, 0.03)), abs=1e-9
    )


def test_at_the_internal_rate_of_return_nothing_is_saved() -> None:
    flows = [base.total - better.total for base, better in
             zip(ledger(BASE, TERMS), ledger(BETTER, TERMS), strict=True)]  # fmt: skip
    at_irr = StudyTerms(discount_rate=float(npf.irr(flows)), study_years=13,
                        escalation={POWER: 0.01})  # fmt: skip

    assert savings_against(BASE, BETTER, at_irr).net_savings == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("rate", "years"), [(0.06, 5), (0.0899, 10), (0.12, 7.5)])
def test_loan_payments_against_numpy_financial(rate: float, years: float) -> None:
    expected = -float(npf.pmt(rate / 12, years * 12, 3000.0))

    assert monthly_payment(3000.0, Finance(nominal_rate=rate, years=years)) == pytest.approx(
        expected
    )


# Emissions: US Environmental Protection Agency, GHG Emission Factors Hub 2024 (natural gas seen)
# and eGRID2022 (seen in a published copy).


def test_carbon_dioxide_of_a_cubic_foot_of_gas() -> None:
    # 0.001026 MMBtu/ft3 at 53.06 kg/MMBtu print as 0.05444 kg
    per_kwh = emission_factors("MN").kg_per_kwh[GAS]

    assert per_kwh * 0.001026 * MMBTU_KWH == pytest.approx(0.05444, abs=5e-6)


@pytest.mark.parametrize(
    ("source", "efficiency", "kg", "dollars"),
    [
        (GAS, 0.60, 1061, 278),
        (GAS, 0.93, 685, 179),
        (POWER, 0.92, 1427, 626),
        (POWER, 3.0, 438, 192),
    ],
)
def test_twelve_million_btu_of_hot_water(
    source: EnergySource, efficiency: float, kg: int, dollars: int
) -> None:
    # 53.06 kg/MMBtu and the US average grid of eGRID2022, 823.149 lb/MWh; prices of the US in
    # 2024 as above (seen inputs, computed)
    kwh = 12.0 * MMBTU_KWH / efficiency
    grid = next(row for row in records("emissions/grid_us", {"co2": "kg/kWh"})
                if row["subregion"] == "US")["co2"]  # fmt: skip
    factor = grid if source is POWER else emission_factors("MN").kg_per_kwh[GAS]
    price = {GAS: 13.88 / MMBTU_KWH, POWER: 0.1637}[source]
    use = Use(monthly_kwh=np.full(12, kwh / 12.0))

    assert kwh * factor == pytest.approx(kg, abs=1)
    assert household_bill(flat_tariff(source, price), use, 2026).annual == pytest.approx(
        dollars, abs=1
    )


def test_the_emissions_of_a_year_by_source() -> None:
    factors = emission_factors("AK")
    grid = next(row for row in records("emissions/grid_us", {"co2": "kg/kWh"})
                if row["subregion"] == "AKGD")  # fmt: skip

    # eGRID2022, ASCC Alaska Grid: 1,052.114 lb/MWh are 477.2 kg/MWh
    assert grid["co2"] * 1000 == pytest.approx(477.2, abs=0.1)
    assert co2_kg_per_year({POWER: 1000.0}, factors) == pytest.approx(477.2, abs=0.1)


def test_carbon_dioxide_of_a_cubic_foot_of_propane_gas() -> None:
    # the same table prints 0.002516 MMBtu/ft3 at 61.46 kg/MMBtu as 0.15463 kg (seen)
    factor = next(row["factor"] for row in records("emissions/factors", {"factor": "kg/kWh"})
                  if row["source"] == "epa_hub_gaseous")  # fmt: skip

    assert factor * 0.002516 * MMBTU_KWH == pytest.approx(0.15463, abs=1e-5)


def test_carbon_dioxide_equivalent_of_the_alaska_grid() -> None:
    # eGRID2022, AKGD: 1,052.114 lb CO2, 0.088 lb CH4, 0.012 lb N2O per MWh (seen); warming of
    # the fifth assessment, 28 (seen) and 265 (from memory): 479.8 kg/MWh (computed by hand)
    rates = {"co2": "kg/kWh", "ch4": "kg/kWh", "n2o": "kg/kWh"}
    grid = next(row for row in records("emissions/grid_us", rates) if row["subregion"] == "AKGD")
    warming = {
        row["gas"]: row["co2_equivalent"]
        for row in records("emissions/warming", {"horizon": "year", "co2_equivalent": ""})
        if row["assessment"] == "AR5"
    }
    total = grid["co2"] + grid["ch4"] * warming["ch4"] + grid["n2o"] * warming["n2o"]

    assert 1000 * total == pytest.approx(479.8, abs=0.1)


@pytest.mark.parametrize(("years", "kg"), [(100, 5.7), (20, 15.7)])
def test_one_percent_of_methane_leaked_per_million_btu(years: int, kg: float) -> None:
    # 0.19 kg of methane per MMBtu and per cent (55.5 MJ/kg, from memory) times 29.8 or 82.5
    # (IPCC, sixth assessment, seen in a summary)
    assert methane_kg_co2e_per_kwh(0.01, years) * MMBTU_KWH == pytest.approx(kg, abs=0.05)


# Shares of variance: the Ishigami function, analytic and by a general-purpose library.

ISHIGAMI = {"num_vars": 3, "names": ["a", "b", "c"], "bounds": [[-np.pi, np.pi]] * 3}


def ishigami(uniform: np.ndarray) -> np.ndarray:
    return np.asarray(Ishigami.evaluate(np.pi * (2.0 * uniform - 1.0)))


def test_variance_shares_of_the_ishigami_function() -> None:
    # T. Ishigami, T. Homma (1990) with a = 7, b = 0.1; analytic shares (from memory):
    # first order 0.3139, 0.4424, 0; total 0.5576, 0.4424, 0.2437
    first, total = variance_shares(ishigami, 3, n_samples=65_536)

    np.testing.assert_allclose(first, [0.3139, 0.4424, 0.0], atol=0.02)
    np.testing.assert_allclose(total, [0.5576, 0.4424, 0.2437], atol=0.02)


def test_variance_shares_against_a_general_purpose_library() -> None:
    samples = salib_sample.sample(ISHIGAMI, 4096, calc_second_order=False, seed=1)
    theirs = salib_sobol.analyze(ISHIGAMI, Ishigami.evaluate(samples), calc_second_order=False,
                                 seed=1)  # fmt: skip
    first, total = variance_shares(ishigami, 3, n_samples=65_536, seed=2)

    np.testing.assert_allclose(first, theirs["S1"], atol=0.03)
    np.testing.assert_allclose(total, theirs["ST"], atol=0.03)
