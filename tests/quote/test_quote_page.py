"""One job gives one quote: by command line, API, dashboard and company server."""

from __future__ import annotations

import datetime as dt
import io
import json

import pytest
from flask import Flask
from typer.testing import CliRunner

from dashboard import quote_page
from dashboard.answers import Answers
from dashboard.company import Company, create_company_app
from dashboard.quote_page import add_quote_routes
from dashboard.told import from_browser, to_browser
from heatersel.cli import app as command_line
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import read_toml
from heatersel.quote.accounts import Accounts
from heatersel.quote.document import quote_pdf
from heatersel.quote.policy import demo_policy, load_policy
from heatersel.quote.price_book import demo_price_book
from heatersel.quote.record import quote_record
from heatersel.quote.register import Register
from heatersel.reference import dataset_path

DAY = "2026-11-20"
WORD = "copper kettle river moon"


def page_with(policy=None):
    server = Flask("page")
    add_quote_routes(server, Answers(), policy=policy)
    return server.test_client()


@pytest.fixture(scope="module")
def page():
    return page_with()


@pytest.fixture(scope="module", params=["warm-bungalow", "town-house-ca"])
def job(request):
    return dataset_path(f"jobs/{request.param}.toml")


@pytest.fixture(scope="module")
def asked(job):
    return {"tables": to_browser(read_toml(job)), "by": "A. Plumber", "date": DAY}


@pytest.fixture(scope="module")
def by_api(job, quote_of):
    quote = quote_of(job.stem)
    return quote_record(quote), quote_pdf(quote)


@pytest.fixture(scope="module")
def by_command_line(job, tmp_path_factory):
    file = tmp_path_factory.mktemp("quote") / "quote.pdf"
    done = CliRunner().invoke(
        command_line,
        ["quote", str(job), "--date", DAY, "--by", "A. Plumber", "-o", str(file), "--json"],
    )
    assert done.exit_code == 0, done.output
    record = json.loads(done.output)
    assert record.pop("file") == str(file)
    return record, file.read_bytes()


@pytest.fixture(scope="module")
def by_page(page, asked):
    record, pdf = (page.post(f"/job/{name}", json=asked) for name in ("quote", "quote.pdf"))
    assert (record.status_code, pdf.status_code) == (200, 200)
    return record.get_json(), pdf.data


@pytest.fixture(scope="module")
def by_company_server(job, tmp_path_factory):
    now = dt.datetime(2026, 11, 20, 9, tzinfo=dt.UTC)
    with Register.open(str(tmp_path_factory.mktemp("office") / "quotes.db")) as register:
        Accounts(register).add("A. Plumber", WORD, "plumber", by="", at=now)
        app = create_company_app(
            Company(register=register, policy=demo_policy(), book=demo_price_book,
                    heaters=load_heaters(), now=lambda: now)
        )  # fmt: skip
        client = app.test_client()
        client.post("/sign-in", data={"name": "A. Plumber", "password": WORD})
        guard = client.get("/quotes/new").get_data(as_text=True)
        guard = guard.partition('name="guard" value="')[2].partition('"')[0]
        made = client.post(
            "/quotes/new",
            data={"guard": guard, "job": (io.BytesIO(job.read_bytes()), "job.toml")},
        )
        pdf = client.get(f"{made.location}/quote.pdf")
        assert pdf.status_code == 200
        return register.get(made.location.rpartition("/")[2], now.date()).record, pdf.data


def without_file(record):
    return {name: value for name, value in record.items() if name != "file"}


def test_the_same_record_comes_from_every_face(by_api, by_command_line, by_page, by_company_server):
    records = [without_file(face[0]) for face in (by_api, by_command_line, by_page,
                                                  by_company_server)]  # fmt: skip
    assert records[0]["offers"]
    assert all(record == records[0] for record in records[1:])


def test_the_same_bytes_come_from_every_face(by_api, by_command_line, by_page, by_company_server):
    assert by_api[1].startswith(b"%PDF")
    assert by_api[1] == by_command_line[1] == by_page[1] == by_company_server[1]


def test_a_comparison_that_the_page_has_is_used_again(asked, by_page, monkeypatch):
    server, answers = Flask("page"), Answers()
    add_quote_routes(server, answers)
    answers.work_out(from_browser(asked["tables"]), lambda _, __: None)
    monkeypatch.setattr(quote_page, "compare", None)
    assert server.test_client().post("/job/quote", json=asked).get_json() == by_page[0]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"tables": 3}, "not understood"),
        ({"date": "20.11.2026"}, "date is 20.11.2026; allowed: a day"),
        ({"offers": ["gas-tank-04"]}, "did you mean"),
        ({"by": "x" * 81}, "a name of up to 80"),
        ({"reasons": "because"}, "load the page again"),
    ],
)
def test_what_cannot_be_quoted_is_answered_with_its_message(page, asked, changes, said):
    reply = page.post("/job/quote", json=asked | changes)
    assert reply.status_code == 400
    assert said in reply.get_json()["message"]


def test_nothing_is_printed_where_the_policy_wants_a_review(asked, tmp_path):
    path = tmp_path / "policy.toml"
    path.write_text('title = "Own"\nversion = "7"\n[wording]\ncompany = "Own"\n'
                    "[release]\nreviewed_only = true\n")  # fmt: skip
    page = page_with(load_policy(path))
    assert "reviewed quotes" in page.post("/job/quote.pdf", json=asked).get_json()["message"]
    assert page.post("/job/quote", json=asked).status_code == 200
