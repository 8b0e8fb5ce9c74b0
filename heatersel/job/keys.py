"""What may stand in a job file: every key with its table, what it allows and an example.

Read from the models, so that a field added there is known here: to the writer of job files, to
the interview and to forms.
"""

from __future__ import annotations

import types
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import PlainValidator

from heatersel.job.models import Job
from heatersel.job.quantities import Quantity
from heatersel.job.table import InputTable

__all__ = ["Key", "Reader", "key_at", "keys_of"]

Reader = Quantity | PlainValidator

_NO_LIMIT = 1.0e6  # a limit that nobody meets is not worth words


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a table of the job file.

    Parameters
    ----------
    name : str
        As it stands in the file.
    attribute : str
        Name on the model, with the unit.
    kind : type
        Type of the value, or of each value of a list: an InputTable, an enum, float and so on.
    reader : Quantity or pydantic.PlainValidator or None
        What turns its text into the value, where the value is written as text with a unit.
    rows : type or None
        Model of the tables that may stand here instead of the value, as a tariff for a price.
    is_list : bool
        Whether it holds several values.
    low, high : float or None
        Limits of a plain number.
    default : object
        Value without it; None where it is unknown or required.
    required : bool
        Whether its table cannot stand without it.
    source : str
        Where the default comes from, empty for one that needs no source.
    """

    name: str
    attribute: str
    kind: type
    reader: Reader | None
    rows: type[InputTable] | None
    is_list: bool
    low: float | None
    high: float | None
    default: Any
    required: bool
    source: str

    @property
    def table(self) -> type[InputTable] | None:
        """The model of the table that stands here, None for a plain value."""
        return self.kind if issubclass(self.kind, InputTable) else None

    @property
    def inside(self) -> type[InputTable] | None:
        """The model of the table or rows that may stand here, None where there are none."""
        return self.table or self.rows

    @property
    def choices(self) -> tuple[str, ...]:
        """The words it may hold, empty if it is not a choice."""
        return tuple(self.kind) if issubclass(self.kind, StrEnum) else ()

    @property
    def allowed(self) -> str:
        """Its choices or limits in a few words; empty where an example says enough."""
        if self.choices:
            return f"{', '.join(self.choices[:-1])} or {self.choices[-1]}"
        if self.low is not None and self.high is not None and self.high < _NO_LIMIT:
            return f"{self.low:g} to {self.high:g}"
        return ""


@lru_cache(maxsize=64)
def keys_of(model: type[InputTable]) -> tuple[Key, ...]:
    """Return the keys of a table in the order of the model."""
    return tuple(_key(model, attribute) for attribute in model.model_fields)


def key_at(dotted: str) -> Key | None:
    """Return the key at a dotted path from the top of a job file, None if there is none.

    Examples
    --------
    >>> key_at("home.panel.spare_poles").allowed
    '0 to 84'
    """
    table: type[InputTable] | None = Job
    found: Key | None = None
    for name in dotted.split("."):
        keys = keys_of(table) if table is not None else ()
        found = next((key for key in keys if key.name == name), None)
        table = found.inside if found else None
    return found


def _key(model: type[InputTable], attribute: str) -> Key:
    info = model.model_fields[attribute]
    (base, marks, is_list), *others = _branches(info.annotation, tuple(info.metadata))
    extra = info.json_schema_extra
    return Key(
        name=info.alias or attribute,
        attribute=attribute,
        kind=base,
        reader=next((mark for mark in marks if isinstance(mark, Reader)), None),
        rows=next((other for other, _, _ in others if issubclass(other, InputTable)), None),
        is_list=is_list,
        low=_limit(marks, "ge"),
        high=_limit(marks, "le"),
        default=None if info.is_required() else info.default,
        required=info.is_required(),
        source=str(extra.get("source", "")) if isinstance(extra, dict) else "",
    )


def _limit(marks: tuple[Any, ...], sign: str) -> float | None:
    return next((float(getattr(mark, sign)) for mark in marks if hasattr(mark, sign)), None)


def _branches(
    annotation: Any, marks: tuple[Any, ...], is_list: bool = False
) -> Iterator[tuple[type, tuple[Any, ...], bool]]:
    """Yield type, marks and whether it is a list for each way to read an annotation."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        yield from _branches(parts[0], marks + parts[1:], is_list)
    elif origin in (Union, types.UnionType):
        for part in parts:
            if part is not types.NoneType:
                yield from _branches(part, marks, is_list)
    elif origin is tuple and not any(isinstance(mark, Reader) for mark in marks):
        yield from _branches(parts[0], marks, True)
    else:
        yield (origin or annotation), marks, is_list
