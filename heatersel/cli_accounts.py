"""The commands of accounts: who may sign in to the company server, and as what."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import typer

from heatersel.cli_quote import By, Register, open_register
from heatersel.cli_shared import AsJson, console, print_json

__all__ = ["app"]

app = typer.Typer(
    no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None,
    help="Accounts of the company server, kept in the register.",
)  # fmt: skip

Name = Annotated[str, typer.Argument(help="Name, as it stands on quotes.")]
Password = Annotated[
    str,
    typer.Option(
        "--password", envvar="HEATERSEL_PASSWORD", prompt=True, hide_input=True,
        confirmation_prompt=True, help="Asked for if not given.", show_default=False,
    ),
]  # fmt: skip


@app.command()
def add(
    name: Name,
    role: Annotated[str, typer.Option("--role", help="plumber, reviewer or manager.")] = "plumber",
    password: Password = "",
    by: By = "",
    register: Register = "",
) -> None:
    """Add an account."""
    from heatersel.quote.accounts import Accounts

    with open_register(register, create=True) as opened:
        Accounts(opened).add(name, password, role, by=by, at=dt.datetime.now(dt.UTC))
    console().print(f"{name} may sign in as {role}.", markup=False)


@app.command()
def change(
    name: Name,
    role: Annotated[
        str, typer.Option("--role", help="plumber, reviewer or manager.", show_default=False)
    ] = "",
    active: Annotated[
        bool | None, typer.Option("--active/--rest", help="Whether they may sign in.")
    ] = None,
    by: By = "",
    register: Register = "",
) -> None:
    """Change a role, or let an account rest."""
    from heatersel.quote.accounts import Accounts

    with open_register(register, create=False) as opened:
        Accounts(opened).change(name, by=by, at=dt.datetime.now(dt.UTC), role=role, active=active)
    console().print(f"{name} is changed and signed out everywhere.", markup=False)


@app.command()
def password(name: Name, password: Password = "", by: By = "", register: Register = "") -> None:
    """Give an account a new password; it may sign in at once."""
    from heatersel.quote.accounts import Accounts

    with open_register(register, create=False) as opened:
        Accounts(opened).change(name, by=by, at=dt.datetime.now(dt.UTC), password=password)
    console().print(f"{name} has a new password and is signed out everywhere.", markup=False)


@app.command("list")
def list_accounts(register: Register = "", as_json: AsJson = False) -> None:
    """List the accounts."""
    from heatersel.quote.accounts import Accounts

    with open_register(register, create=False) as opened:
        accounts = Accounts(opened).all()
    if as_json:
        told = [{"name": a.name, "role": a.role, "active": a.active} for a in accounts]
        print_json({"accounts": told})
        return
    for account in accounts:
        rests = "" if account.active else ", rests"
        console().print(f"{account.name}: {account.role}{rests}", markup=False)
