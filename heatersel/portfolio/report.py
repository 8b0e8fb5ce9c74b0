"""The report of a run: one page that stands alone, and the same tables as CSV files.

The answer comes first, then who gets what and why, money and emissions, the electric load, the
map, the houses to visit first, and what was assumed. Nothing is loaded from anywhere. The page
says amounts as people do; the CSV files have all rows and digits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from html import escape
from pathlib import Path
from typing import Any

from heatersel.heaters.heater import HeaterClass
from heatersel.portfolio.house_list import write_house_list
from heatersel.portfolio.load import LoadStudy
from heatersel.portfolio.page import (
    facts,
    large_money,
    many,
    mass,
    page,
    paragraphs,
    power,
    section,
    side_by_side,
    signed,
    table,
)
from heatersel.portfolio.pictures import bars_svg
from heatersel.portfolio.report_money import money
from heatersel.portfolio.report_place import GROUPS, assumed, load, map_of, visits
from heatersel.portfolio.store import write_whole
from heatersel.portfolio.summary import Group, Summary, summarise
from heatersel.portfolio.tables import class_name, tables_of, write_tables
from heatersel.portfolio.totals import Totals

__all__ = ["report_html", "write_report"]

_NOUNS = {
    "fuel tank": "a fuel tank",
    "electric tank": "an electric tank",
    "heat pump": "a heat pump",
    "tankless": "a tankless heater",
}
_EXAMPLES = 4


def write_report(folder: Path, totals: Totals, manifest: dict[str, Any]) -> Path:
    """Write report.html and the CSV files under tables/ for what is finished in a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Of the run.
    totals : Totals
        What was added up while computing.
    manifest : dict
        Inputs and settings of the run.

    Returns
    -------
    pathlib.Path
        The report.

    Raises
    ------
    HeaterselError
        If a file cannot be written.
    """
    summary, study = summarise(folder), LoadStudy.of(totals)
    write_tables(folder / "tables", tables_of(summary, totals, study).values())
    write_house_list(folder)
    path = folder / "report.html"
    write_whole(path, report_html(summary, totals, study, manifest).encode("utf-8"))
    return path


def report_html(
    summary: Summary, totals: Totals, study: LoadStudy, manifest: dict[str, Any]
) -> str:
    """Return the report as one page.

    Parameters
    ----------
    summary, totals, study, manifest
        As :func:`write_report` puts them together.
    """
    return page(
        f"Water heaters for {many(summary.houses, 'house')}",
        (
            _answer(summary, totals, study),
            _who(summary),
            money(summary),
            load(study),
            map_of(summary),
            visits(summary),
            assumed(totals, manifest),
        ),
    )


def _answer(summary: Summary, totals: Totals, study: LoadStudy) -> str:
    """Return the page's first words: what comes of it all."""
    pairs = [pair for currency, group in sorted(summary.all.items())
             for pair in _saved(group, currency)]  # fmt: skip
    if study.groups:
        whole = study.groups[0]
        peak_kw = float(whole.after_kw.max())
        change_kw = peak_kw - float(whole.before_kw.max())
        pairs.append(
            (power(peak_kw), "is the highest hourly load of all these heaters together, "
             f"{power(abs(change_kw))} {'above' if change_kw >= 0.0 else 'below'} today's")
        )  # fmt: skip
    if summary.known_ages:
        pairs.append(
            (many(round(summary.expected_failures), "heater"),
             f"likely to fail within a year, of {summary.known_ages:,} of known age")
        )  # fmt: skip
    if summary.site_work:
        pairs.append(
            (many(summary.site_work, "house"), "need work on site first, beside the permit")
        )
    nothing = summary.houses - summary.recommended
    rest = [f"For {many(nothing, 'house')} nothing on the list fits."] if nothing else []
    if totals.failed:
        rest.append(f"No result for {many(totals.failed, 'row')}; errors.csv says why.")
    return (
        f'<section class="answer">{paragraphs([_winner(summary)])}{facts(pairs)}'
        f"{paragraphs(rest)}</section>"
    )


def _winner(summary: Summary) -> str:
    counts = {name: 0 for name in set(GROUPS.values())}
    for (_, heater_class), group in summary.by_class.items():
        counts[GROUPS[HeaterClass(heater_class)]] += group.houses
    name = max(counts, key=lambda n: (counts[n], n))
    if not counts[name]:
        return "No house has an option that fits."
    share = counts[name] / summary.houses
    return f"For {many(counts[name], 'house')} ({share:.0%}) {_NOUNS[name]} costs least to own."


def _saved(group: Group, currency: str) -> Iterator[tuple[str, str]]:
    yield (
        large_money(group.total("installed"), currency),
        f"is the price of all {group.houses:,} installations",
    )
    if not group.compared:
        return
    before = group.total("before_per_year")
    less = before - group.total("after_per_year")
    share = f" ({abs(less) / before:.0%})" if before else ""
    yield (
        f"{large_money(abs(less), currency)} a year",
        f"{'less' if less >= 0.0 else 'more'} to run{share} than what stands in "
        f"{many(group.compared, 'house')} now",
    )
    before = group.total("before_co2_kg_per_year")
    less = before - group.total("after_co2_kg_per_year")
    share = f" ({abs(less) / before:.0%})" if before else ""
    yield (
        f"{mass(abs(less), currency)} CO2 a year",
        f"{'less' if less >= 0.0 else 'more'}{share} from the same houses",
    )


def _who(summary: Summary) -> str:
    classes = sorted(summary.by_class.items(), key=lambda item: (-item[1].houses, item[0]))
    counts: Counter[str] = Counter()
    for (_, heater_class), group in classes:
        counts[heater_class] += group.houses
    bars = [
        (class_name(heater_class), float(houses), f"{houses:,} ({houses / summary.houses:.0%})")
        for heater_class, houses in counts.most_common()
    ]
    changes = [
        (class_name(before), class_name(after), f"{houses:,}")
        for (before, after), houses in summary.changes.most_common()
    ]
    stock = [(name, f"{houses:,}") for (_, name), houses in summary.options.most_common()]
    causes = [(cause, f"{n:,}") for cause, n in summary.words["nothing_fits_because"].most_common()]
    return section(
        "Who gets what, and why",
        "Each house gets what costs least to own over the years, of what fits it and is big "
        "enough on its coldest morning.",
        bars_svg(bars, "Houses by recommended heater"),
        table(
            "The middle house of each kind",
            ("recommended", "price", "to run a year, against now", "CO2 a year, against now",
             "futures in which it is cheapest"),
            [_class_row(*item) for item in classes], file="who_gets_what",
        ),
        _examples(summary),
        side_by_side(
            table("What takes the place of what", ("now", "recommended", "houses"), changes,
                  words=2, most=10, file="changes"),
            table("Heaters to have in stock", ("heater", "houses"), stock, most=10,
                  file="heaters"),
        ),
        table("Why nothing fits some houses", ("what keeps most heaters out", "houses"), causes,
              file="nothing_fits"),
    )  # fmt: skip


def _class_row(key: tuple[str, str], group: Group) -> tuple[str, ...]:
    currency, heater_class = key
    price, saving, co2, chance = (
        group.spreads[name].quantile(0.5)
        for name in ("installed", "saving_per_year", "co2_saving_kg_per_year",
                     "cheapest_probability")
    )  # fmt: skip
    known = group.compared > 0
    return (
        class_name(heater_class),
        large_money(price, currency),
        signed(large_money(-saving, currency), -saving) if known else "",
        signed(mass(-co2, currency), -co2) if known else "",
        f"{10.0 * chance:.0f} of 10",
    )


def _examples(summary: Summary) -> str:
    """Return the reasons of one house for each of the commonest construction classes."""
    common = {name for (_, name), _ in sorted(
        summary.by_class.items(), key=lambda item: -item[1].houses)[:_EXAMPLES]}  # fmt: skip
    said = [
        f"<p><b>{escape(class_name(heater_class)).capitalize()}</b> for house {escape(house)}"
        f"{'' if house == str(row) else f' (row {row})'}: {escape('; '.join(reasons))}.</p>"
        for heater_class, (row, house, reasons) in sorted(
            summary.examples.items(), key=lambda item: item[1]
        )
        if reasons and heater_class in common
    ]
    if not said:
        return ""
    return f'<div class="why"><h3>Why, in one house of each</h3>{"".join(said)}</div>'
