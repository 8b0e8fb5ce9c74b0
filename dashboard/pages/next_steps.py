"""Step five: what happens next, who does it, and what to take along."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.controls import data
from dashboard.parts.answer import look, waiting
from dashboard.parts.cautions import caution_list
from dashboard.parts.kinds import kind_words
from dashboard.parts.working import working
from dashboard.view import View
from heatersel.cautions.walk import question
from heatersel.comparison import Option

__all__ = ["ask", "tell"]

Parts = list[Any]
_MOST_ASKED = 8


def ask(view: View) -> Parts:
    """Return the heading; this step asks nothing."""
    t = view.t
    return [
        html.H1(t("What happens next"), tabIndex="-1"),
        html.P(t("Take this page along: print it, save it, or send yourself the link."),
               className="lead"),
        html.Div([
            html.Button(t("Print"), type="button", **data(action="print")),
            html.Button(t("Save to a file"), type="button", **data(action="save")),
            html.Button(t("Quote as a PDF"), type="button", **data(action="quote")),
            html.A(t("Change an answer"), href="#/people", className="plain-link"),
        ], className="buttons no-print"),
    ]  # fmt: skip


def tell(view: View) -> Parts:
    """Return the steps to the new heater."""
    comparison = view.comparison
    if comparison is None:
        return waiting(view)
    best = comparison.recommended
    if best is None or best.cost is None:
        from dashboard.parts.answer import advice

        return advice(view)
    parts = (
        look(view), _choice(view, best), _first(view, best), _open(view, best),
        _questions(view, best), _after(view), _deep(view),
    )  # fmt: skip
    return [part for part in parts if part is not None]


def _choice(view: View, best: Option) -> html.Section:
    t, cost = view.t, best.cost
    assert cost is not None
    others = [o for o in view.side_by_side() if o.id != best.id and o.cost is not None]
    lines = [
        t("{name}: {installed} to put in, {month} a month.", name=view.name(o.heater),
          installed=view.money(o.cost.installed, 50) if o.cost else "",
          month=view.money(o.cost.total_per_year / 12) if o.cost else "")
        for o in others
    ]  # fmt: skip
    price = [
        html.Tr([html.Td(line.text), html.Td(view.money(line.amount))])
        for line in cost.installed_lines
    ]
    table = html.Table([
        html.Caption(t("What {total} to put in is made of", total=view.money(cost.installed, 50))),
        html.Tbody(price),
    ], className="lines")  # fmt: skip
    return html.Section([
        html.P(t("1. Choose"), className="kicker"),
        html.H2(view.name(best.heater)),
        html.P(kind_words(view, best.heater), className="kind"),
        html.P([html.B(t("To tell others: ")), _in_one_breath(view, best)]),
        table,
        html.P(t("Prices are of an invented table until your installer's own are put in."),
               className="source"),
        html.P([html.B(t("The other offers. ")), " ".join(lines)]) if lines else None,
    ], className="step")  # fmt: skip


def _in_one_breath(view: View, best: Option) -> str:
    """Return the choice as its owner would explain it."""
    t, comparison, cost = view.t, view.comparison, best.cost
    assert comparison is not None
    assert cost is not None
    said = t("“It costs {installed} to put in and about {month} a month.",
             installed=view.money(cost.installed, 50),
             month=view.money(cost.total_per_year / 12))  # fmt: skip
    if best.sizing.margin_frac > 0.0:
        said += " " + t("At our busiest time it can give {spare} more hot water than we need.",
                        spare=f"{best.sizing.margin_frac:.0%}")  # fmt: skip
    others = [o.cost.life_cycle - cost.life_cycle for o in view.side_by_side()
              if o.id != best.id and o.cost is not None]  # fmt: skip
    if others and min(others) > 0.0:
        said += " " + t(
            "Over {years} years it saves {amount} or more against the other offers.",
            years=comparison.job.preferences.study_years,
            amount=view.money(min(others), 100),
        )  # fmt: skip
    return said + t("”")


def _first(view: View, best: Option) -> html.Section | None:
    t = view.t
    if not best.cautions:
        return None
    return html.Section([
        html.P(t("2. Put right first"), className="kicker"),
        html.H2(t("What your installer must see to")),
        *caution_list(view, best),
    ], className="step")  # fmt: skip


def _open(view: View, best: Option) -> html.Section | None:
    t = view.t
    if not best.to_measure:
        return None
    asked = sorted(best.to_measure, key=lambda measure: measure.order)
    items = [html.Li([html.B(_question(view, m.field)), " ", html.Span(m.why, className="hint")])
             for m in asked]  # fmt: skip
    rest = items[_MOST_ASKED:]
    more = html.Details([html.Summary(t("{n} more", n=len(rest))), html.Ul(rest, className="open")])
    return html.Section([
        html.P(t("3. Look and measure"), className="kicker"),
        html.H2(t("{n} things nobody has looked at yet", n=len(items))),
        html.P([t("Tell what you know under "), html.A(t("the house"), href="#/house"),
                t("; the rest is for the visit. Open nothing on the electrical panel, the gas line "
                  "or the vent yourself, and do not touch old pipe lagging.")]),
        html.Ul(items[:_MOST_ASKED], className="open"),
        more if rest else None,
    ], className="step")  # fmt: skip


def _questions(view: View, best: Option) -> html.Section:
    t = view.t
    asked = [
        t("Will you take out the permit, and who inspects?"),
        t("Is the price for everything on this page, in writing?"),
        t("What will the setting be, and which valve keeps showers from scalding?"),
        t("How long are tank, parts and work guaranteed?"),
    ]
    if best.heater.burns_fuel:
        asked.insert(2, t("Will you test the draft and the carbon monoxide alarms before leaving?"))
    return html.Section([
        html.P(t("4. Ask before you sign"), className="kicker"),
        html.H2(t("Questions for the installer")),
        html.Ul([html.Li(line) for line in asked], className="open"),
    ], className="step")  # fmt: skip


def _after(view: View) -> html.Section:
    t = view.t
    return html.Section([
        html.P(t("5. Once it runs"), className="kicker"),
        html.H2(t("In the first week")),
        html.Ul([
            html.Li(t("Measure the hottest tap with a thermometer, not with your hand. With a "
                      "tempering valve it shows that valve's setting, else the heater's. If it is "
                      "hotter, call the installer before anyone bathes.")),
            html.Li(t("Look under the heater and at the relief pipe: both stay dry.")),
            html.Li(t("Note the date on the heater, and put the yearly check in your calendar.")),
        ], className="open"),
    ], className="step")  # fmt: skip


def _deep(view: View) -> html.Section:
    t = view.t
    folds = [working(view, option) for option in view.side_by_side()]
    return html.Section([html.H2(t("The working")), *folds], className="step deep")


def _question(view: View, field: str) -> str:
    try:
        asked = view.t(question(field).question)
    except LookupError:
        return field
    return asked if asked.endswith(("?", ".")) else asked + "."
