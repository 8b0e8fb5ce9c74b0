"""The command that replays stored quotes under new rules and prices."""

from __future__ import annotations

import datetime as dt
import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heatersel.cli_quote import (
    AsJson,
    Extend,
    HeaterFile,
    PolicyFile,
    PriceFile,
    Register,
    console,
    open_register,
    print_json,
    read_heaters,
    read_policy,
    read_prices,
)

if TYPE_CHECKING:
    from heatersel.quote.price_book import PriceBook

__all__ = ["audit"]


def audit(
    policy: PolicyFile = None,
    prices: PriceFile = None,
    register: Register = "",
    plot: Annotated[
        Path | None,
        typer.Option("--plot", help="Draw it: FILE.svg, FILE.png or FILE.html.",
                     show_default=False),
    ] = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Replay stored quotes under new rules and prices: what changes, why, by how much."""
    from heatersel.quote.audit_report import audit as audit_quotes

    rules, listed = read_policy(policy), read_heaters(heaters, extend)
    read_prices(prices, "USD")  # a faulty book is told before any work
    with open_register(register, create=False) as opened:
        entries = tuple(opened.entries(dt.date.today()))
    report = audit_quotes(
        entries, listed, rules, partial(_book, prices), workers=os.cpu_count() or 1,
        book_name=prices.name if prices else "the demo price book",
    )  # fmt: skip
    if plot:
        from heatersel.plots.audit import audit_figure
        from heatersel.plots.figure import write_figure

        write_figure(audit_figure(report), plot)
    if as_json:
        print_json(report.as_dict())
    else:
        from heatersel.terminal.audit import print_audit

        print_audit(console(), report)


def _book(path: Path | None, currency: str) -> PriceBook:
    """Return the price book under audit; other processes load it by this function."""
    return read_prices(path, currency)
