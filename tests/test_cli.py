"""The command line in-process: right calls, wrong calls, exit status, nothing but plain words."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

from heatersel.cli import main
from heatersel.reference import dataset_path
from heatersel.simulation import compiler
from heatersel.terminal.first_run import say_if_first_run

JOBS = ["cold-family", "warm-bungalow", "propane-well", "town-house-ca"]


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.argv", ["heatersel", *arguments])
        with pytest.raises(SystemExit) as done:
            main()
    out, err = capsys.readouterr()
    code = done.value.code
    return (code if isinstance(code, int) else 0), out, err


def job_file(name: str) -> str:
    return str(dataset_path(f"jobs/{name}.toml"))


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "--version") == (0, f"heatersel {version('heatersel')}\n", "")


@pytest.mark.parametrize("name", JOBS)
def test_every_demo_job_gets_a_recommendation(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, "compare", job_file(name), "--json")

    comparison = json.loads(out)
    assert (code, err) == (0, "")
    assert comparison["recommendation"]["option"]
    assert len(comparison["recommendation"]["offers"]) == 3


def test_comparison_keeps_the_data_contract(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "compare", "--json")

    comparison = json.loads(out)
    assert {"schema", "inputs", "defaults_used", "inlet", "demand", "options", "recommendation",
            "provenance"} <= set(comparison)  # fmt: skip
    assert {"method", "monthly_c", "annual_mean_c", "design_c"} <= set(comparison["inlet"])
    assert {"daily_hot_water_l", "daily_mixed_water_l", "peak_hour_hot_water_l",
            "peak_flow_l_per_min", "peak_flow_percentile_l_per_min", "temperature_rise_k",
            "peak_output_kw"} <= set(comparison["demand"])  # fmt: skip
    for option in comparison["options"]:
        assert {"id", "name", "kind", "energy_source", "rating", "sizing", "annual", "cost",
                "emissions", "cautions"} <= set(option)  # fmt: skip
        assert ("rank" in option) != ("excluded_because" in option)
        assert {"energy_per_year", "fixed_per_year", "maintenance_per_year", "total_per_year",
                "installed", "life_years", "life_cycle"} <= set(option["cost"])  # fmt: skip


def test_piped_output_is_plain_and_fits_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "compare")

    assert "\x1b" not in out
    assert max(len(line.rstrip()) for line in out.splitlines()) <= 80


def test_units_change_what_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    _, us, _ = run(capsys, "size")
    _, si, _ = run(capsys, "size", "--units", "si")

    assert "°F" in us
    assert "°C" in si
    assert "°F" not in si.replace("105 °F", "")


def test_a_what_if_equals_the_changed_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = Path(job_file("cold-family")).read_text(encoding="utf-8")
    changed = tmp_path / "job.toml"
    changed.write_text(text.replace('"125 degF"', '"140 degF"'), encoding="utf-8")

    _, by_flag, _ = run(capsys, "size", "--setpoint", "140 degF", "--json")
    _, by_file, _ = run(capsys, "size", str(changed), "--json")

    assert by_flag == by_file


def test_any_field_can_be_tried(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "size", "--set", "place.supply=well", "--json")

    assert json.loads(out)["inlet"]["method"] == "well"


def test_explain_shows_formula_inputs_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "explain", "gas-tank-50", "--json")

    for step in json.loads(out)["steps"]:
        assert {"name", "formula", "inputs", "value", "unit", "source"} == set(step)
        assert step["formula"]
        assert step["source"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("compare", "nowhere.toml"), "missing"),
        (("compare", "--setpoint", "40 gal"), "preferences.setpoint"),
        (("compare", "--setpoint", "hot"), "preferences.setpoint"),
        (("compare", "--set", "household.bedroms=3"), "did you mean bedrooms?"),
        (("compare", "--set", "nonsense"), "FIELD=VALUE"),
        (("compare", "--set", "place.climate=Dulut"), "Duluth, MN"),
        (("compare", "--heaters", "nowhere.csv"), "nowhere.csv"),
        (("explain", "gas-tonk-50"), "gas-tank-50"),
        (("size", "--units", "metric"), "us or si"),
        (("size", "--extend"), "together with --heaters"),
        (("compare", "--set", "preferences.setpoint=120"), '"120 degF"'),
        (("compare", "--set", "preferences.setpoint=300 degF"), "109.4 to 180.1 degF"),
        (
            ("compare", "--set", "household.use_temperature=122 degF", "--setpoint", "115 degF"),
            "at most preferences.setpoint",
        ),
        (("compare", "--set", 'household.bills={fuel="natural_gas"}'), "monthly readings or"),
        (("compare", "--set", "household.fixture_flow.shower=40 gal"), "2.0 gal/min"),
        (("compare", "--set", "household.fixture_flow.shower=0 gal/min"), "fixture_flow.shower"),
        (("compare", "--set", "household.occupants=0"), "1 to 30 people"),
    ],
)
def test_bad_input_gets_one_clear_message(
    arguments: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *arguments)

    assert code == 2
    assert said in err
    assert "Traceback" not in err
    assert out == ""


def test_a_suppliers_bad_rows_are_one_message_each(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = dataset_path("heaters/generic.csv").read_text(encoding="utf-8").splitlines()
    listed = tmp_path / "supplier.csv"
    spoilt = [lines[2].replace(",36000,", ",thirty,"), lines[3].replace("draft_hood", "chimney")]
    listed.write_text("\n".join([lines[0], lines[4], *spoilt]), encoding="utf-8")

    for command in ("size", "compare", "check"):
        way = (str(listed),) if command == "check" else ("--heaters", str(listed))
        code, out, err = run(capsys, command, *way)
        assert (code, out) == (2, "")
        assert [line.split(" is ")[0] for line in err.splitlines()] == [
            f"{listed}:3: burner_input", f"{listed}:4: vent_type",
        ]  # fmt: skip


def test_no_fuel_left_says_what_to_change(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 2\n[place]\nclimate = "Duluth, MN"\n[home]\nfuels = []\n',
        encoding="utf-8",
    )

    code, _, err = run(capsys, "compare", str(job))

    assert code == 2
    assert "home.fuels" in err


def test_check_lists_every_fault_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 0\nuse_temperature = 105\n[place]\nclimate = "Atlantis"\n',
        encoding="utf-8",
    )

    code, _, err = run(capsys, "check", str(job))

    assert code == 2
    assert len(err.strip().splitlines()) == 3


def test_check_accepts_every_demo_job(capsys: pytest.CaptureFixture[str]) -> None:
    for name in JOBS:
        code, out, err = run(capsys, "check", job_file(name), "--json")
        assert (code, err) == (0, "")
        assert json.loads(out)["ok"]


@pytest.mark.parametrize("command", ["demand", "cost", "site"])
@pytest.mark.parametrize("name", JOBS)
def test_each_view_reads_at_80_columns_without_colour(
    name: str, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, command, job_file(name))

    assert (code, err) == (0, "")
    assert "\x1b" not in out
    assert max(len(line.rstrip()) for line in out.splitlines()) <= 80


def test_demand_writes_draws_and_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows, picture = tmp_path / "draws.csv", tmp_path / "demand.svg"

    code, out, _ = run(capsys, "demand", "--csv", str(rows), "--plot", str(picture), "--json")

    lines = rows.read_text(encoding="utf-8").splitlines()
    assert code == 0
    assert len(lines) == json.loads(out)["n_draws"] + 1
    assert picture.read_text(encoding="utf-8").startswith("<svg")


def test_cost_rows_add_up_to_the_bill(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = tmp_path / "bills.csv"

    _, out, _ = run(capsys, "cost", "--csv", str(rows), "--json")

    option = json.loads(out)["options"][0]
    ledger = (tmp_path / "bills-ledger.csv").read_text(encoding="utf-8").splitlines()
    worth = sum(float(r.split(",")[-1]) for r in ledger[1:] if r.startswith(option["id"] + ","))
    assert worth == pytest.approx(option["life_cycle"], abs=0.005)
    shown = sum(sum(months) for months in option["bill_by_month"].values())
    written = [line.split(",") for line in rows.read_text(encoding="utf-8").splitlines()[1:]]
    difference = sum(float(r[4]) - float(r[5]) for r in written if r[0] == option["id"])
    assert difference == pytest.approx(shown, abs=0.005)


def test_the_site_form_goes_back_into_the_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form, page = tmp_path / "form.toml", tmp_path / "sheet.html"

    code, out, _ = run(capsys, "site", "--form", str(form), "--html", str(page), "--json")

    fields = [line["field"] for line in json.loads(out)["to_measure"]]
    assert code == 0
    assert fields
    assert all(field.rsplit(".", 1)[-1] in form.read_text(encoding="utf-8") for field in fields)
    assert "<html" in page.read_text(encoding="utf-8")


def test_rate_shows_every_label_beside_its_tests(capsys: pytest.CaptureFixture[str]) -> None:
    """UEF within 0.001 (tankless 0.003), first-hour rating within 3 %, flow within 2 %."""
    _, out, _ = run(capsys, "rate", "--json")

    rows = json.loads(out)["heaters"]
    assert len(rows) >= 48
    for row in rows:
        tankless = "max_flow_rated_l_per_min" in row
        assert row["consistent"], row["why_not"]
        assert abs(row["uef_simulated"] - row["uef_rated"]) < (0.003 if tankless else 0.001)
        name, far = ("max_flow", 0.02) if tankless else ("first_hour_rating", 0.03)
        unit = "l_per_min" if tankless else "l"
        rated, simulated = (row[f"{name}_{which}_{unit}"] for which in ("rated", "simulated"))
        assert abs(simulated / rated - 1.0) < far


def test_rate_draws_one_heater(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "rate.svg"

    code, out, _ = run(capsys, "rate", "gas-tank-50", "--plot", str(picture))

    assert code == 0
    assert "Energy used" in out
    assert picture.read_text(encoding="utf-8").count("<polyline") == 4


def test_a_filled_form_becomes_a_new_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form, filled = tmp_path / "form.toml", tmp_path / "filled.toml"
    form.write_text("[home.site]\nco_alarm = true\n", encoding="utf-8")

    code, _, _ = run(capsys, "site", job_file("cold-family"), "--answers", str(form),
                     "--to", str(filled))  # fmt: skip
    _, out, _ = run(capsys, "site", str(filled), "--json")

    assert code == 0
    asked = [line["field"] for line in json.loads(out)["to_measure"]]
    assert asked
    assert "home.site.co_alarm" not in asked


def test_cost_says_what_a_timer_saves_on_a_plan_by_the_hour(
    capsys: pytest.CaptureFixture[str],
) -> None:
    asked = ("cost", job_file("town-house-ca"), "electric-tank-80-grid")

    _, told, _ = run(capsys, *asked)
    _, as_json, _ = run(capsys, *asked, "--json")

    assert "The timer keeps it from heating from" in " ".join(told.split())
    shift = json.loads(as_json)["shift"]
    assert shift["saving_per_year"] > 20.0
    assert len(shift["blocked_share_by_hour"]) == 24


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("heatersel comp", ["compare"]), ("heatersel explain gas-tank-5", ["gas-tank-50"]),
     ("heatersel rate heat-pump-8", ["heat-pump-80"]), ("heatersel size --occ", ["--occupants"])],
)  # fmt: skip
def test_the_shell_completes_commands_options_and_heaters(typed: str, offered: list[str]) -> None:
    words = typed.split(" ")
    asked = {"_HEATERSEL_COMPLETE": "complete_bash", "COMP_WORDS": typed,
             "COMP_CWORD": str(len(words) - 1)}  # fmt: skip

    found = subprocess.run(
        [sys.executable, "-c", "import sys; sys.argv[0] = 'heatersel'; from heatersel.cli import"
         " main; main()"],
        env=os.environ | asked, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert set(offered) <= set(found.stdout.split()), found.stderr


def test_the_first_simulation_says_that_it_prepares(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(compiler, "cache_folder", lambda: tmp_path)
    say_if_first_run()
    said = capsys.readouterr().err
    (tmp_path / "kernel.run_years-1.py311.1.nbc").touch()
    say_if_first_run()

    assert "only once" in said
    assert capsys.readouterr().err == ""
