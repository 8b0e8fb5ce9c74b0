from __future__ import annotations

import datetime as dt
import json

import pytest
import typer
from typer.testing import CliRunner

from heatersel import cli_quote, cli_register
from heatersel.errors import DataError, InputError
from heatersel.quote.register import Register
from heatersel.reference import dataset_path

DAY = "2026-11-20"


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("HEATERSEL_REGISTER", str(tmp_path / "quotes.db"))
    app = typer.Typer()
    app.command()(cli_quote.quote)
    app.add_typer(cli_register.app, name="register")

    def invoke(*arguments):
        done = CliRunner().invoke(app, list(map(str, arguments)))
        if done.exception and not isinstance(done.exception, SystemExit):
            raise done.exception
        return done.output

    return invoke


@pytest.fixture
def stored(run, record_of, tmp_path):
    with Register.open(str(tmp_path / "quotes.db")) as register:
        today = dt.date.today()
        until = str(today + dt.timedelta(days=30))
        record = record_of(date=str(today), valid_until=until)
        return register.add(record, at=dt.datetime.now(dt.UTC), by="A. Plumber")


def test_a_quote_is_stored_where_the_environment_says(run):
    stored = json.loads(run("quote", "--by", "A. Plumber", "--json"))["stored_as"]
    listed = json.loads(run("register", "list", "--json"))
    assert listed["stored"] == 1
    assert listed["quotes"][0]["id"] == stored
    assert stored[:8] in run("register", "list")


def test_an_offer_is_accepted_by_letter(run, stored):
    run("register", "accept", stored[:8], "A", "--by", "Office", "--note", "signed")
    entry = json.loads(run("register", "show", stored, "--json"))
    assert entry["state"] == "accepted"
    assert entry["events"][-1]["note"] == "signed"
    assert "accepted by Office" in run("register", "show", stored[:8])


def test_a_quote_is_declined_and_found_by_state(run, stored):
    run("register", "decline", stored)
    assert json.loads(run("register", "list", "--state", "declined", "--json"))["quotes"]
    assert "No quote of 1 matches" in run("register", "list", "--state", "accepted")


def test_a_new_quote_takes_the_place_of_an_old_one(run, stored):
    run("quote", "--replaces", stored)
    assert json.loads(run("register", "show", stored, "--json"))["state"] == "replaced"


def test_a_stored_quote_is_printed_once_its_policy_lets_it_leave(run, tmp_path):
    text = dataset_path("policy/demo.toml").read_text().replace(
        "reviewed_only = false", "reviewed_only = true"
    )  # fmt: skip
    policy = tmp_path / "strict.toml"
    policy.write_text(text)
    paper = tmp_path / "quote.pdf"
    with pytest.raises(InputError, match="have it reviewed"):
        run("quote", "--policy", policy, "-o", paper)
    stored = json.loads(run("quote", "--policy", policy, "--by", "A", "--json"))["stored_as"]
    with pytest.raises(InputError, match="a colleague has approved"):
        run("register", "print", stored, "-o", paper)
    run("register", "review", stored, "approved", "--by", "B")
    run("register", "print", stored, "-o", paper)
    assert paper.read_bytes().startswith(b"%PDF")


def test_no_paper_leaves_that_a_damaged_register_cannot_keep(run, tmp_path):
    damaged, paper = tmp_path / "damaged.db", tmp_path / "quote.pdf"
    damaged.write_bytes(b"no database" * 500)
    with pytest.raises(DataError, match=", damaged"):
        run("quote", "-o", paper, "--register", damaged)
    assert not paper.exists()
    assert damaged.read_bytes() == b"no database" * 500


def test_a_quote_stored_without_its_document_cannot_be_printed(run, stored, tmp_path):
    with pytest.raises(InputError, match="none is kept"):
        run("register", "print", stored, "-o", tmp_path / "quote.pdf")


def test_backup_and_table_are_written_and_the_backup_comes_back(run, stored, tmp_path):
    assert "1 quote written" in run("register", "export", tmp_path / "b.jsonl")
    assert "1 quote written" in run("register", "export", tmp_path / "b.csv")
    other = tmp_path / "other.db"
    merged = json.loads(
        run("register", "import", tmp_path / "b.jsonl", "--register", other, "--json")
    )
    assert merged["quotes_received"] == 1


def test_two_registers_are_merged(run, stored, tmp_path):
    office = tmp_path / "office.db"
    assert "Sent 1 quotes" in run("register", "sync", office)
    assert "Sent 0 quotes" in run("register", "sync", office)
    assert "1 of 1 quotes are as they were stored" in run("register", "check")


def test_an_upgrade_of_a_register_that_is_up_to_date_does_no_harm(run, stored):
    assert "at schema" in run("register", "upgrade")
    assert json.loads(run("register", "check", "--json"))["ok"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("show", "ffffffff"), "register list"),
        (("accept", "ffffffff", "A"), "register list"),
        (("list", "--state", "lost"), "state is lost"),
        (("export", "quotes.xls"), r"\.csv, \.parquet or \.jsonl"),
        (("import", "none.jsonl"), "missing"),
        (("list", "--register", "mysql://a@b/c"), "register is mysql"),
        (("show", "abcd", "--register", "empty.db"), "a register with quotes"),
    ],
)
def test_each_bad_input_has_its_sentence(run, stored, tmp_path, monkeypatch, arguments, said):
    monkeypatch.chdir(tmp_path)
    with pytest.raises((InputError, DataError), match=said):
        run("register", *arguments)


def test_without_a_register_the_way_to_name_one_is_said(run, monkeypatch):
    monkeypatch.delenv("HEATERSEL_REGISTER")
    with pytest.raises(InputError, match="set HEATERSEL_REGISTER once"):
        run("register", "list")
