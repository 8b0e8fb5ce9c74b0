"""Answers are kept, shared, given way to and stopped; none of it changes a result."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from dashboard.answers import Answers, Busy, Shelf, Stopped
from dashboard.progress import steps
from dashboard.texts import Texts

SMALL = {"household": {"occupants": 2}, "place": {"climate": "Boise, ID"}}


def quiet(done: int, of: int) -> None:
    """Watch and say nothing."""


def test_a_first_look_gives_way_to_the_full_comparison() -> None:
    answers = Answers()
    assert answers.full(SMALL) is None
    assert answers.look(SMALL).provenance["n_years"] == 1

    full = answers.work_out(SMALL, quiet)

    assert answers.look(SMALL) is full


def test_another_process_finds_a_full_comparison_on_the_shelf(tmp_path: Path) -> None:
    full = Answers(shelf=Shelf(tmp_path)).work_out(SMALL, quiet)

    found = Answers(shelf=Shelf(tmp_path)).full(SMALL)

    assert found is not None
    assert found.as_dict() == full.as_dict()


def test_the_shelf_keeps_the_newest_and_survives_damage(tmp_path: Path) -> None:
    full = Answers().work_out(SMALL, quiet)
    shelf = Shelf(tmp_path, most=2)

    for name in "abc":
        shelf.put(name, full)
    for file in tmp_path.iterdir():
        file.write_bytes(b"damaged")

    assert len(list(tmp_path.iterdir())) == 2
    assert shelf.get("c") is None


def test_only_the_last_answers_are_kept() -> None:
    answers = Answers(kept=2)
    jobs = [{**SMALL, "title": name} for name in "abc"]

    for tables in jobs:
        answers.work_out(tables, quiet)

    assert answers.full(jobs[0]) is None
    assert answers.full(jobs[2]) is not None


def test_work_that_nobody_takes_ends_early() -> None:
    answers = Answers()
    stream = steps(answers, SMALL, Texts())
    next(stream)

    stream.close()

    assert answers.full(SMALL) is None


def test_too_many_at_once_are_sent_away() -> None:
    answers = Answers()
    hold, begun = threading.Event(), threading.Event()

    def waits(done: int, of: int) -> None:
        begun.set()
        if not hold.wait(30):
            raise Stopped

    threads = [
        threading.Thread(target=answers.work_out, args=({**SMALL, "title": name}, waits))
        for name in "abc"
    ]
    for thread in threads:
        thread.start()
    begun.wait(30)

    with pytest.raises(Busy):
        answers.work_out({**SMALL, "title": "d"}, waits)
    hold.set()
    for thread in threads:
        thread.join()
