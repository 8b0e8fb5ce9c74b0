"""Heaters, years and tariffs that the cost tests share; all invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from heatersel.cost.tariff import Tariff, tariff_of
from heatersel.heaters.heater import (
    DrawPattern,
    EnergySource,
    Heater,
    HeaterClass,
    Kind,
    VentType,
)
from heatersel.job.load import parse_job
from heatersel.job.models import Job
from heatersel.job.tariff_table import TariffTable
from heatersel.simulation.result import AnnualResult

_BASE = {
    "id": "gas",
    "name": "Gas tank, 50 gal",
    "kind": Kind.STORAGE,
    "heater_class": HeaterClass.ATMOSPHERIC_STORAGE,
    "energy_source": EnergySource.NATURAL_GAS,
    "vent_type": VentType.DRAFT_HOOD,
    "draw_pattern": DrawPattern.MEDIUM,
    "volume_l": 180.0,
    "input_kw": 11.7,
    "uef": 0.62,
    "first_hour_rating_l": 280.0,
    "recovery_efficiency": 0.79,
}
_ELECTRIC = {
    "id": "electric",
    "name": "Electric tank, 50 gal",
    "heater_class": HeaterClass.ELECTRIC_STORAGE,
    "energy_source": EnergySource.ELECTRICITY,
    "vent_type": VentType.NONE,
    "input_kw": 4.5,
    "uef": 0.92,
    "recovery_efficiency": 0.98,
}
_HEAT_PUMP = _ELECTRIC | {
    "id": "heat-pump",
    "name": "Heat pump tank, 50 gal",
    "kind": Kind.HEAT_PUMP_STORAGE,
    "heater_class": HeaterClass.HEAT_PUMP_240V,
    "uef": 3.5,
    "recovery_efficiency": 4.0,
    "refrigerant": "R134a",
}


def _heater(base: dict[str, Any], changes: dict[str, Any]) -> Heater:
    return Heater(**(_BASE | base | changes))


@pytest.fixture
def gas_tank() -> Callable[..., Heater]:
    return lambda **changes: _heater({}, changes)


@pytest.fixture
def electric_tank() -> Callable[..., Heater]:
    return lambda **changes: _heater(_ELECTRIC, changes)


@pytest.fixture
def heat_pump() -> Callable[..., Heater]:
    return lambda **changes: _heater(_HEAT_PUMP, changes)


@pytest.fixture
def year_of() -> Callable[..., AnnualResult]:
    """Return a year that uses the same energy each month."""

    def year(source: EnergySource, kwh: float, hourly: Any = None) -> AnnualResult:
        months = np.full(12, kwh / 12.0)
        return AnnualResult(
            heater_id="any",
            method="balance",
            monthly_kwh={source: months},
            hourly_kwh=None if hourly is None else {source: hourly},
            delivered_kwh=0.6 * kwh,
            standby_loss_kwh=0.0,
        )

    return year


@pytest.fixture
def tariff() -> Callable[..., Tariff]:
    """Return a tariff of the table of a job file."""

    def made(source: EnergySource = EnergySource.ELECTRICITY, **table: Any) -> Tariff:
        return tariff_of(TariffTable.model_validate({"name": "test"} | table), source, 0.0107)

    return made


@pytest.fixture
def job_with() -> Callable[..., Job]:
    """Return a small job with the tables given."""

    def made(**tables: Any) -> Job:
        return parse_job(
            {
                "household": {"occupants": 3},
                "place": {"climate": "Duluth, MN"},
                "home": {"fuels": ["natural_gas", "electricity"], "other_gas_input": "0 Btu/h"},
                "existing": {"kind": "storage", "energy_source": "natural_gas"},
                **tables,
            }
        )

    return made
