"""Read a job file, report all its faults at once, and say which defaults it fell back on."""

from __future__ import annotations

import difflib
import tomllib
import types
import typing
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from heatersel.errors import Fault, InputError, JobError
from heatersel.job.models import Job

__all__ = ["faults_of", "load_job", "parse_job", "read_toml"]

_MAX_BYTES = 1_000_000


def load_job(path: Path) -> Job:
    """Return the job of a TOML file.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Returns
    -------
    Job
        Frozen, all quantities in SI units.

    Raises
    ------
    JobError
        If the file cannot be read, is not TOML, or has faults; every fault is listed with
        table, field, value, what is allowed and an example.
    """
    return parse_job(read_toml(path), file=str(path))


def read_toml(path: Path) -> dict[str, Any]:
    """Return the tables of a TOML file; raise JobError with a plain reason if that fails."""
    try:
        size = path.stat().st_size
        if size > _MAX_BYTES:
            raise JobError.of(
                str(path), value=f"{size} bytes", allowed=f"up to {_MAX_BYTES} bytes",
                fix="is this the right file?",
            )  # fmt: skip
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise JobError.of(
            str(path), value="missing", allowed="an existing file",
            fix="check the name, or make one with: heatersel new",
        ) from None  # fmt: skip
    except (OSError, UnicodeDecodeError) as trouble:
        raise JobError.of(
            str(path), value="unreadable", allowed="a text file in UTF-8", fix=str(trouble)
        ) from None
    except tomllib.TOMLDecodeError as trouble:
        raise JobError.of(
            str(path), value="not TOML", allowed='tables and keys such as supply = "well"',
            fix=f"the reader stopped because: {trouble}",
        ) from None  # fmt: skip


def parse_job(tables: dict[str, Any], file: str = "") -> Job:
    """Return the job of already parsed tables; raise JobError listing every fault."""
    try:
        return Job.model_validate(tables)
    except ValidationError as trouble:
        raise JobError(*faults_of(trouble, Job, file)) from None


def faults_of(trouble: ValidationError, model: type[BaseModel], file: str) -> list[Fault]:
    """Return one fault per error of a validation, in the words of this project."""
    return [_fault(dict(error), model, file) for error in trouble.errors()]


def _fault(error: dict[str, Any], model: type[BaseModel], file: str) -> Fault:
    context = error.get("ctx", {})
    path = [part for part in error["loc"] if not _is_machinery(part)]
    name = ".".join(map(str, path)) or "file"
    value = str(context.get("value", _shown(error.get("input"))))
    kind = error["type"]
    if "fix" in context:
        name = _join(name, context.get("field"))
        return Fault(name=name, value=value, file=file,
                     allowed=str(context.get("allowed", "")), fix=str(context["fix"]))  # fmt: skip
    if kind == "extra_forbidden":
        known = _keys(_model_at(model, path[:-1]))
        near = difflib.get_close_matches(str(path[-1]), known, n=1, cutoff=0.5)
        fix = f"did you mean {near[0]}?" if near else "remove it"
        return Fault(name=name, value="not a known key", allowed=", ".join(known), fix=fix,
                     file=file)  # fmt: skip
    if kind == "missing":
        return Fault(name=name, value="missing", allowed=f"{path[-1]} has no default",
                     fix=_example(str(path[-1])), file=file)  # fmt: skip
    if kind == "enum":
        words = str(context["expected"]).replace("'", "")
        near = difflib.get_close_matches(
            value, words.replace(" or ", ", ").split(", "), n=1, cutoff=0.4
        )
        fix = f"did you mean {near[0]}?" if near else "use one of these words"
        return Fault(name=name, value=value, allowed=words, fix=fix, file=file)
    return Fault(name=name, value=value, allowed=_plain(error), fix="correct the value", file=file)


def _plain(error: dict[str, Any]) -> str:
    """Return what a general validation error allows, in plain words."""
    context = error.get("ctx", {})
    bounds = {"greater_than_equal": "ge", "less_than_equal": "le", "greater_than": "gt",
              "less_than": "lt"}  # fmt: skip
    words = {"ge": "at least", "le": "at most", "gt": "more than", "lt": "less than"}
    if error["type"] in bounds:
        sign = bounds[error["type"]]
        return f"{words[sign]} {context[sign]:g}"
    kinds = {
        "int_type": "a whole number", "int_from_float": "a whole number",
        "bool_type": "true or false", "string_type": "text in quotes",
        "model_type": "a table", "tuple_type": "a list", "float_type": "a number",
        "float_parsing": "a number", "model_attributes_type": "a table",
        "int_parsing": "a whole number",
    }  # fmt: skip
    return kinds.get(error["type"], str(error["msg"]).lower())


def _example(key: str) -> str:
    examples = {
        "climate": 'add it to [place], such as climate = "Duluth, MN"',
        "occupants": "add it to [household], such as occupants = 4",
        "place": 'add a table [place] with climate = "Duluth, MN"',
        "household": "add a table [household] with occupants = 4",
    }
    return examples.get(key, f"add {key}")


def _shown(value: object) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _join(name: str, field: object) -> str:
    """Return the dotted field of a cross-check, which may name a field of another table."""
    if not field:
        return name
    return str(field) if name == "file" else f"{name}.{field}"


def _is_machinery(part: int | str) -> bool:
    """Return whether a location part is the validator's own word, such as a union branch."""
    return isinstance(part, str) and any(sign in part for sign in "[(- ")


def _keys(model: type[BaseModel] | None) -> list[str]:
    if model is None:
        return []
    return [info.alias or name for name, info in model.model_fields.items()]


def _model_at(model: type[BaseModel], path: list[int | str]) -> type[BaseModel] | None:
    """Return the model of the table at `path`, None where there is no table."""
    found: type[BaseModel] | None = model
    for part in path:
        if found is None or isinstance(part, int):
            continue
        fields = {info.alias or name: info for name, info in found.model_fields.items()}
        found = _table_of(fields[part].annotation) if part in fields else None
    return found


def _table_of(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is not None:
        return next(filter(None, map(_table_of, typing.get_args(annotation))), None)
    return None
