"""A quote on a terminal: each offer with its lines, what must be right first, the policy."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from heatersel.quote.letter import Letter, date_words, letter
from heatersel.quote.money import money_text
from heatersel.quote.quote import Offer, Quote
from heatersel.terminal.layout import plain_table, print_hanging

__all__ = ["print_quote"]


def print_quote(console: Console, quote: Quote, file: str = "", stored: str = "") -> None:
    """Print a quote.

    Parameters
    ----------
    console : rich.console.Console
        Where to.
    quote : Quote
        What to print.
    file : str
        The document that was written, empty if none was.
    stored : str
        Id in the register, empty if it was not stored.
    """
    page = letter(quote)
    console.print(Text(page.title, style="bold"))
    console.print(f"{page.dated}. {page.valid}", markup=False)
    print_hanging(console, "", page.advice)
    for card, offer in zip(page.cards, quote.offers, strict=True):
        console.print()
        line = Text(f"Offer {card.letter}  ", style="bold")
        line.append(card.name, style="bold dark_orange3" if card.recommended else "")
        line.append(f"  ({card.why})")
        console.print(line, soft_wrap=True)
        console.print(_lines(quote, offer))
        for text in (card.running + ".", card.compared and card.compared + ".", *card.notes):
            if text:
                print_hanging(console, "         ", text)
    console.print()
    _print_cautions(console, page)
    _print_rules(console, quote)
    book = quote.book.title(quote.request.date)
    print_hanging(console, "Policy      ", quote.policy.name)
    print_hanging(console, "Price book  ", f"{book}, prices of {date_words(quote.request.date)}")
    if file:
        print_hanging(console, "Written to  ", file)
    if stored:
        print_hanging(console, "Stored as   ", stored)


def _lines(quote: Quote, offer: Offer) -> object:
    """Return the lines of an offer as a table: text, amount, row of the book."""
    currency = quote.book.currency
    table = plain_table(("", "left"), ("", "left"), ("", "right"), ("", "left"))
    table.show_header = False
    for line in offer.price.lines:
        text = line.text if line.quantity == 1 else f"{line.quantity} × {line.text}"
        table.add_row("       ", text, money_text(line.amount_cents, currency), line.row)
    for item in offer.price.missing:
        table.add_row("       ", item.text, "no price", "")
    for tax in offer.price.taxes:
        text = f"{tax.text}, {tax.percent.normalize():f} %"
        table.add_row("       ", text, money_text(tax.amount_cents, currency), tax.row)
    total = offer.price.total_cents
    amount = "to follow" if total is None else money_text(total, currency)
    table.add_row("       ", Text("Total", "bold"), Text(amount, "bold"), "")
    table.columns[1].no_wrap = False
    return table


def _print_cautions(console: Console, page: Letter) -> None:
    for caution in page.cautions:
        offers = caution.letters.replace(" ", " and ")
        print_hanging(console, "First       ", f"{offers}: {caution.text}" if offers
                      else caution.text)  # fmt: skip
    if page.n_more_cautions:
        print_hanging(console, "            ", f"and {page.n_more_cautions} more in the document")
    print_hanging(console, "            ", page.local_rules, style="dim")
    console.print()


def _print_rules(console: Console, quote: Quote) -> None:
    for item in quote.departures:
        reason = f": {item.reason}" if item.reason else ""
        print_hanging(console, "Departs     ", f"{item.rule}, {item.quote_has}{reason}")
    for reason in quote.second_opinion:
        print_hanging(console, "Second look ", f"{reason[:1].upper()}{reason[1:]}")
    for unpriced in quote.unpriced:
        whys = "; ".join(missing.why for missing in unpriced.missing)
        print_hanging(console, "Not priced  ", f"{unpriced.name}: {whys}")
