"""What all options of a job share: its own prices, or the region's, and the other use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from heatersel import units
from heatersel.cost.basis import cost_basis, heat_content_kwh_per_l, typical_use
from heatersel.cost.bill import household_bill
from heatersel.cost.regional_prices import regional_price
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, VentType
from heatersel.job.models import Job

GAS, POWER, PROPANE = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY, EnergySource.PROPANE
MakeJob = Callable[..., Job]


def price(basis: object, source: EnergySource) -> float:
    tariff = basis.tariffs[source]  # type: ignore[attr-defined]
    return float(tariff.components[0].rows[0].steps[0].per_kwh)


def test_the_jobs_own_prices_stand_as_given(job_with: MakeJob) -> None:
    basis = cost_basis(job_with(prices={
        "electricity": "0.14 USD/kWh", "natural_gas": "1.10 USD/therm",
        "fixed_charge": {"natural_gas": "0.40 USD/day"},
    }))  # fmt: skip

    assert price(basis, POWER) == pytest.approx(0.14)
    assert price(basis, GAS) == pytest.approx(1.10 / units.convert(1.0, "therm", "kWh"))
    assert basis.tariffs[GAS].fixed_per_month == pytest.approx(0.40 * 30.4375)
    assert set(basis.notes) == {PROPANE, EnergySource.FUEL_OIL}


def test_a_bill_at_typical_use_has_the_regions_average_price(job_with: MakeJob) -> None:
    # the published average holds the standing charge, so the price of one more unit lies below it
    basis = cost_basis(job_with(prices={"region": "MN"}))
    use = typical_use(POWER, "MN", "US")
    average = regional_price("MN", POWER).amount

    bill = household_bill(basis.tariffs[POWER], use, 2026)

    stretched = float(np.sum(use.monthly_kwh))
    assert bill.annual / stretched == pytest.approx(average, rel=1e-6)
    assert price(basis, POWER) < average
    assert "not this household's" in basis.notes[POWER]


def test_without_a_region_the_place_gives_it(job_with: MakeJob) -> None:
    assert cost_basis(job_with()).region == "MN"


def test_gas_by_volume_uses_the_bills_own_heat_and_altitude(job_with: MakeJob) -> None:
    usual = cost_basis(job_with(prices={"natural_gas": "1.0 USD/ccf"}))
    own = cost_basis(job_with(prices={
        "natural_gas": "1.0 USD/ccf", "gas_heat_content": "900 Btu/ft3",
        "gas_altitude_factor": 0.83,
    }))  # fmt: skip

    assert price(own, GAS) == pytest.approx(price(usual, GAS) * 1026.0 / (900.0 * 0.83))


def test_other_use_by_volume_has_the_heat_of_the_tariff_that_bills_it(job_with: MakeJob) -> None:
    home = {"fuels": ["natural_gas", "electricity"]}
    gas = {"name": "gas", "energy": "1.0 USD/ccf", "heat_content": "900 Btu/ft3",
           "altitude_factor": 0.8}  # fmt: skip
    basis = cost_basis(job_with(home=home, prices={
        "natural_gas": gas, "other_use": {"natural_gas": "40 ccf/month"}}))  # fmt: skip

    use = basis.other_use[GAS]
    assert use is not None
    # 40 hundred cubic feet at 720 Btu each, and a dollar a hundred as the meter counts them
    assert use.monthly_kwh[0] == pytest.approx(units.convert(4000 * 720.0, "Btu", "kWh"))
    assert household_bill(basis.tariffs[GAS], use, 2027).monthly[0] == pytest.approx(40.0)


def test_the_altitude_of_the_job_counts_beside_a_tariffs_own_heat(job_with: MakeJob) -> None:
    gas = {"name": "gas", "energy": "1.0 USD/ccf", "heat_content": "900 Btu/ft3"}
    low = cost_basis(job_with(prices={"natural_gas": gas}))
    high = cost_basis(job_with(prices={"natural_gas": gas, "gas_altitude_factor": 0.83}))

    assert price(high, GAS) == pytest.approx(price(low, GAS) / 0.83)


@pytest.mark.parametrize(
    ("home", "other_use", "is_last"),
    [
        ({"fuels": ["natural_gas", "electricity"], "other_gas_input": "0 Btu/h"}, {}, True),
        ({"fuels": ["natural_gas", "electricity"], "other_gas_input": "80000 Btu/h"}, {}, False),
        ({"fuels": ["natural_gas", "electricity"]}, {}, False),
        ({"fuels": ["electricity"]}, {}, True),
        ({"fuels": ["natural_gas", "electricity"]}, {"natural_gas": "0 therm/month"}, True),
        ({"fuels": ["natural_gas", "electricity"], "other_gas_input": "0 Btu/h"},
         {"natural_gas": "20 therm/month"}, False),
    ],
)  # fmt: skip
def test_the_heater_is_the_last_gas_appliance_only_if_nothing_else_burns_gas(
    job_with: MakeJob, home: dict[str, object], other_use: dict[str, str], is_last: bool
) -> None:
    electric = {"kind": "storage", "energy_source": "electricity"}
    job = job_with(home=home, existing=electric, prices={"other_use": other_use})

    assert (cost_basis(job).other_use[GAS] is None) is is_last


def test_electricity_never_closes(job_with: MakeJob) -> None:
    basis = cost_basis(job_with(prices={"other_use": {"electricity": "0 kWh/month"}}))

    assert basis.other_use[POWER] is not None


def test_other_use_may_be_one_amount_twelve_or_a_day(job_with: MakeJob) -> None:
    def use(given: object) -> np.ndarray:
        basis = cost_basis(job_with(prices={"other_use": {"electricity": given}}))
        found = basis.other_use[POWER]
        assert found is not None
        return found.monthly_kwh

    np.testing.assert_allclose(use("500 kWh/month"), 500.0)
    np.testing.assert_allclose(use([f"{100 * m} kWh/month" for m in range(12)]),
                               100.0 * np.arange(12))  # fmt: skip
    assert use("10 kWh/day")[:2].tolist() == pytest.approx([310.0, 280.0])


def test_typical_use_is_the_states_own_else_the_countrys() -> None:
    assert float(np.mean(typical_use(POWER, "MN", "US").monthly_kwh)) == pytest.approx(775.0)
    assert float(np.mean(typical_use(POWER, "TX", "US").monthly_kwh)) == pytest.approx(893.0)
    assert float(np.mean(typical_use(GAS, "ON", "CA").monthly_kwh)) > float(
        np.mean(typical_use(GAS, "MN", "US").monthly_kwh)
    )


def test_the_other_plans_of_a_tariff_are_kept(job_with: MakeJob) -> None:
    basis = cost_basis(job_with(prices={"electricity": {"tariff": "cold-city"}}))

    assert [plan.name for plan in basis.plans[POWER]] == ["city electric service, by time of use"]


def test_the_vent_that_stands_there_is_read_from_the_home(job_with: MakeJob) -> None:
    home = {"fuels": ["natural_gas"], "vent": "masonry_chimney"}

    assert cost_basis(job_with(home=home)).present.vent_type is VentType.DRAFT_HOOD
    assert cost_basis(job_with()).present.vent_type is None


def test_terms_loan_and_dates_come_from_the_job(job_with: MakeJob) -> None:
    basis = cost_basis(job_with(
        prices={"finance": {"rate": 0.08, "years": 5, "fee": "50 USD"},
                "escalation": {"electricity": 0.01}, "bill_year": 2028},
        preferences={"discount_rate": 0.05, "study_years": 12},
    ))  # fmt: skip

    assert (basis.terms.discount_rate, basis.terms.study_years) == (0.05, 12)
    assert basis.terms.escalation[POWER] == 0.01
    assert basis.finance is not None
    assert basis.finance.fee == 50.0
    assert basis.bill_year == 2028


def test_electricity_has_no_heat_content_and_other_countries_no_fuel() -> None:
    assert heat_content_kwh_per_l(POWER) is None
    with pytest.raises(UnknownChoiceError, match="country is FR"):
        heat_content_kwh_per_l(GAS, "FR")


def test_the_roof_keeps_standard_time_and_the_household_the_clock(
    job_with: MakeJob, tmp_path: Path
) -> None:
    hours = np.zeros(8760)
    hours[[12, 181 * 24 + 12]] = 1.0  # noon of the sun on 1 January and 1 July
    (tmp_path / "roof.csv").write_text("surplus [kWh]\n" + "\n".join(map(str, hours)))
    power = {"name": "p", "energy": "0.1 USD/kWh", "time_zone": "America/Chicago"}
    roof = {"surplus": str(tmp_path / "roof.csv")}

    solar = cost_basis(job_with(prices={"electricity": power, "solar": roof})).solar

    assert solar is not None
    assert np.flatnonzero(solar.hourly_kwh).tolist() == [12, 181 * 24 + 13]
