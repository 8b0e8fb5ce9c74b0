"""What a browser tells the server, checked before anything is done with it.

The tables of a job travel as JSON; values that JSON has no word for (dates, whole floats, large
integers) travel as {"toml": "2027-01-01"}, so that a file that is opened and saved again holds
exactly the same values.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from heatersel.errors import Fault, InputError, JobError
from heatersel.heaters.heater import EnergySource
from heatersel.job.what_if import changed
from heatersel.job.write import toml_value

__all__ = ["STEPS", "Told", "checked_tables", "from_browser", "to_browser", "told_of"]

STEPS = ("people", "house", "choices", "why", "next")

_MOST_SIGNS = 400_000
_MOST_TABLES = 300
_MOST_VALUES = 20_000
_DEEPEST = 12
_MOST_CHOSEN = 4
_SAFE_INTEGER = 2**53
_NAME = re.compile(r"[a-z0-9-]{1,60}")
_ID = re.compile(r"[A-Za-z0-9_.-]{1,80}")

Tables = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The state of a page.

    Parameters
    ----------
    tables : dict
        The job as its file would hold it.
    tried : dict
        Dotted keys of the job with values that are tried for now.
    chosen : tuple of str
        Ids of the options that are laid side by side; empty for the three offers.
    seen : tuple of str
        Ids of the offers that the page shows; they stay under consideration.
    step : str
        One of :data:`STEPS`.
    revision : int
        Counts the changes, so that the page knows old answers from new ones.
    """

    tables: Tables
    tried: dict[str, Any]
    chosen: tuple[str, ...]
    step: str
    revision: int
    seen: tuple[str, ...] = ()

    @property
    def keep(self) -> tuple[str, ...]:
        """Ids that every answer must contain."""
        return tuple(dict.fromkeys((*self.chosen, *self.seen)))

    @property
    def tables_tried(self) -> Tables:
        """The job with what is tried in it."""
        tables = self.tables
        for key, value in self.tried.items():
            tables = changed(tables, key, value)
        return tables

    @property
    def is_begun(self) -> bool:
        """Whether the two things are told that an answer needs: place and people."""
        household, place = self.tables.get("household"), self.tables.get("place")
        people = household.get("occupants") if isinstance(household, dict) else None
        where = place.get("climate") if isinstance(place, dict) else None
        some = any(people.values()) if isinstance(people, dict) else people is not None
        return some and where is not None


def told_of(data: Any) -> Told:
    """Return the state that a browser sent; raise InputError if it is not one."""
    if not isinstance(data, dict):
        raise _not_ours("no state")
    tables = checked_tables(from_browser(data.get("tables")))
    tried = data.get("tried", {})
    if not isinstance(tried, dict) or len(tried) > 20:
        raise _not_ours("what is tried")
    for key, value in tried.items():
        if not isinstance(value, str | int | float | bool) or len(str(value)) > 200:
            raise _not_ours(f"what is tried for {key[:60]}")
    step, revision = data.get("step"), data.get("revision", 0)
    return Told(
        tables=tables,
        tried=tried,
        chosen=_ids(data.get("chosen", [])),
        seen=_ids(data.get("seen", [])),
        step=step if step in STEPS else STEPS[0],
        revision=revision if isinstance(revision, int) else 0,
    )


def _ids(given: Any) -> tuple[str, ...]:
    """Return ids of heaters, four at most."""
    if not isinstance(given, list) or not all(
        isinstance(id_, str) and _ID.fullmatch(id_) for id_ in given
    ):
        raise _not_ours("the options side by side")
    return tuple(dict.fromkeys(given))[:_MOST_CHOSEN]


def checked_tables(tables: Any) -> Tables:
    """Return tables that are safe to work on.

    Raises
    ------
    InputError
        If they are too many or too deep for one household's job.
    JobError
        If they name files: a page cannot reach the files that lie beside a job.
    """
    if not isinstance(tables, dict):
        raise _not_ours("no tables")
    n_tables = n_signs = 0
    for n_values, (depth, value) in enumerate(_walk(tables)):
        n_tables += isinstance(value, dict)
        n_signs += len(value) if isinstance(value, str) else 8
        if depth > _DEEPEST or n_tables > _MOST_TABLES or n_values > _MOST_VALUES:
            raise InputError.of(
                "this job", value="too large",
                allowed=f"up to {_MOST_TABLES} tables, {_MOST_VALUES} values, {_DEEPEST} deep",
                fix="is this the job of one household?",
            )  # fmt: skip
    if n_signs > _MOST_SIGNS:
        raise InputError.of("this job", value="too long", allowed=f"up to {_MOST_SIGNS} signs",
                            fix="is this the job of one household?")  # fmt: skip
    faults = tuple(_files_named(tables))
    if faults:
        raise JobError(*faults)
    return tables


def to_browser(value: Any) -> Any:
    """Return tables of a TOML file as JSON can carry them."""
    if isinstance(value, dict):
        return {name: to_browser(item) for name, item in value.items()}
    if isinstance(value, list):
        return [to_browser(item) for item in value]
    odd_float = isinstance(value, float) and (not math.isfinite(value) or value.is_integer())
    large = isinstance(value, int) and abs(value) > _SAFE_INTEGER
    if odd_float or large or isinstance(value, dt.date | dt.time):
        return {"toml": toml_value(value)}
    return value


def from_browser(value: Any, deep: int = 0) -> Any:
    """Return the tables behind what :func:`to_browser` made; raise InputError if they are bad."""
    if deep > _DEEPEST or value is None:
        raise _not_ours("a value")
    if isinstance(value, dict):
        if value.keys() == {"toml"}:
            return _toml_value(value["toml"])
        return {str(name): from_browser(item, deep + 1) for name, item in value.items()}
    if isinstance(value, list):
        return [from_browser(item, deep + 1) for item in value]
    return value


def _toml_value(text: Any) -> Any:
    try:
        if len(text) <= 40 and "\n" not in text:
            return tomllib.loads(f"value = {text}")["value"]
    except (TypeError, tomllib.TOMLDecodeError):
        pass
    raise _not_ours("a value")


def _walk(tree: Any, depth: int = 0) -> Iterator[tuple[int, Any]]:
    yield depth, tree
    if depth > _DEEPEST:
        return
    inside = tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ()
    for item in inside:
        yield from _walk(item, depth + 1)


def _files_named(tables: Tables) -> Iterator[Fault]:
    prices = tables.get("prices")
    if not isinstance(prices, dict):
        return
    for source in EnergySource:
        price = prices.get(source.value)
        if isinstance(price, dict) and "file" in price:
            yield _no_files(f"prices.{source.value}.file", price["file"])
        if isinstance(price, dict) and "tariff" in price:
            name = price["tariff"]
            if not (isinstance(name, str) and _NAME.fullmatch(name)):
                yield Fault(name=f"prices.{source.value}.tariff", value=str(name)[:60],
                            allowed="the name of a tariff, such as cold-city",
                            fix="use small letters, digits and hyphens")  # fmt: skip
    solar = prices.get("solar")
    if isinstance(solar, dict) and isinstance(solar.get("surplus"), str):
        yield _no_files("prices.solar.surplus", solar["surplus"])


def _no_files(name: str, value: Any) -> Fault:
    return Fault(
        name=name, value=str(value)[:60], allowed="values in the job itself",
        fix="a page cannot reach the files beside a job; put their contents into the job, or use"
        " the command line: heatersel compare",
    )  # fmt: skip


def _not_ours(what: str) -> InputError:
    return InputError.of(
        what, value="not understood", allowed="what this page sends",
        fix="load the page again; if that does not help, start over",
    )  # fmt: skip


def signature(tables: Tables) -> str:
    """Return a text that is the same for the same tables."""
    return json.dumps(to_browser(tables), sort_keys=True)
