from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest
import typer
from typer.testing import CliRunner, Result

from heatersel.cli_portfolio import population, portfolio, time_words
from heatersel.errors import InputError

HEAD = "house,household.occupants,place.climate,existing.energy_source\n"
FEW = ("--options", "electric-tank-50, heat-pump-65", "--workers", "1", "--year", "2026",
       "--method", "balance")  # fmt: skip


@pytest.fixture(scope="module")
def houses(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("houses") / "houses.csv"
    rows = [f'h{i},{1 + i % 4},"Duluth, MN",electricity\n' for i in range(24)]
    path.write_text(HEAD + "".join(rows) + 'bad,0,"Duluth, MN",electricity\n')
    return path


def run(*arguments: object) -> Result:
    app = typer.Typer()
    app.command()(portfolio)
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def test_the_command_says_where_the_answers_are(houses: Path, tmp_path: Path) -> None:
    done = run(houses, "-o", tmp_path / "out", *FEW)

    assert done.exit_code == 0, done.output
    assert "24 houses" in done.stdout
    assert "1 rows without a result" in done.stdout
    assert "25 of 25 houses" in done.stderr
    assert len(pd.read_parquet(tmp_path / "out" / "results")) == 48


def test_json_has_the_same_figures(houses: Path, tmp_path: Path) -> None:
    said = json.loads(run(houses, "-o", tmp_path / "out", *FEW, "--json").stdout)

    assert (said["houses"], said["failed_rows"]) == (24, 1)
    assert said["defaults"]["household.bedrooms"] == 24


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["none.csv"], "is missing"),
        (["HOUSES", "--options", "electric-tank-5O"], "electric-tank-5O"),
        (["HOUSES", "--method", "guess"], "--method is guess; allowed: simulation or balance"),
        (["HOUSES", "--scheduler", "tcp://127.0.0.1:1", "--workers", "2"], "one of the two"),
    ],
)
def test_a_wrong_call_is_one_clear_error(
    houses: Path, tmp_path: Path, arguments: list[str], said: str
) -> None:
    given = [str(houses) if a == "HOUSES" else a for a in arguments]

    done = run(*given, "-o", tmp_path / "out")

    assert isinstance(done.exception, InputError)
    assert said in str(done.exception)


def test_a_stopped_command_goes_on_where_it_was(houses: Path, tmp_path: Path) -> None:
    """A real process, told to end while it works; it holds still to be told in good time."""
    out = tmp_path / "out"
    code = (
        "import sys, time, typer\n"
        "from heatersel import cli_portfolio\n"
        "class Slow(cli_portfolio._Meter):\n"
        "    def show(self, progress):\n"
        "        super().show(progress)\n"
        "        patience = time.monotonic() + 60.0\n"
        "        while 2 <= progress.rows < 25 and time.monotonic() < patience:\n"
        "            time.sleep(0.02)  # short: a signal may reach another thread\n"
        "if __name__ == '__main__':\n"
        "    if sys.argv.pop() == 'slow':\n"
        "        cli_portfolio._Meter = Slow\n"
        "    typer.run(cli_portfolio.portfolio)\n"
    )
    script = tmp_path / "command.py"
    script.write_text(code)
    call = [sys.executable, str(script), str(houses), "-o", str(out), "--partition-rows", "1", *FEW]
    env = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
    with subprocess.Popen([*call, "slow"], stderr=subprocess.PIPE, text=True, env=env) as first:
        patience = time.monotonic() + 90.0
        while len(list((out / "state").glob("part-*.npz"))) < 2:
            assert first.poll() is None, first.communicate()[1]
            assert time.monotonic() < patience
            time.sleep(0.02)
        first.send_signal(signal.SIGTERM)
        _, trouble = first.communicate(timeout=30)

    again = subprocess.run([*call, "quick"], capture_output=True, text=True, check=True, env=env)

    assert first.returncode == 1
    assert "run the same command to go on" in trouble
    assert "Traceback" not in trouble
    assert "2 of 25 houses" in again.stderr
    assert len(pd.read_parquet(out / "recommendations")) == 24


def test_time_is_said_as_people_say_it() -> None:
    assert time_words(3700) == "1 h 2 min"


def test_a_town_is_invented_and_computed(tmp_path: Path) -> None:
    path = tmp_path / "houses.parquet"
    app = typer.Typer()
    app.command()(population)

    made = CliRunner().invoke(app, [str(path), "-n", "5", "--region", "MN", "--year", "2026"])
    done = run(path, "-o", tmp_path / "out", *FEW)

    assert made.exit_code == 0, made.output
    assert "5 invented houses" in made.stdout
    assert done.exit_code == 0, done.output
    places = pd.read_parquet(tmp_path / "out" / "recommendations")["place"]
    assert all(place.endswith(", MN") for place in places)
