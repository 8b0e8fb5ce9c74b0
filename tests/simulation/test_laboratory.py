"""The simulated laboratory's conditions and the order of its results."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.rated import DAILY_DRAW_L
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.laboratory import (
    laboratory_draws,
    scaled,
    simulated_uefs,
    simulated_use,
)
from heatersel.simulation.rating_test import calibrate

HEATERS = {heater.id: heater for heater in load_heaters().heaters}
GAS = calibrate(HEATERS["gas-tank-40"])
PUMP = calibrate(HEATERS["heat-pump-50"])


def test_each_heater_draws_its_own_pattern():
    drawn = simulated_use([GAS, PUMP], 1).totals["hot_l"][:, 0]
    assert drawn == pytest.approx([DAILY_DRAW_L[m.heater.draw_pattern] for m in (GAS, PUMP)])


def test_more_loss_lowers_the_uef():
    lossy = replace(GAS, standby_loss_w_per_k=1.2 * GAS.standby_loss_w_per_k)
    tight, leaky = simulated_uefs([GAS, lossy])
    assert leaky < tight - 0.01


def test_a_pilot_counts_as_energy():
    without = replace(GAS, heater=replace(GAS.heater, pilot_w=0.0))
    with_pilot, none = simulated_uefs([GAS, without])
    # Most of what it burns at rest spares the burner as much.
    assert with_pilot < none
    assert with_pilot == pytest.approx(none, abs=0.02)


def test_the_fan_counts_as_energy():
    powered = calibrate(HEATERS["gas-power-vent-40"])
    bare = replace(powered, heater=replace(powered.heater, aux_standby_w=0.0))
    with_fan, none = simulated_uefs([powered, bare])
    assert with_fan < none


def test_the_trace_has_the_asked_number_of_spans():
    assert simulated_use([GAS], 96).trace.shape == (1, 96, 3)
    assert simulated_use([GAS], 1).trace.shape == (1, 0, 3)


def test_the_first_hour_is_drawn_at_three_gallons_a_minute_small_tanks_at_half_of_it():
    _, pieces = laboratory_draws()
    flows = pieces["flow_l_per_s"][-2:, 0] * 60.0 / 3.785411784
    assert flows == pytest.approx([3.0, 1.5])


def test_a_better_heat_pump_gives_more_heat_for_the_same_power():
    days = daily_tables(PUMP.heater, np.array([20.0]), np.array([0.5]))
    better = scaled(days, 1.2)
    assert better.cop == pytest.approx(1.2 * days.cop)
    assert better.heat_kw / better.cop == pytest.approx(days.heat_kw / days.cop)
