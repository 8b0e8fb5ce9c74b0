"""The classic method of 1940 for peak flow: fixture units and one curve.

Made for congested use in large buildings (people waiting in line), so in a house it lies far
above what happens; it is shown as the upper reference, never used.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, FixtureCounts
from heatersel.reference import records

__all__ = ["busy_count_1940", "curve_1940_l_per_min", "fixture_units", "peak_flow_1940_l_per_min"]

Floats = NDArray[np.float64]

_SLACK = 1e-12


def busy_count_1940(n: int, p_busy: float, chance: float = 0.01) -> int:
    """Return how many of n alike fixtures the method designs for.

    Parameters
    ----------
    n : int
        Number installed, 0 or more.
    p_busy : float
        Duration of a use over the interval between uses in congested service. [-]
    chance : float
        Accepted chance that more run. [-]

    Returns
    -------
    int
        Smallest m with at most `chance` that more than m run.

    References
    ----------
    .. [1] Hunter, R. B., "Methods of Estimating Loads in Plumbing Systems", NBS report BMS65,
       1940.  (abstract seen, criterion from memory)

    Examples
    --------
    >>> busy_count_1940(100, 0.03)
    8
    """
    at_most = 0.0
    for m in range(n + 1):
        at_most += math.comb(n, m) * p_busy**m * (1.0 - p_busy) ** (n - m)
        if 1.0 - at_most <= chance + _SLACK:
            return m
    return n


def curve_1940_l_per_min(n_units: float) -> float:
    """Return the flow to design for by fixture units, buildings with flush tanks.

    Parameters
    ----------
    n_units : float
        Sum of fixture units, 0 to 1,000.

    Returns
    -------
    float
        Flow, straight lines between the printed points. [L/min]

    Raises
    ------
    OutOfRangeError
        If the sum lies outside the printed curve.

    References
    ----------
    .. [1] International Plumbing Code, table E103.3(3).  (memory, high)

    Examples
    --------
    >>> round(curve_1940_l_per_min(10.0) / 3.785411784, 1)
    14.6
    """
    units, flows = _curve()
    if not units[0] <= n_units <= units[-1]:
        raise OutOfRangeError.of(
            "fixture units", value=n_units, allowed="0 to 1,000", fix="this is not one house"
        )
    return float(np.interp(n_units, units, flows))


def fixture_units(counts: FixtureCounts) -> float:
    """Return the sum of fixture units of the fixtures that use hot water."""
    weights = _weights()
    return sum(weights[fixture] * counts.of(fixture) for fixture in Fixture)


def peak_flow_1940_l_per_min(counts: FixtureCounts) -> float:
    """Return the mixed flow that the method of 1940 gives for a household's fixtures. [L/min]"""
    return curve_1940_l_per_min(fixture_units(counts))


@lru_cache(maxsize=1)
def _weights() -> dict[Fixture, float]:
    rows = records("fixtures/fixture_units", {"fixture_units": ""})
    return {Fixture(row["fixture"]): row["fixture_units"] for row in rows}


@lru_cache(maxsize=1)
def _curve() -> tuple[Floats, Floats]:
    rows = records("fixtures/load_curve_1940", {"fixture_units": "", "flow": "L/min"})
    return np.array([r["fixture_units"] for r in rows]), np.array([r["flow"] for r in rows])
