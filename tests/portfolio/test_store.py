from __future__ import annotations

import errno
import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from portfolio.workers import SETTINGS, quick

from heatersel.errors import HeaterselError, InputError
from heatersel.portfolio import store as store_module
from heatersel.portfolio.store import Store, write_whole
from heatersel.portfolio.task import Finished, Task

RUN = {"houses": "a", "rows": 8}


def finished(number: int, dead: frozenset[int] = frozenset()) -> Finished:
    rows = (("a", "2", "x"), ("b", "2", "x"))
    return quick(
        Task(number=number, first_row=2 * number + 1, rows=rows, settings=SETTINGS, dead_rows=dead)
    )


def opened(folder: Path, run: dict[str, Any] = RUN, **how: Any) -> Store:
    return Store(folder, run, **how)


def filled(folder: Path, *numbers: int) -> None:
    """Leave a folder in which these partitions are finished."""
    with opened(folder) as store:
        for number in numbers:
            store.keep(finished(number))


def test_what_is_kept_is_there_when_the_folder_is_opened_again(tmp_path: Path) -> None:
    filled(tmp_path, 0, 2)

    with opened(tmp_path) as again:
        assert again.done == {0, 2}
        assert again.totals.houses == 4
    assert list(pd.read_parquet(tmp_path / "results")["row"]) == [1, 2, 5, 6]


def test_many_entries_are_gathered_and_count_once(tmp_path: Path) -> None:
    filled(tmp_path, *range(70))

    with opened(tmp_path) as again:
        assert again.totals.houses == 140
        assert again.done == set(range(70))
    assert len(list((tmp_path / "state").glob("part-*.npz"))) < 32


def test_an_entry_that_a_stop_left_beside_the_ledger_counts_once(tmp_path: Path) -> None:
    kept = tmp_path / "state" / "part-000000.npz"
    filled(tmp_path, *range(31))
    entry = kept.read_bytes()
    filled(tmp_path, 31)
    kept.write_bytes(entry)  # as if the program had died before it took the entry away

    with opened(tmp_path) as again:
        assert again.totals.houses == 64


@pytest.mark.parametrize("spoilt", [None, b"", b"spoilt"])
def test_a_partition_without_a_sound_entry_is_not_finished(
    tmp_path: Path, spoilt: bytes | None
) -> None:
    filled(tmp_path, 0)
    entry = tmp_path / "state" / "part-000000.npz"
    entry.unlink()
    if spoilt is not None:
        entry.write_bytes(spoilt)

    with opened(tmp_path) as again:
        assert again.done == frozenset()


def test_errors_stand_in_the_order_of_the_rows(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        for number in (2, 0, 1):
            store.keep(finished(number, dead=frozenset({1, 2, 5})))
        errors = pd.read_csv(store.write_errors())

    assert list(errors.columns) == ["row", "house", "field", "value", "reason"]
    assert list(errors["row"]) == [1, 2, 5]


def test_a_folder_of_another_run_is_refused_by_what_differs(tmp_path: Path) -> None:
    filled(tmp_path)

    with pytest.raises(InputError, match=r"of another run \(rows differ\).*--restart"):
        opened(tmp_path, {"houses": "a", "rows": 9})


def test_restart_throws_away_what_another_run_left_and_nothing_else(tmp_path: Path) -> None:
    filled(tmp_path, 0)
    mine = tmp_path / "results" / "mine.txt"
    mine.write_text("keep")

    with opened(tmp_path, {"houses": "b", "rows": 8}, restart=True) as again:
        assert again.done == frozenset()
    assert not list((tmp_path / "results").glob("*.parquet"))
    assert mine.read_text() == "keep"
    assert json.loads((tmp_path / "portfolio.json").read_text())["houses"] == "b"


def test_partitions_of_nobody_knows_what_are_not_overwritten(tmp_path: Path) -> None:
    (tmp_path / "results").mkdir()
    (tmp_path / "results" / "part-000000.parquet").write_bytes(b"precious")

    with pytest.raises(InputError, match="choose another folder"):
        opened(tmp_path)


def test_a_lost_table_of_a_finished_partition_is_noticed(tmp_path: Path) -> None:
    filled(tmp_path, 3)
    (tmp_path / "results" / "part-000003.parquet").unlink()

    with pytest.raises(InputError, match="without the tables of partition 3"):
        opened(tmp_path)


def test_two_runs_cannot_write_into_one_folder(tmp_path: Path) -> None:
    with opened(tmp_path), pytest.raises(InputError, match="in use by another run"):
        opened(tmp_path)
    filled(tmp_path, 0)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")

    with pytest.raises(InputError, match="not writable"):
        opened(tmp_path / "file" / "out")


def test_a_full_disk_leaves_neither_half_a_file_nor_an_entry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    filled(tmp_path, 0)
    with monkeypatch.context() as patch, opened(tmp_path) as store:
        patch.setattr(store_module.os, "fsync", full)
        with pytest.raises(HeaterselError, match=r"No space left.*make room and run the same"):
            store.keep(finished(1))

    assert not list(tmp_path.rglob("*.part"))
    with opened(tmp_path) as again:
        assert again.done == {0}


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "a"
    write_whole(path, b"one")
    write_whole(path, b"two")

    assert path.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [path]
