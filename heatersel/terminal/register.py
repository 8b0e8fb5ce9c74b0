"""The register on a terminal: lists, a quote's history, what a merge did."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from heatersel.quote.money import money_text
from heatersel.quote.register_rows import Entry, Row
from heatersel.quote.sync import Merged
from heatersel.terminal.layout import plain_table, print_hanging

__all__ = ["print_entry", "print_list", "print_merge"]

_ID_SIGNS = 8


def print_list(console: Console, rows: Sequence[Row], n_stored: int) -> None:
    """Print stored quotes, one a line, the newest first."""
    if not rows:
        console.print(f"No quote of {n_stored} matches.")
        return
    table = plain_table(("Quote", "left"), ("Day", "left"), ("State", "left"), ("By", "left"),
                        ("Total", "right"), ("Job", "left"))  # fmt: skip
    table.columns[0].no_wrap = True
    table.columns[5].no_wrap = False
    for row in rows:
        cents = row["total_cents"]
        total = "to follow" if cents is None else money_text(cents, row["currency"])
        table.add_row(row["id"][:_ID_SIGNS], row["date"], row["state"], Text(row["by_name"][:14]),
                      total, Text(row["title"] or row["place"]))  # fmt: skip
    console.print(table)
    console.print(f"{len(rows)} of {n_stored} quotes", style="dim")


def print_entry(console: Console, entry: Entry) -> None:
    """Print a stored quote with its history."""
    record = entry.record
    console.print(Text(record["title"] or record["place"], style="bold"))
    console.print(f"Quote {entry.id}, {entry.state}", markup=False)
    console.print(f"{record['date']} by {record['by'] or 'nobody named'}, holds until "
                  f"{record['valid_until']}", markup=False)  # fmt: skip
    for offer in record["offers"]:
        total = offer["total"]
        amount = "to follow" if total is None else f"{total:,.2f} {record['currency']}"
        print_hanging(console, f"  {offer['letter']}  ", f"{offer['name']}: {amount}")
    for item in record["departures"]:
        print_hanging(console, "  Departs  ", f"{item['rule']}: {item['reason'] or 'no reason'}")
    for event in entry.events:
        details = " ".join(filter(None, (event.option_id, event.note, event.replaced_by)))
        by = f" by {event.by_name}" if event.by_name else ""
        print_hanging(console, "  ", f"{event.at[:16].replace('T', ' ')} UTC  {event.state}{by} "
                      f"{details}".rstrip())  # fmt: skip


def print_merge(console: Console, merged: Merged) -> None:
    """Print what a merge did."""
    console.print(
        f"Sent {merged.quotes_sent} quotes and {merged.events_sent} entries, received "
        f"{merged.quotes_received} and {merged.events_received}."
    )
    for conflict in merged.two_answers:
        console.print(Text(f"Quote {conflict.quote_id} has two answers:", style="bold"))
        for answer in conflict.answers:
            print_hanging(console, "  - ", answer)
        print_hanging(console, "  ", "The last one counts. Ask, then enter the right one again.")
