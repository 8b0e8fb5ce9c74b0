"""The heat pump against published maps, tables, laboratory results and label energies."""

from __future__ import annotations

import pytest

from heatersel.simulation.heat_pump import map_capacity_ratio, map_cop_ratio

# Multipliers of the map of Maguire, Fang, Wilson, NREL/TP-5500-55475 (2013), evaluated apart from
# this code: wet bulb, water in °C, capacity, COP (computed from coefficients recalled from memory).
MAP_POINTS = [
    (13.5, 48.89, 0.9795, 0.9867),
    (13.5, 26.67, 1.1493, 1.4444),
    (13.5, 60.0, 0.8398, 0.7500),
    (7.22, 48.89, 0.7445, 0.8144),
    (25.0, 48.89, 1.4178, 1.2822),
    (19.44, 37.78, 1.3173, 1.4193),
]


@pytest.mark.parametrize(("wet_bulb", "water", "capacity", "cop"), MAP_POINTS)
def test_published_map(wet_bulb, water, capacity, cop):
    assert map_capacity_ratio(wet_bulb, water) == pytest.approx(capacity, abs=1e-4)
    assert map_cop_ratio(wet_bulb, water) == pytest.approx(cop, abs=1e-4)
