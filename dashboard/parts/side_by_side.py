"""Two to four options side by side, row by row, with the reason behind each number."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from dash import html

from dashboard.controls import Field, aria, data
from dashboard.parts.cautions import severity_words
from dashboard.parts.working import why_number
from dashboard.view import View
from heatersel.cautions.caution import Severity
from heatersel.comparison import Option
from heatersel.cost.uncertainty import in_words
from heatersel.sizing.verdict import Verdict

__all__ = ["left_out", "side_by_side"]

_MOST = 4
_LEAST = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One line of the table: what it is, how an option fills it, where it comes from."""

    label: str
    cell: Callable[[Option], Any]
    steps: tuple[str, ...] = ()
    deep: bool = False


def side_by_side(view: View) -> html.Section | None:
    """Return the chosen options side by side, with ways to add and to take away."""
    options, t = view.side_by_side(), view.t
    if not options:
        return None
    head = html.Tr([
        html.Td(html.Span(t("What"), className="unseen")),
        *(html.Th(_heading(view, option, options), scope="col") for option in options),
    ])  # fmt: skip
    body = [
        html.Tr(
            [
                html.Th([row.label, why_number(view, options, row.steps, row.label)], scope="row"),
                *(html.Td(row.cell(option)) for option in options),
            ],
            className="deep" if row.deep else None,
        )
        for row in _rows(view)
    ]
    table = html.Table([html.Caption(t("Side by side"), className="unseen"),
                        html.Thead(head), html.Tbody(body)], className="beside")  # fmt: skip
    held = html.Div(table, className="scrolls", tabIndex="0", role="region",
                    **aria(label=t("Options side by side")))  # fmt: skip
    return html.Section([html.H2(t("Side by side")), held, _adding(view, options)])


def _heading(view: View, option: Option, options: Sequence[Option]) -> list[Any]:
    t, letter = view.t, view.letter(option.id)
    parts: list[Any] = [html.Span(letter, className="letter")] if letter else []
    parts.append(html.Span(view.name(option.heater)))
    if len(options) > _LEAST:
        rest = [other.id for other in options if other.id != option.id]
        words = t("Take away: {name}", name=view.name(option.heater))
        parts.append(html.Button("×", type="button", className="take-away",
                                 **data(choose=json.dumps(rest)), **aria(label=words)))  # fmt: skip
    return parts


def _adding(view: View, options: Sequence[Option]) -> html.Div:
    t = view.t
    shown = {option.id for option in options}
    comparison = view.comparison
    others = [o for o in comparison.ranked if o.id not in shown] if comparison else []
    parts: list[Any] = []
    if len(options) < _MOST and others:
        groups: dict[str, list[dict[str, Any]]] = {}
        for option in others:
            label = option.heater.heater_class.value.replace("_", " ")
            groups.setdefault(label[:1].upper() + label[1:], []).append(
                {"value": option.id, "label": view.name(option.heater),
                 "chosen": [*(o.id for o in options), option.id]}
            )  # fmt: skip
        parts.append(Field(
            id="add-option", kind="pick", label=t("Lay another one beside them"), value="",
            empty=t("Choose a heater"), revision=view.told.revision,
            groups=[{"label": label, "options": held} for label, held in groups.items()],
        ))  # fmt: skip
    if view.told.chosen:
        parts.append(html.Button(t("Back to the offers"), type="button",
                                 **data(choose="[]")))  # fmt: skip
    return html.Div(parts, className="adding")


def _rows(view: View) -> tuple[_Row, ...]:
    t, show, comparison = view.t, view.show, view.comparison
    years = comparison.job.preferences.study_years if comparison else 0
    number = t.number

    def money(pick: Callable[[Any], float], step: float = 1.0) -> Callable[[Option], str]:
        return lambda o: t("no price known") if o.cost is None else view.money(pick(o.cost), step)

    def working(pick: Callable[[Option], str]) -> Callable[[Option], str]:
        return lambda option: number(pick(option))

    rows = [
        _Row(label=t("Fits"), cell=lambda o: _fits(view, o), steps=("margin", "first-hour")),
        _Row(label=t("To put in"), cell=money(lambda c: c.installed, 50)),
        _Row(label=t("To run, a month"), cell=money(lambda c: c.total_per_year / 12),
             steps=("cost of a year",)),
        *_saving_row(view),
        _Row(label=t("Over {years} years, all told", years=years), cell=lambda o: _over(view, o),
             steps=("life-cycle cost",)),
        _Row(label=t("Chance to be the cheapest"), cell=lambda o: _chance(view, o)),
        _Row(label=t("CO2 a year"), cell=working(lambda o: show.weight(o.co2_kg_per_year))),
        _Row(label=t("Lasts about"),
             cell=lambda o: "" if o.cost is None else t("{n} years", n=f"{o.cost.life_years:.0f}")),
        *_short_days_row(view),
        _Row(label=t("Before it goes in"), cell=lambda o: _cautions(view, o)),
        _Row(label=t("Needs, gives"), deep=True, cell=working(
            lambda o: f"{show.measure(o.sizing.required, o.sizing.unit)},"
                      f" {show.measure(o.sizing.available, o.sizing.unit)}")),
        _Row(label=t("Uniform energy factor"), deep=True, cell=working(
            lambda o: f"{o.heater.uef:.2f}"), steps=("standby loss",)),
        _Row(label=t("Energy a year"), deep=True, cell=working(lambda o: ", ".join(
            f"{show.energy(kwh, source)} {source.value.replace('_', ' ')}"
            for source, kwh in o.annual.energy_kwh.items())), steps=tuple(
                f"{name} of a year" for name in ("natural gas", "electricity", "propane",
                                                  "fuel oil"))),
        _Row(label=t("Lost from the tank"), deep=True,
             cell=working(lambda o: f"{o.annual.standby_loss_kwh:,.0f} kWh"),
             steps=("standby loss",)),
        _Row(label=t("Input"), deep=True,
             cell=working(lambda o: show.heat_rate(o.heater.input_kw))),
        _Row(label=t("Id"), deep=True, cell=lambda o: o.id),
    ]  # fmt: skip
    return tuple(rows)


def _saving_row(view: View) -> list[_Row]:
    existing = view.comparison.existing if view.comparison else None
    if existing is None or existing.cost is None:
        return []
    today, t = existing.cost.total_per_year, view.t

    def cell(option: Option) -> str:
        if option.cost is None:
            return ""
        saved = today - option.cost.total_per_year
        amount = view.money(abs(saved))
        return (
            t("{amount} less", amount=amount) if saved >= 0 else t("{amount} more", amount=amount)
        )

    return [_Row(label=t("A year, against today's heater"), cell=cell)]


def _short_days_row(view: View) -> list[_Row]:
    if not any(option.annual.delivery for option in view.side_by_side()):
        return []
    t = view.t

    def cell(option: Option) -> str:
        delivery = option.annual.delivery
        if delivery is None:
            return t("not simulated")
        days = delivery.short_days_per_year
        return t("none") if days < 0.5 else t.plural("{n} day", "{n} days", round(days))

    return [_Row(label=t("Days a year with a lukewarm shower"), cell=cell)]


def _fits(view: View, option: Option) -> list[Any]:
    t, spare = view.t, f"{abs(option.sizing.margin_frac):.0%}"
    said = {
        Verdict.ADEQUATE: (t("Enough"), t("{spare} to spare", spare=spare)),
        Verdict.TIGHT: (t("Just enough"), t("{spare} to spare", spare=spare)),
        Verdict.SHORT: (t("Too small"), t("by {spare}", spare=spare)),
    }[option.sizing.verdict]
    return [html.B(said[0]), ", ", said[1]]


def _over(view: View, option: Option) -> list[Any]:
    cost = option.cost
    if cost is None:
        return []
    parts: list[Any] = [html.B(view.money(cost.life_cycle, 100))]
    if cost.life_cycle_p10 is not None and cost.life_cycle_p90 is not None:
        low, high = (view.money(x, 100) for x in (cost.life_cycle_p10, cost.life_cycle_p90))
        parts.append(html.Span(view.t("{low} to {high} in 8 of 10 futures", low=low, high=high),
                               className="span"))  # fmt: skip
    return parts


def _chance(view: View, option: Option) -> str:
    chance = option.cost.cheapest_probability if option.cost else None
    return view.t("not drawn") if chance is None else view.t(in_words(chance))


def _cautions(view: View, option: Option) -> list[Any]:
    t, parts = view.t, []
    for severity in (Severity.STOP, Severity.MUST, Severity.NOTE):
        n = sum(caution.severity is severity for caution in option.cautions)
        if n:
            parts.append(html.Span(f"{n} × {severity_words(severity, t)}",
                                   className=f"tally {severity.value}"))  # fmt: skip
    return parts or [t("nothing found")]


def left_out(view: View) -> html.Details | None:
    """Return the options that do not take part, each with every reason."""
    comparison, t = view.comparison, view.t
    if comparison is None or not comparison.excluded:
        return None
    items = [
        html.Li([html.B(view.name(option.heater)), ": ",
                 t.number("; ".join(option.excluded_because))])
        for option in comparison.excluded
    ]  # fmt: skip
    n = len(items)
    head = t.plural("{n} heater is left out: which and why",
                    "{n} heaters are left out: which and why", n)  # fmt: skip
    return html.Details([html.Summary(head), html.Ul(items, className="left-out")], id="left-out")
