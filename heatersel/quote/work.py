"""The pieces of work that a price book may price: remedies of cautions and other tasks."""

from __future__ import annotations

from functools import lru_cache

from heatersel import reference
from heatersel.cautions.remedies import REMEDIES

__all__ = ["OWN_PREFIX", "counted_per", "known_work", "work_name"]

OWN_PREFIX = "own_"
"""Work that only one company knows carries this prefix, so that a slip of the pen is no work."""


@lru_cache(maxsize=1)
def known_work() -> dict[str, str]:
    """Return every piece of work with its name: remedies, changes of fuel, and usual extras."""
    extras = {row["id"]: row["text"].lower() for row in reference.records("costs/adders_us", {})}
    return extras | REMEDIES


@lru_cache(maxsize=1)
def _per() -> dict[str, str]:
    return {row["id"]: row["per"] for row in reference.records("costs/adders_us", {})}


def counted_per(work_id: str) -> str:
    """Return what a piece of work is counted by: "unit", "bathing fixture", or "" for once.

    Examples
    --------
    >>> counted_per("new_vent"), counted_per("expansion_tank")
    ('unit', '')
    """
    return _per().get(work_id, "")


def work_name(work_id: str) -> str:
    """Return the name of a piece of work in plain words.

    Examples
    --------
    >>> work_name("expansion_tank"), work_name("own_shoe_covers")
    ('expansion tank', 'shoe covers')
    """
    plain = work_id.removeprefix(OWN_PREFIX).replace("_", " ")
    return known_work().get(work_id, plain)
