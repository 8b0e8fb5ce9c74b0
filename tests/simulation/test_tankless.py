"""A household's year with tankless heaters."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_years
from heatersel.errors import OutOfRangeError
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import EnergySource, in_parallel
from heatersel.job.load import parse_job
from heatersel.simulation.tankless import Overload, TanklessSite, efficiency, simulate_tankless

ROWS = {heater.id: heater for heater in load_heaters().heaters if heater.is_tankless}
GAS, CONDENSING, ELECTRIC = (
    ROWS[id_] for id_ in ("gas-tankless-180", "gas-tankless-condensing-180", "electric-tankless-27")
)
DAY = np.arange(365)
COLD_INLET_C = 10.0 - 6.0 * np.cos((DAY - 45) / 365.0 * 2.0 * np.pi)
JOB = parse_job({"household": {"occupants": 3, "bedrooms": 3}, "place": {"climate": "Duluth, MN"}})
YEARS = tuple(draw_years(plan_draws(JOB.household), 7, 2))
SITE = TanklessSite(
    inlet_c=COLD_INLET_C, room_c=np.full(365, 18.0), setpoint_c=49.0, use_temp_c=40.0
)


def year_of(heater, site=SITE, years=YEARS):
    return simulate_tankless([heater], years, site)[0]


@pytest.mark.parametrize("heater", [GAS, CONDENSING, ELECTRIC], ids=lambda heater: heater.id)
def test_energy_covers_heat_and_losses(heater):
    """Input x efficiency = heat in the water and what the exchanger loses, within its own range."""
    result = year_of(heater).annual
    main_kwh = sum(result.energy_kwh.values()) - result.auxiliary_kwh
    least, most = (f(efficiency(heater, COLD_INLET_C, 49.0)) for f in (np.min, np.max))
    heat_kwh = result.delivered_kwh + result.standby_loss_kwh
    assert least * main_kwh * 0.999 <= heat_kwh <= most * main_kwh * 1.001


def test_hours_and_months_add_up_to_the_year():
    result = year_of(GAS, years=YEARS[:1]).annual
    for source, months in result.monthly_kwh.items():
        assert result.hourly_kwh[source].sum() == pytest.approx(months.sum(), rel=1e-9)


def test_field_efficiency_lies_below_the_rating_but_not_far():
    result = year_of(GAS).annual
    assert 0.88 * GAS.uef < result.efficiency < 1.02 * GAS.uef


def test_more_input_serves_no_worse():
    small, large = (
        year_of(ROWS[id_]).annual.delivery for id_ in ("gas-tankless-120", "gas-tankless-199")
    )
    assert large.short_minutes_per_year < small.short_minutes_per_year
    assert large.warm_morning_probability >= small.warm_morning_probability


def test_two_in_parallel_serve_better_than_one():
    one, two = (year_of(in_parallel(GAS, n)).annual for n in (1, 2))
    assert two.delivery.short_minutes_per_year < 0.1 * one.delivery.short_minutes_per_year
    assert two.missed_kwh < one.missed_kwh


def test_cold_water_makes_winter_the_short_season():
    warm = dataclasses.replace(SITE, inlet_c=COLD_INLET_C + 12.0)
    assert year_of(GAS, warm).annual.missed_kwh < year_of(GAS).annual.missed_kwh


def test_altitude_costs_capacity_of_burners_only():
    high = dataclasses.replace(SITE, altitude_derate_frac=0.2)
    assert year_of(GAS, high).annual.missed_kwh > year_of(GAS).annual.missed_kwh
    assert year_of(ELECTRIC, high).annual.missed_kwh == year_of(ELECTRIC).annual.missed_kwh


def test_208_volts_give_three_quarters_of_the_power():
    low = dataclasses.replace(SITE, supply_v=208.0)
    assert low.input_frac(ELECTRIC) == pytest.approx((208.0 / 240.0) ** 2)
    assert low.input_frac(GAS) == 1.0
    result = year_of(ELECTRIC, low).annual
    assert result.missed_kwh > year_of(ELECTRIC).annual.missed_kwh
    assert any("75%" in note for note in result.notes)


def test_throttling_keeps_the_water_warm_and_withholds_some():
    throttled = year_of(ELECTRIC, dataclasses.replace(SITE, overload=Overload.THROTTLE))
    assert throttled.annual.delivery.short_days_per_year == 0.0
    assert throttled.throttled_l_per_year > 0.0
    assert year_of(ELECTRIC).throttled_l_per_year == 0.0


def test_a_buffer_ends_cold_slugs_and_unfired_draws():
    plain, buffered = year_of(GAS), year_of(GAS, dataclasses.replace(SITE, buffer_l=10.0))
    assert buffered.slugs_per_year < 0.2 * plain.slugs_per_year
    assert buffered.unfired_per_year < 0.5 * plain.unfired_per_year
    assert buffered.waited_s_per_start < 0.2 * plain.waited_s_per_start
    assert buffered.buffer_kwh_per_year > 0.0 == plain.buffer_kwh_per_year
    electric = buffered.annual.energy_kwh[EnergySource.ELECTRICITY]
    assert electric > plain.annual.energy_kwh[EnergySource.ELECTRICITY]


def test_starts_and_waiting_are_of_a_sensible_size():
    result = year_of(GAS)
    assert 0.3 * sum(y.start_s.size for y in YEARS) / 2 < result.starts_per_year
    assert result.starts_per_year < sum(y.start_s.size for y in YEARS) / 2
    assert 1.0 < result.waited_s_per_start < 20.0
    assert 0.05 < result.waited_l_per_start < 3.0
    assert result.slugs_per_year > 100.0
    assert result.unfired_per_year > 100.0


def test_freezing_room_runs_a_freeze_heater():
    frozen = dataclasses.replace(SITE, room_c=np.where(DAY < 30, -5.0, 10.0))
    extra = year_of(GAS, frozen).annual.auxiliary_kwh - year_of(GAS).annual.auxiliary_kwh
    assert extra == pytest.approx(30 * 2.4, rel=0.05)


def test_condensing_pays_most_with_cold_water():
    cold, warm = efficiency(CONDENSING, np.array([5.0, 45.0]), 49.0)
    assert cold > CONDENSING.recovery_efficiency > warm
    assert np.all(efficiency(GAS, np.array([5.0, 45.0]), 49.0) == GAS.recovery_efficiency)


def test_hotter_setpoint_never_raises_efficiency():
    by_setpoint = [efficiency(CONDENSING, np.array([10.0]), c)[0] for c in (45.0, 50.0, 60.0, 70.0)]
    assert by_setpoint == sorted(by_setpoint, reverse=True)


def test_options_do_not_touch_one_another():
    together = simulate_tankless([GAS, ELECTRIC, CONDENSING], YEARS, SITE)
    alone = [year_of(heater) for heater in (GAS, ELECTRIC, CONDENSING)]
    for one, other in zip(together, alone, strict=True):
        assert one.annual.energy_kwh == other.annual.energy_kwh
        assert one.starts_per_year == other.starts_per_year


def test_a_year_of_draws_is_needed():
    with pytest.raises(OutOfRangeError, match="1 or more"):
        simulate_tankless([GAS], [], SITE)


@pytest.mark.parametrize(
    ("field", "value"),
    [("setpoint_c", 120.0), ("altitude_derate_frac", 4.0), ("buffer_l", 400.0), ("buffer_kw", 0.0)],
)
def test_impossible_installation_is_refused(field, value):
    with pytest.raises(OutOfRangeError, match="check the number and its unit"):
        dataclasses.replace(SITE, **{field: value})
