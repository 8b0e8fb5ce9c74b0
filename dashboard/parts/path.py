"""The way of the hot water through this house, drawn."""

from __future__ import annotations

from dash import html

from dashboard.controls import Drawing
from dashboard.view import View
from heatersel.cautions.water_path_svg import water_path_svg
from heatersel.pictures import path_through_house

__all__ = ["water_path"]


def water_path(view: View) -> html.Figure | None:
    """Return the drawing for the recommended heater with its sentence; None without one."""
    comparison, t = view.comparison, view.t
    best = comparison.recommended if comparison else None
    if comparison is None or best is None:
        return None
    path = path_through_house(comparison, best)
    add = [part.name.lower() for part in path.parts if part.standing.value == "to add"]
    check = [part.name.lower() for part in path.parts if part.standing.value == "to check"]
    said = []
    if add:
        said.append(t("To add: {what}.", what=", ".join(add)))
    if check:
        said.append(t("To check: {what}.", what=", ".join(check)))
    words = " ".join(said) or t("Nothing has to be added on the way.")
    rows = [
        html.Tr([html.Td(part.name), html.Td(part.standing.value), html.Td(part.says)])
        for part in path.parts
    ]
    head = html.Tr([html.Th(label, scope="col") for label in (t("Part"), t("Stands"), t("What"))])
    table = html.Details([
        html.Summary(t("The same as a table")),
        html.Table([html.Thead(head), html.Tbody(rows)], className="data"),
    ])  # fmt: skip
    return html.Figure(
        [html.Figcaption([html.H2(t("The way of your hot water")), html.P(words)]),
         Drawing(svg=water_path_svg(path), className="water-path"), table],
        className="picture", id="picture-path",
    )  # fmt: skip
