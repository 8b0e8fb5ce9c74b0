"""The command that replays stored quotes under new rules and prices."""

from __future__ import annotations

import datetime as dt
import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from heatersel.cli_quote import (
    PolicyFile,
    PriceFile,
    Register,
    open_register,
    read_policy,
    read_prices,
)
from heatersel.cli_shared import (
    AsJson,
    Extend,
    HeaterFile,
    Plot,
    console,
    print_json,
    read_heaters,
    write_plot,
)

if TYPE_CHECKING:
    from heatersel.quote.price_book import PriceBook

__all__ = ["audit"]


def audit(
    policy: PolicyFile = None,
    prices: PriceFile = None,
    register: Register = "",
    plot: Plot = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
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

        write_plot(plot, audit_figure(report))
    if as_json:
        print_json(report.as_dict())
    else:
        from heatersel.terminal.audit import print_audit

        print_audit(console(), report)


def _book(path: Path | None, currency: str) -> PriceBook:
    """Return the price book under audit; other processes load it by this function."""
    return read_prices(path, currency)
