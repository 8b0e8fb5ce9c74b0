"""The report of a run: one page that stands alone, and the same tables as CSV files.

The answer comes first, then who gets what and why, money and emissions, the electric load, the
houses to visit first, and what was assumed. Nothing is loaded from anywhere.
"""

from __future__ import annotations

import json
import math
from html import escape
from pathlib import Path
from typing import Any

from heatersel.cautions.caution import LOCAL_RULES
from heatersel.display import Display
from heatersel.heaters.heater import HeaterClass
from heatersel.portfolio.load import LoadStudy, hour_words
from heatersel.portfolio.pictures import bars_svg, load_svg, map_svg, pairs_svg, spread_svg
from heatersel.portfolio.store import write_whole
from heatersel.portfolio.summary import ENERGY, Group, Summary, summarise
from heatersel.portfolio.tables import Table, class_name, tables_of, write_tables
from heatersel.portfolio.totals import Totals

__all__ = ["report_html", "write_report"]

_STYLE = Path(__file__).with_name("report.css")
_MOST_ROWS = 40
_GROUPS = {
    HeaterClass.ATMOSPHERIC_STORAGE: "fuel tank",
    HeaterClass.POWER_VENTED_STORAGE: "fuel tank",
    HeaterClass.CONDENSING_STORAGE: "fuel tank",
    HeaterClass.OIL_STORAGE: "fuel tank",
    HeaterClass.ELECTRIC_STORAGE: "electric tank",
    HeaterClass.HEAT_PUMP_240V: "heat pump",
    HeaterClass.HEAT_PUMP_120V: "heat pump",
    HeaterClass.HEAT_PUMP_SPLIT: "heat pump",
    HeaterClass.TANKLESS_NON_CONDENSING: "tankless",
    HeaterClass.TANKLESS_CONDENSING: "tankless",
    HeaterClass.TANKLESS_ELECTRIC: "tankless",
}
"""What a colour of the map stands for."""


_NOUNS = {
    "fuel tank": "a fuel tank",
    "electric tank": "an electric tank",
    "heat pump": "a heat pump",
    "tankless": "a tankless heater",
}


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
    tables = tables_of(summary, totals, study)
    write_tables(folder / "tables", tables.values())
    path = folder / "report.html"
    write_whole(path, report_html(summary, totals, study, tables, manifest).encode("utf-8"))
    return path


def report_html(
    summary: Summary,
    totals: Totals,
    study: LoadStudy,
    tables: dict[str, Table],
    manifest: dict[str, Any],
) -> str:
    """Return the report as one page.

    Parameters
    ----------
    summary, totals, study, tables, manifest
        As :func:`write_report` puts them together.
    """
    title = f"Water heaters for {summary.houses:,} houses"
    sections = [
        _answer(summary, totals, study),
        _who(summary, tables),
        _money(summary, tables),
        _load(study, tables),
        _map(summary, tables),
        _visits(summary, tables),
        _assumed(totals, tables, manifest),
    ]
    body = "".join(_own_ids(section, number) for number, section in enumerate(sections))
    style = _STYLE.read_text(encoding="utf-8")
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{escape(title)}</title><style>{style}</style></head>"
        f"<body><main><h1>{escape(title)}</h1>{body}</main></body></html>"
    )


def _answer(summary: Summary, totals: Totals, study: LoadStudy) -> str:
    """Return the page's first words: what comes of it all."""
    said = [_winner(summary)]
    for currency, group in sorted(summary.all.items()):
        said += _saved(group, currency)
    if study.groups:
        whole = study.groups[0]
        change = float(whole.after_kw.max() - whole.before_kw.max())
        said.append(
            f"The highest hourly load of all these heaters together "
            f"{'rises' if change >= 0 else 'falls'} by {_power(abs(change))}, "
            f"to {_power(float(whole.after_kw.max()))}."
        )
    if summary.site_work:
        said.append(
            f"Work on site comes first, beside the permit, in {_many(summary.site_work, 'house')}."
        )
    if summary.known_ages:
        said.append(
            f"Of the {summary.known_ages:,} heaters whose age is known, about "
            f"{summary.expected_failures:,.0f} will fail within a year."
        )
    nothing = summary.houses - summary.recommended
    if nothing:
        said.append(f"For {_many(nothing, 'house')} nothing on the list fits.")
    if totals.failed:
        said.append(f"No result for {_many(totals.failed, 'row')}; errors.csv says why.")
    return f'<section class="answer">{_paragraphs(said)}</section>'


def _winner(summary: Summary) -> str:
    counts = {name: 0 for name in set(_GROUPS.values())}
    for (_, heater_class), group in summary.by_class.items():
        counts[_GROUPS[HeaterClass(heater_class)]] += group.houses
    name = max(counts, key=lambda n: (counts[n], n))
    if not counts[name]:
        return "No house has an option that fits."
    share = counts[name] / summary.houses
    return f"For {_many(counts[name], 'house')} ({share:.0%}) {_NOUNS[name]} costs least to own."


def _saved(group: Group, currency: str) -> list[str]:
    show = Display("us", currency)
    said = [f"All installations together cost {_large_money(group.total('installed'), show)}."]
    if group.compared:
        cost, co2 = (
            group.total(f"before_{column}") - group.total(f"after_{column}")
            for column in ("per_year", "co2_kg_per_year")
        )
        before = group.total("before_per_year")
        said.append(
            f"Against what stands there now, {_many(group.compared, 'house')} would pay "
            f"{_large_money(abs(cost), show)} a year {'less' if cost >= 0 else 'more'}"
            f"{f' ({abs(cost) / before:.0%})' if before else ''} and emit "
            f"{_mass(abs(co2))} of CO2 a year {'less' if co2 >= 0 else 'more'}."
        )
    return said


def _who(summary: Summary, tables: dict[str, Table]) -> str:
    rows = [
        (class_name(heater_class), float(group.houses),
         f"{group.houses:,} ({group.houses / summary.houses:.0%})")
        for (_, heater_class), group in sorted(
            summary.by_class.items(), key=lambda item: (-item[1].houses, item[0]))
    ]  # fmt: skip
    return _section(
        "Who gets what, and why",
        "Each house gets what costs least to own over the years, of what fits it and is big "
        "enough on its coldest morning.",
        bars_svg(rows, "Houses by recommended heater"),
        _examples(summary),
        _table(tables["who_gets_what"].first(8)),
        *(_table(tables[name]) for name in ("changes", "heaters", "nothing_fits")),
    )


def _examples(summary: Summary) -> str:
    """Return the reasons of one house for each construction class."""
    said = [
        f"<p><b>{escape(class_name(heater_class))}</b>, for example house {escape(house)}"
        f"{'' if house == str(row) else f' (row {row})'}: {escape('; '.join(reasons))}.</p>"
        for heater_class, (row, house, reasons) in sorted(
            summary.examples.items(), key=lambda item: item[1]
        )
        if reasons
    ]
    return "".join(said)


def _money(summary: Summary, tables: dict[str, Table]) -> str:
    pictures = []
    for currency, group in sorted(summary.all.items()):
        if not group.compared:
            continue
        rows = [
            (source.replace("_", " "), before, after, _energy(before), _energy(after))
            for source in ENERGY
            for before, after in [
                (group.total(f"before_{source}_kwh"), group.total(f"after_{source}_kwh"))
            ]
            if before or after
        ]
        pictures += [
            pairs_svg(rows, "Energy of a year by source, now and then"),
            spread_svg(group.spreads["saving_per_year"], "What the houses save", f"{currency}/yr"),
        ]
    return _section(
        "Money and emissions, before and after",
        "Energy of a year by source, now and with the recommended heaters; then how much single "
        "houses save. Left of zero they pay more.",
        *pictures,
        *(_table(tables[name]) for name in ("before_after", "spread", "regions")),
    )


def _load(study: LoadStudy, tables: dict[str, Table]) -> str:
    if not study.groups:
        return ""
    whole = study.groups[0]
    added = int(whole.added_kw.argmax())
    return _section(
        "The electric load",
        f"In the hour where it adds most, the change adds {_power(float(whole.added_kw[added]))} "
        f"({hour_words(added)}). Every house has its own mornings, so the sum is what a grid "
        "would see, each place on its own clock.",
        load_svg(whole),
        _table(tables["electric_peaks"]),
        _said_of_file(tables["electric_load"]),
    )


def _map(summary: Summary, tables: dict[str, Table]) -> str:
    groups = {heater_class.value: group for heater_class, group in _GROUPS.items()}
    sentence = "A circle for each place: its area by houses, its colour by what most of them get."
    return _section(
        "Where", sentence, map_svg(summary.places, groups, sentence), _table(tables["places"])
    )


def _visits(summary: Summary, tables: dict[str, Table]) -> str:
    rows = [
        (str(row[1]) + ": " + str(row[0]), float(row[3]), f"{row[3]:,}")
        for row in tables["site_work"].rows[:12]
    ]
    return _section(
        "Houses to visit first",
        "What must be done before a heater may go in, what nobody has measured yet, and the "
        f"heaters most likely to fail. {LOCAL_RULES}",
        bars_svg(rows, "Houses by work to do first") if rows else "",
        *(_table(tables[name]) for name in ("at_risk", "site_work", "to_measure")),
    )


def _assumed(totals: Totals, tables: dict[str, Table], manifest: dict[str, Any]) -> str:
    return _section(
        "What this rests on",
        f"{totals.houses:,} houses of {manifest.get('houses', 'a file')}, "
        f"heatersel {manifest.get('version', '')}. Where the file says nothing, the defaults "
        "below stand in. A heater's chance of failing is that of its kind and age alone.",
        _table(tables["defaults"]),
        f"<details><summary>Settings</summary><pre>{escape(json.dumps(manifest, indent=1))}</pre>"
        "</details>",
    )


def _section(title: str, sentence: str, *parts: str) -> str:
    return f"<section><h2>{escape(title)}</h2><p>{escape(sentence)}</p>{''.join(parts)}</section>"


def _paragraphs(sentences: list[str]) -> str:
    return "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)


def _table(table: Table) -> str:
    """Return a table to unfold, its first rows; the rest is in the CSV file."""
    if not table.rows:
        return ""
    head = "".join(f'<th scope="col">{escape(column)}</th>' for column in table.columns)
    rows = "".join(
        f"<tr>{''.join(_cell(cell) for cell in row)}</tr>" for row in table.rows[:_MOST_ROWS]
    )
    more = len(table.rows) - _MOST_ROWS
    rest = f"<p>{more:,} more rows in tables/{table.name}.csv.</p>" if more > 0 else ""
    return (
        f"<details open><summary>{escape(table.title)}</summary><div class='wide'><table><thead>"
        f"<tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>{rest}</details>"
    )


def _said_of_file(table: Table) -> str:
    return f"<p>{escape(table.title)}, month and group: tables/{table.name}.csv.</p>"


def _cell(cell: Any) -> str:
    if isinstance(cell, float):
        return f'<td class="number">{"" if math.isnan(cell) else _number(cell)}</td>'
    if isinstance(cell, int):
        return f'<td class="number">{cell:,}</td>'
    return f"<td>{escape(str(cell))}</td>"


def _many(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def _number(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 100.0 else f"{value:.3g}"


def _power(power_kw: float) -> str:
    return f"{power_kw / 1000.0:,.3g} MW" if power_kw >= 10_000.0 else f"{power_kw:,.3g} kW"


def _energy(energy_kwh: float) -> str:
    for size, unit in ((1e9, "TWh"), (1e6, "GWh"), (1e3, "MWh")):
        if energy_kwh >= 10.0 * size:
            return f"{energy_kwh / size:,.3g} {unit}"
    return f"{energy_kwh:,.0f} kWh"


def _mass(mass_kg: float) -> str:
    return f"{mass_kg / 1000.0:,.0f} t" if mass_kg >= 10_000.0 else f"{mass_kg:,.0f} kg"


def _large_money(amount: float, show: Display) -> str:
    """Return an amount to three digits."""
    for size, word in ((1e9, " billion"), (1e6, " million"), (1.0, "")):
        if amount >= size:
            step = 10.0 ** (math.floor(math.log10(amount / size)) - 2)
            return f"{show.money(amount / size, max(step, 0.01 if word else 1.0))}{word}"
    return show.money(amount)


def _own_ids(html: str, number: int) -> str:
    """Return a section whose pictures have names that no other section has."""
    parts = html.split('aria-labelledby="t d"')
    out = [parts[0]]
    for place, part in enumerate(parts[1:]):
        mark = f"{number}-{place}"
        out.append(
            f'aria-labelledby="t{mark} d{mark}"'
            + part.replace('id="t"', f'id="t{mark}"', 1).replace('id="d"', f'id="d{mark}"', 1)
        )
    return "".join(out)
