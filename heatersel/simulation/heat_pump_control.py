"""Control modes of a heat-pump water heater, named by what they do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heatersel.errors import OutOfRangeError

__all__ = ["ControlMode", "HeatPumpControl"]


class ControlMode(StrEnum):
    """How compressor and elements share the work."""

    COMPRESSOR_FIRST = "compressor_first"  # elements help when the tank falls far below
    COMPRESSOR_ONLY = "compressor_only"  # elements never, except outside the compressor's range
    ELEMENTS_ONLY = "elements_only"
    SCHEDULE = "schedule"  # compressor and elements each in their hours


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPumpControl:
    """What the user set at the unit.

    Parameters
    ----------
    mode : ControlMode
        How compressor and elements share the work.
    backup_drop_k : float
        Fall below the setpoint at the upper sensor that brings in the upper element, 1 to 40;
        10 to 14 K is usual (from memory, medium). [K]
    compressor_hours, element_hours : tuple of bool
        Hours of the day in which each may run; used by the schedule mode only.
    """

    mode: ControlMode = ControlMode.COMPRESSOR_FIRST
    backup_drop_k: float = 12.0
    compressor_hours: tuple[bool, ...] = (True,) * 24
    element_hours: tuple[bool, ...] = (True,) * 24

    def __post_init__(self) -> None:
        """Refuse a drop or a list of hours that no unit has."""
        if not 1.0 <= self.backup_drop_k <= 40.0:
            raise OutOfRangeError.of(
                "backup temperature drop", value=f"{self.backup_drop_k:g} K",
                allowed="1 to 40 K", fix="10 to 14 K is usual",
            )  # fmt: skip
        for name, hours in (("compressor", self.compressor_hours), ("element", self.element_hours)):
            if len(hours) != 24:
                raise OutOfRangeError.of(
                    f"{name} hours", value=f"{len(hours)} entries", allowed="24, one per hour",
                    fix="start with the hour after midnight",
                )  # fmt: skip

    def allowed_hours(self) -> tuple[tuple[bool, ...], tuple[bool, ...]]:
        """Return, for compressor and elements, whether each hour of the day allows them."""
        always, never = (True,) * 24, (False,) * 24
        return {
            ControlMode.COMPRESSOR_FIRST: (always, always),
            ControlMode.COMPRESSOR_ONLY: (always, never),
            ControlMode.ELEMENTS_ONLY: (never, always),
            ControlMode.SCHEDULE: (self.compressor_hours, self.element_hours),
        }[self.mode]
