"""Pieces of the report's page: sections, large figures, tables, amounts as people say them.

What is written here is escaped here; pictures come as finished SVG.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path

from heatersel import units
from heatersel.display import Display

__all__ = [
    "energy",
    "facts",
    "large_money",
    "many",
    "mass",
    "one_in",
    "page",
    "paragraphs",
    "power",
    "section",
    "side_by_side",
    "signed",
    "table",
]

_STYLE = Path(__file__).with_name("report.css")


def page(title: str, sections: Iterable[str]) -> str:
    """Return a page that stands alone."""
    body = "".join(_own_ids(part, number) for number, part in enumerate(sections))
    style = _STYLE.read_text(encoding="utf-8")
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{escape(title)}</title><style>{style}</style></head>"
        f"<body><main><h1>{escape(title)}</h1>{body}</main></body></html>"
    )


def section(title: str, sentence: str, first: str, *parts: str) -> str:
    """Return a section; its heading stays with its first part on paper."""
    kind = "together" if first else "together lead"
    return (
        f'<section><div class="{kind}"><h2>{escape(title)}</h2><p>{escape(sentence)}</p>'
        f"{first}</div>{''.join(parts)}</section>"
    )


def paragraphs(sentences: Iterable[str]) -> str:
    """Return a paragraph for each sentence."""
    return "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)


def facts(pairs: Iterable[tuple[str, str]]) -> str:
    """Return large figures, each with what it is."""
    said = "".join(
        f"<div><b>{escape(figure)}</b> <span>{escape(words)}</span></div>"
        for figure, words in pairs
    )
    return f'<div class="facts">{said}</div>'


def side_by_side(*parts: str) -> str:
    """Return parts beside each other where there is room."""
    return f'<div class="beside">{"".join(parts)}</div>' if any(parts) else ""


def table(
    title: str,
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    words: int = 1,
    most: int = 12,
    file: str = "",
) -> str:
    """Return a table of what is said, empty if there is nothing.

    Parameters
    ----------
    title : str
        What it shows.
    columns : sequence of str
        Headings.
    rows : sequence of sequence of str
        As people say them.
    words : int
        How many of the first columns are words; the others are numbers.
    most : int
        Rows that are shown.
    file : str
        CSV file under tables/ that has them all, without the ending.
    """
    if not rows:
        return ""
    kinds = ["" if place < words else ' class="number"' for place in range(len(columns))]
    head = "".join(
        f'<th scope="col"{kind}>{escape(column)}</th>'
        for kind, column in zip(kinds, columns, strict=True)
    )
    body = "".join(
        "<tr>"
        + "".join(f"<td{kind}>{escape(cell)}</td>" for kind, cell in zip(kinds, row, strict=True))
        + "</tr>"
        for row in rows[:most]
    )
    more = len(rows) - most
    rest = f"<p>{more:,} more in tables/{file}.csv.</p>" if more > 0 else ""
    return (
        f"<div class='table'><h3>{escape(title)}</h3><table><thead><tr>{head}</tr></thead>"
        f"<tbody>{body}</tbody></table>{rest}</div>"
    )


def many(count: int, noun: str) -> str:
    """Return a count with its noun.

    Examples
    --------
    >>> many(1, "house"), many(1200, "house")
    ('1 house', '1,200 houses')
    """
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def power(power_kw: float) -> str:
    """Return a power, to three digits.

    Examples
    --------
    >>> power(57.06), power(12_340.0), power(1_234.0)
    ('57.1 kW', '12.3 MW', '1,234 kW')
    """
    in_mw = abs(power_kw) >= 10_000.0
    return f"{_three(power_kw / 1000.0 if in_mw else power_kw)} {'MW' if in_mw else 'kW'}"


def energy(energy_kwh: float, most_kwh: float | None = None) -> str:
    """Return an amount of energy in the unit that fits the largest beside it.

    Examples
    --------
    >>> energy(1_138_131.0), energy(0.0), energy(55_412.0, 1.1e6)
    ('1,138 MWh', '0 kWh', '55.4 MWh')
    """
    for size, unit in ((1e9, "TWh"), (1e6, "GWh"), (1e3, "MWh")):
        if abs(most_kwh or energy_kwh) >= 10.0 * size:
            return f"{_three(energy_kwh / size)} {unit}"
    return f"{energy_kwh:,.0f} kWh"


def mass(mass_kg: float, currency: str) -> str:
    """Return a mass of CO2 in tonnes, or a small one as people weigh it where they pay in that.

    Examples
    --------
    >>> mass(6_454.0, "USD"), mass(100.0, "USD"), mass(-0.2, "CAD")
    ('6.45 t', '220 lb', '0 kg')
    """
    if abs(mass_kg) >= 2000.0:
        return f"{_three(mass_kg / 1000.0)} t"
    unit = "lb" if currency == "USD" else "kg"
    return f"{round(units.convert(mass_kg, 'kg', unit)):,} {unit}"


def large_money(amount: float, currency: str) -> str:
    """Return an amount to three digits.

    Examples
    --------
    >>> large_money(962_962.5, "USD"), large_money(-10_625.0, "USD"), large_money(1.234e6, "USD")
    ('$963,000', '-$10,600', '$1.23 million')
    """
    show = Display("us", currency)
    for size, word in ((1e9, " billion"), (1e6, " million"), (1.0, "")):
        if abs(amount) >= size:
            step = 10.0 ** (math.floor(math.log10(abs(amount) / size)) - 2)
            return f"{show.money(amount / size, max(step, 0.01 if word else 1.0))}{word}"
    return show.money(amount)


def signed(said: str, value: float) -> str:
    """Return an amount with its sign, as a change; nothing has none.

    Examples
    --------
    >>> signed("$3", 3.0), signed("$0", 0.4)
    ('+$3', '$0')
    """
    is_nothing = not any(digit in said for digit in "123456789")
    return f"+{said}" if value > 0.0 and not is_nothing else said


def one_in(chance: float) -> str:
    """Return a chance as people say it.

    Examples
    --------
    >>> one_in(0.571), one_in(0.26), one_in(0.004), one_in(0.95)
    ('1 in 2', '1 in 4', '1 in 250', 'almost sure')
    """
    if chance > 0.8:
        return "almost sure"
    return f"1 in {1.0 / chance:,.0f}" if chance > 0.0 else "none"


def _three(value: float) -> str:
    """Return a number to three digits, larger ones to the last whole one."""
    if abs(value) >= 100.0 or value == 0.0:
        return f"{value:,.0f}"
    return f"{value:.{max(0, 2 - math.floor(math.log10(abs(value))))}f}"


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
