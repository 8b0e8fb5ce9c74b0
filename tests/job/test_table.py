"""The base of every input table: frozen, strict about keys, honest about defaults."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from heatersel.job.quantities import Flow
from heatersel.job.table import DefaultUsed, InputTable, assumed, unknown


class Inner(InputTable):
    """A table inside another."""

    flow_l_per_min: Flow = assumed(7.5, "a source", "flow")


class Outer(InputTable):
    """A table with one of each."""

    rooms: int = assumed(3, "another source", ge=1)
    depth: float | None = unknown()
    inner: Inner = Inner()


def test_defaults_are_listed_under_their_file_keys_with_source():
    assert list(Outer().defaults_used("top")) == [
        DefaultUsed(field="top.rooms", value=3, attribute="rooms", source="another source"),
        DefaultUsed(
            field="top.inner.flow", value=7.5, attribute="flow_l_per_min", source="a source"
        ),
    ]


def test_value_that_equals_the_default_is_told_all_the_same():
    told = Outer.model_validate({"rooms": 3, "inner": {"flow": "7.5 L/min"}})

    assert list(told.defaults_used()) == []


def test_unknown_is_none_and_not_listed():
    assert Outer().depth is None
    assert "depth" not in {default.field for default in Outer().defaults_used()}


def test_limits_of_a_default_hold():
    with pytest.raises(ValidationError, match="greater than or equal to 1"):
        Outer.model_validate({"rooms": 0})


def test_unknown_key_is_refused():
    with pytest.raises(ValidationError, match="Extra inputs"):
        Outer.model_validate({"room": 3})
