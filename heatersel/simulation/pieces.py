"""Overlapping draws cut into pieces of time, as the compiled heaters take them.

In each piece the same fixtures run. Those that ask for the same temperature are one flow; what
a heater gives depends on nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.simulation.arrays import PIECE
from heatersel.simulation.kernel import cut_draws

__all__ = ["Events", "cut_events", "cut_years", "events_of"]

Floats = NDArray[np.float64]


class Events(NamedTuple):
    """Draws as parallel arrays; they may overlap and stand in any order."""

    start_s: Floats
    duration_s: Floats
    flow_l_per_s: Floats
    temp_c: Floats


def events_of(year: DrawYear) -> Events:
    """Return a year of draws in the units of the compiled heaters."""
    return Events(
        year.start_s,
        year.duration_s.astype(np.float64),
        year.mixed_flow_l_per_min.astype(np.float64) / 60.0,
        year.mixed_temp_c.astype(np.float64),
    )


def cut_years(years: Iterable[DrawYear]) -> tuple[NDArray[np.int64], NDArray[np.void]]:
    """Return several years of draws as pieces.

    Parameters
    ----------
    years : iterable of DrawYear
        Years of draws.

    Returns
    -------
    first : array of int
        First piece of each year, one more at the end.
    pieces : array of PIECE records
        In order of time within each year.
    """
    return cut_events([events_of(year) for year in years])


def cut_events(runs: Sequence[Events]) -> tuple[NDArray[np.int64], NDArray[np.void]]:
    """Return several runs of draws as pieces, as :func:`cut_years` does.

    Parameters
    ----------
    runs : sequence of Events
        Draws of each run.

    Returns
    -------
    first, pieces
        As for :func:`cut_years`. A run without draws has no pieces.

    Notes
    -----
    Where fixtures ask for more than four temperatures at once, those too many join the nearest at
    its mean; the heat asked for stays the same.
    """
    first = np.zeros(len(runs) + 1, np.int64)
    pieces = np.empty(2 * sum(run.start_s.size for run in runs), PIECE)  # room that is enough
    for n, run in enumerate(runs):
        order = np.argsort(run.start_s, kind="stable")
        start_s, duration_s, flow, temp_c = (values[order] for values in run)
        room = pieces[first[n] :]
        first[n + 1] = first[n] + cut_draws(start_s, start_s + duration_s, flow, temp_c, room)
    return first, pieces[: first[-1]]
