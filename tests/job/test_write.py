"""Jobs written back: the same job comes out, and a reader sees what can be changed."""

from __future__ import annotations

import re
import tomllib

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import jobs, tables

from heatersel.errors import JobError
from heatersel.job.keys import keys_of
from heatersel.job.load import load_job, parse_job, read_toml
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.write import job_tables, job_toml, to_toml, toml_value
from heatersel.reference import dataset_path

LEAST = {"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}}
SHIPPED = ["cold-family", "warm-bungalow", "propane-well", "town-house-ca"]


def told(text: str) -> list[str]:
    """The lines that are no comment."""
    return [line for line in text.splitlines() if line and not line.startswith("#")]


@settings(max_examples=60)
@given(jobs(), st.sampled_from(["us", "si"]))
def test_job_comes_back_exactly(job, system):
    again = parse_job(tomllib.loads(to_toml(job, system)))

    assert again == job
    assert list(again.defaults_used()) == list(job.defaults_used())


@settings(max_examples=60)
@given(tables())
def test_tables_come_back_exactly(found):
    assert tomllib.loads(job_toml(found)) == found


# tomlkit is an independent reader of TOML 1.0.
@settings(max_examples=20)
@given(jobs())
def test_another_reader_reads_the_same(job):
    text = to_toml(job)

    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_job_comes_back(name):
    job = load_job(dataset_path(f"jobs/{name}.toml"))

    assert parse_job(tomllib.loads(to_toml(job))) == job


@pytest.mark.parametrize("name", SHIPPED)
def test_amounts_of_a_shipped_job_stay_as_they_were_typed(name):
    path = dataset_path(f"jobs/{name}.toml")
    typed, written = read_toml(path), job_tables(load_job(path))

    assert written["place"] == typed["place"]
    assert written["preferences"] == typed["preferences"]


def test_only_what_was_told_is_written():
    assert told(to_toml(parse_job(LEAST))) == [
        "[household]",
        "[household.occupants]",
        "adults = 4                         # 18 or older; a bare number counts as adults; 0 to 30",
        "[place]",
        'climate = "Duluth, MN"             # the nearest place that the climate table knows',
    ]


@pytest.mark.parametrize("system", ["us", "si"])
def test_amount_keeps_the_unit_that_gives_a_short_number(system):
    place = LEAST["place"] | {"main_depth": "7 ft"}
    job = parse_job(LEAST | {"place": place, "preferences": {"setpoint": "49 degC"}})

    assert job_tables(job, system)["place"]["main_depth"] == "7 ft"
    assert job_tables(job, system)["preferences"]["setpoint"] == "49 degC"


def test_amount_without_a_short_number_is_written_in_the_units_of_the_reader():
    existing = {"energy_source": "electricity", "volume": "150.1234567890123 L"}
    job = parse_job(LEAST | {"existing": existing})

    assert job_tables(job, "us")["existing"]["volume"].endswith(" gal")
    assert job_tables(job, "si")["existing"]["volume"] == "150.1234567890123 L"


def all_keys(model: type[InputTable], path: str = "") -> list[tuple[str, str]]:
    """Table and name of every key outside arrays of tables."""
    found = []
    for key in keys_of(model):
        if key.table is None:
            found.append((path, key.name))
        elif not key.is_list:
            found += all_keys(key.table, f"{path}.{key.name}".lstrip("."))
    return found


def test_every_key_stands_in_the_file_with_a_comment():
    lines = to_toml(parse_job(LEAST)).splitlines()
    table, seen = "", set()
    for before, line in zip(["", *lines], lines, strict=False):
        heading = re.fullmatch(r"#?\[([a-z_.0-9]+)\]", line)
        if heading:
            table = heading[1]
            assert before.startswith("# "), line
        key = re.match(r"#?([a-z_0-9]+) = ", line)
        if key:
            seen.add((table, key[1]))
            assert "  # " in line or before.startswith("# "), line

    assert seen >= set(all_keys(Job))


def blocks() -> list[str]:
    """Each table of the file of the smallest job that is all comment, with the # taken away."""
    text = to_toml(parse_job(LEAST))
    parts = re.split(r"\n\n", text[text.index("# ---- Not told") :])
    return [re.sub(r"(?m)^#(?! \S)", "", part) for part in parts if "[" in part]


@pytest.mark.parametrize("block", blocks(), ids=lambda block: re.search(r"\[(.*?)\]", block)[1])
def test_example_table_can_be_told_as_it_stands(block):
    found = tomllib.loads(block)
    merged = {name: LEAST.get(name, {}) | table for name, table in found.items()}
    if "bills" in merged.get("household", {}):
        merged["household"]["bills"].pop("deliveries")  # one of the two ways
        merged["home"] = {"fuels": ["natural_gas"]}
    try:
        parse_job(LEAST | merged)
    except JobError as trouble:
        assert [fault.name for fault in trouble.faults] == ["prices.solar.surplus"]  # noqa: PT017


@pytest.mark.parametrize("system", ["us", "si"])
def test_examples_are_in_the_units_of_the_reader(system):
    text = to_toml(parse_job(LEAST | {"units": system}))
    shown = re.search(r'#setpoint = "(.*?)"', text)

    assert shown is not None
    assert shown[1] == ("120 degF" if system == "us" else "48.9 degC")


def test_lines_fit_the_page():
    lines = to_toml(parse_job(LEAST)).splitlines()

    assert [line for line in lines if len(line) > 100 and "{" not in line] == []


def test_keys_that_no_job_has_are_kept():
    odd = LEAST | {"my.own": 1, "notes": {"a b": [1, {"c": "d"}], "e": {"f": 1.5}}, "rows": [{}]}

    assert tomllib.loads(job_toml(odd)) == odd


@given(st.text())
def test_any_text_is_quoted_so_that_it_comes_back(text):
    text = text.encode("utf-8", "replace").decode()

    assert tomllib.loads(f"a = {toml_value(text)}")["a"] == text


@pytest.mark.parametrize(
    ("value", "toml"),
    [
        (True, "true"),
        (3, "3"),
        (1.0, "1.0"),
        ("7 ft", '"7 ft"'),
        ([1, 2], "[1, 2]"),
        ([], "[]"),
        ({}, "{}"),
        ({"a b": 1}, '{ "a b" = 1 }'),
    ],
)
def test_value_is_written_as_toml(value, toml):
    assert toml_value(value) == toml
