from __future__ import annotations

import numpy as np
import pytest

from heatersel.portfolio.load import EVERYWHERE, LoadStudy, hour_words
from heatersel.portfolio.totals import HOURS, Totals

MWH = 1_000_000


def study(**loads: tuple[float, float]) -> LoadStudy:
    totals = Totals()
    for region, (before, after) in loads.items():
        both = np.zeros((2, HOURS), dtype=np.int64)
        both[0] = round(before * MWH)
        both[1, 7] = round(after * MWH)
        totals.load_mwh[region, "flat price"] = both
    return LoadStudy.of(totals)


def test_the_first_group_is_the_sum_of_the_others() -> None:
    whole, *parts = study(MN=(1.0, 3.0), WI=(2.0, 5.0)).groups

    assert whole.region == EVERYWHERE
    assert whole.before_kw == pytest.approx(sum(part.before_kw for part in parts))
    assert whole.after_kw[7] == 8.0


def test_peaks_say_how_high_and_when() -> None:
    (whole, _) = study(MN=(1.0, 3.0)).peak_rows()
    row = dict(zip(LoadStudy.PEAK_COLUMNS, whole, strict=True))

    assert row["peak before [kW]"] == 1.0
    assert row["peak after [kW]"] == 3.0
    assert row["after at"] == "1 Jan, 7:00 to 8:00"
    assert row["peak added [kW]"] == row["most added [kW]"] == 2.0
    assert row["energy added [kWh/yr]"] == pytest.approx(3.0 - HOURS)


def test_hours_give_every_month_and_hour_of_each_group() -> None:
    rows = study(MN=(1.0, 31.0)).hour_rows()

    assert len(rows) == 2 * 12 * 24
    january = [row for row in rows if row[0] == "MN" and row[2] == "Jan"]
    assert [row[5] for row in january] == pytest.approx([0.0] * 7 + [1.0] + [0.0] * 16)
    assert january[7][7] == 30.0


def test_nothing_to_compare_is_no_load() -> None:
    assert LoadStudy.of(Totals()).groups == ()


@pytest.mark.parametrize(
    ("hour", "words"),
    [(0, "1 Jan, 0:00 to 1:00"), (59 * 24 + 18, "1 Mar, 18:00 to 19:00"),
     (HOURS - 1, "31 Dec, 23:00 to 24:00")],
)  # fmt: skip
def test_an_hour_is_said_as_people_say_it(hour: int, words: str) -> None:
    assert hour_words(hour) == words
