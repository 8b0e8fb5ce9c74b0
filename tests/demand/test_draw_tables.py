"""Sampling tables of single draws."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.demand.draw_tables import END_USE, N_VALUES, draw_table, hour_cdf
from heatersel.errors import DataError
from heatersel.job.models import Fixture
from heatersel.reference import records

END_USES = sorted(set(END_USE.values()))


@pytest.mark.parametrize("row", records("fixtures/draw_statistics", {
    "duration_mean": "s", "duration_sd": "s", "flow_mean": "L/min", "flow_sd": "L/min",
    "draws_per_cluster": "", "gap": "s"}), ids=lambda row: row["end_use"])  # fmt: skip
def test_tables_have_the_published_mean_and_spread(row: dict[str, float]) -> None:
    table = draw_table(str(row["end_use"]))

    assert table.duration_s.mean() == pytest.approx(row["duration_mean"], rel=1e-3)
    assert table.duration_s.std() == pytest.approx(row["duration_sd"], rel=1e-3)
    assert table.flow_l_per_min.mean() == pytest.approx(row["flow_mean"], rel=1e-3)
    assert table.flow_l_per_min.std() == pytest.approx(row["flow_sd"], rel=1e-3)


@pytest.mark.parametrize("end_use", END_USES)
def test_no_draw_is_without_length_or_flow(end_use: str) -> None:
    table = draw_table(end_use)

    assert table.duration_s.size == table.flow_l_per_min.size == N_VALUES
    assert table.duration_s.min() > 2.9
    assert table.flow_l_per_min.min() > 0.75


def test_showers_are_skewed_and_baths_are_not() -> None:
    def skewness(values: np.ndarray) -> float:
        return float((((values - values.mean()) / values.std()) ** 3).mean())

    assert skewness(draw_table("shower").duration_s) > 1.0
    assert abs(skewness(draw_table("bath").duration_s)) < 0.1


@pytest.mark.parametrize("end_use", END_USES)
def test_the_hours_of_a_day_add_up(end_use: str) -> None:
    cdf = hour_cdf(end_use)

    assert cdf.shape == (2, 25)
    assert cdf[:, 0] == pytest.approx(0.0)
    assert cdf[:, -1] == pytest.approx(1.0)
    assert (np.diff(cdf) > 0.0).all()


def test_weekend_mornings_are_later() -> None:
    weekday, weekend = hour_cdf("shower")

    assert weekend[9] < weekday[9] - 0.1
    assert weekend[18] == pytest.approx(weekday[18], abs=0.01)


def test_an_unknown_end_use_is_a_fault_of_the_data() -> None:
    with pytest.raises(DataError, match="draw_statistics"):
        draw_table("fountain")


def test_every_fixture_has_an_end_use() -> None:
    assert set(END_USE) == set(Fixture)
