from __future__ import annotations

import datetime as dt
import json
import re

import pytest
import typer
from typer.testing import CliRunner

from heatersel import cli_audit
from heatersel.errors import InputError
from heatersel.quote.record import quote_record
from heatersel.quote.register import Register
from heatersel.reference import dataset_path

NOW = dt.datetime(2026, 11, 20, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def place(quote_of, tmp_path_factory):
    path = str(tmp_path_factory.mktemp("audit") / "quotes.db")
    with Register.open(path) as register:
        for by in ("A. Plumber", "Z. Fitter"):
            quote = quote_of(by=by, offers=("gas-tank-40", "heat-pump-50"))
            quote_id = register.add(quote_record(quote), at=NOW, by=by)
        register.tell(quote_id, "accepted", at=NOW, by="", option_id="A")
    return path


@pytest.fixture
def run(place):
    app = typer.Typer()
    app.command()(cli_audit.audit)
    app.command("other")(lambda: None)

    def invoke(*arguments):
        done = CliRunner().invoke(app, ["audit", "--register", place, *map(str, arguments)])
        if done.exception and not isinstance(done.exception, SystemExit):
            raise done.exception
        return done.output

    return invoke


@pytest.fixture
def dearer(tmp_path):
    text = dataset_path("price_book/demo_us.csv").read_text()
    path = tmp_path / "new.csv"
    path.write_text(text.replace("R1,rate,hour,,Plumber,,110", "R1,rate,hour,,Plumber,,125"))
    return path


def test_today_nothing_changes(run):
    report = json.loads(run("--json"))
    assert (report["quotes"], report["changed"]) == (2, [])


def test_a_dearer_hour_shows_in_every_quote(run, dearer):
    report = json.loads(run("--prices", dearer, "--json"))
    assert len(report["changed"]) == 2
    assert all(item["difference"] > 0 for item in report["changed"])
    output = run("--prices", dearer)
    assert "2 of 2 quotes would change" in output
    assert re.search(r"recommended offer \$[\d.]+ more", output)
    assert "Like houses" in output
    assert "Offers that customers took" in output
    assert max(map(len, output.splitlines())) <= 80


def test_the_pictures_are_written(run, dearer, tmp_path):
    run("--prices", dearer, "--plot", tmp_path / "audit.html")
    page = (tmp_path / "audit.html").read_text()
    for title in ("By how much", "What changes them", "How often customers", "How far plumbers"):
        assert title in page


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--policy", "none.toml"), "none.toml is missing"),
        (("--prices", "none.csv"), "none.csv is missing"),
        (("--register", "none.db"), "a register with quotes"),
        (("--plot", "audit.doc"), "ending in .svg"),
    ],
)
def test_each_bad_input_has_its_sentence(run, arguments, said):
    with pytest.raises(InputError, match=said):
        run(*arguments)
