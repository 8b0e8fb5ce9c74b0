"""Houses for the rules: one where everything is known and fine, and what differs from it."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from heatersel.cautions import CautionReport, SiteFacts, cautions_for
from heatersel.cautions.site_sheet import with_answers
from heatersel.heaters.catalogue import heater_by_id, load_heaters
from heatersel.heaters.heater import Heater, in_parallel
from heatersel.job.load import parse_job
from heatersel.job.models import Job

FINE: dict[str, Any] = {
    "household": {"occupants": 3, "days_away": 0},
    "place": {"climate": "Duluth, MN", "elevation": "650 ft"},
    "home": {
        "heater_location": "basement",
        "room_volume": "12000 ft3",
        "ceiling_height": "9 ft",
        "fuels": ["natural_gas", "propane", "fuel_oil", "electricity"],
        "vent": "lined_chimney",
        "other_gas_input": "40000 Btu/h",
        "gas_pipe": {
            "size": "1-1/4 in", "length": "40 ft", "material": "schedule_40", "dedicated": False,
            "meter_capacity": "400000 Btu/h", "supply": "11 inWC",
        },
        "panel": {
            "service": "400 A", "spare_poles": 20, "calculated_load": "60 A",
            "line_voltage": 240, "heater_breaker": "30 A", "heater_wire": 10,
            "outlet_120v": True,
        },
        "backflow_preventer": False,
        "static_pressure": "60 psi",
        "floor_drain": True,
        "hardness": "3 grain/gal",
        "vulnerable_occupants": False,
        "site": {
            "seismic": False,
            "tempering_valve": False, "point_of_use_valves": True, "pressure_regulator": False,
            "check_valve": False, "expansion_tank": False, "relief_faults": [],
            "vacuum_relief": False, "above_fixtures": False, "shutoff_valve": True,
            "galvanized_pipe": False, "bonding_jumper": True, "recirculation": "none",
            "idle_branch": "0 ft",
            "room_other_input": "40000 Btu/h", "air_changes": "0.5 1/h", "chimney_shared": False,
            "chimney_other_leaves": False, "other_outlet": "3 inch", "below_grade": False,
            "chimney_liner": True, "chimney_tile": True,
            "flue_area": "28 in2",
            "draft_hood": "3 inch", "draft_test": "pass", "vent_asbestos": False,
            "vent_named": True,
            "co_alarm": True, "terminal_to_window": "20 ft",
            "terminal_to_mechanical_inlet": "20 ft", "terminal_to_regulator": "20 ft",
            "terminal_above_grade": "3 ft", "terminal_above_walkway": "20 ft",
            "opens_to": "living_space", "gas_shutoff": True,
            "sediment_trap": True, "condensate_drain": True,
            "louvered": False, "ducting": "none", "room_min_temperature": "50 degF",
            "room_max_temperature": "85 degF", "bedroom_distance": "30 ft",
            "refrigerant_charge": "100 g",
            "leak_damages": False, "upper_floor": False, "freezing_space": False,
            "service_space": "40 inch", "narrowest_way": "36 inch", "outgoing_tank": "30 gal",
        },
    },
    "existing": {"energy_source": "electricity"},
    "preferences": {"setpoint": "120 degF"},
}  # fmt: skip
"""A house in which a rule finds nothing for a tank but what always holds."""

House = Callable[..., CautionReport]


def changed_job(changes: dict[str, Any]) -> Job:
    """Return the fine house with dotted changes; a value of ... takes the key away."""
    tables = deepcopy(FINE)
    for key, value in changes.items():
        *path, last = key.split(".")
        table = tables
        for part in path:
            table = table.setdefault(part, {})
        if value is ...:
            table.pop(last, None)
        else:
            table[last] = value
    return parse_job(tables)


def facts(job: Job, **known: Any) -> SiteFacts:
    """Return the facts of a job: region from its place, the rest as stated."""
    settings = {
        "region": job.place.climate.rpartition(", ")[2],
        "design_inlet_c": 4.0,
        "setpoint_c": job.preferences.setpoint_c,
        "elevation_m": job.place.elevation_m,
        "daily_hot_l": 200.0,
        "coldest_air_c": -12.0,
    }
    return SiteFacts(**{**settings, **known})


@pytest.fixture(scope="session")
def heaters() -> tuple[Heater, ...]:
    """The generic list."""
    return load_heaters().heaters


@pytest.fixture(scope="session")
def heater_of(heaters: tuple[Heater, ...]) -> Callable[[str], Heater]:
    """A heater by its id; "-x2" at its end makes two in parallel."""

    def found(heater_id: str) -> Heater:
        pair = heater_id.endswith("-x2")
        heater = heater_by_id(heaters, heater_id.removesuffix("-x2"))
        return in_parallel(heater, 2) if pair else heater

    return found


@pytest.fixture(scope="session")
def job_of() -> Callable[[dict[str, Any]], Job]:
    """The fine house with dotted changes, as a job."""
    return changed_job


@pytest.fixture(scope="session")
def facts_of() -> Callable[..., SiteFacts]:
    """The facts of a job."""
    return facts


@pytest.fixture(scope="session")
def house(heater_of: Callable[[str], Heater]) -> House:
    """Report on one heater in the fine house with changes: house("gas-tank-40", {...})."""

    def report(heater: str | Heater, changes: dict[str, Any] | None = None, **known: Any):
        job = changed_job(changes or {})
        chosen = heater_of(heater) if isinstance(heater, str) else heater
        return cautions_for(job, chosen, facts(job, **known))

    return report


@pytest.fixture(scope="session")
def raised(house: House) -> Callable[..., set[str]]:
    """Ids of the rules that raise something."""

    def ids(*args: Any, **known: Any) -> set[str]:
        return {caution.id for caution in house(*args, **known).cautions}

    return ids


@pytest.fixture(scope="session")
def asked(house: House) -> Callable[..., set[str]]:
    """Keys of the facts that rules ask for."""

    def keys(*args: Any, **known: Any) -> set[str]:
        return {measure.field for measure in house(*args, **known).to_measure}

    return keys


@pytest.fixture(scope="session")
def fine_tables() -> dict[str, Any]:
    """The tables of the fine house, as a job file has them."""
    return with_answers(FINE, "")
