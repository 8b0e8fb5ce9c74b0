"""The accuracy report holds every case, within bounds, and is written by its command."""

from __future__ import annotations

from pathlib import Path

import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.simulation.accuracy import accuracy_report, main, tank_rows

DOCUMENT = Path(__file__).parents[2] / "docs" / "accuracy.md"


@pytest.fixture(scope="module")
def report():
    return accuracy_report()


@pytest.mark.parametrize("row", tank_rows(), ids=lambda row: row.case)
def test_closed_forms_are_met(row):
    # The closed-form inversion takes the tank as hot all day: within 0.02 of UEF.
    if "UEF" in row.case:
        assert row.ours == pytest.approx(row.reference, abs=0.02)
    else:
        assert row.ours == pytest.approx(row.reference, rel=5e-4)


@pytest.mark.parametrize("id_", [h.id for h in load_heaters().heaters])
def test_every_heater_of_the_list_is_in_the_report(report, id_):
    assert f"| {id_}" in report


def test_every_storage_row_is_consistent(report):
    assert "| no: " not in report
    assert "nan" not in report


def test_the_command_prints_the_report(report):
    written = []
    assert main(["--print"], written.append) == 0
    assert written == [report]


def test_the_document_has_the_sections_of_the_report(report):
    # Its last digits may differ from one processor to another, its lines may not.
    def shape(text):
        return [line.split("|")[1] if line.startswith("|") else line for line in text.splitlines()]

    assert shape(DOCUMENT.read_text(encoding="utf-8")) == shape(report)
