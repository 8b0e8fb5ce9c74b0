"""The questions: plain, in the order of the walk, and each leading to keys of a job."""

from __future__ import annotations

from heatersel.interview.questions import QUESTIONS
from heatersel.job.keys import key_at


def test_each_answer_has_a_key_of_the_job():
    assert [question.id for question in QUESTIONS if key_at(question.id) is None] == []
    assert len({question.id for question in QUESTIONS}) == len(QUESTIONS)


def test_walk_goes_from_the_people_to_the_prices():
    parts = list(dict.fromkeys(question.part for question in QUESTIONS))

    assert parts == [
        "Who lives here", "How they use hot water", "What stands there now", "The house",
        "The place", "Prices and wishes",
    ]  # fmt: skip


def test_what_no_job_can_do_without_is_needed():
    needed = [question.id for question in QUESTIONS if question.needed]

    assert needed == ["household.occupants", "place.climate"]


def test_each_question_says_why_in_one_sentence():
    for question in QUESTIONS:
        assert question.text.endswith("?")
        assert question.why.endswith(".")
        assert len(question.why) <= 76
        assert question.more.endswith(".")


def test_parts_are_walked_through_once():
    parts = [question.part for question in QUESTIONS]

    assert list(dict.fromkeys(parts)) == [
        part for part, before in zip(parts, ["", *parts], strict=False) if part != before
    ]
