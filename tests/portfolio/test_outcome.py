from __future__ import annotations

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from heatersel.api import Method, compare
from heatersel.comparison import Comparison
from heatersel.heaters.catalogue import HeaterList, load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job
from heatersel.portfolio.columns import Identity
from heatersel.portfolio.fields import RECOMMENDATIONS, RESULTS
from heatersel.portfolio.outcome import (
    electric_load,
    fails_within_a_year,
    recommendation,
    results,
)
from heatersel.portfolio.run import only_options

WHO = Identity(row=1, house="a")
FEW = only_options(load_heaters(), ("gas-tank-50", "heat-pump-65", "electric-tank-50"))


def comparison(heaters: HeaterList = FEW, **tables: object) -> Comparison:
    job = {
        "household": {"occupants": 2},
        "place": {"climate": "Duluth, MN"},
        "home": {"fuels": ["natural_gas", "electricity"]},
        "existing": {"energy_source": "electricity", "installed": 2010},
    }
    return compare(parse_job(job | tables), heaters, method=Method.BALANCE)


def test_rows_have_the_columns_of_the_tables_and_no_others() -> None:
    found = comparison()

    names = {field.name for field in RESULTS}
    assert all(row.keys() <= names for row in results(WHO, found))
    assert recommendation(WHO, found, 2026).keys() <= {field.name for field in RECOMMENDATIONS}


def test_a_house_that_nothing_fits_says_what_stands_in_the_way() -> None:
    found = comparison(only_options(load_heaters(), ("oil-tank-50",)))

    row = recommendation(WHO, found, 2026)

    assert row["nothing_fits_because"][0] == "no heating oil in this house"
    assert "option_id" not in row
    assert electric_load(found) is None


def test_a_house_without_coordinates_stands_at_its_climate_station() -> None:
    row = recommendation(WHO, comparison(), 2026)

    assert row["latitude_deg"] == pytest.approx(46.8, abs=0.2)  # Duluth
    assert row["located"] is False


def test_the_hours_add_up_to_the_energy_of_the_year() -> None:
    found = comparison()

    load = electric_load(found)

    assert load is not None
    assert found.existing is not None
    assert found.recommended is not None
    before = found.existing.annual.energy_kwh[EnergySource.ELECTRICITY]
    after = found.recommended.annual.energy_kwh.get(EnergySource.ELECTRICITY, 0.0)
    assert load.before_kwh.sum() == pytest.approx(before, rel=1e-6)
    assert load.after_kwh.sum() == pytest.approx(after, rel=1e-6)
    assert (load.region, load.plan) == ("MN", "average price of the region")


def test_a_heater_of_unknown_age_has_no_chance_of_failing() -> None:
    row = recommendation(WHO, comparison(existing={"energy_source": "electricity"}), 2026)

    assert row["fails_within_a_year_frac"] is None
    assert row["before_age_years"] is None


@given(st.floats(0.0, 60.0), st.floats(5.0, 25.0), st.floats(1.0, 5.0))
def test_the_chance_of_failing_is_that_of_the_weibull_distribution(
    age_years: float, life_years: float, life_shape: float
) -> None:
    """SciPy's weibull_min, with the scale that gives the mean life."""
    unit = scipy.stats.weibull_min(life_shape)
    life = scipy.stats.weibull_min(life_shape, scale=life_years / unit.mean())
    log_survival = life.logsf(np.array([age_years, age_years + 1.0]))

    chance = fails_within_a_year(age_years, life_years, life_shape)

    assert chance == pytest.approx(-np.expm1(log_survival[1] - log_survival[0]), rel=1e-6)
    assert 0.0 <= chance <= 1.0


@given(st.floats(0.0, 40.0), st.floats(0.1, 10.0))
def test_an_older_heater_never_fails_less(age_years: float, later: float) -> None:
    assert fails_within_a_year(age_years + later, 13.0, 3.0) >= fails_within_a_year(
        age_years, 13.0, 3.0
    )
