"""Makers of households, places and climates for the tests of demand; all invented."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from heatersel.climate import climate
from heatersel.demand.inlet import Inlet, inlet_for
from heatersel.job.models import Household, Place

COLD = "Duluth, MN"


def _household(occupants: Any = 4, **more: Any) -> Household:
    return Household.model_validate({"occupants": occupants, **more})


def _place(**more: Any) -> Place:
    return Place.model_validate({"climate": COLD, **more})


def _inlet(climate_name: str = COLD, **more: Any) -> Inlet:
    return inlet_for(_place(**more), climate(climate_name))


def _air(mean_c: float, swing_k: float) -> SimpleNamespace:
    wave = (-1.0, -0.8, -0.4, 0.1, 0.5, 0.9, 1.0, 0.8, 0.4, -0.1, -0.5, -0.9)
    return SimpleNamespace(monthly_air_c=tuple(mean_c + swing_k / 2 * share for share in wave))


@pytest.fixture(scope="session")
def household() -> Callable[..., Household]:
    """Make a household: its people (default four adults), then any key of the job file."""
    return _household


@pytest.fixture(scope="session")
def place() -> Callable[..., Place]:
    """Make a place in a cold climate from keys of the job file."""
    return _place


@pytest.fixture(scope="session")
def inlet() -> Callable[..., Inlet]:
    """Make the inlet of a climate, by default a cold one, and of keys of the place."""
    return _inlet


@pytest.fixture(scope="session")
def air() -> Callable[[float, float], SimpleNamespace]:
    """Make a climate of the given mean [degC] and swing between extreme months [K]."""
    return _air
