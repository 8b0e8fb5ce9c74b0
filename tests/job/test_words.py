"""Meanings and examples of keys."""

from __future__ import annotations

from heatersel.job import words
from heatersel.job.keys import key_at, keys_of
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.words import example, meaning


def dotted_keys(model: type[InputTable], path: str = "") -> list[str]:
    found = []
    for key in keys_of(model):
        dotted = f"{path}.{key.name}".lstrip(".")
        found.append(dotted)
        if key.table is not None and not key.is_list:
            found += dotted_keys(key.table, dotted)
    return found


def test_every_key_says_more_than_its_name():
    """Only the energy sources of a table, which say all by their name, are left to it."""
    bare = {
        dotted for dotted in dotted_keys(Job)
        if meaning(dotted) in ("", dotted.split(".")[-1].replace("_", " "))
    }  # fmt: skip

    assert {dotted.rpartition(".")[0] for dotted in bare} == {
        "prices.fixed_charge", "prices.other_use", "prices.escalation",
    }  # fmt: skip


def test_table_has_a_sentence_and_key_a_phrase():
    assert meaning("home.panel") == "The electrical panel and the circuit at the heater."
    assert meaning("home.panel.spare_poles") == "free breaker spaces"


def test_no_words_are_kept_for_keys_that_are_gone():
    told = [f"{table}.{name}".lstrip(".") for table, names in words._KEYS.items() for name in names]

    assert [key for key in [*told, *words._TABLES, *words._EXAMPLES] if key_at(key) is None] == []


def test_every_plain_key_has_an_example():
    plain = [dotted for dotted in dotted_keys(Job) if key_at(dotted).table is None]

    assert [dotted for dotted in plain if example(dotted) in (None, "")] == []


def test_example_comes_in_the_units_of_the_reader():
    assert example("existing.volume") == "40 gal"
    assert example("existing.volume", "si") == "151 L"


def test_table_and_unknown_key_have_none():
    assert example("home.panel") is None
    assert example("home.nothing") is None
