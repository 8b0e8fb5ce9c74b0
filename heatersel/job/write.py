"""Write a job as a commented TOML file that reads back as the same job.

What the user told stands there; every other key stands beside it behind a "#", with its default
or an example, so that a reader sees what can be changed.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import textwrap
from collections.abc import Iterator
from typing import Any

from heatersel.job.keys import Key, key_at, keys_of
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.texts import text_of
from heatersel.job.words import example, meaning

__all__ = ["job_tables", "job_toml", "to_toml", "toml_value"]

_HEAD = """\
# A job for heatersel: one household and its house.
#
# An amount carries its unit ("120 degF", "49 degC", "7 ft"); units of both systems may be mixed.
# A name behind a # is not told: "assumed" says what is used instead, without it the value is only
# an example. Take the # away and write what is true of this house.
"""
_NOT_TOLD = """\
# ---- Not told so far -----------------------------------------------------------------------
# To tell it, take the # away from the name in brackets and from the lines that are known.
"""
_COMMENT_COLUMN = 33
_WIDEST = 100
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")

Tables = dict[str, Any]
_Path = tuple[str, ...]


def to_toml(job: Job, system: str = "") -> str:
    """Return a job as commented TOML.

    Parameters
    ----------
    job : Job
        The job.
    system : str
        Units of quantities, "us" or "si"; the job's own if empty. Where only another unit gives
        a short number, that is taken.

    Returns
    -------
    str
        Reads back as exactly the same job.
    """
    return job_toml(job_tables(job, system or job.units.value), system or job.units.value)


def job_tables(job: InputTable, system: str = "us") -> Tables:
    """Return what a job tells, as the tables that its file would hold; no defaults."""
    tables: Tables = {}
    for key in keys_of(type(job)):
        value = getattr(job, key.attribute)
        if key.attribute in job.model_fields_set and value is not None:
            tables[key.name] = _held(value, key, system)
    return tables


def _held(value: Any, key: Key, system: str) -> Any:
    if isinstance(value, InputTable):
        return job_tables(value, system)
    if isinstance(value, tuple) and any(isinstance(item, InputTable) for item in value):
        return [job_tables(item, system) for item in value]
    return text_of(value, key, system)


def job_toml(tables: Tables, system: str = "us") -> str:
    """Return tables of a job as commented TOML.

    Parameters
    ----------
    tables : dict
        As a TOML file gives them. Keys that no job has are kept.
    system : str
        Units of the defaults and examples that are shown.

    Returns
    -------
    str
        Reads back as `tables`.

    Examples
    --------
    >>> print(job_toml({"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}})[:51])
    # A job for heatersel: one household and its house.
    """
    lines = [_HEAD, *_lines_of(tables, (), system), *_sections(tables, (), system, told=True)]
    lines += ["", _NOT_TOLD.rstrip(), *_sections(tables, (), system, told=False)]
    return "\n".join(lines) + "\n"


def _sections(table: Tables, path: _Path, system: str, *, told: bool) -> Iterator[str]:
    """Yield the lines of all tables inside a table: those told of, or the others."""
    for name in _names(table, path):
        inner, value = (*path, name), table.get(name)
        if not _is_section(value, inner):
            continue
        rows = value if isinstance(value, list) else []
        if told == (value is not None):
            for row in rows:
                yield from _heading(inner, "[[{}]]")
                yield from (f"{_name(key)} = {toml_value(item)}" for key, item in row.items())
            if not rows:
                yield from _heading(inner, "[{}]" if told else "#[{}]")
                yield from _lines_of(value or {}, inner, system)
        if not rows:
            yield from _sections(value or {}, inner, system, told=told)


def _lines_of(table: Tables, path: _Path, system: str) -> Iterator[str]:
    """Yield one line for each plain value of a table, told or not."""
    for name in _names(table, path):
        inner, value = (*path, name), table.get(name)
        if _is_section(value, inner):
            continue
        told = value is not None
        value = value if told else example(".".join(inner), system)
        if value is not None:
            line = f"{_name(name)} = {toml_value(value)}"
            line = line if told else "#" + line.replace("\n", "\n#")
            yield _with_comment(line, _comment(".".join(inner), told))


def _heading(path: _Path, brackets: str) -> Iterator[str]:
    yield ""
    words = meaning(".".join(path))
    if words:
        yield f"# {words}"
    yield brackets.format(".".join(map(_name, path)))


def _names(table: Tables, path: _Path) -> list[str]:
    """Return the names of a table in the order of its model, then those no model knows."""
    key = key_at(".".join(path))
    model = key.table if key else None if path else Job
    known = [key.name for key in keys_of(model)] if model else []
    return known + [name for name in table if name not in known]


def _is_section(value: Any, path: _Path) -> bool:
    """Return whether a value takes a heading of its own rather than a line."""
    if value is None:
        key = key_at(".".join(path))
        return key is not None and key.table is not None and not key.is_list
    return isinstance(value, dict) or (_is_rows(value) and not all(map(_fits, value)))


def _comment(dotted: str, told: bool) -> str:
    """Return meaning and choices of a key, and what it means that it is not told."""
    key = key_at(dotted)
    if key is None:
        return ""
    words = [meaning(dotted).rstrip("."), key.allowed]
    if not told and key.default not in (None, ()):
        words.append("assumed")
    return "; ".join(filter(None, words))


def _with_comment(line: str, comment: str) -> str:
    if not comment:
        return line
    beside = f"{line:<{_COMMENT_COLUMN}}  # {comment}"
    if len(beside) <= _WIDEST and "\n" not in line:
        return beside
    above = textwrap.wrap(comment, _WIDEST - 2, break_long_words=False, break_on_hyphens=False)
    return "\n".join([*(f"# {words}" for words in above), line])


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def _fits(row: Tables) -> bool:
    """Return whether a row is plain and short enough for one line."""
    plain = not any(isinstance(value, dict | list) for value in row.values())
    return plain and len(toml_value(row)) < _WIDEST - 8


def toml_value(value: Any) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, dict):
        inside = ", ".join(f"{_name(name)} = {toml_value(item)}" for name, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list | tuple):
        return _list([toml_value(item) for item in value])
    return repr(value)


def _list(items: list[str]) -> str:
    """Return a list on one line, or on several with as many short items as fit on each."""
    line = f"[{', '.join(items)}]"
    if len(line) <= _WIDEST - _COMMENT_COLUMN and "{" not in line:
        return line
    lines: list[str] = []
    for item in items:
        together = f"{lines[-1]} {item}," if lines else ""
        if lines and len(together) <= _WIDEST - 10 and "{" not in together:
            lines[-1] = together
        else:
            lines.append(f"    {item},")
    return "\n".join(["[", *lines, "]"])


def _name(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else toml_value(name)
