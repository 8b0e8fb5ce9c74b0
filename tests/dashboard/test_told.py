"""What comes from a browser: checked for shape, size and files before it is worked on."""

from __future__ import annotations

import datetime as dt
import json
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.told import checked_tables, from_browser, signature, to_browser, told_of
from heatersel.errors import InputError, JobError

SCALARS = st.one_of(
    st.text(max_size=20), st.booleans(), st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False, allow_infinity=False), st.dates(),
    st.just(float("inf")), st.times().map(lambda time: time.replace(microsecond=0)),
)  # fmt: skip
TREES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.text(max_size=8).filter(lambda name: name != "toml"), inner, max_size=3
        )
    ),
    max_leaves=12,
)


def typed(value: object) -> object:
    """Return a value with the types of all its parts, since 4 and 4.0 count as equal."""
    if isinstance(value, dict):
        return {name: typed(item) for name, item in value.items()}
    if isinstance(value, list):
        return [typed(item) for item in value]
    return type(value), value


@given(TREES)
def test_every_value_of_a_file_survives_the_way_through_a_browser(value: object) -> None:
    there = json.loads(json.dumps(to_browser(value)))

    assert typed(from_browser(there)) == typed(value)


def test_equal_tables_have_one_signature() -> None:
    assert signature({"a": 1, "b": {"c": dt.date(2027, 1, 1)}}) == signature(
        tomllib.loads("b.c = 2027-01-01\na = 1")
    )


@pytest.mark.parametrize(
    "tables",
    [
        {"a": "x" * 500_000},
        {"a": [0] * 30_000},
        {"a": [{"b": 1}] * 400},
    ],
    ids=["long", "many values", "many tables"],
)
def test_more_than_one_household_is_refused(tables: dict[str, object]) -> None:
    with pytest.raises(InputError, match="one household"):
        checked_tables(tables)


def test_a_deep_tree_is_refused() -> None:
    tree: object = 1
    for _ in range(40):
        tree = {"a": tree}

    with pytest.raises(InputError, match="not understood"):
        from_browser(tree)


@pytest.mark.parametrize(
    ("prices", "name"),
    [
        ({"electricity": {"file": "/etc/passwd"}}, "prices.electricity.file"),
        ({"natural_gas": {"tariff": "../../secret"}}, "prices.natural_gas.tariff"),
        ({"solar": {"surplus": "/etc/passwd"}}, "prices.solar.surplus"),
    ],
)
def test_a_page_cannot_name_files(prices: dict[str, object], name: str) -> None:
    with pytest.raises(JobError) as trouble:
        checked_tables({"prices": prices})

    assert trouble.value.faults[0].name == name


def test_a_state_is_begun_with_place_and_people() -> None:
    people, place = {"household": {"occupants": {"adults": 2}}}, {"place": {"climate": "Boise, ID"}}

    assert told_of({"tables": people | place}).is_begun
    assert not told_of({"tables": people}).is_begun
    assert not told_of({"tables": place | {"household": {"occupants": {"adults": 0}}}}).is_begun
