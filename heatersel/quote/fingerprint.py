"""Fingerprints: the same content gives the same short text on every machine."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import Enum
from typing import Any

import numpy as np

from heatersel.heaters.heater import Heater
from heatersel.job.models import Job
from heatersel.job.table import InputTable

__all__ = ["canonical_json", "fingerprint", "job_fingerprint", "short"]

_DIGITS = 9
"""Digits of a number that count: processors may differ in the last ones, prices never do."""


def canonical_json(content: Any) -> str:
    """Return plain content as text that depends on nothing but its meaning.

    Keys are sorted, floats keep nine digits, enums, dates and decimals are written as text,
    dataclasses and input tables as their fields.

    Examples
    --------
    >>> canonical_json({"b": 1.00000000049, "a": (1, None)})
    '{"a":[1,null],"b":1.0}'
    """
    return json.dumps(plain(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False,
                      allow_nan=False)  # fmt: skip


def plain(content: Any) -> Any:
    """Return content as dicts, lists, text, numbers and None, floats at nine digits."""
    if isinstance(content, Mapping):
        return {str(key): plain(value) for key, value in content.items()}
    if isinstance(content, InputTable):
        return {name: plain(getattr(content, name)) for name in type(content).model_fields}
    if dataclasses.is_dataclass(content) and not isinstance(content, type):
        names = (field.name for field in dataclasses.fields(content))
        return {name: plain(getattr(content, name)) for name in names}
    if isinstance(content, Enum):
        return plain(content.value)
    if isinstance(content, bool | int | str) or content is None:
        return content
    if isinstance(content, float | np.floating):
        return float(f"{float(content):.{_DIGITS}g}")
    if isinstance(content, Decimal | dt.date | dt.datetime):
        return str(content)
    if isinstance(content, Iterable):
        return [plain(item) for item in content]
    return str(content)


def fingerprint(content: Any) -> str:
    """Return the SHA-256 of content in its canonical form, 64 hexadecimal digits."""
    return hashlib.sha256(canonical_json(content).encode()).hexdigest()


def job_fingerprint(job: Job, heaters: Iterable[Heater], editions: Mapping[str, Any]) -> str:
    """Return the fingerprint of all that a comparison rests on.

    Parameters
    ----------
    job : Job
        Household, house and preferences, defaults included.
    heaters : iterable of Heater
        The list it was chosen from.
    editions : mapping
        Version of the program and editions of its tables.
    """
    return fingerprint({"job": job, "heaters": tuple(heaters), "editions": editions})


def short(digest: str) -> str:
    """Return the start of a fingerprint as people compare it, in groups of four.

    Examples
    --------
    >>> short("3f2a91c07be4d5a0")
    '3f2a 91c0 7be4'
    """
    return " ".join(digest[start : start + 4] for start in (0, 4, 8))
