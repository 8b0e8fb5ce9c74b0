"""Overlapping draws cut into pieces of time in which the same fixtures run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heatersel.demand.draw_year import DrawYear
from heatersel.simulation.tankless_kernel import Draws

__all__ = ["cut_into_pieces"]


def cut_into_pieces(years: Sequence[DrawYear]) -> Draws:
    """Return the draws of several years as pieces, each with its running fixtures.

    Parameters
    ----------
    years : sequence of DrawYear
        Draws that may overlap.

    Returns
    -------
    Draws
        Pieces in order of time within each year; idle time has none. Flows in L/s.
    """
    cut = [_cut(year) for year in years]
    pieces = np.cumsum([0, *(start.size for start, _, _, _ in cut)])
    entries = np.cumsum([0, *(draw.size for _, _, _, draw in cut)])
    before = np.cumsum([0, *(year.start_s.size for year in years)])
    order = np.concatenate([draw + before[n] for n, (_, _, _, draw) in enumerate(cut)])
    flow = np.concatenate([year.mixed_flow_l_per_min for year in years]).astype(np.float64)
    temp = np.concatenate([year.mixed_temp_c for year in years]).astype(np.float64)
    return Draws(
        year_first=pieces,
        start_s=np.concatenate([start for start, _, _, _ in cut]),
        end_s=np.concatenate([end for _, end, _, _ in cut]),
        first=np.concatenate(
            [*(first[:-1] + entries[n] for n, (_, _, first, _) in enumerate(cut)), entries[-1:]]
        ),
        entries=np.column_stack((flow[order] / 60.0, temp[order])),
    )


def _cut(year: DrawYear):  # type: ignore[no-untyped-def]
    """Return start and end of each piece, its first entry, and the draw of each entry."""
    start = year.start_s
    end = start + year.duration_s.astype(np.float64)
    edges = np.unique(np.concatenate((start, end)))
    low, high = np.searchsorted(edges, start), np.searchsorted(edges, end)
    covered = high - low
    draw = np.repeat(np.arange(start.size), covered)
    step = np.arange(covered.sum()) - np.repeat(np.cumsum(covered) - covered, covered)
    piece = np.repeat(low, covered) + step
    order = np.argsort(piece, kind="stable")
    used, first = np.unique(piece[order], return_index=True)
    return edges[used], edges[used + 1], np.append(first, piece.size), draw[order]
