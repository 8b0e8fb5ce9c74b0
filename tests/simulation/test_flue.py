"""Flue loss and condensing: limits."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation.flue import combustion_efficiency, dew_point_c

FUELS = [EnergySource.NATURAL_GAS, EnergySource.PROPANE, EnergySource.FUEL_OIL]


@pytest.mark.parametrize("fuel", FUELS)
def test_warmer_flue_gas_carries_more_away(fuel):
    assert np.all(np.diff(combustion_efficiency(fuel, np.arange(5.0, 240.0, 2.0))) < 0.0)


@pytest.mark.parametrize("fuel", FUELS)
def test_condensing_shows_as_a_kink_at_the_dew_point(fuel):
    dew_c = dew_point_c(fuel)
    wet, dry = (
        float(combustion_efficiency(fuel, dew_c + at) - combustion_efficiency(fuel, dew_c + at + 2))
        for at in (-3.0, 3.0)
    )
    assert wet > 4.0 * dry


def test_excess_air_lowers_dew_point_and_efficiency():
    gas = EnergySource.NATURAL_GAS
    assert dew_point_c(gas, 1.5) < dew_point_c(gas, 1.25) < dew_point_c(gas, 1.0)
    assert combustion_efficiency(gas, 150.0, 1.5) < combustion_efficiency(gas, 150.0, 1.0)


def test_electricity_makes_no_flue_gas():
    with pytest.raises(UnknownChoiceError, match="natural_gas, propane, fuel_oil"):
        combustion_efficiency(EnergySource.ELECTRICITY, 50.0)
