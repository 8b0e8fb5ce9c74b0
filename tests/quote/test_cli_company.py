from __future__ import annotations

import datetime as dt
import json

import pytest
from typer.testing import CliRunner

from heatersel import cli_accounts
from heatersel.cli_company import check_address, company_app
from heatersel.errors import InputError
from heatersel.quote.accounts import Accounts
from heatersel.quote.register import Register

NOW = dt.datetime(2026, 11, 20, tzinfo=dt.UTC)
WORD = "copper kettle river moon"


@pytest.fixture
def register(tmp_path):
    with Register.open(str(tmp_path / "q.db")) as opened:
        yield opened


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1", "[::1]", "127.0.0.9"])
def test_this_computer_is_served_without_accounts(host):
    check_address(host, accounts=False)


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.4", "office.example", "", "8.8.8.8"])
def test_other_computers_are_not_served_without_accounts(host):
    with pytest.raises(InputError, match="this computer only, unless people sign in"):
        check_address(host, accounts=False)
    check_address(host, accounts=True)


def test_without_a_manager_the_server_does_not_start(register):
    with pytest.raises(InputError, match="at least one active manager"):
        company_app(register, None, None)
    Accounts(register).add("Pat", WORD, "plumber", by="", at=NOW)
    with pytest.raises(InputError, match="at least one active manager"):
        company_app(register, None, None)


def test_with_a_manager_it_asks_to_sign_in(register):
    Accounts(register).add("Boss", WORD, "manager", by="", at=NOW)
    client = company_app(register, None, None).test_client()
    assert client.get("/").location == "/sign-in"


def test_faulty_files_are_told_before_anybody_signs_in(register, tmp_path):
    Accounts(register).add("Boss", WORD, "manager", by="", at=NOW)
    with pytest.raises(InputError, match="missing"):
        company_app(register, None, tmp_path / "none.csv")
    with pytest.raises(InputError, match="missing"):
        company_app(register, tmp_path / "none.toml", None)


def test_the_list_of_accounts_is_one_object_with_named_fields(register, tmp_path):
    Accounts(register).add("Boss", WORD, "manager", by="", at=NOW)
    place = str(tmp_path / "q.db")
    done = CliRunner().invoke(cli_accounts.app, ["list", "--json", "--register", place])
    assert json.loads(done.output) == {
        "accounts": [{"name": "Boss", "role": "manager", "active": True}]
    }
