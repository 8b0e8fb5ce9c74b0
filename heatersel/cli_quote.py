"""The commands of quotes: make one, keep them, audit them. Heavy libraries load when needed."""

from __future__ import annotations

import datetime as dt
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heatersel.cli_shared import (
    AsJson,
    Extend,
    HeaterFile,
    JobFile,
    console,
    print_json,
    read_heaters,
    read_job,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from heatersel.errors import InputError
    from heatersel.quote.policy import Policy
    from heatersel.quote.price_book import PriceBook
    from heatersel.quote.quote import Quote
    from heatersel.quote.register import Register as OpenRegister

__all__ = ["quote"]

PolicyFile = Annotated[
    Path | None,
    typer.Option("--policy", help="Company policy (TOML); none: the demo.", show_default=False),
]
PriceFile = Annotated[
    Path | None,
    typer.Option("--prices", help="Price book (CSV, XLSX); none: the demo.", show_default=False),
]
Register = Annotated[
    str,
    typer.Option(
        "--register", envvar="HEATERSEL_REGISTER", show_default=False,
        help="Register: a file, or a database URL.",
    ),
]  # fmt: skip
By = Annotated[
    str, typer.Option("--by", envvar="HEATERSEL_BY", help="Who does it.", show_default=False)
]


def quote(
    job: JobFile = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Write the document: .pdf or .html.",
                     show_default=False),
    ] = None,
    offers: Annotated[
        str, typer.Option("--offers", help="Offer these options: ID,ID,ID.", show_default=False)
    ] = "",
    policy: PolicyFile = None,
    prices: PriceFile = None,
    by: By = "",
    date: Annotated[
        str, typer.Option("--date", help="Day of the quote; none: today.", show_default=False)
    ] = "",
    depart: Annotated[
        list[str] | None,
        typer.Option("--depart", help='Why it departs from the policy: RULE="reason".',
                     show_default=False),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option("--without", help="Leave out a must-have item of the policy.",
                     show_default=False),
    ] = None,
    register: Register = "",
    replaces: Annotated[
        str,
        typer.Option("--replaces", help="Stored quote that this one takes the place of.",
                     show_default=False),
    ] = "",
    paper: Annotated[
        str, typer.Option("--paper", help="letter or a4; none: as the units.", show_default=False)
    ] = "",
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Make the offers of a job and the document that the customer signs."""
    from heatersel.quote.quote import Request, quote_job
    from heatersel.quote.record import quote_record
    from heatersel.terminal.first_run import say_if_first_run

    sheet, the_job, rules = _paper(paper), read_job(job), read_policy(policy)
    book = read_prices(prices, the_job.prices.currency)
    listed = read_heaters(heaters, extend)
    asked = Request(
        date=read_date(date), by=by.strip(), reasons=read_reasons(depart or ()),
        offers=tuple(filter(None, (name.strip() for name in offers.split(",")))),
        without=tuple(without or ()),
    )  # fmt: skip
    say_if_first_run()
    file, stored = str(output) if output else "", ""
    # Opened first: no paper leaves that a damaged register then cannot keep.
    kept = open_register(register, create=True) if register or replaces else nullcontext()
    with kept as place:
        made = quote_job(the_job, listed, policy=rules, book=book, request=asked)
        if output and made.policy.release.reviewed_only:
            raise _review_first(made.policy.name)
        if output:
            from heatersel.quote.document import write_document

            write_document(made, output, sheet)
        record = quote_record(made, file)
        if place is not None:
            stored = _store(made, record, place, by, replaces)
    if as_json:
        print_json(record | ({"stored_as": stored} if stored else {}))
    else:
        from heatersel.terminal.quote import print_quote

        print_quote(console(), made, file, stored)


def _store(
    made: Quote, record: dict[str, Any], register: OpenRegister, by: str, replaces: str
) -> str:
    """Store a quote with its document in a register and return its id there."""
    from heatersel.quote.document import document_data

    return register.add(
        record, at=dt.datetime.now(dt.UTC), by=by.strip(), replaces=replaces or None,
        document=document_data(made),
    )  # fmt: skip


def _review_first(policy: str) -> InputError:
    from heatersel.errors import InputError

    return InputError.of(
        "output", value=f"a quote that nobody has reviewed, under {policy}",
        allowed="reviewed quotes, as release.reviewed_only of the policy says",
        fix="store it with --register, have it reviewed with: heatersel register review, then "
        "print it with: heatersel register print",
    )  # fmt: skip


def open_register(place: str, *, create: bool) -> OpenRegister:
    """Return an open register; raise InputError where none is named."""
    from heatersel.errors import InputError
    from heatersel.quote.register import Register as Opened

    if not place:
        raise InputError.of(
            "register", value="none named", allowed="a file, or postgresql://USER@HOST/NAME",
            fix="write --register quotes.db, or set HEATERSEL_REGISTER once",
        )  # fmt: skip
    return Opened.open(place, create=create)


def read_policy(path: Path | None) -> Policy:
    """Return the policy of a file, or the demo policy."""
    from heatersel.quote.policy import demo_policy, load_policy

    return load_policy(path) if path else demo_policy()


def read_prices(path: Path | None, currency: str) -> PriceBook:
    """Return the price book of a file, or the demo book in a currency."""
    from heatersel.quote.price_book import demo_price_book, load_price_book

    return load_price_book(path) if path else demo_price_book(currency)


def read_date(text: str) -> dt.date:
    """Return a day, today if none is given; raise InputError if it is none."""
    from heatersel.errors import InputError

    if not text:
        return dt.date.today()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise InputError.of("date", value=text, allowed="a day",
                            fix="an example is 2027-01-31") from None  # fmt: skip


def read_reasons(given: Sequence[str]) -> Mapping[str, str]:
    """Return reasons by rule from texts such as setpoint="the reason"."""
    from heatersel.errors import InputError

    reasons = {}
    for text in given:
        rule, sign, reason = text.partition("=")
        if not sign:
            raise InputError.of("depart", value=repr(text), allowed="RULE=reason",
                                fix='an example is setpoint="the dishwasher has no heater"',
                                )  # fmt: skip
        reasons[rule.strip()] = reason.strip().strip('"')
    return reasons


def _paper(name: str) -> Any:
    from heatersel.errors import UnknownChoiceError
    from heatersel.quote.document import Paper

    if name and name not in list(Paper):
        raise UnknownChoiceError.of("paper", value=name, allowed=", ".join(Paper),
                                    fix="leave it out for the usual one")  # fmt: skip
    return Paper(name) if name else None
