"""Settings of the refrigerant cycles."""

from __future__ import annotations

import pytest

from heatersel.errors import UnknownChoiceError
from heatersel.heaters.catalogue import load_heaters
from heatersel.simulation.heat_pump_settings import SETTINGS, settings_for

DESIGN_RANGES = (
    # usual design values (from memory, medium)
    ("evaporator_approach_k", 8.0, 12.0),
    ("condenser_approach_k", 3.0, 12.0),
    ("superheat_k", 3.0, 8.0),
    ("subcool_k", 3.0, 8.0),
    ("peak_efficiency", 0.55, 0.70),
)


@pytest.mark.parametrize(("name", "low", "high"), DESIGN_RANGES)
@pytest.mark.parametrize("settings", SETTINGS.values(), ids=list(SETTINGS))
def test_settings_lie_within_usual_design(settings, name, low, high):
    assert low <= getattr(settings, name) <= high


def test_every_listed_heat_pump_has_a_table():
    used = {heater.refrigerant for heater in load_heaters().heaters if heater.refrigerant}
    assert used
    assert used <= set(SETTINGS)


def test_efficiency_peaks_at_the_best_pressure_ratio():
    settings = settings_for("R134a")
    best = settings.efficiency(settings.best_pressure_ratio)
    assert best == settings.peak_efficiency
    assert settings.efficiency(2.0) < best > settings.efficiency(9.0)
    assert settings.efficiency(1e3) == 0.3


def test_hot_air_does_not_raise_the_coil_without_bound():
    settings = settings_for("R290")
    assert settings.evaporating_c(50.0) == settings.most_evaporating_c
    assert settings.evaporating_c(10.0) == 0.0


def test_unknown_refrigerant_is_named():
    with pytest.raises(UnknownChoiceError, match="build a table"):
        settings_for("R22")
