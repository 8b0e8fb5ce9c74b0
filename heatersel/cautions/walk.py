"""The walk through the house: what is asked where, from the street to the fixtures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from heatersel.reference import records

__all__ = ["Question", "place_in_walk", "question", "questions"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing to look at.

    Parameters
    ----------
    field : str
        Dotted key of the job file.
    station : str
        Where on the walk.
    question : str
        What to look for or measure.
    example : str
        An answer as it would stand in the job file.
    photo : str
        "photo" or what to photograph; empty where none is needed.
    order : int
        Place in the walk.
    """

    field: str
    station: str
    question: str
    example: str
    photo: str
    order: int


@lru_cache(maxsize=1)
def _by_field() -> dict[str, Question]:
    rows = records("safety/site_questions", {})
    return {
        row["field"]: Question(
            field=row["field"], station=row["station"], question=row["question"],
            example=row["example"], photo=row["photo"], order=order,
        )
        for order, row in enumerate(rows)
    }  # fmt: skip


def questions() -> tuple[Question, ...]:
    """Return every question, in walking order."""
    return tuple(_by_field().values())


def question(field: str) -> Question:
    """Return the question behind a job-file key.

    Raises
    ------
    KeyError
        If no question is kept for it; a test holds that every rule's question is.
    """
    return _by_field()[field]


def place_in_walk(field: str) -> int:
    """Return a key's place in the walk, counted from 0."""
    return question(field).order
