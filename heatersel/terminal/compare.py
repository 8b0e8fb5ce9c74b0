"""The comparison on a terminal: the answer first, then the table, then what to watch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from heatersel.cautions.caution import LOCAL_RULES, Caution, Severity
from heatersel.comparison import Comparison, Option
from heatersel.terminal import words
from heatersel.terminal.layout import print_hanging

__all__ = ["best_of_each_kind", "print_comparison"]

_MOST_NAMED = 5
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
        Whether each size is listed or only the best of each kind.
    show_excluded : bool
        Whether each excluded option is listed with its reason.
    """
    console.print(Text(comparison.job.title or "Comparison", style="bold"))
    console.print(words.household_sentence(comparison))
    console.print(words.need_sentence(comparison))
    console.print()
    _print_answer(console, comparison)
    options = comparison.ranked if all_sizes else best_of_each_kind(comparison.ranked)
    if options:
        console.print(_table(comparison, options, console.width))
    _print_left_out(console, comparison, show_excluded)
    _print_cautions(console, comparison)
    _print_assumptions(console, comparison)


def best_of_each_kind(ranked: Sequence[Option]) -> list[Option]:
    """Return the best-ranked option of each construction class and energy source."""
    kept: dict[tuple[str, str], Option] = {}
    for option in ranked:
        kept.setdefault((option.heater.heater_class, option.heater.energy_source), option)
    return list(kept.values())


def _print_answer(console: Console, comparison: Comparison) -> None:
    best = comparison.recommended
    if best is None:
        console.print(Text("No heater of the list can be recommended for this house.", "bold"))
        return
    show = words.display_for(comparison)
    console.print(Text.assemble(("Choose  ", "bold"), (best.heater.name, "bold dark_orange3")))
    console.print(
        f"        {show.money(best.cost.installed, 50)} installed, about "
        f"{show.money(best.cost.total_per_year / 12)} a month to run"
    )
    for line in (*words.reason_sentences(comparison), words.verdict_sentence(best, show)):
        print_hanging(console, "      · ", line)
    console.print()


def _table(comparison: Comparison, options: Iterable[Option], width: int) -> Table:
    show = words.display_for(comparison)
    years = comparison.job.preferences.study_years
    wide = width >= 100
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    table.add_column("", justify="right")
    table.add_column("Option", overflow="fold", ratio=1)
    table.add_column("Fits", no_wrap=True)
    table.add_column("Installed", justify="right", no_wrap=True)
    table.add_column("A month", justify="right", no_wrap=True)
    table.add_column(f"{years} years", justify="right", no_wrap=True)
    table.add_column("CO2/yr", justify="right", no_wrap=True)
    if wide:
        table.add_column("Needs", justify="right", no_wrap=True)
        table.add_column("Gives", justify="right", no_wrap=True)
        table.add_column("UEF", justify="right", no_wrap=True)
    if width >= 140:
        table.add_column("id", no_wrap=True)
    offered = {offer.option_id: offer.basis for offer in comparison.recommendation.offers}
    for option in options:
        sizing, cost = option.sizing, option.cost
        basis = words.basis_words(offered[option.id]) if option.id in offered else ""
        name = Text(option.heater.name)
        if basis:
            name.append(f"  ({basis})", style="dark_orange3")
        cells: list[str | Text] = [
            str(option.rank),
            name,
            f"{sizing.verdict.value} {sizing.margin_frac:+.0%}",
            show.money(cost.installed, 50),
            show.money(cost.total_per_year / 12),
            show.money(cost.life_cycle, 100),
            show.weight(option.co2_kg_per_year),
        ]
        if wide:
            cells += [
                show.measure(sizing.required, sizing.unit),
                show.measure(sizing.available, sizing.unit),
                f"{option.heater.uef:.2f}",
            ]
        if width >= 140:
            cells.append(option.id)
        table.add_row(*cells, style="bold" if option.rank == 1 else "")
    return table


def _print_left_out(console: Console, comparison: Comparison, show_excluded: bool) -> None:
    left_out = comparison.excluded
    if not left_out:
        return
    console.print()
    if not show_excluded:
        short = sum("too small" in " ".join(option.excluded_because) for option in left_out)
        text = f"{len(left_out)} options, {short} of them too small (--show-excluded says why)"
        print_hanging(console, "Left out  ", text)
        return
    console.print(Text("Left out", style="bold"))
    for option in left_out:
        reasons = "; ".join(option.excluded_because)
        print_hanging(console, "  - ", f"{option.heater.name}: {reasons}")


def _print_cautions(console: Console, comparison: Comparison) -> None:
    best = comparison.recommended
    if best is None:
        return
    console.print()
    console.print(Text(f"Before the {best.heater.name} goes in", style="bold"))
    for caution in sorted(best.cautions, key=_gravest_first):
        print_hanging(console, f"  {_SEVERITY_MARKS[caution.severity]}  ", caution.message)
    if best.to_measure:
        names = ", ".join(measure.field for measure in best.to_measure[:_MOST_NAMED])
        more = len(best.to_measure) - _MOST_NAMED
        tail = f" and {more} more" if more > 0 else ""
        print_hanging(console, "  ask   ", f"still to measure: {names}{tail}")
    print_hanging(console, "  ", LOCAL_RULES, style="dim")


def _gravest_first(caution: Caution) -> tuple[int, str]:
    return list(_SEVERITY_MARKS).index(caution.severity), caution.id


def _print_assumptions(console: Console, comparison: Comparison) -> None:
    defaults = list(comparison.job.defaults_used())
    if defaults:
        console.print()
        names = ", ".join(d.field.split(".")[-1].replace("_", " ") for d in defaults[:_MOST_NAMED])
        text = f"{len(defaults)} values that the job does not give: {names} and so on"
        print_hanging(console, "Assumed   ", f"{text} (heatersel check lists them with sources)")
    for fault in comparison.rejected:
        print_hanging(console, "Refused   ", fault.sentence())
