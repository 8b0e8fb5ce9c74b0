"""Serve the company's register with accounts; without accounts nothing leaves this computer."""

from __future__ import annotations

import ipaddress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from heatersel.cli_quote import open_register, read_policy, read_prices
from heatersel.cli_shared import read_heaters
from heatersel.errors import InputError

if TYPE_CHECKING:
    from heatersel.quote.register import Register

__all__ = ["check_address", "company_app", "run"]

_THREADS = 6


def check_address(host: str, *, accounts: bool) -> None:
    """Refuse to answer to other computers without accounts.

    Parameters
    ----------
    host : str
        Address to answer at.
    accounts : bool
        Whether people have to sign in.

    Raises
    ------
    InputError
        If the address is not this computer's own and nobody would have to sign in.
    """
    if accounts or host == "localhost":
        return
    try:
        own = ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        own = False
    if not own:
        raise InputError.of(
            "host", value=host, allowed="127.0.0.1, this computer only, unless people sign in",
            fix="leave --host out, or serve the register with --accounts",
        )  # fmt: skip


def company_app(
    register: Register, policy: Path | None, prices: Path | None, *, secure: bool = False
) -> Any:
    """Return the company server of an open register, ready to be served.

    Raises
    ------
    InputError
        If there is no manager who could sign in, or policy or prices have faults.
    """
    from dashboard.company import Company, create_company_app
    from heatersel.quote.accounts import Accounts, Action

    if not any(account.may(Action.MANAGE_ACCOUNTS) for account in Accounts(register).all()):
        raise InputError.of(
            "accounts", value="no manager", allowed="at least one active manager",
            fix='make one with: heatersel accounts add "NAME" --role manager',
        )  # fmt: skip
    if prices:
        read_prices(prices, "")
    return create_company_app(
        Company(
            register=register, policy=read_policy(policy), book=partial(read_prices, prices),
            heaters=read_heaters(None, extend=False), secure=secure,
        )
    )  # fmt: skip


def run(
    host: str, port: int, place: str, policy: Path | None, prices: Path | None, *, secure: bool
) -> None:
    """Serve the company's register until it is stopped."""
    import waitress  # type: ignore[import-untyped]  # it ships no types

    with open_register(place, create=True) as register:
        app = company_app(register, policy, prices, secure=secure)
        try:
            server = waitress.create_server(app, host=host, port=port, threads=_THREADS, ident=None)
        except (OSError, OverflowError) as trouble:
            raise InputError.of(
                "address", value=f"{host}:{port}", allowed="an address and a port that are free",
                fix=f"try another with --port; the system says: {trouble}",
            ) from None  # fmt: skip
        print(f"The register is at http://{host}:{server.effective_port}/ (stop it with Ctrl+C)",
              flush=True)  # fmt: skip
        try:
            server.run()
        finally:
            server.close()
