from __future__ import annotations

import datetime as dt

import pytest
import sqlalchemy as sa

from heatersel.errors import DataError, InputError, UnknownChoiceError
from heatersel.quote.register import Register
from heatersel.quote.reviews import check_may_leave, may_leave, review, reviews_of, waiting
from heatersel.quote.sync import export_backup, import_backup, sync

NOW = dt.datetime(2026, 11, 20, 8, 0, tzinfo=dt.UTC)
DAY = dt.date(2026, 11, 20)


@pytest.fixture
def register(place):
    with Register.open(place) as opened:
        yield opened


@pytest.fixture
def entry(register, record_of):
    record = record_of(by="A. Plumber", reviewed_only=True)
    return register.get(register.add(record, at=NOW, by="A. Plumber"), DAY)


def test_a_quote_leaves_once_a_colleague_approved_it(register, entry):
    with pytest.raises(InputError, match="a colleague has approved"):
        check_may_leave(register, entry)
    review(register, entry, "approved", at=NOW, by="R. Viewer")
    check_may_leave(register, entry)


def test_the_last_word_counts(register, entry):
    review(register, entry, "approved", at=NOW, by="R. Viewer")
    review(register, entry, "returned", at=NOW, by="Boss", note="The vent is missing.")
    found = reviews_of(register, entry.id)
    assert [item.verdict for item in found] == ["approved", "returned"]
    assert not may_leave(entry, found)


def test_without_that_rule_a_quote_leaves_at_once(register, record_of):
    quote_id = register.add(record_of(reviewed_only=False), at=NOW, by="")
    assert may_leave(register.get(quote_id, DAY), ())


@pytest.mark.parametrize("by", ["A. Plumber", " A. Plumber ", "", "  "])
def test_nobody_reviews_a_quote_of_their_own(register, entry, by):
    with pytest.raises(InputError, match="ask a colleague"):
        review(register, entry, "approved", at=NOW, by=by)


def test_a_quote_given_back_needs_a_reason_and_a_verdict_is_one_of_two(register, entry):
    with pytest.raises(InputError, match="say what has to change"):
        review(register, entry, "returned", at=NOW, by="Boss", note=" ")
    with pytest.raises(UnknownChoiceError, match="approved or returned"):
        review(register, entry, "fine", at=NOW, by="Boss")
    with pytest.raises(InputError, match="401 characters"):
        review(register, entry, "approved", at=NOW, by="Boss", note="x" * 401)


def test_a_review_is_never_changed(register, entry):
    review(register, entry, "approved", at=NOW, by="Boss")
    with pytest.raises(DataError, match="never changed"), register.writing() as connection:
        connection.execute(sa.text("delete from quote_review"))


def test_reviews_travel_with_their_quotes(register, entry, tmp_path):
    review(register, entry, "approved", at=NOW, by="Boss")
    with Register.open(str(tmp_path / "laptop.db")) as laptop:
        assert sync(laptop, register).events_received == 2
        assert reviews_of(laptop, entry.id) == reviews_of(register, entry.id)
    export_backup(register, tmp_path / "b.jsonl")
    with Register.open(str(tmp_path / "new.db")) as new:
        import_backup(tmp_path / "b.jsonl", new)
        assert reviews_of(new, entry.id) == reviews_of(register, entry.id)


def test_what_waits_is_of_others_open_and_not_approved(register, record_of):
    def add(title, by, **changes):
        record = record_of(title, by=by, second_opinion=[], **changes)
        return register.get(register.add(record, at=NOW, by=by), DAY)

    add("free to leave", "A. Plumber")
    own = add("own", "R. Viewer", reviewed_only=True)
    back, done = (add(name, "A. Plumber", reviewed_only=True) for name in ("back", "done"))
    review(register, back, "returned", at=NOW, by="R. Viewer", note="The vent is missing.")
    review(register, done, "approved", at=NOW, by="R. Viewer")
    (found,) = waiting(register, DAY, "R. Viewer")
    assert (found.id, found.returned_by) == (back.id, "R. Viewer")
    assert {item.id for item in waiting(register, DAY, "Boss")} == {own.id, back.id}
    register.tell(back.id, "declined", at=NOW, by="A. Plumber")
    assert waiting(register, DAY, "R. Viewer") == ()
