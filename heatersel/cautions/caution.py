"""What a rule says: a caution with its numbers and its remedy, or a measurement to take."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

__all__ = [
    "LOCAL_RULES",
    "Caution",
    "CautionReport",
    "Measure",
    "Number",
    "Severity",
    "SiteFacts",
    "Status",
]

LOCAL_RULES = (
    "Cautions are prompts to check, not approvals. The adopted local code, the heater's listing "
    "and instructions, the utility and a licensed person decide."
)
"""Shown with every list of cautions."""

Number = tuple[str, float, str]
"""Name with unit suffix, value, unit as shown."""


class Severity(StrEnum):
    """How far a caution reaches."""

    STOP = "stop"  # may not be installed like this
    MUST = "must"  # may be installed once the remedy is in the price
    NOTE = "note"  # worth knowing before choosing


class Status(StrEnum):
    """How well the source of a rule is known to this project."""

    SEEN = "seen"
    MEMORY = "memory"
    COMPUTED = "computed"
    PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFacts:
    """What earlier stages computed and the rules need.

    Parameters
    ----------
    region : str
        State or province code, such as "MN" or "ON".
    design_inlet_c : float
        Cold water on the coldest-inlet day. [°C]
    setpoint_c : float
        Temperature at which water is stored or leaves the heater. [°C]
    elevation_m : float or None
        Height above sea level. [m]
    daily_hot_l : float or None
        Hot water a day. [L]
    coldest_air_c : float or None
        Mean outdoor air of the coldest month. [°C]
    """

    region: str
    design_inlet_c: float
    setpoint_c: float
    elevation_m: float | None = None
    daily_hot_l: float | None = None
    coldest_air_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One hazard or duty that a rule found, with what fixes it.

    Parameters
    ----------
    id, subject, jurisdiction : str
        Rule, its subject, and where the rule holds.
    severity : Severity
        Stop, must or note.
    message : str
        What can happen and what fixes it, for the homeowner.
    trade_message : str
        The exact finding for the trade.
    numbers : tuple of Number
        The figures behind it, in SI units.
    remedy : str
        What to do.
    remedy_ids : tuple of str
        Keys of the price table for the remedy; empty where nothing has to be bought.
    lifts : str
        What would lift a stop; empty otherwise.
    source, edition : str
        Where the rule comes from.
    status : Status
        Whether that source was read or is quoted from memory.
    """

    id: str
    subject: str
    jurisdiction: str
    severity: Severity
    message: str
    trade_message: str
    numbers: tuple[Number, ...] = ()
    remedy: str
    remedy_ids: tuple[str, ...] = ()
    lifts: str = ""
    source: str
    edition: str
    status: Status

    def as_dict(self) -> dict[str, Any]:
        """Return the caution as plain fields, for JSON; numbers are keyed by name."""
        return {
            "id": self.id,
            "subject": self.subject,
            "jurisdiction": self.jurisdiction,
            "severity": self.severity.value,
            "message": self.message,
            "trade_message": self.trade_message,
            "numbers": {name: value for name, value, _ in self.numbers},
            "remedy": self.remedy,
            "remedy_ids": list(self.remedy_ids),
            "lifts": self.lifts,
            "source": self.source,
            "edition": self.edition,
            "status": self.status.value,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One thing to measure, look at or photograph on site.

    Parameters
    ----------
    field : str
        Dotted key of the job file that the answer goes into.
    why : str
        What depends on it.
    matters_for : tuple of str
        Ids of the options for which it matters.
    order : int
        Place in the walk from the meter to the fixtures.
    """

    field: str
    why: str
    matters_for: tuple[str, ...]
    order: int

    def as_dict(self) -> dict[str, Any]:
        """Return the measurement as plain fields, for JSON."""
        return {"field": self.field, "why": self.why, "matters_for": list(self.matters_for)}


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionReport:
    """All that the rules say about one heater in one house."""

    cautions: tuple[Caution, ...]
    to_measure: tuple[Measure, ...]

    @property
    def stops(self) -> tuple[Caution, ...]:
        """The cautions that exclude the heater."""
        return tuple(c for c in self.cautions if c.severity is Severity.STOP)

    @property
    def excluded_because(self) -> str | None:
        """Why the heater is excluded and what would lift it, None if it is not."""
        if not self.stops:
            return None
        return " ".join(f"{c.message} What would lift this: {c.lifts}." for c in self.stops)
