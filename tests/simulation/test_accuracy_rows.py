"""Rows of the accuracy report: complete, and within the bands that the tests hold."""

from __future__ import annotations

import math

import pytest

from heatersel.simulation.accuracy_rows import accuracy_rows

ROWS = accuracy_rows()

# Widest difference by a word of the case: the bands of the tests beside each source.
BANDS = (("fall of COP", 0.5), ("wet bulb and", 0.15), ("UEF, test", 0.004), ("maximum flow", 0.02))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_row_lies_in_its_band(row):
    band = next((band for word, band in BANDS if word in row.case), 0.011)
    assert math.isfinite(row.ours)
    assert row.source
    assert abs(row.difference_frac) < band


def test_no_case_appears_twice():
    cases = [row.case for row in ROWS]
    assert len(cases) == len(set(cases))
