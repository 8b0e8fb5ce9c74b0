"""Control modes: which hours they leave to compressor and elements."""

from __future__ import annotations

import pytest

from heatersel.errors import OutOfRangeError
from heatersel.simulation.heat_pump_control import ControlMode, HeatPumpControl

ALWAYS, NEVER = (True,) * 24, (False,) * 24


@pytest.mark.parametrize(
    ("mode", "compressor", "elements"),
    [
        (ControlMode.COMPRESSOR_FIRST, ALWAYS, ALWAYS),
        (ControlMode.COMPRESSOR_ONLY, ALWAYS, NEVER),
        (ControlMode.ELEMENTS_ONLY, NEVER, ALWAYS),
    ],
)
def test_mode_decides_who_may_run(mode, compressor, elements):
    assert HeatPumpControl(mode=mode).allowed_hours() == (compressor, elements)


def test_schedule_gives_each_its_hours():
    day = (False,) * 6 + (True,) * 16 + (False,) * 2
    control = HeatPumpControl(mode=ControlMode.SCHEDULE, compressor_hours=day, element_hours=NEVER)
    assert control.allowed_hours() == (day, NEVER)


def test_hours_are_ignored_outside_the_schedule_mode():
    control = HeatPumpControl(compressor_hours=NEVER)
    assert control.allowed_hours() == (ALWAYS, ALWAYS)


def test_a_day_has_24_hours():
    with pytest.raises(OutOfRangeError, match="one per hour"):
        HeatPumpControl(element_hours=(True,) * 23)


@pytest.mark.parametrize("drop", [0.0, 60.0])
def test_impossible_backup_drop_is_refused(drop):
    with pytest.raises(OutOfRangeError, match="1 to 40 K"):
        HeatPumpControl(backup_drop_k=drop)
