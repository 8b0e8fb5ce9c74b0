"""The command that writes the property tables."""

from __future__ import annotations

import tomllib

import pytest

from heatersel import properties_build
from heatersel.simulation.heat_pump_settings import SETTINGS


def test_command_writes_tables_with_their_source_sheets(tmp_path, capsys, monkeypatch):
    """Water and one refrigerant here; the others are compared in the tests of the cycle."""
    monkeypatch.setattr(properties_build, "SETTINGS", {"R290": SETTINGS["R290"]})

    assert properties_build.main([str(tmp_path)]) == 0

    written = capsys.readouterr().out.split()
    assert [path.rsplit("/", 1)[-1] for path in written] == ["water.csv", "heat_pump_r290.csv"]
    for name in ("water", "heat_pump_r290"):
        sheet = tomllib.loads((tmp_path / f"{name}.source.toml").read_text(encoding="utf-8"))
        heading = (tmp_path / f"{name}.csv").read_text(encoding="utf-8").splitlines()[0]
        assert list(sheet["columns"]) == [title.split(" ")[0] for title in heading.split(",")]
        assert sheet["command"] == "python -m heatersel.properties_build"


def test_source_sheet_names_the_equation_of_state(tmp_path, monkeypatch):
    monkeypatch.setattr(properties_build, "SETTINGS", {"R290": SETTINGS["R290"]})
    properties_build.write_tables(tmp_path)
    sheet = tomllib.loads((tmp_path / "heat_pump_r290.source.toml").read_text(encoding="utf-8"))
    assert "Lemmon" in sheet["table"]
    assert sheet["settings"]["refrigerant"] == "R290"


@pytest.mark.parametrize(("value", "written"), [(True, "true"), ((1.0, 2.0), "[1.0, 2.0]")])
def test_values_are_written_as_toml(value, written):
    assert properties_build._value(value) == written
