"""The comparison on a terminal: the answer first, then the table, then what to watch."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.table import Table
from rich.text import Text

from heatersel import words
from heatersel.cautions.caution import LOCAL_RULES, Severity
from heatersel.cautions.order import gravest_first
from heatersel.comparison import Comparison, Option
from heatersel.sizing.verdict import Verdict
from heatersel.terminal.layout import plain_table, print_hanging

__all__ = ["print_comparison", "shortlist"]

_LETTERS = "ABC"
_MOST_NAMED = 5
_WIDE = 140
_SEVERITY_MARKS = {Severity.STOP: "STOP", Severity.MUST: "MUST", Severity.NOTE: "note"}


def print_comparison(
    console: Console, comparison: Comparison, *, all_sizes: bool, show_excluded: bool
) -> None:
    """Print a comparison.

    Parameters
    ----------
    console : rich.console.Console
        Where to; it decides on width and colour.
    comparison : Comparison
        What to print.
    all_sizes : bool
        Whether each size and each note is told, or only the best of each kind and the duties.
    show_excluded : bool
        Whether each excluded option is listed with its reason.
    """
    console.print(Text(comparison.job.title or "Comparison", style="bold"))
    print_hanging(console, "", words.household_sentence(comparison))
    print_hanging(console, "", words.need_sentence(comparison))
    console.print()
    _print_answer(console, comparison)
    _print_offers(console, comparison)
    options = comparison.ranked if all_sizes else shortlist(comparison)
    if options:
        console.print(_table(comparison, options, console.width))
    _print_left_out(console, comparison, show_excluded)
    _print_cautions(console, comparison, with_notes=all_sizes)
    _print_assumptions(console, comparison)


def shortlist(comparison: Comparison) -> list[Option]:
    """Return the offers and the best-ranked option of each construction class, by rank."""
    offered = {offer.option_id for offer in comparison.recommendation.offers}
    seen: set[tuple[str, str]] = set()
    kept = []
    for option in comparison.ranked:
        kind = (option.heater.heater_class, option.heater.energy_source)
        if option.id in offered or kind not in seen:
            kept.append(option)
        seen.add(kind)
    return kept


def _print_answer(console: Console, comparison: Comparison) -> None:
    best = comparison.recommended
    if best is None:
        console.print(Text("No heater of the list can be recommended for this house.", "bold"))
        return
    show = words.display_for(comparison)
    console.print(
        Text.assemble(
            ("Choose  ", "bold"),
            (words.heater_name(best.heater, words.display_for(comparison)), "bold dark_orange3"),
        )
    )
    console.print(
        f"        {show.money(best.cost.installed, 50)} installed, about "
        f"{show.money(best.cost.total_per_year / 12)} a month to run"
    )
    lines = (
        *words.reason_sentences(comparison),
        words.verdict_sentence(best, show),
        words.delivery_sentence(best),
    )
    for line in filter(None, lines):
        print_hanging(console, "      · ", line)
    console.print()


def _print_offers(console: Console, comparison: Comparison) -> None:
    """Print the offers by letter; the table marks them."""
    if not comparison.recommendation.offers:
        return
    show = words.display_for(comparison)
    for letter, offer in zip(_LETTERS, comparison.recommendation.offers, strict=False):
        option = comparison.option(offer.option_id)
        line = Text(f"Offer {letter}  ", style="bold")
        line.append(words.heater_name(option.heater, show), style="dark_orange3")
        console.print(line, soft_wrap=True)
        figures = (
            f"{words.basis_words(offer.basis)}: {show.money(option.cost.installed, 50)} "
            f"installed, {show.money(option.cost.total_per_year / 12)} a month, "
            f"{show.weight(option.co2_kg_per_year)} CO2 a year"
        )
        print_hanging(console, "         ", figures)
    console.print()


def _table(comparison: Comparison, options: Iterable[Option], width: int) -> Table:
    show = words.display_for(comparison)
    years = comparison.job.preferences.study_years
    wide = width >= _WIDE
    headings = [
        ("", "left"), ("Option", "left"), ("Spare", "right"), ("Cold days", "right"),
        ("Installed", "right"), ("A month", "right"), (f"{years} years", "right"),
    ]  # fmt: skip
    if wide:
        headings += [("CO2/yr", "right"), ("Needs", "right"), ("Gives", "right"),
                     ("UEF", "right"), ("id", "left")]  # fmt: skip
    table = plain_table(*headings)
    table.columns[0].no_wrap, table.columns[1].no_wrap = True, False
    offers = [offer.option_id for offer in comparison.recommendation.offers]
    for option in options:
        letter = _LETTERS[offers.index(option.id)] if option.id in offers else " "
        sizing, cost = option.sizing, option.cost
        cells = [
            f"{letter} {option.rank:>2}",
            words.heater_name(option.heater, show),
            ("tight " if sizing.verdict is Verdict.TIGHT else "") + f"{sizing.margin_frac:+.0%}",
            words.short_days(option),
            show.money(cost.installed, 50),
            show.money(cost.total_per_year / 12),
            show.money(cost.life_cycle, 100),
        ]
        if wide:
            cells += [
                show.weight(option.co2_kg_per_year),
                show.measure(sizing.required, sizing.unit),
                show.measure(sizing.available, sizing.unit),
                f"{option.heater.uef:.2f}",
                option.id,
            ]
        table.add_row(*cells, style="bold" if option.rank == 1 else "")
    return table


def _print_left_out(console: Console, comparison: Comparison, show_excluded: bool) -> None:
    left_out = comparison.excluded
    if not left_out:
        return
    console.print()
    if not show_excluded:
        short = sum("too small" in " ".join(option.excluded_because) for option in left_out)
        small = f", {short} of them too small" if short else ""
        text = f"{_counted(len(left_out), 'option')}{small} (--show-excluded says why)"
        print_hanging(console, "Left out  ", text)
        return
    console.print(Text("Left out", style="bold"))
    show = words.display_for(comparison)
    for option in left_out:
        reasons = "; ".join(option.excluded_because)
        print_hanging(console, "  - ", f"{words.heater_name(option.heater, show)}: {reasons}")


def _print_cautions(console: Console, comparison: Comparison, *, with_notes: bool) -> None:
    best = comparison.recommended
    if best is None:
        return
    console.print()
    console.print(
        Text(
            f"Before the {words.heater_name(best.heater, words.display_for(comparison))} goes in",
            style="bold",
        )
    )
    told = [c for c in sorted(best.cautions, key=gravest_first)
            if with_notes or c.severity is not Severity.NOTE]  # fmt: skip
    for caution in told:
        print_hanging(console, f"  {_SEVERITY_MARKS[caution.severity]}  ", caution.message)
    notes = len(best.cautions) - len(told)
    asked = len(best.to_measure)
    more = [f"{_counted(notes, 'note')} (--all tells them)"] if notes else []
    if asked:
        more.append(f"{_counted(asked, 'thing')} still to measure (heatersel site lists them)")
    if more:
        print_hanging(console, "  also  ", "; ".join(more))
    print_hanging(console, "  ", LOCAL_RULES, style="dim")


def _counted(n: int, word: str) -> str:
    return f"{n} {word}" if n == 1 else f"{n} {word}s"


def _print_assumptions(console: Console, comparison: Comparison) -> None:
    defaults = list(comparison.job.defaults_used())
    if defaults:
        console.print()
        names = ", ".join(d.field.split(".")[-1].replace("_", " ") for d in defaults[:_MOST_NAMED])
        values = _counted(len(defaults), "value")
        more = " and so on" if len(defaults) > _MOST_NAMED else ""
        text = f"{values} that the job does not give: {names}{more}"
        print_hanging(console, "Assumed   ", f"{text} (heatersel check lists them with sources)")
    for fault in comparison.rejected:
        print_hanging(console, "Refused   ", fault.sentence())
