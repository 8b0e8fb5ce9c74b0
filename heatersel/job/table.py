"""The base of every input table: frozen, strict about keys, and honest about its defaults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

__all__ = ["DefaultUsed", "InputTable", "assumed", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultUsed:
    """A value that the job did not give and that was assumed.

    Parameters
    ----------
    field : str
        Dotted key, as it would stand in the job file.
    value : object
        The value used, in the SI unit that the attribute carries.
    attribute : str
        Name of the attribute with its unit suffix.
    source : str
        Where the value comes from.
    """

    field: str
    value: Any
    attribute: str
    source: str


class InputTable(BaseModel):
    """A table of an input file: frozen, unknown keys refused, units converted on the way in."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_enum_values=False, defer_build=True)

    def defaults_used(self, table: str = "") -> Iterator[DefaultUsed]:
        """Yield each sourced default that this table and the tables in it fell back on."""
        for name, info in type(self).model_fields.items():
            key = f"{table}.{info.alias or name}".lstrip(".")
            value = getattr(self, name)
            extra = info.json_schema_extra
            source = extra.get("source") if isinstance(extra, dict) else None
            if name not in self.model_fields_set and source and value is not None:
                yield DefaultUsed(field=key, value=value, attribute=name, source=str(source))
            if isinstance(value, InputTable):
                yield from value.defaults_used(key)


def assumed(value: Any, source: str, key: str | None = None, **limits: Any) -> Any:
    """Return a field with a default that the output lists together with its `source`."""
    return Field(default=value, alias=key, json_schema_extra={"source": source}, **limits)


def unknown(key: str | None = None, **limits: Any) -> Any:
    """Return a field whose default is None: not measured, never counted as fine."""
    return Field(default=None, alias=key, **limits)
