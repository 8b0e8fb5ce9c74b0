from __future__ import annotations

from math import fsum
from pathlib import Path

import pandas as pd
import pytest
from portfolio.conftest import town_in

from heatersel.portfolio.run import Outcome
from heatersel.portfolio.summary import ENERGY, Summary, summarise


@pytest.fixture(scope="module")
def rows(town: Outcome) -> pd.DataFrame:
    return pd.read_parquet(town.folder / "recommendations")


@pytest.fixture(scope="module")
def summary(town: Outcome) -> Summary:
    return summarise(town.folder)


def compared(rows: pd.DataFrame, currency: str) -> pd.DataFrame:
    both = rows["option_id"].notna() & rows["before_per_year"].notna()
    return rows[both & (rows["currency"] == currency)]


@pytest.mark.parametrize("currency", ["USD", "CAD"])
def test_totals_equal_the_sum_of_the_rows(
    summary: Summary, rows: pd.DataFrame, currency: str
) -> None:
    columns = [f"{when}_{source}_kwh" for when in ("before", "after") for source in ENERGY]
    mine = compared(rows, currency)

    assert summary.all[currency].compared == len(mine) > 0
    for column in (*columns, "before_per_year", "after_per_year", "after_co2_kg_per_year"):
        total = summary.all[currency].total(column)
        assert total == pytest.approx(fsum(mine[column]), abs=1e-6 * len(mine))


def test_groups_add_up_to_the_whole(summary: Summary) -> None:
    for groups in (summary.by_class, summary.by_region):
        houses = sum(group.houses for group in groups.values())
        cost = sum(group.micro["after_per_year"] for group in groups.values())
        assert houses == summary.recommended == summary.options.total()
        assert cost == sum(group.micro["after_per_year"] for group in summary.all.values())
    assert sum(counts.total() for counts in summary.places.values()) == summary.recommended


def test_a_house_that_nothing_fits_is_counted_with_the_reason(summary: Summary) -> None:
    assert summary.houses == summary.recommended + 1
    assert summary.words["nothing_fits_because"]["no natural gas in this house"] == 1


def test_the_partitions_do_not_matter(summary: Summary, town: Outcome, tmp_path: Path) -> None:
    other = summarise(town_in(tmp_path, tmp_path / "out", partition_rows=3).folder)

    assert other == summary


def test_the_oldest_heaters_come_first(summary: Summary, rows: pd.DataFrame) -> None:
    known = rows["fails_within_a_year_frac"].dropna()

    assert [risk.chance_frac for risk in summary.at_risk] == sorted(known, reverse=True)
    assert summary.expected_failures == pytest.approx(known.sum(), abs=1e-5)


def test_houses_with_coordinates_stand_on_the_map_by_them(summary: Summary) -> None:
    assert (45.0, -90.0, "") in summary.places
    assert any(name == "Boston, MA" for _, _, name in summary.places)
