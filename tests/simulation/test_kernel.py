"""The compiled tank against closed forms and a general-purpose solver."""

from __future__ import annotations

import numpy as np
import pytest
import tank_cases as cases
from scipy.integrate import solve_ivp

from heatersel.simulation.arrays import BOTTOM_DRAW


def test_a_tank_at_rest_decays_as_the_closed_form_says():
    # Worked by hand: 50 gal at 60 °C in 20 °C air, loss 1.9 Btu/(h degF) = 1.0023 W/K,
    # 988 kg/m3 and 4.18 kJ/(kg K): 55.805 °C after 24 h, 52.050 °C after 48 h.
    store = cases.tank(volume_l=189.27, water_kj_per_l_k=0.988 * 4.18, loss_idle_kw_per_k=1.0023e-3)
    outputs = cases.run(store, cases.scene([cases.draws()], hours=48.0, steps=2), traced=True)
    assert outputs.trace[0, :, 1] == pytest.approx([55.805, 52.050], abs=0.001)


def test_loss_of_a_tank_at_rest_is_the_heat_that_it_gave_up():
    store = cases.tank(loss_idle_kw_per_k=2e-3)
    outputs = cases.run(store, cases.scene([cases.draws()], hours=30.0))
    given_up = 200.0 * cases.WATER_KJ * (60.0 - outputs.end_mean_c[0])
    assert cases.total(outputs, "loss_kj")[0] == pytest.approx(given_up, rel=1e-9)


def test_plug_flow_gives_store_temperature_until_one_volume_has_passed():
    # 200 L at 60 °C, 10 °C inlet, no stirring: the outlet steps from 60 to 10 at 200 L.
    day = cases.draws(*((n / 60.0, 1.0, 10.0, cases.HOT_AS_IT_COMES_C) for n in range(25)))
    outputs = cases.run(cases.tank(), cases.scene([day]))
    # The last litre of the store is the last of the twentieth minute's coldest.
    assert outputs.supply_c[0, :19] == pytest.approx([60.0] * 19)
    assert outputs.supply_c[0, 20:] == pytest.approx([10.0] * 5, abs=1e-3)
    out_kj = 200.0 * cases.WATER_KJ * 50.0
    assert cases.total(outputs, "out_kj")[0] == pytest.approx(out_kj, rel=1e-5)


def test_a_stirred_zone_gives_way_exponentially():
    # Of 200 L the lowest 40 are stirred: 160 L leave at 60 °C, then the outlet follows
    # 10 + 50 exp(-q/40); after 240 L the mean of all is known in closed form.
    day = cases.draws((0.0, 24.0, 10.0, cases.HOT_AS_IT_COMES_C))
    outputs = cases.run(cases.tank(mixing_l=40.0), cases.scene([day]), grain=cases.FINE_GRAIN)
    expected = cases.WATER_KJ * 50.0 * (160.0 + 40.0 * (1.0 - np.exp(-80.0 / 40.0)))
    assert cases.total(outputs, "out_kj")[0] == pytest.approx(expected, rel=1e-4)


def test_a_constant_heater_and_loss_settle_as_the_closed_form_says():
    # T = Tinf + (T0 - Tinf) exp(-t/tau), Tinf = Ta + Q/UA, tau = C/UA.
    loss, heat_kw, hours = 5e-3, 0.3, 20.0
    store = cases.tank(
        loss_idle_kw_per_k=loss, loss_firing_kw_per_k=loss, main_kw=heat_kw, main_deadband_k=0.1
    )
    where = cases.scene([cases.draws()], hours=hours, setpoint_c=90.0)
    where.places["setpoint_c"] = 30.0
    start = cases.run(store, where, traced=True)  # a store that starts at 30 °C
    assert start.end_mean_c[0] == pytest.approx(30.0, abs=0.2)
    store["main_deadband_k"] = 1e-6
    where = cases.scene([cases.draws()], hours=hours, setpoint_c=60.0)
    held = cases.run(store, where, grain=cases.FINE_GRAIN)
    # Held at 60 °C, the heater makes up for the loss: UA x 40 K.
    assert cases.total(held, "heat_kj")[0] == pytest.approx(loss * 40.0 * 3600.0 * hours, rel=2e-3)


def test_thermostat_cycles_agree_with_an_ode_solver_with_events():
    # One mixed store without draws, heated between 53 and 60 °C for five days: SciPy's solver
    # finds each switching as an event.
    loss, heat_kw, hours = 4e-3, 1.5, 120.0
    store = cases.tank(
        loss_idle_kw_per_k=loss, loss_firing_kw_per_k=loss, main_kw=heat_kw, main_deadband_k=7.0
    )
    outputs = cases.run(store, cases.scene([cases.draws()], hours=hours))
    capacity = 200.0 * cases.WATER_KJ

    def rate(heat):
        return lambda t, temp: [(heat - loss * (temp[0] - 20.0)) / capacity]

    t, temp, heating, heated_s, starts = 0.0, 60.0, False, 0.0, 0
    while t < 3600.0 * hours:
        limit = 60.0 if heating else 53.0
        event = lambda t, temp, limit=limit: temp[0] - limit  # noqa: E731  # solver's interface
        event.terminal = True
        event.direction = 1.0 if heating else -1.0
        run = solve_ivp(
            rate(heat_kw if heating else 0.0), (t, 3600.0 * hours), [temp],
            method="LSODA", events=event, rtol=1e-10, atol=1e-10,
        )  # fmt: skip
        heated_s += (run.t[-1] - t) if heating else 0.0
        t, temp, heating = run.t[-1], run.y[0, -1], not heating
        starts += heating and t < 3600.0 * hours
    assert cases.total(outputs, "starts")[0] == starts
    # Heating in steps of half an hour: three parts in ten thousand.
    assert cases.total(outputs, "heat_kj")[0] == pytest.approx(heat_kw * heated_s, rel=5e-4)
    assert outputs.end_mean_c[0] == pytest.approx(temp, abs=0.02)


def test_a_burner_warms_a_flow_as_an_ode_solver_says():
    # A stirred zone of 40 L under plug flow, heated while it is drawn from: the zone follows
    # V dT/dt = F (Tin - T) + Q/c; it leaves as plug flow, so the store's mean is known.
    flow_l_per_min, heat_kw, minutes = 8.0, 6.0, 12.0
    store = cases.tank(
        mixing_l=40.0, main_kw=heat_kw, main_deadband_k=1e-6, main_sensor_l=1.0,
        loss_idle_kw_per_k=1e-9, loss_firing_kw_per_k=1e-9,
    )  # fmt: skip
    day = cases.draws((0.0, minutes, flow_l_per_min, cases.HOT_AS_IT_COMES_C))
    where = cases.scene([day], hours=minutes / 60.0)
    outputs = cases.run(store, where, grain=cases.FINE_GRAIN)
    flow = flow_l_per_min / 60.0
    zone = solve_ivp(
        lambda t, y: [
            (flow * (10.0 - y[0]) + heat_kw / cases.WATER_KJ) / 40.0,
            flow * (y[0] - 10.0),  # heat that has left the zone upwards
        ],
        (0.0, 60.0 * minutes), [60.0, 0.0], rtol=1e-9, atol=1e-9,
    )  # fmt: skip
    drawn_l = flow_l_per_min * minutes
    hot_above = (160.0 - drawn_l) * 60.0
    left_zone = zone.y[1, -1] + drawn_l * 10.0
    mean_c = (hot_above + left_zone + 40.0 * zone.y[0, -1]) / 200.0
    assert outputs.end_mean_c[0] == pytest.approx(mean_c, abs=0.02)


def test_a_fixture_mixes_until_the_outlet_is_too_cold():
    # 8 L/min at 40 °C from 60 °C and 10 °C takes 60 % hot water: (40 - 10)/(60 - 10).
    day = cases.draws((0.0, 10.0, 8.0, 40.0))
    outputs = cases.run(cases.tank(), cases.scene([day]))
    assert cases.total(outputs, "hot_l")[0] == pytest.approx(0.6 * 80.0)
    assert cases.total(outputs, "missed_kj")[0] == 0.0


def test_a_tempering_valve_lets_less_hot_water_out():
    # A valve at 50 °C leaves the mix at 40 °C alone, but not a draw that asks for 55 °C.
    day = cases.draws((0.0, 10.0, 8.0, 40.0), (1.0, 5.0, 4.0, 55.0))
    outputs = cases.run(cases.tank(valve_c=50.0), cases.scene([day]))
    hot_l = 0.6 * 80.0 + 20.0 * (50.0 - 10.0) / (60.0 - 10.0)
    assert cases.total(outputs, "hot_l")[0] == pytest.approx(hot_l)
    assert cases.total(outputs, "missed_kj")[0] == pytest.approx(20.0 * cases.WATER_KJ * 5.0)


def test_what_runs_short_is_counted_in_heat_litres_and_minutes():
    # 200 L at 60 °C give 333.3 L at 40 °C (0.6 hot); 400 L are asked for: 66.7 L come at 10 °C.
    day = cases.draws((0.0, 40.0, 10.0, 40.0))
    outputs = cases.run(cases.tank(), cases.scene([day]))
    cold_l = 400.0 - 200.0 / 0.6
    assert cases.total(outputs, "short_l")[0] == pytest.approx(cold_l, rel=1e-4)
    assert cases.total(outputs, "short_s")[0] == pytest.approx(60.0 * cold_l / 10.0, rel=1e-4)
    assert cases.total(outputs, "missed_kj")[0] == pytest.approx(
        cold_l * cases.WATER_KJ * 30.0, rel=1e-4
    )
    assert outputs.coldest_c[0] == pytest.approx(10.0, abs=1e-3)


def test_the_lower_element_leaves_the_water_below_it_cold():
    store = cases.electric(mixing_l=0.0, loss_idle_kw_per_k=0.0, loss_firing_kw_per_k=0.0)
    day = cases.draws((0.0, 17.0, 10.0, cases.HOT_AS_IT_COMES_C))  # the whole store
    outputs = cases.run(store, cases.scene([day], hours=12.0))
    # 14 L below the element stay at 10 °C, the rest is at 60 °C.
    assert outputs.end_mean_c[0] == pytest.approx((14.0 * 10.0 + 156.0 * 60.0) / 170.0, abs=0.01)


def test_the_upper_element_goes_first():
    store = cases.electric(mixing_l=0.0)
    day = cases.draws((0.0, 4.25, 40.0, cases.HOT_AS_IT_COMES_C))  # the whole store
    # 4.4 kW bring the 51 L above the upper element from 10 to 60 °C in 40 minutes.
    outputs = cases.run(store, cases.scene([day], hours=0.7))
    assert cases.total(outputs, "upper_kj")[0] > 8.0 * cases.total(outputs, "main_kj")[0]


def test_a_locked_out_heat_pump_heats_with_its_elements():
    day = cases.random_day(3)
    where = cases.scene([day], pump_days=cases.pumps(runs=False))
    outputs = cases.run(cases.heat_pump(), where)
    assert cases.total(outputs, "main_kj")[0] == 0.0
    assert cases.total(outputs, "heat_kj")[0] == pytest.approx(
        0.98 * cases.total(outputs, "upper_kj")[0]
    )


def test_a_locked_out_heat_pump_without_elements_stays_cold():
    day = cases.random_day(3)
    where = cases.scene([day], pump_days=cases.pumps(runs=False))
    outputs = cases.run(cases.heat_pump(upper_kw=0.0, lower_kw=0.0), where)
    assert cases.total(outputs, "heat_kj")[0] == 0.0
    assert cases.total(outputs, "missed_kj")[0] > 0.0


def test_heat_from_the_air_is_what_the_compressor_did_not_pay_for():
    outputs = cases.run(cases.heat_pump(upper_kw=0.0), cases.scene([cases.random_day(5)]))
    heat, paid = cases.total(outputs, "heat_kj")[0], cases.total(outputs, "main_kj")[0]
    assert cases.total(outputs, "air_kj")[0] == pytest.approx(heat - paid, rel=1e-9)
    assert 2.0 < heat / paid < 5.0


def test_a_bottom_drawing_heat_pump_fills_the_tank_from_above():
    store = cases.heat_pump(main=BOTTOM_DRAW, upper_kw=0.0, mixing_l=0.0)
    day = cases.draws((0.0, 10.0, 12.0, cases.HOT_AS_IT_COMES_C))  # 120 of 190 L
    outputs = cases.run(store, cases.scene([day], steps=96), traced=True)
    assert outputs.trace[0, :16, 0].min() > 59.9  # the top is hot all the time
    assert outputs.trace[0, 16, 1] > 59.0  # while the store comes back


def test_the_compressor_prefers_cold_water():
    # The same heat into a store that is drawn cold again and again costs less.
    cold = cases.run(cases.heat_pump(upper_kw=0.0), cases.scene([cases.random_day(5, n=60)]))
    calm = cases.run(cases.heat_pump(upper_kw=0.0), cases.scene([cases.draws()], hours=240.0))
    cop = [cases.total(o, "heat_kj")[0] / cases.total(o, "main_kj")[0] for o in (cold, calm)]
    assert cop[0] > cop[1] > 1.0
