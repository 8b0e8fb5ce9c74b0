"""The three offers, laid so that their differences stand out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from dash import html

from dashboard.controls import aria, data
from dashboard.parts.kinds import kind_words
from dashboard.view import View
from heatersel.comparison import Option

__all__ = ["bar", "basis_words", "offers"]


def offers(view: View, *, brief: bool) -> html.Section | None:
    """Return the offers; brief ones carry their figures and no differences in words."""
    comparison, t = view.comparison, view.t
    if comparison is None or not comparison.recommendation.offers:
        return None
    laid = [comparison.option(offer.option_id) for offer in comparison.recommendation.offers]
    scales = _scales(laid)
    cards = [
        _card(view, option, laid[0], basis_words(view, offer.basis), scales, brief=brief)
        for offer, option in zip(comparison.recommendation.offers, laid, strict=True)
    ]
    head = t.plural("One offer", "{n} offers", len(cards))
    return html.Section([html.H2(head), html.Ol(cards, className="offers")],
                        className="brief" if brief else "full-offers")  # fmt: skip


def basis_words(view: View, basis: Sequence[str]) -> str:
    """Return why an option is offered."""
    t = view.t
    said = {
        "lowest_cost_to_own": t("costs least over the years"),
        "lowest_first_cost": t("costs least to put in"),
        "lowest_emissions": t("least CO2"),
        "another_kind": t("another kind, for comparison"),
    }
    text = t(" and ").join(said[part] for part in basis)
    return text[:1].upper() + text[1:]


Measure = Callable[[Option], float]

_MEASURES: dict[str, Measure] = {
    "installed": lambda option: option.cost.installed if option.cost else 0.0,
    "month": lambda option: option.cost.total_per_year / 12 if option.cost else 0.0,
    "co2": lambda option: option.co2_kg_per_year,
}


def _scales(options: Sequence[Option]) -> dict[str, float]:
    """Return the largest figure of each measure: the full length of its bars."""
    return {name: max(map(measure, options)) or 1.0 for name, measure in _MEASURES.items()}


def _card(view: View, option: Option, first: Option, basis: str, scales: dict[str, float],
          *, brief: bool) -> html.Li:  # fmt: skip
    t, cost = view.t, option.cost
    assert cost is not None
    rows = (
        ("installed", t("To put in"), view.money(cost.installed, 50)),
        ("month", t("A month"), view.money(cost.total_per_year / 12)),
        ("co2", t("CO2 a year"), t.number(view.show.weight(option.co2_kg_per_year))),
    )
    figures = html.Dl(
        [
            part
            for name, label, value in rows
            for part in (
                html.Dt(label),
                html.Dd([bar(_MEASURES[name](option) / scales[name]),
                         html.B(value, **data(figure=name))]),
            )
        ],
        className="figures-list",
    )  # fmt: skip
    parts: list[Any] = [
        html.P(html.Span(view.letter(option.id), className="letter"), className="letter-line"),
        html.H3(view.name(option.heater)),
        html.P(basis, className="basis"),
        figures,
    ]
    if not brief:
        parts += [
            html.P(line, className="difference") for line in _differences(view, option, first)
        ]
        parts.append(html.P(kind_words(view, option.heater), className="kind"))
    return html.Li(parts, className="offer", **data(option=option.id))


def bar(share: float, kind: str = "") -> html.Span:
    """Return a bar of a share of the full length."""
    return html.Span(
        html.Span(style={"width": f"{max(2.0, 100.0 * share):.1f}%"}),
        className=f"bar {kind}".strip(), **aria(hidden="true"),
    )  # fmt: skip


def _differences(view: View, option: Option, first: Option) -> list[str]:
    """Return how an offer differs from the first one, in words."""
    t = view.t
    if option.id == first.id or option.cost is None or first.cost is None:
        return [t("The others are compared with this one.")]
    said = []
    put_in = option.cost.installed - first.cost.installed
    if abs(put_in) >= 50:
        amount = view.money(abs(put_in), 50)
        said.append(t("{amount} more to put in", amount=amount) if put_in > 0
                    else t("{amount} less to put in", amount=amount))  # fmt: skip
    month = (option.cost.total_per_year - first.cost.total_per_year) / 12
    if abs(month) >= 0.5:
        amount = view.money(abs(month))
        said.append(t("{amount} more a month", amount=amount) if month > 0
                    else t("{amount} less a month", amount=amount))  # fmt: skip
    if put_in > 0 > month:
        years = put_in / (-12 * month)
        life = option.cost.life_years
        said.append(
            t("Pays back in about {years} years.", years=f"{years:.0f}") if years < life
            else t("Does not pay back in its life of about {life} years.", life=f"{life:.0f}")
        )  # fmt: skip
    return said
