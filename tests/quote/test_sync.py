from __future__ import annotations

import datetime as dt
import random

import pytest
import sqlalchemy as sa

from heatersel.errors import DataError, InputError
from heatersel.quote.register import Register
from heatersel.quote.register_tables import EVENT, QUOTE
from heatersel.quote.sync import Merged, export_backup, import_backup, sync

NOW = dt.datetime(2026, 11, 20, 15, 30, tzinfo=dt.UTC)
DAY = dt.date(2026, 11, 20)


@pytest.fixture
def laptops(tmp_path):
    opened = [Register.open(str(tmp_path / f"laptop-{number}.db")) for number in (1, 2)]
    yield opened
    for register in opened:
        register.engine.dispose()


@pytest.fixture
def office(place):
    with Register.open(place) as register:
        yield register


def content(register):
    """All quotes and events as sets: what a merge may neither lose nor double."""
    with register.reading() as connection:
        quotes = {tuple(row) for row in connection.execute(sa.select(QUOTE.c.id, QUOTE.c.digest))}
        events = {tuple(row) for row in connection.execute(sa.select(EVENT))}
    return quotes, events


def add(register, record_of, name, **keywords):
    return register.add(record_of(name), at=NOW, by=name, **keywords)


def test_two_diverged_laptops_end_up_with_the_same_as_the_office(laptops, office, record_of):
    one, two = laptops
    shared = add(one, record_of, "shared")
    sync(one, office)
    sync(two, office)
    for number in range(25):  # days in the field, apart from each other
        add(one, record_of, f"one {number}")
        add(two, record_of, f"two {number}")
    one.tell(shared, "declined", at=NOW, by="one")
    add(office, record_of, "office")
    sync(one, office)
    sync(two, office)
    sync(one, office)
    assert content(one) == content(two) == content(office)
    assert office.count() == 1 + 25 + 25 + 1
    assert two.get(shared, DAY).state == "declined"


def test_syncing_again_changes_nothing(laptops, office, record_of):
    one, _ = laptops
    for number in range(3):
        add(one, record_of, f"n{number}")
    assert sync(one, office) == Merged(quotes_sent=3, events_sent=3)
    before = content(office)
    assert sync(one, office) == Merged()
    assert content(office) == before


def test_counts_say_what_went_where(laptops, office, record_of):
    one, _ = laptops
    mine = add(one, record_of, "mine")
    one.tell(mine, "declined", at=NOW, by="")
    add(office, record_of, "theirs")
    assert sync(one, office) == Merged(
        quotes_sent=1, events_sent=2, quotes_received=1, events_received=1
    )


def test_more_quotes_than_fit_one_batch_all_arrive(laptops, office, record_of):
    one, _ = laptops
    for number in range(205):
        add(one, record_of, f"n{number}")
    assert sync(one, office).quotes_sent == 205
    assert content(one) == content(office)


def test_two_answers_to_one_quote_are_kept_and_named(laptops, office, record_of):
    one, two = laptops
    quote_id = add(one, record_of, "shared")
    sync(one, office)
    sync(two, office)
    one.tell(quote_id, "accepted", at=NOW, by="one", option_id="A")
    two.tell(quote_id, "declined", at=NOW + dt.timedelta(minutes=5), by="two")
    assert sync(one, office).two_answers == ()
    (found,) = sync(two, office).two_answers
    assert found.quote_id == quote_id
    assert [answer.split()[0] for answer in found.answers] == ["accepted", "declined"]
    sync(one, office)
    states = {register.get(quote_id, DAY).state for register in (one, two, office)}
    assert states == {"declined"}  # the later one counts, everywhere


def test_the_same_answer_twice_is_no_conflict(laptops, office, record_of):
    one, two = laptops
    quote_id = add(one, record_of, "shared")
    sync(one, office)
    sync(two, office)
    for register in laptops:
        register.tell(quote_id, "accepted", at=NOW, by="", option_id="A")
    sync(one, office)
    assert sync(two, office).two_answers == ()


def test_one_id_with_two_contents_is_refused_and_nothing_moves(laptops, office, record_of,
                                                               monkeypatch):  # fmt: skip
    one, _ = laptops
    ids = iter(["same-id", "e1", "same-id", "e2"])
    monkeypatch.setattr("heatersel.quote.register.uuid.uuid4", lambda: next(ids))
    add(one, record_of, "here")
    add(office, record_of, "there")
    before = content(office)
    with pytest.raises(DataError, match="two different contents"):
        sync(one, office)
    assert content(office) == before


def test_a_damaged_quote_is_not_passed_on(laptops, office, record_of):
    one, _ = laptops
    add(one, record_of, "whole")
    with one.writing() as connection:
        connection.execute(sa.text("drop trigger no_update_of_quote"))
        connection.execute(sa.update(QUOTE).values(body=b"damaged"))
    with pytest.raises(DataError, match="is damaged"):
        sync(one, office)
    assert office.count() == 0


def test_a_sync_that_is_cut_off_is_finished_by_the_next(laptops, office, record_of, monkeypatch):
    one, _ = laptops
    for number in range(450):
        add(one, record_of, f"n{number}")
    calls = []

    def cut(row):
        calls.append(row)
        if len(calls) > 250:
            raise KeyboardInterrupt

    monkeypatch.setattr("heatersel.quote.sync.opened", cut)
    with pytest.raises(KeyboardInterrupt):
        sync(one, office)
    monkeypatch.undo()
    quotes, events = content(office)
    assert 0 < len(quotes) < 450
    assert {row[1] for row in events} == {row[0] for row in quotes}
    sync(one, office)
    assert content(office) == content(one)


def test_random_histories_on_three_registers_always_converge(laptops, office, record_of):
    chance = random.Random(7)
    registers = [*laptops, office]
    for step in range(120):
        register = chance.choice(registers)
        known = [row["id"] for row in register.search(on=DAY, state="offered", limit=0)]
        action = chance.random()
        if action < 0.5 or not known:
            add(register, record_of, f"n{step}")
        elif action < 0.8:
            at = NOW + dt.timedelta(seconds=step)
            register.tell(chance.choice(known), "declined", at=at, by="")
        else:
            sync(chance.choice(laptops), office)
    for register in (*laptops, *laptops):
        sync(register, office)
    assert content(laptops[0]) == content(laptops[1]) == content(office)


def test_a_backup_brings_everything_back(office, laptops, record_of, tmp_path):
    one, _ = laptops
    quote_id = add(office, record_of, "kept 💧")
    office.tell(quote_id, "accepted", at=NOW, by="", option_id="A", note="=1+1")
    path = tmp_path / "backup.jsonl"
    assert export_backup(office, path) == 1
    assert import_backup(path, one) == Merged(quotes_received=1, events_received=2)
    assert content(one) == content(office)
    assert one.get(quote_id, DAY) == office.get(quote_id, DAY)


def test_bringing_a_backup_back_twice_changes_nothing(office, record_of, tmp_path):
    add(office, record_of, "kept")
    export_backup(office, tmp_path / "b.jsonl")
    before = content(office)
    assert import_backup(tmp_path / "b.jsonl", office) == Merged()
    assert content(office) == before


def test_two_backups_of_the_same_register_are_the_same_bytes(office, record_of, tmp_path):
    for number in range(5):
        add(office, record_of, f"n{number}")
    for name in ("a", "b"):
        export_backup(office, tmp_path / name)
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda text: text[: len(text) // 2], "line|cut short"),
        (lambda text: "\n".join(text.splitlines()[:-1]) + "\n", "cut short or changed"),
        (lambda text: text.replace("A house", "My house"), "cut short or changed"),
        (lambda text: "{}\n" + text, "does not begin|cannot be read"),
        (lambda text: text.replace("heatersel.register/1", "other/1"), "does not begin"),
        (lambda text: "", "cannot be read"),
        (lambda text: text.replace('"place"', '"plaice"'), "fields"),
    ],
)
def test_a_backup_that_is_not_whole_is_refused_and_nothing_imported(
    laptops, record_of, tmp_path, damage, said
):
    one, two = laptops
    for _ in range(3):
        add(one, record_of, "A house")
    path = tmp_path / "b.jsonl"
    export_backup(one, path)
    path.write_text(damage(path.read_text()))
    with pytest.raises(InputError, match=said):
        import_backup(path, two)
    assert two.count() == 0


def test_a_missing_backup_and_a_place_that_cannot_be_written_are_said(laptops, tmp_path):
    one, _ = laptops
    with pytest.raises(InputError, match="missing"):
        import_backup(tmp_path / "none", one)
    with pytest.raises(InputError, match="a file that can be written"):
        export_backup(one, tmp_path / "none" / "b.jsonl")
