"""Put an answer in words into the tables of a job: what a form, a flag or an interview does.

The answer is text as people type it. It becomes what a job file would hold at that key; whether
it is allowed is left to the models.
"""

from __future__ import annotations

import copy
import difflib
import re
from typing import Any

from heatersel.errors import UnknownChoiceError
from heatersel.job.keys import Key, key_at, keys_of
from heatersel.job.models import Job
from heatersel.job.what_if import changed

__all__ = ["meant", "with_answer", "without"]

Tables = dict[str, Any]

_TRUE = ("yes", "y", "true", "1", "on")
_FALSE = ("no", "n", "false", "0", "off")
_WHOLE = re.compile(r"[-+]?[0-9]{1,9}")
_NUMBER = re.compile(r"[-+]?[0-9]*\.?[0-9]+")


def with_answer(tables: Tables, dotted: str, text: str) -> Tables:
    """Return tables of a job with one answer put in; an empty answer takes the key out.

    Parameters
    ----------
    tables : dict
        As a job file gives them; left untouched.
    dotted : str
        Path of the key, such as "home.panel.spare_poles".
    text : str
        The answer: "7 ft", "yes", "heat pump storage", "natural gas, electricity", "3 %".

    Returns
    -------
    dict
        New tables, not validated.

    Raises
    ------
    UnknownChoiceError
        If a job has no such key.
    InputError
        If a value stands where the path needs a table.

    Examples
    --------
    >>> with_answer({}, "home.floor_drain", "yes")
    {'home': {'floor_drain': True}}
    """
    key = key_at(dotted)
    if key is None:
        raise _unknown(dotted)
    if not text.strip():
        return without(tables, dotted)
    return changed(tables, dotted, meant(text.strip(), key))


def without(tables: Tables, dotted: str) -> Tables:
    """Return tables without a key, and without the tables that this leaves empty."""
    name, _, rest = dotted.partition(".")
    tree = copy.deepcopy(tables)
    if not rest:
        tree.pop(name, None)
    elif isinstance(tree.get(name), dict):
        tree[name] = without(tree[name], rest)
        if not tree[name]:
            del tree[name]
    return tree


def meant(text: str, key: Key) -> Any:
    """Return what a file would hold for an answer; the text itself where it cannot be told.

    Parameters
    ----------
    text : str
        The answer, not empty and without blanks around it.
    key : Key
        What it answers.

    Returns
    -------
    object
        Whole number, number, truth, word, text, or a list of them.
    """
    if key.is_list and key.table is None:
        parts = re.split(r",|;|\band\b", text)
        return [_single(part.strip(), key) for part in parts if part.strip()]
    return _single(text, key)


def _single(text: str, key: Key) -> Any:
    plain = text.lower()
    if key.choices:
        word = re.sub(r"[\s-]+", "_", plain)
        return next((str(choice) for choice in key.choices if choice in (word, text)), text)
    if key.kind is bool and plain in _TRUE + _FALSE:
        return plain in _TRUE
    if _WHOLE.fullmatch(text) and (key.kind is int or key.table is not None):
        return int(text)
    if key.kind is float and key.reader is None and _NUMBER.fullmatch(text):
        return float(text)
    return text


def _unknown(dotted: str) -> UnknownChoiceError:
    table, _, name = dotted.rpartition(".")
    key = key_at(table)
    model = key.table if key else None if table else Job
    known = [found.name for found in keys_of(model)] if model else []
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return UnknownChoiceError.of(
        dotted, value="not a known key", allowed=", ".join(known) or "a key of a job file",
        fix=f"did you mean {near[0]}?" if near else "",
    )  # fmt: skip
