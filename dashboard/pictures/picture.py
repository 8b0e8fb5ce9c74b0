"""What all pictures share: the frame with sentence and table, the look of the axes, the marks.

Figures are plain dictionaries, so that no page waits for a charting library on the server.
Colours are names that the browser replaces by those of the page it shows, light or dark. Options
differ by colour, by letter, and by line style or pattern.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.controls import Picture, aria
from dashboard.view import View
from heatersel.comparison import Option

__all__ = [
    "Mark",
    "axis",
    "chart",
    "figure",
    "frame",
    "framed",
    "key_of",
    "label_at",
    "marks",
    "month_names",
    "pattern_of",
]

Figure = dict[str, Any]

BUNDLE = "assets/plotly-basic.min.js"

_INKS = ("copper", "cold", "fine", "warm")
_DASHES = ("solid", "dash", "dot", "dashdot")
_PATTERNS = ("", "/", ".", "x")
_SYMBOLS = ("circle", "square", "diamond", "triangle-up")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """How an option is told from the others: three signs that agree.

    Parameters
    ----------
    label : str
        Letter of the offer, or a number.
    ink, soft : str
        Colour of lines, and of areas.
    dash, pattern, symbol : str
        Line style, fill pattern, shape of points.
    """

    label: str
    ink: str
    soft: str
    dash: str
    pattern: str
    symbol: str


def marks(view: View, options: Sequence[Option]) -> tuple[Mark, ...]:
    """Return the marks of options laid side by side."""
    return tuple(
        Mark(
            label=view.letter(option.id) or str(place + 1),
            ink=f"var(--{_INKS[place % 4]})",
            soft=f"var(--{_INKS[place % 4]}-area)",
            dash=_DASHES[place % 4],
            pattern=_PATTERNS[place % 4],
            symbol=_SYMBOLS[place % 4],
        )
        for place, option in enumerate(options)
    )


def axis(title: str = "", **more: Any) -> dict[str, Any]:
    """Return an axis in the look of the pages."""
    return {
        "title": {"text": title, "standoff": 8, "font": {"size": 13}},
        "showgrid": False, "zeroline": False, "showline": True, "linecolor": "var(--edge)",
        "ticks": "outside", "ticklen": 4, "tickcolor": "var(--edge)", "fixedrange": True,
        "automargin": True, **more,
    }  # fmt: skip


def figure(data: list[dict[str, Any]], **layout: Any) -> Figure:
    """Return a figure in the look of the pages."""
    for trace in data:
        trace.setdefault("hoverinfo", "skip")
    return {
        "data": data,
        "layout": {
            "paper_bgcolor": "rgba(0,0,0,0)", "plot_bgcolor": "rgba(0,0,0,0)",
            "font": {"family": "Letters, sans-serif", "size": 14, "color": "var(--ink)"},
            "margin": {"l": 8, "r": 12, "t": 12, "b": 8}, "showlegend": False, "dragmode": False,
            "hovermode": False, "bargap": 0.18, **layout,
        },
    }  # fmt: skip


def label_at(x: Any, y: Any, text: str, ink: str = "var(--ink)", **more: Any) -> dict[str, Any]:
    """Return words at a place of the picture."""
    return {"x": x, "y": y, "text": text, "showarrow": False, "font": {"color": ink, "size": 13},
            "align": "left", **more}  # fmt: skip


def pattern_of(shape: str, ink: str = "var(--ground)") -> dict[str, Any]:
    """Return a pattern that lies over a colour."""
    return {"shape": shape, "size": 7, "solidity": 0.22, "fillmode": "overlay", "fgcolor": ink}


def key_of(view: View, options: Sequence[Option], signs: Sequence[Mark]) -> html.P:
    """Return which letter stands for which option."""
    return html.P(
        [
            html.Span([html.Span(mark.label, className="letter"), view.name(option.heater)])
            for option, mark in zip(options, signs, strict=True)
        ],
        className="key",
    )


def month_names(view: View) -> tuple[str, ...]:
    """Return the names of the months."""
    t = view.t
    return (t("January"), t("February"), t("March"), t("April"), t("May"), t("June"), t("July"),
            t("August"), t("September"), t("October"), t("November"), t("December"))  # fmt: skip


def frame(
    view: View,
    name: str,
    heading: str,
    sentence: str,
    drawn: Figure,
    height: int,
    table: tuple[Sequence[str], Sequence[Sequence[str]]],
    more: Sequence[Any] = (),
) -> html.Figure:
    """Return a picture with its sentence and its table.

    Parameters
    ----------
    view : View
        The page.
    name : str
        Short name, for its id.
    heading, sentence : str
        What it is about, and how it reads.
    drawn : dict
        The figure.
    height : int
        Height in pixels, fixed so that nothing jumps.
    table : (sequence of str, sequence of rows)
        Headings and rows; the first column names the row.
    more : sequence
        Further parts between picture and table.
    """
    drawing = chart(name, drawn, height, f"{heading}. {sentence}")
    return framed(view, heading, sentence, drawing, table, more)


def chart(name: str, drawn: Figure, height: int, label: str) -> Picture:
    """Return a figure as the page draws it, with the words that are read aloud for it."""
    return Picture(id=f"picture-{name}", figure=drawn, height=height, bundle=BUNDLE, label=label)


def framed(
    view: View,
    heading: str,
    sentence: str,
    drawing: Component,
    table: tuple[Sequence[str], Sequence[Sequence[str]]],
    more: Sequence[Any] = (),
    kind: str = "picture",
) -> html.Figure:
    """Return a drawing with its sentence and its table, as :func:`frame` does."""
    t = view.t
    head, rows = table
    body = [
        html.Tr([html.Th(row[0], scope="row"), *(html.Td(cell, className="n") for cell in row[1:])])
        for row in rows
    ]
    top = html.Tr([html.Th(label, scope="col", className="n" if k else None)
                   for k, label in enumerate(head)])  # fmt: skip
    held = html.Details([
        html.Summary(t("The figures behind it")),
        html.Div(html.Table([html.Caption(heading, className="unseen"), html.Thead(top),
                             html.Tbody(body)], className="data"),
                 className="scrolls", tabIndex="0", role="region", **aria(label=heading)),
    ])  # fmt: skip
    return html.Figure(
        [html.Figcaption([html.H2(heading), html.P(sentence)]), drawing, *more, held],
        className=kind,
    )
