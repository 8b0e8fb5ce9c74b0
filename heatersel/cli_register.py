"""The commands of the register: look quotes up, answer them, merge, back up."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path
from typing import Annotated, Any

import typer

from heatersel.cli_quote import By, Register, open_register
from heatersel.cli_shared import AsJson, console, print_json
from heatersel.errors import InputError

__all__ = ["app"]

app = typer.Typer(
    no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None,
    help="Every quote as it was made, and what became of it.",
)  # fmt: skip

QuoteId = Annotated[str, typer.Argument(help="Id of a quote, or the start of it.")]
Note = Annotated[str, typer.Option("--note", help="A word about it.", show_default=False)]


@app.command("list")
def list_quotes(
    words: Annotated[str, typer.Argument(help="Words to look for.", show_default=False)] = "",
    state: Annotated[
        str,
        typer.Option("--state", help="offered, accepted, declined, expired or replaced.",
                     show_default=False),
    ] = "",
    since: Annotated[str, typer.Option("--since", help="First day.", show_default=False)] = "",
    until: Annotated[str, typer.Option("--until", help="Last day.", show_default=False)] = "",
    limit: Annotated[int, typer.Option("--limit", help="How many; 0 for all.", min=0)] = 50,
    offset: Annotated[int, typer.Option("--offset", help="How many to pass over.", min=0)] = 0,
    register: Register = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """List stored quotes, the newest first."""
    with open_register(register, create=False) as opened:
        rows = opened.search(on=dt.date.today(), text=words, state=state, since=since,
                             until=until, limit=limit, offset=offset)  # fmt: skip
        stored = opened.count()
    if as_json:
        print_json({"stored": stored, "quotes": [dict(row) for row in rows]})
    else:
        from heatersel.terminal.register import print_list

        print_list(console(), rows, stored)


@app.command()
def show(quote: QuoteId, register: Register = "", as_json: AsJson = False) -> None:
    """Show a stored quote with its history."""
    with open_register(register, create=False) as opened:
        entry = opened.get(quote, dt.date.today())
    if as_json:
        print_json(dataclasses.asdict(entry))
    else:
        from heatersel.terminal.register import print_entry

        print_entry(console(), entry)


@app.command()
def accept(
    quote: QuoteId,
    offer: Annotated[str, typer.Argument(help="Letter or option that was signed.")],
    note: Note = "",
    by: By = "",
    register: Register = "",
) -> None:
    """Enter that a customer accepted an offer."""
    _answer(register, quote, "accepted", by, offer, note)


@app.command()
def decline(quote: QuoteId, note: Note = "", by: By = "", register: Register = "") -> None:
    """Enter that a customer declined a quote."""
    _answer(register, quote, "declined", by, "", note)


@app.command("review")
def review_quote(
    quote: QuoteId,
    verdict: Annotated[str, typer.Argument(help="approved or returned.")],
    note: Note = "",
    by: By = "",
    register: Register = "",
) -> None:
    """Enter what a colleague says to a quote before it leaves."""
    from heatersel.quote.reviews import review

    with open_register(register, create=False) as opened:
        entry = opened.get(quote, dt.date.today())
        found = review(opened, entry, verdict, at=dt.datetime.now(dt.UTC), by=by, note=note)
    console().print(f"Quote {entry.id} is {found.verdict} by {found.by_name}.", markup=False)


@app.command("print")
def print_quote(
    quote: QuoteId,
    output: Annotated[Path, typer.Option("-o", "--output", help="The PDF to write.")],
    register: Register = "",
) -> None:
    """Print a stored quote again, exactly as it was made."""
    from heatersel.quote.document import pdf_of
    from heatersel.quote.reviews import check_may_leave

    with open_register(register, create=False) as opened:
        entry = opened.get(quote, dt.date.today())
        check_may_leave(opened, entry)
        data = opened.document(entry.id)
    if data is None:
        raise InputError.of("document", value=f"none is kept with quote {entry.id[:8]}",
                            allowed="a quote that was stored with its document",
                            fix="make it again with: heatersel quote")  # fmt: skip
    try:
        output.write_bytes(pdf_of(data))
    except OSError as trouble:
        raise InputError.of("output", value=str(output), allowed="a file that can be written",
                            fix=f"choose another place ({trouble.strerror})") from None  # fmt: skip
    console().print(f"Written to {output}", markup=False)


@app.command("export")
def export_quotes(
    file: Annotated[Path, typer.Argument(help=".jsonl: a backup; .csv or .parquet: a table.")],
    register: Register = "",
) -> None:
    """Back the register up, or write it as a table for a spreadsheet."""
    with open_register(register, create=False) as opened:
        if file.suffix.lower() == ".jsonl":
            from heatersel.quote.sync import export_backup

            count = export_backup(opened, file)
        else:
            from heatersel.quote.register_export import export_table

            count = export_table(opened, file, dt.date.today())
    noun = "quote" if count == 1 else "quotes"
    console().print(f"{count} {noun} written to {file}", markup=False)


@app.command("import")
def import_quotes(
    file: Annotated[Path, typer.Argument(help="A backup (.jsonl).")],
    register: Register = "",
    as_json: AsJson = False,
) -> None:
    """Bring a backup back into a register, new or in use; nothing is overwritten."""
    from heatersel.quote.sync import import_backup

    with open_register(register, create=True) as opened:
        merged = import_backup(file, opened)
    _show_merge(merged, as_json)


@app.command("sync")
def sync_registers(
    office: Annotated[str, typer.Argument(help="The other register: a file or a URL.")],
    register: Register = "",
    as_json: AsJson = False,
) -> None:
    """Give this register and another one what they lack of each other."""
    from heatersel.quote.sync import sync

    with (
        open_register(register, create=True) as here,
        open_register(office, create=True) as there,
    ):
        merged = sync(here, there)
    _show_merge(merged, as_json)


@app.command()
def check(register: Register = "", as_json: AsJson = False) -> None:
    """Read every stored quote and compare it with its digest."""
    with open_register(register, create=False) as opened:
        bad, count = opened.verify(), opened.count()
    if as_json:
        print_json({"ok": not bad, "stored": count, "damaged": list(bad)})
    else:
        console().print(f"{count - len(bad)} of {count} quotes are as they were stored.")
        for quote_id in bad:
            console().print(f"damaged: {quote_id}", markup=False)
    if bad:
        raise typer.Exit(1)


@app.command()
def upgrade(register: Register = "") -> None:
    """Bring an office database to the schema of this program; stop all others first."""
    from heatersel.quote.database import HEAD, engine_of, revision_of, url_of
    from heatersel.quote.database import upgrade as upgrade_database

    engine = engine_of(url_of(register))
    revision_of(engine)
    upgrade_database(engine)
    engine.dispose()
    console().print(f"The register is at schema {HEAD}.")


def _answer(place: str, quote: str, state: str, by: str, offer: str, note: str) -> None:
    with open_register(place, create=False) as opened:
        event = opened.tell(quote, state, at=dt.datetime.now(dt.UTC), by=by.strip(),
                            option_id=offer, note=note)  # fmt: skip
    option = f", option {event.option_id}" if event.option_id else ""
    console().print(f"Quote {event.quote_id} is {state}{option}.", markup=False)


def _show_merge(merged: Any, as_json: bool) -> None:
    if as_json:
        print_json(dataclasses.asdict(merged))
    else:
        from heatersel.terminal.register import print_merge

        print_merge(console(), merged)
