"""The answer: which heater, what it costs, why, and what must be right first."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.controls import aria, data
from dashboard.parts.assumptions import assumptions
from dashboard.parts.cautions import first_things
from dashboard.parts.kinds import kind_words
from dashboard.parts.offers import offers
from dashboard.parts.what_if import trials
from dashboard.view import View
from heatersel import words
from heatersel.comparison import Comparison, Option

__all__ = ["advice", "answer", "look", "strip", "tried_bar", "trouble", "waiting"]

Parts = list[Any]


def answer(view: View) -> Parts:
    """Return advice, offers, first things and assumptions; or what is still missing."""
    comparison = view.comparison
    if comparison is None:
        return waiting(view)
    return [
        look(view),
        *advice(view),
        first_things(view),
        offers(view, brief=True),
        assumptions(view),
    ]


def look(view: View) -> html.Div:
    """Return how far the answer goes: a first look with its progress, or everything tried."""
    t, comparison = view.t, view.comparison
    if comparison is None:
        return html.Div(className="look")
    if view.is_first_look:
        return html.Div(
            [
                html.P(t("A first look at the likeliest heaters."), className="look-words"),
                html.Progress(max="1", value="0", **aria(label=t("Trying every heater"))),
                html.Button(t("Stop"), type="button", **data(action="stop")),
            ],
            className="look", key=f"first {view.told.revision}",
        )  # fmt: skip
    said = t(
        "{n} heaters tried against {years} simulated years.",
        n=len(comparison.options), years=comparison.provenance["n_years"],
    )  # fmt: skip
    return html.Div(html.P(said), className="look", key="full")


def waiting(view: View) -> Parts:
    """Return what stands there while too little is told, or while the models are prepared."""
    t = view.t
    if view.is_preparing:
        return [_preparing(view)]
    lines = [
        t("Which heater suits this house, and what it costs to put in and to run."),
        t("Three offers to choose from, with their differences."),
        t("What could hurt somebody or must be put right first."),
    ]
    examples = [
        html.Button(label, type="button", className="quiet", **data(example=name))
        for name, label in example_names(view).items()
    ]
    return [
        html.Section(
            [
                html.H2(t("Here the answer will stand")),
                html.P(t("Say where the house is and who lives there. Then this place shows:")),
                html.Ul([html.Li(line) for line in lines]),
                html.P(t("Or look at an invented house first:")),
                html.Div(examples, className="buttons"),
            ],
            className="waiting",
        )
    ]  # fmt: skip


def _preparing(view: View) -> html.Section:
    t = view.t
    return html.Section(
        [
            html.H2(t("Getting ready")),
            html.P(t("The program is loading what it calculates with. The first time after an"
                     " installation that takes half a minute; your answers are kept, and this"
                     " page goes on by itself.")),
            html.Progress(**aria(label=t("Getting ready"))),
        ],
        className="waiting", id="preparing", role="status",
    )  # fmt: skip


def example_names(view: View) -> dict[str, str]:
    """Return the invented houses that can be opened, by file."""
    t = view.t
    return {
        "cold-family": t("Family of five, cold town, gas tank failed"),
        "propane-well": t("Large country house, propane"),
        "town-house-ca": t("Town house in Canada"),
        "warm-bungalow": t("Small house, warm place"),
    }


def advice(view: View) -> Parts:
    """Return the recommendation with its reasons."""
    t, comparison = view.t, view.comparison
    assert comparison is not None
    best = comparison.recommended
    if best is None or best.cost is None:
        return [_nothing_fits(view, comparison)]
    reasons = [*words.reason_sentences(comparison), words.verdict_sentence(best, view.show)]
    return [
        html.Section(
            [
                html.P(t("Our advice for this house"), className="kicker"),
                html.H2(view.name(best.heater), className="advice", **data(option=best.id)),
                html.P(kind_words(view, best.heater), className="kind"),
                _figures(view, best),
                _before(view, best),
                html.Ul([html.Li(_said(view, reason)) for reason in reasons], className="reasons"),
            ],
            className="answer", id="answer",
        )
    ]  # fmt: skip


def _figures(view: View, best: Option) -> html.P:
    t, cost = view.t, best.cost
    assert cost is not None
    band = ""
    if cost.life_cycle_p10 is not None and cost.life_cycle_p90 is not None:
        years = view.comparison.job.preferences.study_years if view.comparison else 0
        band = t(
            "Over {years} years it costs {low} to {high}, all told.", years=years,
            low=view.money(cost.life_cycle_p10, 100), high=view.money(cost.life_cycle_p90, 100),
        )  # fmt: skip
    return html.P(
        [
            html.B(view.money(cost.installed, 50), **data(figure="installed")),
            t(" to put in, about "),
            html.B(view.money(cost.total_per_year / 12), **data(figure="month")),
            t(" a month to run. "),
            band,
        ],
        className="figures",
    )


def _before(view: View, best: Option) -> html.P | None:
    """Return what the answer was without the values that are tried."""
    before = view.before.recommended if view.before is not None else None
    if before is None or before.cost is None or best.cost is None:
        return None
    t = view.t
    words_ = t(
        "Without what you try: {name}, {installed} to put in, {month} a month.",
        name=view.name(before.heater), installed=view.money(before.cost.installed, 50),
        month=view.money(before.cost.total_per_year / 12),
    )  # fmt: skip
    return html.P(words_, className="before")


def _nothing_fits(view: View, comparison: Comparison) -> html.Section:
    t = view.t
    short = [o for o in comparison.excluded if not o.cautions and o.sizing.margin_frac < 0]
    said = t(
        "Every heater of the list is ruled out for this house. The reasons stand below; often one"
        " answer changes it: another fuel, another room, fewer showers at once."
    )
    return html.Section(
        [
            html.P(t("Our advice for this house"), className="kicker"),
            html.H2(t("Nothing in the list fits yet"), className="advice"),
            html.P(said),
            html.P(t("{n} of them are too small.", n=len(short))) if short else None,
            html.P(html.A(t("See each reason"), href="#/choices")),
        ],
        className="answer", id="answer",
    )  # fmt: skip


def strip(view: View) -> Parts:
    """Return the answer in one line, which stays in sight on a phone."""
    t, comparison = view.t, view.comparison
    best = comparison.recommended if comparison else None
    if best is None or best.cost is None:
        line = t("No heater fits yet") if comparison else t("No answer yet: place and people first")
        line = t("Getting ready") if view.is_preparing else line
        return [html.Span(line, className="strip-name")]
    first = sum(caution.severity.value != "note" for caution in best.cautions)
    figures = t("{installed} in, {month} a month", installed=view.money(best.cost.installed, 50),
                month=view.money(best.cost.total_per_year / 12))  # fmt: skip
    parts = [
        html.A(
            [html.Span(view.name(best.heater), className="strip-name"), html.Span(figures)],
            href="#/choices",
        )
    ]
    if first:
        warn = t.plural("{n} thing first", "{n} things first", first)
        parts.append(html.A([html.Span("▲", **aria(hidden="true")), " " + warn],
                            href="#/next", className="strip-first"))  # fmt: skip
    return parts


def tried_bar(view: View) -> Parts:
    """Return the reminder that something is tried, with the ways to end it."""
    if not view.told.tried:
        return []
    t = view.t
    said = "; ".join(trial.words for trial in trials(view) if trial.is_moved)
    return [
        html.Span(t("Trying: {what}", what=said)),
        html.Button(t("Keep it"), type="button", **data(action="keep")),
        html.Button(t("Back to my answers"), type="button", **data(action="leave-off")),
    ]


def trouble(view: View) -> Parts:
    """Return what is wrong, each fault with the way to mend it."""
    if not view.faults:
        return []
    t = view.t
    items = []
    for fault in view.faults[:8]:
        name = fault.name.replace("_", " ").replace(".", ", ")
        given = t("{name} is {value}.", name=name, value=fault.value) if fault.value else f"{name}."
        allowed = t(" Allowed: {allowed}.", allowed=fault.allowed) if fault.allowed else ""
        fix = f" {fault.fix[:1].upper()}{fault.fix[1:]}" if fault.fix else ""
        items.append(html.Li(f"{given}{allowed}{fix}"))
    more = len(view.faults) - len(items)
    if more > 0:
        items.append(html.Li(t.plural("and {n} more", "and {n} more", more)))
    head = t.plural("One answer does not work yet", "{n} answers do not work yet", len(view.faults))
    return [
        html.H2(head),
        html.Ul(items),
        html.P([
            t("What is shown is from before. "),
            html.Button(t("Undo the last change"), type="button", **data(action="undo")),
        ]),
    ]  # fmt: skip


def _said(view: View, reason: str) -> str:
    text = view.t.number(reason)
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")
