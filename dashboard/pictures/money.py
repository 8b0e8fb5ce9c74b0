"""Pictures of money: month by month, year by year, who is cheapest, which prices turn it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

import numpy as np
from dash import html

from dashboard.controls import aria
from dashboard.pictures.picture import (
    Mark,
    axis,
    figure,
    frame,
    key_of,
    label_at,
    marks,
    month_names,
    pattern_of,
)
from dashboard.view import View
from heatersel import units
from heatersel.comparison import Option
from heatersel.cost.break_even import PriceMap
from heatersel.cost.uncertainty import in_words
from heatersel.heaters.heater import EnergySource
from heatersel.pictures import CostYears, best_of_each_kind, cost_over_years, prices_that_turn_it

__all__ = ["chance", "months", "price_map", "years"]

_SOURCES = {
    EnergySource.NATURAL_GAS: ("hot", ""), EnergySource.PROPANE: ("hot", ""),
    EnergySource.FUEL_OIL: ("hot", ""), EnergySource.ELECTRICITY: ("cold", "/"),
}  # fmt: skip


_ROOM_FOR_NAME = 0.4  # of the width of the map


def _source_words(view: View, source: EnergySource) -> str:
    t = view.t
    return {
        EnergySource.NATURAL_GAS: t("gas"), EnergySource.PROPANE: t("propane"),
        EnergySource.FUEL_OIL: t("oil"), EnergySource.ELECTRICITY: t("electricity"),
    }[source]  # fmt: skip


def months(view: View) -> html.Figure | None:
    """Return energy and cost by month, stacked by source, one row for each option."""
    t = view.t
    options = [option for option in view.side_by_side() if option.cost is not None]
    if not options:
        return None
    signs, data, notes = marks(view, options), [], []
    n = len(options)
    totals = [np.sum([*option.annual.monthly_kwh.values()], axis=0) for option in options]
    most_kwh = max(float(total.max()) for total in totals)
    bills = [_bills(option) for option in options]
    most_cost = max(float(sum(bill.values()).max()) for bill in bills)
    layout: dict[str, Any] = {}
    for row, (option, bill) in enumerate(zip(options, bills, strict=True)):
        top, bottom = 1.0 - row / n - 0.09 / n * n / 2, 1.0 - (row + 1) / n + 0.06
        for side, (series, most) in enumerate(((option.annual.monthly_kwh, most_kwh),
                                               (bill, most_cost))):  # fmt: skip
            number = 2 * row + side + 1
            suffix = "" if number == 1 else str(number)
            for source, values in series.items():
                ink, pattern = _SOURCES[source]
                data.append({
                    "type": "bar", "x": list(range(12)), "y": [float(v) for v in values],
                    "xaxis": f"x{suffix}", "yaxis": f"y{suffix}",
                    "marker": {"color": f"var(--{ink})",
                               "pattern": pattern_of(pattern)},
                })  # fmt: skip
            layout[f"xaxis{suffix}"] = axis(
                anchor=f"y{suffix}", domain=[0.0, 0.46] if side == 0 else [0.6, 1.0],
                tickvals=list(range(12)), ticktext=[name[0] for name in month_names(view)],
                ticks="", tickangle=0, tickfont={"size": 11},
            )  # fmt: skip
            layout[f"yaxis{suffix}"] = axis(
                anchor=f"x{suffix}", domain=[bottom, top], range=[0.0, 1.08 * most], nticks=3,
                tickprefix=view.show.money(0)[:-1] if side else "", tickfont={"size": 11},
            )  # fmt: skip
        name = f"<b>{signs[row].label}</b>  {view.name(option.heater)}"
        notes.append(label_at(0, top, name, xref="paper", yref="paper", xanchor="left",
                              yanchor="bottom", yshift=4))  # fmt: skip
    notes += [
        label_at(x, 1.0, words, "var(--quiet)", xref="paper", yref="paper", xanchor="left",
                 yanchor="bottom", yshift=14)
        for x, words in ((0.0, t("Energy, kWh a month")), (0.6, t("Added to the bill")))
    ]  # fmt: skip
    drawn = figure(data, barmode="stack", annotations=notes, **layout)
    drawn["layout"]["margin"] = {"l": 8, "r": 12, "t": 40, "b": 8}
    best = options[0]
    per_month = sum(bills[0].values())
    dear, cheap = int(per_month.argmax()), int(per_month.argmin())
    names = month_names(view)
    said = t(
        "The {name} adds {high} to the bill in {dear} and {low} in {cheap}.",
        name=view.name(best.heater), high=view.money(float(per_month[dear])),
        low=view.money(float(per_month[cheap])), dear=names[dear],
        cheap=names[cheap],
    )  # fmt: skip
    sources = sorted({s for o in options for s in o.annual.monthly_kwh})
    key = html.P(
        [part for source in sources for part in (
            html.Span(className=f"swatch {_SOURCES[source][0]}", **aria(hidden="true")),
            _source_words(view, source) + "  ")],
        className="key",
    )  # fmt: skip
    head = [
        t("Month"),
        *(f"{mark.label}, {what}" for mark in signs for what in (t("kWh"), t("cost"))),
    ]
    rows = [
        [names[k], *(
            text for total, bill in zip(totals, bills, strict=True)
            for text in (f"{total[k]:,.0f}",
                         view.money(float(sum(bill.values())[k]))))]
        for k in range(12)
    ]  # fmt: skip
    return frame(view, "months", t("Energy and cost by month"), said, drawn, 70 + 190 * n,
                 (head, rows), [key])  # fmt: skip


def _bills(option: Option) -> dict[EnergySource, Any]:
    assert option.cost is not None
    return {source: np.asarray(bill.monthly) for source, bill in option.cost.bills.items()}


def years(view: View) -> html.Figure | None:
    """Return the money spent year by year with bands and crossing points."""
    t, comparison = view.t, view.comparison
    options = [option for option in view.side_by_side() if option.cost is not None]
    if comparison is None or not options:
        return None
    found = cost_over_years(comparison, options)
    signs = marks(view, options)
    span = list(range(len(found[0].p50)))
    data: list[dict[str, Any]] = []
    for one, mark in zip(found, signs, strict=True):
        data.append({"type": "scatter", "mode": "lines", "x": [*span, *reversed(span)],
                     "y": [*one.p90, *reversed(one.p10)], "fill": "toself",
                     "fillcolor": mark.soft, "line": {"width": 0}})  # fmt: skip
    for one, mark in zip(found, signs, strict=True):
        data.append({"type": "scatter", "mode": "lines", "x": span, "y": list(one.p50),
                     "line": {"color": mark.ink, "width": 3, "dash": mark.dash}})  # fmt: skip
    crossings = _crossings(found)
    data.append({
        "type": "scatter", "mode": "markers", "x": [x for _, _, x, _ in crossings],
        "y": [y for _, _, _, y in crossings],
        "marker": {"size": 13, "color": "var(--ground)", "symbol": "circle",
                   "line": {"color": "var(--ink)", "width": 2.5}},
    })  # fmt: skip
    notes = _end_labels(found, signs)
    most = max(max(one.p90) for one in found)
    drawn = figure(
        data, annotations=notes,
        xaxis=axis(t("Years from now"), range=[0, span[-1] * 1.1], dtick=5 if span[-1] > 8 else 1),
        yaxis=axis("", range=[0, most * 1.04], nticks=6, tickprefix=view.show.money(0)[:-1],
                   tickformat=",.0f"),
    )  # fmt: skip
    said = _years_in_words(view, found, crossings, {o.id: view.name(o.heater) for o in options})
    said += " " + t("The shaded bands hold 8 of 10 futures.")
    head = [t("Year"), *(f"{mark.label}, {view.name(o.heater)}"
                         for mark, o in zip(signs, options, strict=True))]  # fmt: skip
    rows = [
        [str(year), *(
            t("{middle} ({low} to {high})", middle=view.money(one.p50[year], 10),
              low=view.money(one.p10[year], 10), high=view.money(one.p90[year], 10))
            for one in found)]
        for year in span
    ]  # fmt: skip
    return frame(view, "years", t("What each has cost, year after year"), said, drawn, 380,
                 (head, rows), [key_of(view, options, signs)])  # fmt: skip


def _years_in_words(
    view: View,
    found: Sequence[CostYears],
    crossings: Sequence[tuple[str, str, float, float]],
    names: dict[str, str],
) -> str:
    """Return how the picture reads: who ends cheapest, and from when on."""
    t = view.t
    best = min(found, key=lambda one: one.p50[-1])
    n = len(best.p50) - 1
    passed = [(year, dearer) for dearer, cheaper, year, _ in crossings if cheaper == best.option_id]
    if not passed:
        return t("The {name} costs least from the first day to year {n}.",
                 name=names[best.option_id], n=n)  # fmt: skip
    year, dearer = max(passed)
    return t("The {name} costs more at first, passes the {other} after about {year} years and has"
             " cost least by year {n}.", name=names[best.option_id], other=names[dearer],
             year=f"{year:.0f}", n=n)  # fmt: skip


def _crossings(found: Sequence[CostYears]) -> list[tuple[str, str, float, float]]:
    """Return where median lines cross: the one overtaken, the one that overtakes, year, cost."""
    crossings = []
    for i, one in enumerate(found):
        for other in found[i + 1 :]:
            gap = np.subtract(one.p50, other.p50)
            for k in np.flatnonzero(np.sign(gap[:-1]) * np.sign(gap[1:]) < 0):
                share = gap[k] / (gap[k] - gap[k + 1])
                cost = one.p50[k] + share * (one.p50[k + 1] - one.p50[k])
                dearer, cheaper = (other, one) if gap[k] > 0 else (one, other)
                crossings.append(
                    (dearer.option_id, cheaper.option_id, float(k + share), float(cost))
                )
    return sorted(crossings, key=lambda crossing: crossing[2])


def _end_labels(found: Sequence[CostYears], signs: Sequence[Mark]) -> list[dict[str, Any]]:
    """Return the letters at the ends of the lines, kept apart."""
    gap = 0.06 * max(max(one.p90) for one in found)
    placed: list[float] = []
    notes = []
    for one, mark in sorted(zip(found, signs, strict=True), key=lambda pair: pair[0].p50[-1]):
        y = one.p50[-1]
        if placed and y - placed[-1] < gap:
            y = placed[-1] + gap
        placed.append(y)
        notes.append(label_at(len(one.p50) - 1, y, f"<b>{mark.label}</b>", mark.ink, xanchor="left",
                              xshift=8))  # fmt: skip
    return notes


def chance(view: View) -> html.Figure | None:
    """Return the chance of each option to be the cheapest of all."""
    t, comparison = view.t, view.comparison
    if comparison is None:
        return None
    drawn_options = [o for o in comparison.ranked
                     if o.cost is not None and o.cost.cheapest_probability is not None]  # fmt: skip
    shown = [o for o in view.side_by_side() if o in drawn_options]
    if not shown:
        return None
    shares = [float(o.cost.cheapest_probability or 0.0) for o in shown if o.cost is not None]
    others = max(0.0, 1.0 - sum(shares))
    names = [view.name(o.heater) for o in shown]
    signs = marks(view, shown)
    labels = [f"<b>{mark.label}</b>" for mark in signs]
    inks, patterns = [mark.ink for mark in signs], [mark.pattern for mark in signs]
    if others > 0.005:
        shares.append(others)
        names.append(t("all others of the list together"))
        labels.append(t("rest"))
        inks.append("var(--edge)")
        patterns.append("\\")
    data = [
        {"type": "bar", "orientation": "h", "y": [place], "x": [share],
         "marker": {"color": ink, "pattern": pattern_of(pattern)}, "text": [f"{share:.0%}"],
         "textposition": "outside", "cliponaxis": False,
         "textfont": {"color": "var(--ink)", "size": 14}}
        for place, (share, ink, pattern) in enumerate(zip(shares, inks, patterns, strict=True))
    ]  # fmt: skip
    picture = figure(
        data, barmode="stack",
        xaxis=axis(t("Share of 2,000 drawn futures"), range=[0, 1.12], tickformat=".0%",
                   tickvals=[0, 0.5, 1]),
        yaxis=axis("", tickvals=list(range(len(labels))), ticktext=labels, autorange="reversed",
                   ticks="", showline=False),
    )  # fmt: skip
    best = max(range(len(shown)), key=lambda k: shares[k])
    said = t(
        "The {name} is {chance}. A future draws prices, lives of heaters, use of water and what"
        " installers charge.", name=names[best], chance=t(in_words(shares[best])),
    )  # fmt: skip
    rows = [[name, f"{share:.1%}"] for name, share in zip(names, shares, strict=True)]
    return frame(view, "chance", t("How sure is it?"), said, picture, 90 + 46 * len(shares),
                 ((t("Heater"), t("Chance to be the cheapest")), rows),
                 [key_of(view, shown, signs)])  # fmt: skip


def price_map(view: View) -> html.Figure | None:
    """Return which kind costs least to own at each pair of energy prices."""
    t, comparison = view.t, view.comparison
    found = prices_that_turn_it(comparison) if comparison is not None else None
    if comparison is None or found is None:
        return None
    kinds = {option.id: option for option in best_of_each_kind(comparison)}
    ids = [id_ for id_ in kinds if any(id_ in row for row in found.cheapest)]
    unit, scale = _price_unit(view, found.up)
    across = [100.0 * x for x in found.across_per_kwh]
    up = [scale * y for y in found.up_per_kwh]
    options = [kinds[id_] for id_ in ids]
    data, notes, narrow = [], [], []
    for place, (id_, option) in enumerate(zip(ids, options, strict=True)):
        bars, centre = _cells(found, id_, across, up)
        mark = marks(view, options)[place]
        data.append({
            "type": "bar", "orientation": "h", **bars,
            "marker": {"color": mark.soft, "line": {"width": 0},
                       "pattern": pattern_of(mark.pattern, mark.ink)},
        })  # fmt: skip
        wide = max(bars["x"]) > _ROOM_FOR_NAME * across[-1]
        notes.append(label_at(*centre, _short_name(view, option) if wide else f"<b>{place + 1}</b>",
                              align="center", bgcolor="var(--ground)", borderpad=3))  # fmt: skip
        if not wide:
            narrow.append((str(place + 1), option))
    today = _today(found)
    data.append({"type": "scatter", "mode": "markers", "x": [across[today[0]]], "y": [up[today[1]]],
                 "marker": {"symbol": "diamond", "size": 15, "color": "var(--ink)",
                            "line": {"color": "var(--ground)", "width": 2}}})  # fmt: skip
    words = t("today")
    notes.append(label_at(across[today[0]], up[today[1]], f"<b>{words}</b>", yshift=-18,
                          bgcolor="var(--ground)"))  # fmt: skip
    cents = t("Electricity, cents a kWh")
    drawn = figure(
        data, barmode="overlay", bargap=0, annotations=notes,
        xaxis=axis(cents, range=[0, across[-1]], nticks=6),
        yaxis=axis(t("{fuel}, {unit}", fuel=_source_words(view, found.up).capitalize(), unit=unit),
                   range=[0, up[-1]], nticks=6),
    )  # fmt: skip
    now = found.cheapest[today[1]][today[0]]
    said = t(
        "At today's prices the {name} costs least to own. Follow a price sideways or upwards to see"
        " where another kind takes over.", name=view.name(kinds[now].heater),
    )  # fmt: skip
    every = max(1, (len(across) - 1) // 5)
    columns = list(range(0, len(across), every))
    head = [t("{fuel} \\ electricity", fuel=_source_words(view, found.up)),
            *(t("{n} cents", n=f"{across[k]:.0f}") for k in columns)]  # fmt: skip
    rows = [
        [f"{up[j]:.2f}", *(_short_name(view, kinds[found.cheapest[j][k]]) for k in columns)]
        for j in range(0, len(up), every)
    ]
    key = html.P(
        [part for number, option in narrow
         for part in (html.Span(number, className="letter"), _short_name(view, option))],
        className="key",
    )  # fmt: skip
    return frame(view, "prices", t("Which prices turn the choice?"), said, drawn, 420,
                 (head, rows), [key] if narrow else [])  # fmt: skip


def _price_unit(view: View, fuel: EnergySource) -> tuple[str, float]:
    """Return the unit of the fuel's price and what a price per kWh is in it."""
    t, currency = view.t, view.show.currency
    if fuel is EnergySource.NATURAL_GAS and view.show.system == "us":
        return t("{currency} a therm", currency=currency), units.convert(1.0, "therm", "kWh")
    return t("cents a kWh"), 100.0


def _cells(
    found: PriceMap, id_: str, across: Sequence[float], up: Sequence[float]
) -> tuple[dict[str, Any], tuple[float, float]]:
    """Return the region of an option as bars, one for each run of equal cells, and its middle."""
    half = (across[1] - across[0]) / 2
    y, base, width = [], [], []
    for row, ids in enumerate(found.cheapest):
        for same, run in groupby(enumerate(ids), key=lambda cell: cell[1]):
            cells = list(run)
            if same == id_:
                y.append(up[row])
                base.append(max(0.0, across[cells[0][0]] - half))
                width.append(min(across[cells[-1][0]] + half, across[-1]) - base[-1])
    centre = sum(a * b for a, b in zip(y, width, strict=True)) / sum(width)
    middle = min(range(len(y)), key=lambda k: abs(y[k] - centre))
    bars = {"y": y, "base": base, "x": width, "width": up[1] - up[0]}
    return bars, (base[middle] + width[middle] / 2, y[middle])


def _today(found: PriceMap) -> tuple[int, int]:
    """Return the cell of today's prices: the map reaches two and a half times as far."""
    k = round((len(found.across_per_kwh) - 1) / 2.5)
    return k, k


def _short_name(view: View, option: Option) -> str:
    return view.name(option.heater).split(",")[0]
