"""Say what is wrong with a job: one fault for each value, in the words of this project."""

from __future__ import annotations

import copy
import datetime as dt
import difflib
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from heatersel.errors import Fault, InputError
from heatersel.job.keys import Key, keys_of
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.texts import example_of
from heatersel.job.words import example, meaning
from heatersel.job.write import toml_value

__all__ = ["all_faults", "faults_of"]

_Path = tuple[int | str, ...]

_MOST_ROUNDS = 5
_LONGEST_VALUE = 60
_KINDS = {
    int: "a whole number", float: "a number", bool: "true or false, without quotes",
    str: "text in quotes", dt.date: "a date, such as 2027-01-31",
}  # fmt: skip


def all_faults(
    tables: dict[str, Any], trouble: ValidationError, file: str, context: dict[str, Any]
) -> list[Fault]:
    """Return every fault of a job, contradictions between its sound values included.

    Contradictions are only looked for once each value is sound by itself. So the faulty values
    are taken out and the rest is read again; a contradiction with a value that was taken out is
    not one.
    """
    faults = faults_of(trouble, Job, file)
    removed: list[str] = []
    rest = copy.deepcopy(tables)
    for _ in range(_MOST_ROUNDS):
        removed += [_take_out(rest, error) for error in _errors(trouble)]
        _fill_in(rest)
        try:
            Job.model_validate(rest, context=context)
            break
        except ValidationError as further:
            trouble = further
        found = faults_of(trouble, Job, file)
        faults += [fault for fault in found if fault not in faults and not _about(fault, removed)]
    return faults


def faults_of(trouble: ValidationError, model: type[InputTable], file: str = "") -> list[Fault]:
    """Return one fault per error of a validation.

    Parameters
    ----------
    trouble : pydantic.ValidationError
        What the validation of `model` raised.
    model : type
        The model that was validated.
    file : str
        Where it was read from.

    Returns
    -------
    list of Fault
        Each with field, value, what is allowed and an example.
    """
    return [_fault(error, model, file) for error in _errors(trouble)]


def _errors(trouble: ValidationError) -> list[dict[str, Any]]:
    return [
        dict(error) | {"loc": tuple(part for part in error["loc"] if not _is_machinery(part))}
        for error in trouble.errors(include_url=False)
    ]


def _is_machinery(part: int | str) -> bool:
    """Return whether a location part is the validator's own word, such as a union branch."""
    return isinstance(part, str) and part.startswith(("(", "function-", "tuple["))


def _fault(error: dict[str, Any], model: type[InputTable], file: str) -> Fault:
    path, context = error["loc"], error.get("ctx", {})
    name = ".".join(_counted(path)) or "file"
    key = _key_at(model, path)
    said = context.get("error")
    if isinstance(said, InputError):
        inner = said.faults[0]
        return replace(inner, name=name, value=inner.value or _shown(error["input"]), file=file)
    if "fix" in context:
        field = str(context.get("field", ""))
        name = field if name == "file" and field else ".".join(filter(None, (name, field)))
        given = str(context.get("value") or _shown(error["input"]))
        return Fault(name=name, value=given, file=file, allowed=str(context["allowed"]),
                     fix=str(context["fix"]))  # fmt: skip
    if error["type"] == "extra_forbidden":
        return _unknown_key(name, str(path[-1]), _table_at(model, path[:-1]), file)
    if error["type"] == "missing":
        return _missing(name, path, key, file)
    return Fault(name=name, value=_shown(error["input"]), allowed=_allowed(key, error), file=file,
                 fix=_fix(key, path, error))  # fmt: skip


def _counted(path: _Path) -> list[str]:
    """Return a path as text; items of a list are counted from 1, as people do."""
    return [str(part + 1) if isinstance(part, int) else part for part in path]


def _unknown_key(name: str, last: str, table: type[InputTable] | None, file: str) -> Fault:
    known = [key.name for key in keys_of(table)] if table else []
    near = difflib.get_close_matches(last, known, n=1, cutoff=0.5)
    return Fault(name=name, value="not a known key", allowed=", ".join(known), file=file,
                 fix=f"did you mean {near[0]}?" if near else "remove it")  # fmt: skip


def _missing(name: str, path: _Path, key: Key | None, file: str) -> Fault:
    dotted, table = _dotted(path), _dotted(path[:-1])
    place = f"add it to [{table}]" if table else f"add a table [{dotted}]"
    sample = _sample(dotted, key)
    words = meaning(dotted).rstrip(".")
    plain = words == str(path[-1]).replace("_", " ")
    kind = _KINDS.get(key.kind, "a table") if key else words
    allowed = (
        key.allowed if key and key.allowed else kind if plain else words[:1].lower() + words[1:]
    )
    return Fault(name=name, value="missing", allowed=allowed, file=file,
                 fix=f"{place}, such as {sample}" if sample else place)  # fmt: skip


def _sample(dotted: str, key: Key | None) -> str:
    """Return an example line for a key that is missing; for a table, of its first needed key."""
    if dotted in ("household", "household.occupants"):
        return "occupants = 4"
    if key is not None and key.table is not None and not key.is_list:
        needed = [inner for inner in keys_of(key.table) if inner.required]
        return _sample(f"{dotted}.{needed[0].name}", needed[0]) if needed else ""
    shown = example(dotted) if key else None
    return f"{key.name} = {toml_value(shown)}" if key and shown else ""


def _allowed(key: Key | None, error: dict[str, Any]) -> str:
    """Return what a key allows, in plain words."""
    if error["type"] in ("greater_than", "less_than"):
        sign, words = (
            ("gt", "more than") if error["type"] == "greater_than" else ("lt", "less than")
        )
        return f"{words} {error['ctx'][sign]:g}"
    if key is None:
        return str(error["msg"])
    in_list = key.is_list and not isinstance(error["loc"][-1], int)
    if key.table is not None or in_list:
        return "a list" if in_list else "a table"
    if key.choices:
        return key.allowed
    if key.reader is not None:
        return "text with a number and its unit" + (", or tables" if key.rows else "")
    if "max_length" in error.get("ctx", {}):
        return f"text of up to {error['ctx']['max_length']} characters"
    return ", ".join(filter(None, (_KINDS.get(key.kind, "text in quotes"), key.allowed)))


def _fix(key: Key | None, path: _Path, error: dict[str, Any]) -> str:
    given = error["input"]
    if key is None:
        return "correct the value"
    in_list = key.is_list and not isinstance(path[-1], int)
    if key.choices and isinstance(given, str) and not in_list:
        near = difflib.get_close_matches(given, key.choices, n=1, cutoff=0.5)
        if near:
            return f"did you mean {near[0]}?"
    if key.table is not None:
        heading = f"[[{_dotted(path)}]]" if key.is_list else f"[{_dotted(path)}]"
        return f"write it as {heading} with its keys below"
    shown = example(_dotted(path))
    shown = example_of(key) if shown is None else shown
    return f"an example is {key.name} = {toml_value(shown)}"


def _key_at(model: type[InputTable], path: _Path) -> Key | None:
    found: Key | None = None
    table: type[InputTable] | None = model
    for part in path:
        if isinstance(part, int):
            continue
        keys = keys_of(table) if table else ()
        found = next((key for key in keys if key.name == part), None)
        table = found.inside if found else None
    return found


def _table_at(model: type[InputTable], path: _Path) -> type[InputTable] | None:
    key = _key_at(model, path)
    if not _dotted(path):
        return model
    return key.inside if key else None


def _dotted(path: _Path) -> str:
    return ".".join(part for part in path if isinstance(part, str))


def _shown(value: object) -> str:
    """Return a value as it was given, cut where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**_LONGEST_VALUE:
        return "a number of very many digits"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _LONGEST_VALUE else text[: _LONGEST_VALUE - 3] + "..."


def _take_out(tables: dict[str, Any], error: dict[str, Any]) -> str:
    """Take a faulty value out of the tables, or the table that lacks one; return what it was."""
    path: _Path = error["loc"][:-1] if error["type"] == "missing" else error["loc"]
    field = str(error.get("ctx", {}).get("field", ""))
    path += tuple(field.split(".")) if field else ()
    holder: Any = tables
    above: Any = {}
    for part in path[:-1]:
        known = isinstance(holder, dict) and part in holder
        known = known or (isinstance(holder, list) and isinstance(part, int) and part < len(holder))
        if not known:
            break
        inner = holder[part]
        if not isinstance(inner, dict | list):
            break
        above, holder = holder, inner
    if path and isinstance(holder, dict) and path[-1] in holder:
        del holder[path[-1]]
    elif isinstance(holder, dict) and isinstance(above, dict) and len(path) > 1:
        above.pop(path[-2], None)
    elif path and isinstance(holder, list):
        holder.clear()
    return _dotted(path)


def _fill_in(tables: dict[str, Any]) -> None:
    """Put in what no job can do without."""
    household, place = tables.setdefault("household", {}), tables.setdefault("place", {})
    if isinstance(household, dict):
        household.setdefault("occupants", 1)
    if isinstance(place, dict):
        place.setdefault("climate", "Duluth, MN")


def _about(fault: Fault, removed: list[str]) -> bool:
    """Return whether a fault speaks of a value that was taken out or of its table."""
    field = ".".join(part for part in fault.name.split(".") if not part.isdigit())
    words = f"{field} {fault.allowed} {fault.fix}"
    named = [name for name in removed if "." in name]
    tables = [name.rpartition(".")[0] for name in named if name.count(".") > 1]
    return any(name in words for name in named + tables)
