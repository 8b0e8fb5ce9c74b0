"""Go through the questions, forward and back, without losing an answer.

The state is frozen: each answer gives a new one. Answers are kept as they were typed and the
tables of the job are made from them afresh, so that a changed early answer changes which later
questions are asked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from heatersel.errors import InputError, JobError
from heatersel.interview.question import Question, Tables
from heatersel.interview.questions import QUESTIONS
from heatersel.job.models import Job

__all__ = ["NOT_KNOWN", "Interview"]

NOT_KNOWN = "s"
"""The answer of someone who does not know; the value stays untold."""

_STAND_INS = (("household", {"occupants": 1}), ("place", {"climate": "Duluth, MN"}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Interview:
    """An interview under way.

    Parameters
    ----------
    answers : tuple of (str, str)
        Id and text of each question answered, in order.
    taken_back : tuple of (str, str)
        Answers that were gone back from; each is offered again at its question.
    """

    answers: tuple[tuple[str, str], ...] = ()
    taken_back: tuple[tuple[str, str], ...] = ()

    @property
    def tables(self) -> Tables:
        """The tables of the job as far as the answers tell."""
        tables: Tables = {}
        for question in QUESTIONS:
            text = dict(self.answers).get(question.id)
            if text is not None and text != NOT_KNOWN and question.applies(tables):
                tables = question.hear(text, tables)
        return tables

    @property
    def question(self) -> Question | None:
        """The question to ask now, None where all are answered."""
        open_ones = self._open(self.tables)
        return open_ones[0] if open_ones else None

    @property
    def place(self) -> tuple[int, int]:
        """Number of the question to ask now, and how many there are if all goes on as usual."""
        known, tables, count = dict(self.answers), self.tables, 0
        for question in QUESTIONS:
            if question.id in known or question.applies(tables):
                count += 1
                usual = "" if question.id in known else question.usual(tables)
                tables = question.hear(usual, tables) if usual else tables
        return len(self.answers) + 1, count

    @property
    def offered(self) -> str:
        """The answer that Enter gives: the one given before, else the usual one."""
        question = self.question
        if question is None:
            return ""
        before = dict(self.taken_back).get(question.id)
        if before is None:
            return question.usual(self.tables)
        return "" if before == NOT_KNOWN else before

    def answered(self, text: str) -> Interview:
        """Return the interview with an answer to the question at hand.

        Parameters
        ----------
        text : str
            As typed; empty for the answer offered, "s" where nobody knows.

        Returns
        -------
        Interview
            At the next question.

        Raises
        ------
        InputError
            If the answer cannot be understood, is not allowed or contradicts an earlier one.
        """
        question = self.question
        if question is None:
            return self
        given = text.strip() or self.offered or NOT_KNOWN
        if given == NOT_KNOWN and question.needed:
            raise InputError.of("answer", allowed="an answer: no job can do without this one",
                                fix=f'an example is "{question.usual(self.tables)}"')  # fmt: skip
        if given != NOT_KNOWN:
            _check(question.hear(given, self.tables))
            given = question.plain(given)
        kept = tuple(pair for pair in self.taken_back if pair[0] != question.id)
        return replace(self, answers=(*self.answers, (question.id, given)), taken_back=kept)

    def back(self) -> Interview:
        """Return the interview at the question before; at the first one it stays there."""
        if not self.answers:
            return self
        last = self.answers[-1]
        kept = tuple(pair for pair in self.taken_back if pair[0] != last[0])
        return replace(self, answers=self.answers[:-1], taken_back=(*kept, last))

    def resumed(self) -> Interview:
        """Return the interview gone through again, up to the first answer that no longer holds.

        What stands behind it is offered again at its question.
        """
        again = Interview(taken_back=(*self.taken_back, *self.answers))
        given = dict(self.answers)
        while (question := again.question) is not None and question.id in given:
            try:
                again = again.answered(given[question.id])
            except InputError:
                break
        return again

    def _open(self, tables: Tables) -> list[Question]:
        known = dict(self.answers)
        return [q for q in QUESTIONS if q.id not in known and q.applies(tables)]


def _check(tables: Tables) -> None:
    """Raise JobError if what is told so far could not stand in a job."""
    filled: dict[str, Any] = dict(tables)
    for name, least in _STAND_INS:
        filled[name] = {**least, **filled.get(name, {})}
    try:
        Job.model_validate(filled)
    except ValidationError as trouble:
        from heatersel.job.faults import faults_of

        raise JobError(*faults_of(trouble, Job)) from None
