"""The published map: its range."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.errors import OutOfRangeError
from heatersel.simulation.heat_pump_map import map_capacity_ratio, map_cop_ratio


@pytest.mark.parametrize(("wet_bulb", "water"), [(1.0, 40.0), (41.0, 40.0), (14.0, 62.0)])
@pytest.mark.parametrize("ratio", [map_capacity_ratio, map_cop_ratio])
def test_map_refuses_to_extrapolate(ratio, wet_bulb, water):
    with pytest.raises(OutOfRangeError, match="use the cycle tables"):
        ratio(wet_bulb, water)


def test_map_takes_arrays():
    wet_bulbs = np.array([5.0, 13.5, 25.0])
    assert map_cop_ratio(wet_bulbs, 48.89) == pytest.approx(
        [map_cop_ratio(float(x), 48.89) for x in wet_bulbs]
    )
