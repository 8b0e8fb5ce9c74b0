"""The verdict on a size: required, available, margin, and the sentence that says it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["TIGHT_MARGIN_FRAC", "Sizing", "Verdict", "verdict_for"]

TIGHT_MARGIN_FRAC = 0.08
"""Below this spare share a size counts as tight. The federal worksheet asks for a first-hour
rating within 1 to 2 gal of a peak hour of about 40 to 66 gal, that is 2 to 5 %; the rest
covers guests and rounding (common practice, no source)."""


class Verdict(StrEnum):
    """How a size stands against what is required of it."""

    ADEQUATE = "adequate"
    TIGHT = "tight"
    SHORT = "short"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """Required against available, in one measure.

    Parameters
    ----------
    measure : str
        "first_hour_delivery" or "flow_at_rise".
    required, available : float
        In `unit`, as hot water at the setpoint and the design inlet.
    unit : str
        "L" in the busiest hour, or "L/min".
    margin_frac : float
        Available over required, less one. [-]
    verdict : Verdict
        What that means.
    steps : tuple of (name, formula, value, unit)
        The working, from the rating to `available`.
    starts_at : float
        Flow below which the heater stays off, in `unit`; 0 for a tank, which needs none.
    least_draw : float or None
        Hot-water flow of the smallest tap run alone on the day with the warmest inlet, in
        `unit`; None if not known.
    """

    measure: str
    required: float
    available: float
    unit: str
    margin_frac: float
    verdict: Verdict
    steps: tuple[tuple[str, str, float, str], ...] = ()
    starts_at: float = 0.0
    least_draw: float | None = None

    @property
    def leaves_a_tap_cold(self) -> bool:
        """Whether the smallest tap run alone draws too little hot water to start the heater."""
        return self.least_draw is not None and self.least_draw < self.starts_at


def verdict_for(required: float, available: float) -> tuple[float, Verdict]:
    """Return margin and verdict of what is available against what is required.

    Parameters
    ----------
    required, available : float
        In the same unit; `required` above 0.

    Returns
    -------
    margin_frac : float
        available / required - 1. [-]
    verdict : Verdict
        Short below 0, tight up to :data:`TIGHT_MARGIN_FRAC`, adequate above.
    """
    margin_frac = available / required - 1.0
    if margin_frac < 0.0:
        return margin_frac, Verdict.SHORT
    tight = margin_frac < TIGHT_MARGIN_FRAC
    return margin_frac, Verdict.TIGHT if tight else Verdict.ADEQUATE
