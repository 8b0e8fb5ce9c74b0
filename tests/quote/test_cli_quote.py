from __future__ import annotations

import json

import pytest
import typer
from pypdf import PdfReader
from typer.testing import CliRunner

from heatersel import cli_quote
from heatersel.cautions.caution import LOCAL_RULES
from heatersel.errors import InputError
from heatersel.job.load import parse_job
from heatersel.job.write import to_toml
from heatersel.quote.record import quote_record
from heatersel.reference import dataset_path

DAY = "2026-11-20"


@pytest.fixture(scope="module")
def run():
    app = typer.Typer()
    app.command()(cli_quote.quote)
    app.command("other")(lambda: None)  # a single command would need no name

    def invoke(*arguments):
        done = CliRunner().invoke(app, ["quote", *map(str, arguments)])
        if done.exception and not isinstance(done.exception, SystemExit):
            raise done.exception
        return done.output

    return invoke


def test_without_a_job_the_example_is_quoted(run):
    output = run("--date", DAY)
    assert "Offer A" in output
    assert "Total" in output
    assert "Demo policy (invented)" in output


def test_prices_never_stand_there_without_what_must_be_right_first(run):
    said = " ".join(run("--date", DAY).split())
    assert said.index("Offer C") < said.index("tap water burns skin") < said.index("Policy")
    assert LOCAL_RULES in said


def test_the_terminal_fits_80_columns(run):
    assert max(map(len, run("--date", DAY).splitlines())) <= 80


def test_command_line_and_api_give_the_same_quote(run, quote_of):
    shown = json.loads(run("--date", DAY, "--by", "A. Plumber", "--json"))
    assert shown == quote_record(quote_of("cold-family"))


def test_a_document_is_written_and_named(run, tmp_path):
    path = tmp_path / "quote.pdf"
    shown = json.loads(run("--date", DAY, "-o", path, "--paper", "a4", "--json"))
    assert shown["file"] == str(path)
    assert float(PdfReader(path).pages[0].mediabox.width) == pytest.approx(595.28, abs=0.5)


def test_offers_by_hand_and_files_of_the_company_are_used(run, write_book, tmp_path, test_house):
    job = tmp_path / "job.toml"
    job.write_text(to_toml(parse_job(test_house)))
    policy = tmp_path / "policy.toml"
    policy.write_text('title = "Own"\nversion = "7"\n[wording]\ncompany = "Own company"\n'
                      '[offers]\nby_hand = "free"\n')  # fmt: skip
    shown = json.loads(
        run(job, "--offers", "gas-tank-40", "--policy", policy, "--prices", write_book(), "--json")
    )
    assert [offer["option"] for offer in shown["offers"]] == ["gas-tank-40"]
    assert shown["policy"]["version"] == "7"
    assert shown["price_book"]["version"] == "2027-1"
    missing = {item["item"] for item in shown["offers"][0]["missing"]}
    assert "disposal" in missing
    assert shown["offers"][0]["total"] is None


def test_reasons_are_read_by_rule(run):
    shown = json.loads(
        run("--without", "drain_pan", "--depart",
            "must_have.drain_pan=The floor drain is right below.", "--json")
    )  # fmt: skip
    (departure,) = shown["departures"]
    assert departure["reason"] == "The floor drain is right below."


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--date", "20.11.2026"), "date is 20.11.2026; allowed: a day"),
        (("--depart", "because"), "allowed: RULE=reason"),
        (("--paper", "a3"), "paper is a3; allowed: letter, a4"),
        (("-o", "quote.doc"), "a file ending in .pdf or .html"),
        (("--offers", "gas-tank-04"), "did you mean .*gas-tank-40"),
        (("--prices", "none.csv"), "none.csv is missing"),
        (("--policy", "none.toml"), "none.toml is missing"),
        (("none.toml",), "none.toml is missing"),
        (("--policy", dataset_path("jobs/cold-family.toml")), "not a known key"),
        (("--prices", dataset_path("heaters/generic.csv")), "column"),
    ],
)
def test_each_bad_input_has_its_sentence(run, arguments, said):
    with pytest.raises(InputError, match=said):
        run(*arguments)
