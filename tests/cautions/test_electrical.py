"""Branch circuits against worked code examples and the arithmetic of amperes."""

from __future__ import annotations

import pytest

from heatersel.cautions.electrical import (
    power_at_supply_kw,
    tank_circuit,
    tankless_circuits,
    wire_awg_for,
)
from heatersel.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("watts", "volts", "smallest", "largest", "awg"),
    [
        # NEC 422.13 and 422.11(E)(3); the 4500 and 5500 W rows are worked in print (seen), the
        # others by the same arithmetic
        (1500, 120, 20, 20, 12),
        (3000, 240, 20, 20, 12),
        (3500, 240, 20, 25, 12),
        (3800, 240, 20, 25, 12),
        (4500, 240, 25, 30, 10),
        (5500, 240, 30, 35, 10),
        (6000, 240, 35, 40, 8),
    ],
)
def test_storage_circuit(watts, volts, smallest, largest, awg):
    found = tank_circuit(watts / 1000.0, volts)
    assert (found.breaker_min_a, found.breaker_max_a, found.wire_awg) == (smallest, largest, awg)
    assert found.amps == pytest.approx(watts / volts)


@pytest.mark.parametrize(
    ("kw", "amps", "count", "each"),
    [(11, 45.8, 1, 50), (13, 54.2, 1, 60), (18, 75, 2, 40), (24, 100, 3, 40), (27, 112.5, 3, 40),
     (36, 150, 4, 40)],
)  # fmt: skip
def test_usual_sets_of_tankless_circuits(kw, amps, count, each):
    # amperes are arithmetic; the sets are usual nameplates (memory), the listing governs
    found = tankless_circuits(kw)
    assert found.amps == pytest.approx(amps, abs=0.05)
    assert (found.count, found.breaker_min_a) == (count, each)


def test_an_unusual_power_gets_the_fewest_circuits_of_60_a():
    found = tankless_circuits(20.0)
    assert found.amps == pytest.approx(83.3, abs=0.05)
    assert (found.count, found.breaker_min_a) == (2, 45)


def test_power_goes_with_the_square_of_voltage():
    assert power_at_supply_kw(4.0, 240.0, 120.0) == pytest.approx(1.0)


@pytest.mark.parametrize(("breaker", "awg"), [(15, 14), (16, 12), (20, 12), (30, 10), (31, 8),
                                              (110, 1), (111, None)])  # fmt: skip
def test_copper_by_the_60_c_column(breaker, awg):
    assert wire_awg_for(breaker) == awg


def test_a_heater_without_power_is_refused():
    with pytest.raises(OutOfRangeError, match="above 0"):
        tank_circuit(0.0)


def test_a_heater_beyond_every_breaker_is_refused():
    with pytest.raises(OutOfRangeError, match="600 A"):
        tank_circuit(200.0)
