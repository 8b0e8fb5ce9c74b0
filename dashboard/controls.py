"""Controls and pictures of the pages: native ones of the browser, drawn by assets/controls.js."""

from __future__ import annotations

from typing import Any, ClassVar

from dash.development.base_component import Component

__all__ = ["Drawing", "Field", "FilePicker", "Picture", "State"]


class _Native(Component):
    """A component whose properties are handed to the browser as they are."""

    _children_props: ClassVar[list[str]] = []
    _base_nodes: ClassVar[list[str]] = ["children"]
    _namespace = "heatersel_page"
    _prop_names: ClassVar[list[str]] = []
    _valid_wildcard_attributes: ClassVar[list[str]] = []
    available_wildcard_properties: ClassVar[list[str]] = []
    available_properties: ClassVar[list[str]] = []

    def __init__(self, **props: Any) -> None:
        """Keep the properties that are given."""
        super().__init__(**{name: value for name, value in props.items() if value is not None})


class Field(_Native):
    """One question with its control.

    `kind` is text, count, pick (a list to choose from), choice (one of a few), ticks (several of a
    few) or stops (a slider). `path` is the dotted key of the job that the answer goes into;
    options carry a `patch` of such keys instead; `base` goes in before. `tries` makes it a what-if, which does not change
    the job.
    """

    _type = "Field"
    _prop_names: ClassVar[list[str]] = [
        "id", "kind", "label", "hint", "error", "path", "value", "revision", "example", "options",
        "groups", "empty", "stops", "now", "min", "max", "step", "less", "more", "look", "assumed",
        "tries", "quiet", "base", "className",
    ]  # fmt: skip
    available_properties = _prop_names


class FilePicker(_Native):
    """Takes a file from the reader's device; out of sight, a button opens it."""

    _type = "FilePicker"
    _prop_names: ClassVar[list[str]] = ["id", "label", "accept"]
    available_properties = _prop_names


class State(_Native):
    """Data that the page holds and shows nowhere."""

    _type = "State"
    _prop_names: ClassVar[list[str]] = ["id", "data"]
    available_properties = _prop_names


class Drawing(_Native):
    """A drawing made on the server, as SVG that carries its own words."""

    _type = "Drawing"
    _prop_names: ClassVar[list[str]] = ["id", "svg", "className"]
    available_properties = _prop_names


class Picture(_Native):
    """A chart: `figure` is a Plotly figure whose colours may be names such as "var(--copper)"."""

    _type = "Picture"
    _prop_names: ClassVar[list[str]] = ["id", "figure", "label", "height", "library"]
    available_properties = _prop_names
