"""The present heater, as its fuel meter sees it."""

from __future__ import annotations

from typing import Any

import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.in_use import heater_behind_bills
from heatersel.job.load import parse_job
from heatersel.job.models import Job

HEATERS = load_heaters().heaters


def job(**existing: Any) -> Job:
    bills = {"fuel": existing.get("energy_source", "electricity"), "monthly": ["800 kWh"] * 12}
    tables: dict[str, Any] = {
        "household": {"occupants": 4, "bills": bills},
        "place": {"climate": "Duluth, MN"},
    }
    return parse_job(tables | ({"existing": existing} if existing else {}))


def test_nothing_known_gives_nothing() -> None:
    assert heater_behind_bills(job(), HEATERS) is None


def test_without_bills_it_is_not_asked_for() -> None:
    tables = {
        "household": {"occupants": 4},
        "place": {"climate": "Duluth, MN"},
        "existing": {"energy_source": "natural_gas"},
    }

    assert heater_behind_bills(parse_job(tables), HEATERS) is None


def test_no_row_of_its_class_gives_nothing() -> None:
    assert heater_behind_bills(job(energy_source="natural_gas"), ()) is None


def test_rating_comes_back_on_the_test_day() -> None:
    """With 55 gal at a 67 degF rise (8.90 kWh) in a room of 67.5 degF the balance is the UEF.

    Standby here is for 120 degF in 64.4 degF, 55.6 in place of 57.5 degF difference.
    """
    found = heater_behind_bills(
        job(energy_source="natural_gas", volume="40 gal", input="40000 Btu/h", uef=0.58), HEATERS
    )

    assert found is not None
    standby = found.standby_kwh_per_day * 57.5 / 55.6
    assert 8.90 / (8.90 / found.recovery_efficiency + standby) == pytest.approx(0.58, abs=0.01)
    assert "UEF 0.58" in found.basis


def test_a_tankless_heater_has_no_standby() -> None:
    tankless = job(energy_source="natural_gas", kind="tankless", uef=0.81)
    found = heater_behind_bills(tankless, HEATERS)

    assert found is not None
    assert (found.recovery_efficiency, found.standby_kwh_per_day) == (0.81, 0.0)


def test_a_heat_pump_converts_at_its_cop() -> None:
    found = heater_behind_bills(job(energy_source="electricity", kind="heat_pump_storage"), HEATERS)

    assert found is not None
    assert found.recovery_efficiency > 2.0
    assert 0.0 < found.standby_kwh_per_day < 2.0
