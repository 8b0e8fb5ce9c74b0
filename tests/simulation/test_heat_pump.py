"""Heat pump at run time: tables by day, their limits and what may never happen."""

from __future__ import annotations

import dataclasses
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import InconsistentRatingError, OutOfRangeError, UnknownChoiceError
from heatersel.heaters.catalogue import load_heaters
from heatersel.simulation.heat_pump import (
    DEFROST_PENALTY_FRAC,
    daily_tables,
    read_table,
)
from heatersel.simulation.heat_pump_settings import SETTINGS
from heatersel.simulation.moist_air import humidity_ratio, rel_humidity_frac

HEAT_PUMPS = [heater for heater in load_heaters().heaters if heater.compressor_input_kw > 0.0]
air = st.floats(-30.0, 45.0)
humidity = st.floats(0.1, 1.0)
refrigerants = st.sampled_from(sorted(SETTINGS))


def heater_with(refrigerant):
    found = next(heater for heater in HEAT_PUMPS if heater.refrigerant == refrigerant)
    return dataclasses.replace(found, min_air_temp_c=-40.0, max_air_temp_c=60.0)


def one_day(refrigerant, air_c, rel, **options):
    return daily_tables(heater_with(refrigerant), np.array([air_c]), np.array([rel]), **options)


@given(refrigerants, air, air, humidity)
def test_colder_air_never_raises_cop(refrigerant, a, b, rel):
    cold, warm = sorted((a, b))
    assert np.all(one_day(refrigerant, cold, rel).cop <= one_day(refrigerant, warm, rel).cop + 1e-9)


@given(refrigerants, air, humidity, humidity)
def test_drier_air_never_raises_cop(refrigerant, temp_c, a, b):
    dry, damp = sorted((a, b))
    assert np.all(
        one_day(refrigerant, temp_c, dry).cop <= one_day(refrigerant, temp_c, damp).cop + 1e-9
    )


@given(refrigerants, air, humidity)
def test_hotter_water_never_raises_cop(refrigerant, temp_c, rel):
    assert np.all(np.diff(one_day(refrigerant, temp_c, rel).cop[0]) <= 1e-9)


@given(refrigerants, air, humidity)
def test_carnot_bound_is_never_exceeded(refrigerant, temp_c, rel):
    """Against the coldest possible source, the air's dry bulb, and the water itself."""
    day = one_day(refrigerant, temp_c, rel)
    sink_k = day.water_c + 273.15
    if day.single_pass:
        outlet_k = np.maximum(65.0 + 273.15, sink_k + 1.0)
        sink_k = (outlet_k - sink_k) / np.log(outlet_k / sink_k)
    lift_k = sink_k - (temp_c + 273.15)
    uphill = lift_k > 0.0
    assert np.all(day.cop[0, uphill] < sink_k[uphill] / lift_k[uphill])


@given(refrigerants, air, humidity)
def test_every_entry_is_a_usable_number(refrigerant, temp_c, rel):
    day = one_day(refrigerant, temp_c, rel)
    assert np.all(np.isfinite(day.cop) & (day.cop > 0.0))
    assert np.all(np.isfinite(day.heat_kw) & (day.heat_kw > 0.0))
    assert np.all((day.sensible_frac >= 0.0) & (day.sensible_frac <= 1.0))


@pytest.mark.parametrize("heater", HEAT_PUMPS, ids=lambda heater: heater.id)
def test_power_at_the_rating_point_is_the_rows(heater):
    """Whatever the scale on COP: a better unit gives more heat for the same power."""
    settings = SETTINGS[heater.refrigerant]
    for scale in (0.9, 1.2):
        day = daily_tables(
            heater,
            np.array([settings.rating_air_c]),
            np.array([settings.rating_humidity]),
            cop_scale=scale,
        )
        power_kw = np.interp(settings.rating_water_c, day.water_c, day.heat_kw[0] / day.cop[0])
        assert power_kw == pytest.approx(heater.compressor_input_kw, rel=0.01)


def test_air_outside_the_range_locks_the_compressor_out():
    heater = next(heater for heater in HEAT_PUMPS if heater.id == "heat-pump-50")
    air_c = np.array([heater.min_air_temp_c - 0.1, heater.min_air_temp_c, 20.0, 60.0])
    assert daily_tables(heater, air_c, np.full(4, 0.5)).locked_out.tolist() == [
        True, False, False, True,
    ]  # fmt: skip


def test_air_below_the_table_locks_out_even_a_daring_unit():
    assert one_day("R134a", -15.0, 0.5).locked_out[0]
    assert not one_day("R744", -15.0, 0.5).locked_out[0]


def test_frost_costs_its_penalty_in_full_well_below_freezing():
    clean = one_day("R744", -10.0, 0.8, defrost_penalty_frac=0.0)
    frosted = one_day("R744", -10.0, 0.8)
    assert frosted.cop == pytest.approx(clean.cop * (1.0 - DEFROST_PENALTY_FRAC))
    assert frosted.heat_kw == pytest.approx(clean.heat_kw * (1.0 - DEFROST_PENALTY_FRAC))


def test_no_frost_in_a_warm_room():
    clean = one_day("R134a", 20.0, 0.5, defrost_penalty_frac=0.0)
    assert one_day("R134a", 20.0, 0.5).cop == pytest.approx(clean.cop, abs=0.0)


def test_carbon_dioxide_suffers_most_from_warm_return():
    """Water entering at 45 °C in place of 15 °C: R744 keeps under 60 % of its COP."""
    kept = {}
    for refrigerant in SETTINGS:
        day = one_day(refrigerant, 10.0, 0.6)
        cold, warm = np.interp([15.0, 45.0], day.water_c, day.cop[0])
        kept[refrigerant] = warm / cold
    assert kept["R744"] < 0.60
    assert one_day("R744", 10.0, 0.6).single_pass


def test_cop_falls_where_the_scale_breaks_the_second_law():
    with pytest.raises(InconsistentRatingError, match="Carnot"):
        one_day("R134a", 20.0, 0.5, cop_scale=4.0)


@pytest.mark.parametrize("penalty", [-0.1, 0.6, 10.0])
def test_defrost_penalty_in_percent_is_refused(penalty):
    with pytest.raises(OutOfRangeError, match=r"write 10 % as 0\.1"):
        one_day("R134a", 20.0, 0.5, defrost_penalty_frac=penalty)


def test_unknown_refrigerant_names_those_with_a_table():
    with pytest.raises(UnknownChoiceError, match="R134a, R513A, R290, R744"):
        read_table("R22")


def test_array_equals_loop_of_days():
    heater = heater_with("R290")
    air_c, rel = np.linspace(-8.0, 40.0, 9), np.linspace(0.2, 0.9, 9)
    year = daily_tables(heater, air_c, rel)
    for n in range(9):
        day = daily_tables(heater, air_c[n : n + 1], rel[n : n + 1])
        assert year.cop[n] == pytest.approx(day.cop[0], abs=0.0)


@given(st.floats(5.0, 40.0), st.floats(0.2, 0.9))
def test_coil_dries_only_air_that_holds_more_than_its_surface(temp_c, rel):
    """A coil with its surface above the dew point leaves the moisture in the air."""
    day = one_day("R134a", temp_c, rel)
    dry = rel_humidity_frac(temp_c, humidity_ratio(temp_c, rel)) < 0.15
    assert not dry or day.sensible_frac[0] == pytest.approx(1.0)


def test_run_time_never_loads_the_property_library():
    code = (
        "import sys, numpy as np;"
        "from heatersel.simulation.heat_pump import read_table;"
        "[read_table(name) for name in ('R134a', 'R513A', 'R290', 'R744')];"
        "from heatersel.water import heat_kwh; heat_kwh(1.0, 10.0, 50.0);"
        "print('CoolProp' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
