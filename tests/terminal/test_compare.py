"""What a comparison says on a terminal."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from heatersel.api import Method, compare
from heatersel.cautions.caution import Severity
from heatersel.cautions.order import gravest_first
from heatersel.comparison import Comparison, Option
from heatersel.job.load import load_job
from heatersel.reference import dataset_path
from heatersel.terminal.compare import print_comparison


@pytest.fixture(scope="module")
def family() -> Comparison:
    return compare(load_job(dataset_path("jobs/cold-family.toml")), method=Method.BALANCE)


@pytest.fixture(scope="module")
def best(family: Comparison) -> Option:
    assert family.recommended is not None
    return family.recommended


def said(comparison: Comparison, *, all_sizes: bool = False) -> str:
    text = io.StringIO()
    console = Console(file=text, width=80)
    print_comparison(console, comparison, all_sizes=all_sizes, show_excluded=False)
    assert max(map(len, text.getvalue().splitlines())) <= 80
    return " ".join(text.getvalue().split())


def test_what_burns_or_suffocates_stands_before_the_permit(
    family: Comparison, best: Option
) -> None:
    words = said(family)

    duties = [c for c in best.cautions if c.severity is not Severity.NOTE]
    told = sorted(duties, key=lambda c: words.index(c.message))
    assert told == sorted(duties, key=gravest_first)
    assert (told[0].subject, told[-1].subject) == ("scald", "permit")


def test_each_note_that_is_counted_can_be_read(family: Comparison, best: Option) -> None:
    notes = [c.message for c in best.cautions if c.severity is Severity.NOTE]

    assert f"{len(notes)} notes (--all tells them)" in said(family)
    words = said(family, all_sizes=True)
    assert all(note in words for note in notes)
    assert "--all tells" not in words
