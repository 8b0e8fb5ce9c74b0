"""The circuit that an electric heater needs: amperes, breaker, copper, and what 208 V leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from heatersel.errors import OutOfRangeError
from heatersel.reference import records

__all__ = [
    "STANDARD_BREAKERS_A",
    "Circuit",
    "has_no_240v",
    "power_at_supply_kw",
    "tank_circuit",
    "tankless_circuits",
    "wire_awg_for",
]

STANDARD_BREAKERS_A = (
    15,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    60,
    70,
    80,
    90,
    100,
    110,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
    350,
    400,
    450,
    500,
    600,
)
"""Standard ratings, NEC 240.6(A) (memory)."""

_AMPACITY_60C = (
    (14, 15),
    (12, 20),
    (10, 30),
    (8, 40),
    (6, 55),
    (4, 70),
    (3, 85),
    (2, 95),
    (1, 110),
)
"""Copper AWG and amperes at 60 °C, NEC table 310.16 with 240.4(D) for the small sizes (memory)."""

_CONTINUOUS = 1.25  # NEC 422.13: storage heater of 120 gal or less is a continuous load (seen)
_OVERCURRENT = 1.5  # NEC 422.11(E)(3): at most 150 %, next standard size up (seen)
_LARGEST_EACH_A = 60
_NOMINAL_V = 240.0
_LEAST_SHARE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """One or more equal branch circuits.

    Parameters
    ----------
    amps : float
        Current of the heater in all circuits together. [A]
    count : int
        Number of circuits.
    breaker_min_a, breaker_max_a : int
        Smallest and largest breaker allowed for each. [A]
    wire_awg : int or None
        Copper for the smallest breaker, by the 60 °C column; None above 110 A.
    """

    amps: float
    count: int
    breaker_min_a: int
    breaker_max_a: int
    wire_awg: int | None

    @property
    def wire(self) -> str:
        """The conductor in words."""
        return f"{self.wire_awg} AWG copper" if self.wire_awg else "a conductor above 1 AWG"


def has_no_240v(line_v: float) -> bool:
    """Return whether a supply is neither 240 V nor the 208 V of a three-phase building.

    Below 80 % of 240 V; common practice, no source.
    """
    return line_v < _LEAST_SHARE * _NOMINAL_V


def tank_circuit(power_kw: float, volts: float = 240.0) -> Circuit:
    """Return the branch circuit of a storage heater of 120 gal or less.

    Parameters
    ----------
    power_kw : float
        Nameplate power, above 0. [kW]
    volts : float
        Supply. [V]

    Returns
    -------
    Circuit
        At least 125 % of the nameplate, at most the next standard size above 150 %.

    Raises
    ------
    OutOfRangeError
        If power or voltage is not above 0.

    References
    ----------
    .. [1] NEC 422.13 and 422.11(E)(3), with 240.6(A).  (seen; worked for 4500 and 5500 W)

    Examples
    --------
    >>> tank_circuit(5.5).breaker_min_a, tank_circuit(5.5).breaker_max_a
    (30, 35)
    """
    amps = _amps(power_kw, volts)
    smallest = _standard(_CONTINUOUS * amps)
    return Circuit(
        amps=amps, count=1, breaker_min_a=smallest, wire_awg=wire_awg_for(smallest),
        breaker_max_a=max(smallest, _standard(_OVERCURRENT * amps)),
    )  # fmt: skip


def tankless_circuits(power_kw: float, volts: float = 240.0) -> Circuit:
    """Return the usual set of circuits for an electric tankless heater.

    The heater's listing governs; this is the usual nameplate arrangement where the power is
    one of the common ones, otherwise the fewest equal circuits of 60 A or less.

    Parameters
    ----------
    power_kw : float
        Nameplate power of all elements, above 0. [kW]
    volts : float
        Supply. [V]

    Returns
    -------
    Circuit
        Number of circuits with breaker and copper of each. A tankless heater is not counted as
        continuous; where a circuit runs above 80 % of its breaker the listing must allow it.

    Raises
    ------
    OutOfRangeError
        If power or voltage is not above 0.

    References
    ----------
    .. [1] Usual nameplate arrangements, datasets/safety/tankless_circuits.csv.  (memory)

    Examples
    --------
    >>> tankless_circuits(27.0).count, tankless_circuits(27.0).breaker_min_a
    (3, 40)
    """
    amps = _amps(power_kw, volts)
    for row in _usual():
        if abs(row["input"] - power_kw) < 0.05 and volts >= 240.0:
            breaker, count = int(row["breaker"]), int(row["circuits"])
            break
    else:
        count = math.ceil(amps / _LARGEST_EACH_A)
        breaker = _standard(amps / count)
    return Circuit(
        amps=amps, count=count, breaker_min_a=breaker, breaker_max_a=breaker,
        wire_awg=wire_awg_for(breaker),
    )  # fmt: skip


def power_at_supply_kw(rated_kw: float, rated_v: float, supply_v: float) -> float:
    """Return what a resistance element gives at another voltage: it goes with the square.

    Parameters
    ----------
    rated_kw : float
        Power at the rated voltage. [kW]
    rated_v, supply_v : float
        Voltages, above 0. [V]

    Returns
    -------
    float
        Power. [kW]

    Examples
    --------
    >>> round(power_at_supply_kw(4.5, 240.0, 208.0), 2)
    3.38
    """
    return rated_kw * (supply_v / rated_v) ** 2


def wire_awg_for(breaker_a: float) -> int | None:
    """Return the smallest copper that a breaker may protect, by the 60 °C column.

    Parameters
    ----------
    breaker_a : float
        Breaker. [A]

    Returns
    -------
    int or None
        AWG size; None above 110 A, where the table kept here ends.
    """
    return next((awg for awg, amps in _AMPACITY_60C if amps >= breaker_a - 1e-9), None)


def _amps(power_kw: float, volts: float) -> float:
    if power_kw <= 0.0 or volts <= 0.0:
        raise OutOfRangeError.of(
            "heater", value=f"{power_kw:g} kW, {volts:g} V", allowed="both above 0"
        )
    return 1000.0 * power_kw / volts


def _standard(amps: float) -> int:
    """Return the next standard breaker; raise OutOfRangeError beyond the list."""
    for size in STANDARD_BREAKERS_A:
        if size >= amps - 1e-9:
            return size
    raise OutOfRangeError.of("circuit", value=f"{amps:.0f} A", allowed="up to 600 A")


@lru_cache(maxsize=1)
def _usual() -> tuple[dict[str, float], ...]:
    numbers = {"input": "kW", "circuits": "", "breaker": "A", "wire": ""}
    return records("safety/tankless_circuits", numbers)
