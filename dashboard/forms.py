"""Questions with their controls, made from what the job's models allow."""

from __future__ import annotations

from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.controls import Field
from dashboard.texts import Texts
from dashboard.view import View, lookup
from heatersel.job.keys import Key, key_at
from heatersel.job.words import example, meaning
from heatersel.job.write import toml_value

__all__ = [
    "choice", "count", "field_at", "fold", "identifier", "name_of", "told_at", "word_of",
]  # fmt: skip

_FEW = 4
_SAID = {
    "natural_gas": "natural gas", "fuel_oil": "heating oil", "heat_pump_storage": "heat pump tank",
    "storage": "tank", "b_vent": "metal gas vent (type B)", "copper_l": "copper, type L",
    "csst": "flexible steel tube (CSST)", "schedule_40": "steel pipe (schedule 40)",
    "ipc": "International Plumbing Code", "upc": "Uniform Plumbing Code",
}  # fmt: skip


def identifier(path: str) -> str:
    """Return the id of the control for a dotted key."""
    return "f-" + path.replace(".", "-").replace("_", "-")


def told_at(view: View, path: str) -> Any:
    """Return what the browser's job says at a dotted key, what is tried included."""
    return lookup(view.tables, path)


def choice(view: View, id_: str, label: str, options: list[dict[str, Any]], value: str | None,
           **more: Any) -> Field:  # fmt: skip
    """Return a question with a few answers, one of which holds."""
    return Field(id=id_, kind="choice", label=label, options=options, value=value,
                 revision=view.told.revision, **more)  # fmt: skip


def count(view: View, path: str, label: str, *, low: int, high: int, **more: Any) -> Field:
    """Return a question for a whole number."""
    t = view.t
    more = {"value": told_at(view, path), "error": view.fault_at(path), **more}
    return Field(
        id=identifier(path), kind="count", label=label, path=path, min=low, max=high,
        revision=view.told.revision,
        less=t("Fewer: {what}", what=label), more=t("More: {what}", what=label), **more,
    )  # fmt: skip


def field_at(view: View, path: str, label: str = "", hint: str = "") -> Field | None:
    """Return the question for any plain key of a job; None for keys that hold tables or lists."""
    key = key_at(path)
    if key is None or key.table is not None or key.is_list:
        return None
    t, value = view.t, told_at(view, path)
    label = label or _label(path, t)
    common = {"hint": hint or None, "error": view.fault_at(path)}
    if key.kind is bool:
        options = [
            {"value": "yes", "label": t("Yes"), "patch": {path: True}},
            {"value": "no", "label": t("No"), "patch": {path: False}},
            {"value": "open", "label": t("Not known"), "patch": {path: None}},
        ]
        said = {True: "yes", False: "no"}.get(value, "open")
        return choice(view, identifier(path), label, options, said, **common)
    if key.choices:
        return _pick(view, path, key, label, **common)
    if key.kind is int and key.reader is None and key.low is not None and key.high is not None:
        shown = example(path, view.show.system) if key.default is not None else None
        return count(view, path, label, low=int(key.low), high=int(key.high),
                     example=None if shown is None else str(shown), **common)  # fmt: skip
    text = value if isinstance(value, str) or value is None else toml_value(value)
    return Field(
        id=identifier(path), kind="text", label=label, path=path, value=text,
        example=_example(path, view), revision=view.told.revision, **common,
    )  # fmt: skip


def _pick(view: View, path: str, key: Key, label: str, **common: Any) -> Field:
    t = view.t
    said = [{"value": word, "label": _said(word, t), "patch": {path: word}} for word in key.choices]
    unknown = {"value": "", "label": t("Not known"), "patch": {path: None}}
    value = told_at(view, path)
    if len(said) <= _FEW:
        return choice(view, identifier(path), label, [*said, unknown], value or "", **common)
    return Field(
        id=identifier(path), kind="pick", label=label, value=value or "",
        groups=[{"options": [unknown, *said]}], revision=view.told.revision, **common,
    )  # fmt: skip


def fold(summary: str, *inside: Component | None, key: str = "fold") -> html.Details:
    """Return a part that opens on demand; the key tells it from other folds beside it."""
    held = [part for part in inside if part is not None]
    return html.Details([html.Summary(summary), html.Div(held, className="fold")], key=key)


def _example(path: str, view: View) -> str:
    found = example(path, view.show.system)
    return "" if found is None else str(found)


def _label(path: str, t: Texts) -> str:
    said, words = t(name_of(path)), meaning(path)
    return f"{said}: {t(words)}" if words else said


def _said(word: str, t: Texts) -> str:
    words = t(word_of(word))
    return words[:1].upper() + words[1:]


def name_of(path: str) -> str:
    """Return the name of a key of the job in English, as a text for the catalogue."""
    name = path.rpartition(".")[2].replace("_", " ")
    return name[:1].upper() + name[1:]


def word_of(choice: str) -> str:
    """Return a choice of the job in plain English, as a text for the catalogue."""
    return _SAID.get(choice, choice.replace("_", " "))
