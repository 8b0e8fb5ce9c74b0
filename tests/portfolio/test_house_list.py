from __future__ import annotations

import pandas as pd
import pytest

from heatersel.portfolio.house_list import HOUSE_COLUMNS, write_house_list
from heatersel.portfolio.run import Outcome


@pytest.fixture(scope="module")
def listed(town: Outcome) -> pd.DataFrame:
    return pd.read_csv(write_house_list(town.folder))


def test_every_computed_house_has_a_line(town: Outcome, listed: pd.DataFrame) -> None:
    advice = pd.read_parquet(town.folder / "recommendations")

    assert tuple(listed.columns) == HOUSE_COLUMNS
    assert list(listed["house"]) == list(advice["house"])
    saved = (advice["before_per_year"] - advice["after_per_year"]).dropna()
    assert list(listed["saved a year"].dropna()) == [round(amount) for amount in saved]


def test_work_is_said_in_words_without_the_permit(listed: pd.DataFrame) -> None:
    work = listed["work to do first"].dropna()

    assert len(work)
    assert not work.str.contains("permit|-tank").any()


def test_a_house_that_nothing_fits_says_why(listed: pd.DataFrame) -> None:
    (line,) = listed[listed["recommended"] == "nothing fits"].to_dict("records")

    assert "no natural gas in this house" in line["why"]
