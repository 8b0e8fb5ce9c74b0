"""What a question is, and how its answer goes into the tables of a job."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from heatersel.interview.hearing import hear_pick
from heatersel.job.answer import with_answer
from heatersel.job.keys import key_at
from heatersel.job.texts import said

__all__ = ["Question", "Tables"]

Tables = dict[str, Any]


def _always(tables: Tables) -> bool:
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of the interview.

    Parameters
    ----------
    id : str
        Name under which the answer is kept; the dotted key where it goes to one key.
    part : str
        The part of the walk it belongs to.
    text, why, more : str
        The question; why it is asked, in one plain sentence; what else helps to answer it.
    picks : mapping of str to str
        Plain name of each choice to its value, where there are choices.
    hears : callable, optional
        From an answer and the tables so far to the tables with it; by default the answer goes
        to the key `id`.
    enter : callable, optional
        From the tables so far to the answer that Enter gives, empty where nobody can know; by
        default what a job assumes for the key `id`.
    applies : callable
        From the tables so far to whether it is asked.
    needed : bool
        Whether no job can do without an answer.
    untold : str
        What stands in place of an answer that nobody gives.
    """

    id: str
    part: str
    text: str
    why: str
    more: str
    picks: Mapping[str, str] = field(default_factory=dict)
    hears: Callable[[str, Tables], Tables] | None = None
    enter: Callable[[Tables], str] | None = None
    applies: Callable[[Tables], bool] = _always
    needed: bool = False
    untold: str = "not known"

    def usual(self, tables: Tables) -> str:
        """Return the answer that Enter gives, empty where nobody can know."""
        if self.enter is not None:
            return self.enter(tables)
        key = key_at(self.id)
        if key is None or key.default in (None, ()):
            return ""
        value = str(said(key.default, key, "si" if tables.get("units") == "si" else "us"))
        return next((name for name, held in self.picks.items() if held == value), value)

    def hear(self, answer: str, tables: Tables) -> Tables:
        """Return the tables with an answer; raise InputError where it cannot be understood."""
        if self.picks:
            answer = hear_pick(answer, self.picks)
        if self.hears is not None:
            return self.hears(answer, tables)
        return with_answer(tables, self.id, answer)

    def plain(self, answer: str) -> str:
        """Return an answer as it is kept: a pick by its name, everything else as it was said."""
        if not self.picks:
            return answer
        value = hear_pick(answer, self.picks)
        return next(name for name, held in self.picks.items() if held == value)
