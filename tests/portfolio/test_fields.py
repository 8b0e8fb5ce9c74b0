from __future__ import annotations

import io

import pandas as pd

from heatersel.portfolio.fields import RECOMMENDATIONS, RESULTS, as_parquet


def read(data: bytes) -> pd.DataFrame:
    return pd.read_parquet(io.BytesIO(data))


def test_a_table_without_rows_has_its_columns() -> None:
    table = read(as_parquet(RESULTS, []))

    assert list(table.columns) == [field.name for field in RESULTS]
    assert table.empty


def test_what_a_row_lacks_is_empty() -> None:
    table = read(as_parquet(RESULTS, [{"row": 1, "life_cycle": 0.1}, {"row": 2, "rank": 3}]))

    assert table["life_cycle"].isna().tolist() == [False, True]
    assert table["life_cycle"][0] == 0.1
    assert table["rank"].isna().tolist() == [True, False]


def test_the_same_rows_give_the_same_bytes() -> None:
    rows = [{"row": 1, "house": "a", "offers": ["x", "y"]}]

    assert as_parquet(RECOMMENDATIONS, rows) == as_parquet(RECOMMENDATIONS, rows)


def test_every_column_has_a_name_of_its_own_and_a_meaning() -> None:
    for fields in (RESULTS, RECOMMENDATIONS):
        names = [field.name for field in fields]
        assert len(set(names)) == len(names)
        assert all(field.meaning for field in fields)
