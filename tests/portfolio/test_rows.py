from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from heatersel.errors import InputError
from heatersel.portfolio.rows import HouseFile, Unreadable

HEAD = "house,household.occupants,place.climate\n"


def csv_file(folder: Path, text: str, encoding: str = "utf-8") -> HouseFile:
    path = folder / "houses.csv"
    path.write_bytes((HEAD + text).encode(encoding))
    return HouseFile(path)


def parquet_file(folder: Path, n: int, **how: object) -> HouseFile:
    path = folder / "houses.parquet"
    pd.DataFrame(
        {"household.occupants": range(1, n + 1), "place.climate": "Duluth, MN"}
    ).to_parquet(path, **how)  # type: ignore[arg-type]
    return HouseFile(path)


def test_slices_hold_every_row_once_in_order(tmp_path: Path) -> None:
    file = csv_file(tmp_path, "".join(f'a{i},{i},"Duluth, MN"\n' for i in range(7)))

    slices = list(file.slices(3))

    assert [(part.number, part.first_row, len(part.rows)) for part in slices] == [
        (0, 1, 3), (1, 4, 3), (2, 7, 1),
    ]  # fmt: skip
    assert [row[0] for part in slices for row in part.rows] == [f"a{i}" for i in range(7)]
    assert file.n_rows == 7


def test_slices_that_are_done_are_passed_over(tmp_path: Path) -> None:
    file = csv_file(tmp_path, "".join(f"a{i},1,x\n" for i in range(7)))

    assert [part.number for part in file.slices(3, skip={0, 2})] == [1]


def test_blank_lines_are_no_rows(tmp_path: Path) -> None:
    file = csv_file(tmp_path, "a,1,x\n\n ,,\nb,1,x\n")

    assert file.n_rows == 2


def test_a_cell_too_long_to_read_is_one_unreadable_row(tmp_path: Path) -> None:
    file = csv_file(tmp_path, "a,1,x\n" + "b" * 200_000 + ",1,x\nc,1,x\n")

    (only,) = file.slices(10)

    assert [type(row) is Unreadable for row in only.rows] == [False, True, False]


def test_the_mark_that_spreadsheets_put_first_is_no_part_of_a_heading(tmp_path: Path) -> None:
    path = tmp_path / "houses.csv"
    path.write_text(HEAD + "a,1,x\n", encoding="utf-8-sig")

    assert HouseFile(path).columns[0].name == "house"


@pytest.mark.parametrize("row_group_size", [2, 100])
def test_parquet_is_sliced_the_same_whatever_its_row_groups(
    tmp_path: Path, row_group_size: int
) -> None:
    file = parquet_file(tmp_path, 7, row_group_size=row_group_size)

    slices = list(file.slices(3))

    assert [len(part.rows) for part in slices] == [3, 3, 1]
    assert [row[0] for part in slices for row in part.rows] == list(range(1, 8))
    assert file.n_rows == 7


def test_an_index_that_pandas_wrote_is_no_column(tmp_path: Path) -> None:
    path = tmp_path / "houses.parquet"
    frame = pd.DataFrame({"household.occupants": [1, 2], "place.climate": "x"}, index=["a", "b"])
    frame.to_parquet(path)

    assert [column.name for column in HouseFile(path).columns] == [
        "household.occupants", "place.climate",
    ]  # fmt: skip


def test_the_fingerprint_is_that_of_the_contents(tmp_path: Path) -> None:
    one = csv_file(tmp_path, "a,1,x\n").sha256

    assert csv_file(tmp_path, "a,1,x\n").sha256 == one
    assert csv_file(tmp_path, "a,2,x\n").sha256 != one


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("none.csv", None, "is missing"),
        ("houses.xls", b"", "ending in .csv or .parquet"),
        ("houses.parquet", b"no table", "a Parquet file"),
        ("empty.csv", b"", "household.occupants.*missing"),
    ],
)
def test_a_file_that_cannot_be_used_is_named(
    tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)

    with pytest.raises(InputError, match=said):
        _ = HouseFile(path).columns
