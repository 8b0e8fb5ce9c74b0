"""An audit on a terminal: how many quotes change, why, and which."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from heatersel.quote.audit import OfferChange, Replay
from heatersel.quote.audit_report import AuditReport
from heatersel.quote.money import money_text
from heatersel.terminal.layout import plain_table, print_hanging

__all__ = ["print_audit"]

_MOST_QUOTES = 10
_MOST_LINES = 6


def print_audit(console: Console, report: AuditReport) -> None:
    """Print an audit."""
    changed = report.changed
    console.print(Text(f"{len(changed)} of {len(report.replays)} quotes would change", "bold"))
    print_hanging(console, "under  ", f"{report.policy}; {report.price_book}")
    for cause, count in report.causes:
        print_hanging(console, f"{count:>5}  ", cause)
    for item in changed[:_MOST_QUOTES]:
        console.print()
        _print_replay(console, item)
    if len(changed) > _MOST_QUOTES:
        console.print(f"\nand {len(changed) - _MOST_QUOTES} more (--json lists all)")
    _print_agreement(console, report)
    _print_acceptance(console, report)


def _print_replay(console: Console, item: Replay) -> None:
    line = Text(f"{item.quote_id[:8]}  {item.date}  ", style="bold")
    line.append(item.title)
    console.print(line, soft_wrap=True)
    if item.trouble:
        print_hanging(console, "          ", f"cannot be made again: {item.trouble}")
        return
    if item.recommended_before != item.recommended_after:
        print_hanging(console, "          ", f"recommends {item.recommended_after} instead of "
                      f"{item.recommended_before}")  # fmt: skip
    if item.difference:
        more = "more" if item.difference > 0 else "less"
        amount = _amount(abs(item.difference), item.currency)
        print_hanging(console, "          ", f"recommended offer {amount} {more}")
    for offer in item.offers:
        print_hanging(console, "          ", _offer_words(offer, item.currency))
    for rule in item.new_departures:
        print_hanging(console, "          ", f"departs from {rule}")
    for reason in item.new_opinions:
        print_hanging(console, "          ", f"second look: {reason}")


def _offer_words(offer: OfferChange, currency: str) -> str:
    if offer.after is None and offer.why:
        return f"no more {offer.option_id}: {offer.why}"
    if offer.before is None and offer.why:
        return f"now also {offer.option_id} ({offer.why})"
    lines = [
        f"{line.text} {_amount(line.before, currency)} to {_amount(line.after, currency)}"
        for line in offer.lines[:_MOST_LINES]
    ]
    more = len(offer.lines) - _MOST_LINES
    lines += [f"and {more} more {'line' if more == 1 else 'lines'}"] if more > 0 else []
    if offer.per_year is not None and abs(offer.per_year) >= 0.5:
        word = "more" if offer.per_year > 0 else "less"
        lines.append(f"{_amount(abs(offer.per_year), currency)} a year {word} to run")
    return f"{offer.option_id}: {'; '.join(lines)}"


def _amount(value: float | None, currency: str) -> str:
    return "nothing" if value is None else money_text(round(100 * value), currency)


def _print_agreement(console: Console, report: AuditReport) -> None:
    if not report.like_houses:
        return
    console.print(Text("\nLike houses, the least agreed first", style="bold"))
    for group in report.like_houses[:_MOST_QUOTES]:
        each = "; ".join(
            f"{name or 'nobody named'}: "
            + ", ".join(f"{count} {kind.replace('_', ' ')}" for kind, count in counts.items())
            for name, counts in group.by_plumber.items()
        )
        print_hanging(console, f"{group.agreement:>5.0%}  ", f"{group.house} ({each})")


def _print_acceptance(console: Console, report: AuditReport) -> None:
    if not report.acceptance:
        return
    console.print(Text("\nOffers that customers took", style="bold"))
    table = plain_table(("", "left"), ("", "left"), ("taken", "right"), ("share", "right"),
                        ("span, 9 in 10", "right"))  # fmt: skip
    for item in report.acceptance:
        table.add_row(item.by, item.value.replace("_", " "), f"{item.accepted} of {item.offered}",
                      f"{item.share:.0%}", f"{item.low:.0%} to {item.high:.0%}")  # fmt: skip
    console.print(table)
