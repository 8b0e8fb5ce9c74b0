"""What a comparison says on a terminal."""

from __future__ import annotations

import io

from rich.console import Console

from heatersel.api import Method, compare
from heatersel.cautions.caution import Severity
from heatersel.cautions.order import gravest_first
from heatersel.job.load import load_job
from heatersel.reference import dataset_path
from heatersel.terminal.compare import print_comparison


def test_what_burns_or_suffocates_stands_before_the_permit() -> None:
    comparison = compare(load_job(dataset_path("jobs/cold-family.toml")), method=Method.BALANCE)
    best = comparison.recommended
    assert best is not None
    text = io.StringIO()
    print_comparison(Console(file=text, width=80), comparison, all_sizes=False, show_excluded=False)
    said = " ".join(text.getvalue().split())

    duties = [c for c in best.cautions if c.severity is not Severity.NOTE]
    places = [said.index(c.message) for c in sorted(duties, key=gravest_first)]
    assert places == sorted(places)
    subjects = [c.subject for c in sorted(duties, key=gravest_first)]
    assert (subjects[0], subjects[-1]) == ("scald", "permit")
