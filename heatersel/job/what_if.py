"""Try another value in a job before it is validated: the what-ifs of every face."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

from heatersel.errors import InputError

__all__ = ["changed", "parse_setting"]


def changed(tables: dict[str, Any], key: str, value: Any) -> dict[str, Any]:
    """Return a copy of a job's tables with one field set.

    Parameters
    ----------
    tables : dict
        Tables as a TOML file gives them.
    key : str
        Dotted field, such as "preferences.setpoint".
    value : object
        What a file would hold there.

    Returns
    -------
    dict
        A new tree; the old one is untouched.

    Raises
    ------
    InputError
        If part of the path is a value and not a table.
    """
    tree = copy.deepcopy(tables)
    *path, last = key.split(".")
    table = tree
    for part in path:
        table = table.setdefault(part, {})
        if not isinstance(table, dict):
            raise InputError.of(
                key, value=str(value), allowed="a field inside a table",
                fix=f"{part} holds a value; set it as a whole",
            )  # fmt: skip
    table[last] = value
    return tree


def parse_setting(text: str) -> tuple[str, Any]:
    """Return key and value of a setting such as "place.supply=well".

    The value is read as TOML where it is TOML (numbers, true, lists), else as plain text.
    Raises InputError where there is no "=".
    """
    key, sign, value = text.partition("=")
    if not sign or not key.strip():
        raise InputError.of(
            "--set", value=text, allowed="FIELD=VALUE", fix='an example is "place.supply=well"'
        )
    try:
        return key.strip(), tomllib.loads(f"value = {value.strip()}")["value"]
    except tomllib.TOMLDecodeError:
        return key.strip(), value.strip()
