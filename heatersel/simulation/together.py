"""Fixtures that a tankless heater can serve at once, month by month.

What a homeowner asks is not a flow in L/min but "two showers, or one?". The flow that full input
holds at the month's inlet is dealt out to showers first, then to sinks, then to a tub, as many as
are installed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import Heater
from heatersel.job.models import Fixture
from heatersel.sizing.tankless import flow_at_rise_l_per_min
from heatersel.water import mixing_hot_fraction

__all__ = ["Together", "in_words", "run_together"]

# What people would not do without first.
_ORDER = (
    Fixture.SHOWER,
    Fixture.KITCHEN_SINK,
    Fixture.LAVATORY,
    Fixture.BATHTUB,
    Fixture.SOAKING_TUB,
    Fixture.BODY_SPRAY,
)
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_WORDS = {
    Fixture.SHOWER: ("shower", "showers"),
    Fixture.KITCHEN_SINK: ("kitchen sink", "kitchen sinks"),
    Fixture.LAVATORY: ("sink", "sinks"),
    Fixture.BATHTUB: ("tub filler", "tub fillers"),
    Fixture.SOAKING_TUB: ("soaking-tub filler", "soaking-tub fillers"),
    Fixture.BODY_SPRAY: ("body spray", "body sprays"),
}
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What runs at once in one month.

    Parameters
    ----------
    month : int
        0 = January.
    hot_flow_l_per_min : float
        Flow that the heater holds at the setpoint. [L/min]
    fixtures : mapping of Fixture to int
        How many of each run together, those with none left out.
    spare_l_per_min : float
        Hot flow left. [L/min]
    """

    month: int
    hot_flow_l_per_min: float
    fixtures: Mapping[Fixture, int]
    spare_l_per_min: float


def run_together(
    heater: Heater,
    monthly_inlet_c: Sequence[float],
    *,
    setpoint_c: float,
    use_temp_c: float,
    installed: Mapping[Fixture, int],
    flow_l_per_min: Mapping[Fixture, float],
    input_frac: float = 1.0,
) -> tuple[Together, ...]:
    """Return which fixtures can run together in each month.

    Parameters
    ----------
    heater : Heater
        A tankless heater, or several in parallel as one.
    monthly_inlet_c : sequence of 12 float
        Cold water, January first. [°C]
    setpoint_c, use_temp_c : float
        Outlet, and mixed water at the fixtures. [°C]
    installed : mapping of Fixture to int
        Fixtures in the house.
    flow_l_per_min : mapping of Fixture to float
        Mixed flow of each. [L/min]
    input_frac : float
        Input left by altitude or supply voltage, above 0 and up to 1. [-]

    Returns
    -------
    tuple of 12 Together

    Raises
    ------
    OutOfRangeError
        If `input_frac` lies outside its range.
    """
    if not 0.0 < input_frac <= 1.0:
        raise OutOfRangeError.of(
            "share of input", value=f"{input_frac:g}", allowed="above 0 and at most 1",
            fix="write a derate of 10 % as 0.9",
        )  # fmt: skip
    return tuple(
        _month(
            month,
            input_frac * flow_at_rise_l_per_min(heater, inlet_c, setpoint_c),
            mixing_hot_fraction(use_temp_c, setpoint_c, inlet_c),
            installed,
            flow_l_per_min,
        )
        for month, inlet_c in enumerate(monthly_inlet_c)
    )


def in_words(months: Sequence[Together]) -> str:
    """Return the warmest and the coldest month as a sentence.

    Parameters
    ----------
    months : sequence of Together
        From :func:`run_together`.

    Returns
    -------
    str
        Such as "two showers in July, one shower and one sink in January".
    """
    best = max(months, key=lambda one: one.hot_flow_l_per_min)
    worst = min(months, key=lambda one: one.hot_flow_l_per_min)
    if dict(best.fixtures) == dict(worst.fixtures):
        return f"{_listed(best)} all year"
    return f"{_listed(best)} in {_MONTHS[best.month]}, {_listed(worst)} in {_MONTHS[worst.month]}"


def _month(
    month: int,
    available: float,
    hot_share: float,
    installed: Mapping[Fixture, int],
    flow_l_per_min: Mapping[Fixture, float],
) -> Together:
    left = available
    running: dict[Fixture, int] = {}
    for fixture in _ORDER:
        each = hot_share * flow_l_per_min.get(fixture, 0.0)
        if each > 0.0:
            number = min(installed.get(fixture, 0), int(left / each + _HAIR))
            left -= number * each
            if number:
                running[fixture] = number
    return Together(
        month=month, hot_flow_l_per_min=available, fixtures=running, spare_l_per_min=max(left, 0.0)
    )


def _listed(one: Together) -> str:
    parts = [_counted(number, *_WORDS[fixture]) for fixture, number in one.fixtures.items()]
    if not parts:
        return "no fixture at full flow"
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else parts[0]


def _counted(number: int, one: str, many: str) -> str:
    word = _NUMBERS[number] if number < len(_NUMBERS) else str(number)
    return f"{word} {one if number == 1 else many}"
