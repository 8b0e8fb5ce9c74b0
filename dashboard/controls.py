"""Controls and pictures of the pages: native ones of the browser, drawn by assets/controls.js."""

from __future__ import annotations

from typing import Any

from dash.development.base_component import Component

__all__ = [
    "Drawing", "Field", "FilePicker", "Live", "Picture", "State", "Tree", "aria", "data", "page_of",
    "tree_of",
]  # fmt: skip

Tree = Any
"""Part of a page as the browser takes it: text, or [element, properties, *what is inside]."""

_NOTHING: list[str] = []
_FIELD = [
    "id", "kind", "label", "hint", "error", "path", "value", "revision", "example", "options",
    "groups", "empty", "stops", "now", "min", "max", "step", "less", "more", "look", "tries",
    "base",
]  # fmt: skip
_STATE = ["id", "data"]
_FILE_PICKER = ["id", "label", "accept"]
_LIVE = ["id", "tree", "className", "role", "label"]
_DRAWING = ["id", "svg", "className"]
_PICTURE = ["id", "figure", "label", "height", "bundle"]


def data(**values: str) -> Any:
    """Return data attributes: data(figure="month") is data-figure="month"."""
    return {f"data-{name}": value for name, value in values.items()}


def aria(**values: str) -> Any:
    """Return attributes for assistive technology: aria(label="Steps") is aria-label="Steps"."""
    return {f"aria-{name}": value for name, value in values.items()}


class _Native(Component):
    """A component whose properties are handed to the browser as they are."""

    _namespace = "heatersel_page"
    _children_props = _NOTHING
    _valid_wildcard_attributes = _NOTHING
    available_wildcard_properties = _NOTHING

    def __init__(self, **props: Any) -> None:
        """Keep the properties that are given."""
        given = {name: value for name, value in props.items() if value is not None}
        super().__init__(**given)  # type: ignore[no-untyped-call]  # Dash leaves it untyped


class Field(_Native):
    """One question with its control.

    `kind` is text, count, pick (a list to choose from), choice (one of a few), ticks (several of a
    few) or stops (a slider). `path` is the dotted key of the job that the answer goes into;
    options carry a `patch` of such keys instead; `base` goes in before. `tries` makes it a what-if,
    which does not change the job.
    """

    _type = "Field"
    _prop_names = available_properties = _FIELD


class FilePicker(_Native):
    """Takes a file from the reader's device; out of sight, a button opens it."""

    _type = "FilePicker"
    _prop_names = available_properties = _FILE_PICKER


class State(_Native):
    """Data that the page holds and shows nowhere."""

    _type = "State"
    _prop_names = available_properties = _STATE


class Live(_Native):
    """A part of the page that answers change, as :func:`tree_of` gives it.

    Dash builds children anew with every answer: whoever was typing, dragging a slider or walking
    by keyboard would lose the place. Here the browser keeps what stays the same.
    """

    _type = "Live"
    _prop_names = available_properties = _LIVE


class Drawing(_Native):
    """A drawing made on the server, as SVG that carries its own words."""

    _type = "Drawing"
    _prop_names = available_properties = _DRAWING


class Picture(_Native):
    """A chart: `figure` is a Plotly figure whose colours may be names such as "var(--copper)"."""

    _type = "Picture"
    _prop_names = available_properties = _PICTURE


def tree_of(part: Any) -> Tree:
    """Return components as lists that the browser's Live takes; what is None is left out.

    What has no id keeps its place by order; a `key` tells it from what stood there before.
    """
    if isinstance(part, list | tuple):
        return [tree_of(one) for one in part if one is not None]
    if not isinstance(part, Component):
        return part
    said = part.to_plotly_json()  # type: ignore[no-untyped-call]  # Dash leaves it untyped
    props = dict(said["props"])
    inside = props.pop("children", None)
    held = inside if isinstance(inside, list | tuple) else [inside]
    name = said["type"]
    return [name if isinstance(part, _Native) else name.lower(), props, *tree_of(held)]


def page_of(parts: list[Any], step: str) -> Tree:
    """Return the parts of one step of the page: nothing of another step is kept for them."""
    return [["", {"key": step}, *tree_of(parts)]]
