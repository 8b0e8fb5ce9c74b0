"""Errors: what they say, what they keep, and that they survive the way between processes."""

from __future__ import annotations

import pickle

import pytest

from heatersel import errors
from heatersel.errors import (
    DataError,
    Fault,
    HeaterselError,
    InputError,
    JobError,
    ModelError,
    NoFeasibleHeaterError,
    OutOfRangeError,
)

KINDS = [
    kind
    for kind in vars(errors).values()
    if isinstance(kind, type) and issubclass(kind, HeaterselError)
]
FAULT = Fault(
    name="place.main_depth", value="7", allowed="0.2 to 33 ft",
    fix='write it with its unit, such as "7 ft"', file="smith.toml", line=12,
)  # fmt: skip


def test_sentence_says_where_what_the_value_what_is_allowed_and_the_way_out():
    assert FAULT.sentence() == (
        "smith.toml:12: place.main_depth is 7; allowed: 0.2 to 33 ft; "
        'write it with its unit, such as "7 ft".'
    )


def test_sentence_leaves_out_what_is_not_known():
    assert Fault(name="home.vent").sentence() == "home.vent."
    assert Fault(name="x", file="a.toml", fix="remove it").sentence() == "a.toml: x; remove it."


def test_question_ends_as_a_question():
    assert Fault(name="x", fix="did you mean vent?").sentence().endswith("vent?")
    assert Fault(name="x", fix="did you mean Duluth, MN").sentence().endswith("MN?")


def test_every_fault_has_its_line():
    trouble = JobError(FAULT, Fault(name="home.vent", value="x"))

    assert str(trouble).splitlines() == [FAULT.sentence(), "home.vent is x."]


def test_fault_gives_its_fields_for_json():
    assert FAULT.as_dict() == {
        "name": "place.main_depth", "value": "7", "allowed": "0.2 to 33 ft",
        "fix": 'write it with its unit, such as "7 ft"', "file": "smith.toml", "line": 12,
    }  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_error_survives_pickling_with_its_faults(kind):
    trouble = kind(FAULT, Fault(name="home.vent"))
    again = pickle.loads(pickle.dumps(trouble))

    assert type(again) is kind
    assert again.faults == trouble.faults
    assert str(again) == str(trouble)


@pytest.mark.parametrize("kind", KINDS)
def test_error_of_one_fault_is_of_its_own_kind(kind):
    trouble = kind.of("x", value=3, allowed="1 to 2", fix="lower it")

    assert type(trouble) is kind
    assert trouble.faults == (Fault(name="x", value="3", allowed="1 to 2", fix="lower it"),)


@pytest.mark.parametrize(
    ("kind", "builtin"),
    [(OutOfRangeError, ValueError), (JobError, ValueError), (NoFeasibleHeaterError, RuntimeError)],
)
def test_builtin_kind_catches_it_too(kind, builtin):
    with pytest.raises(builtin, match="home"):
        raise kind(Fault(name="home.vent"))


@pytest.mark.parametrize("branch", [InputError, DataError, ModelError])
def test_each_branch_is_an_error_of_ours_and_none_of_the_others(branch):
    others = {InputError, DataError, ModelError} - {branch}

    assert issubclass(branch, HeaterselError)
    assert not any(issubclass(branch, other) for other in others)
