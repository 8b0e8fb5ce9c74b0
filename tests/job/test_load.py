"""Reading job files: every fault in one go, in words, and never a traceback."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import tables

from heatersel.errors import JobError
from heatersel.job.keys import keys_of
from heatersel.job.load import load_job, parse_job, read_toml
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.reference import dataset_path

GOOD = '[household]\noccupants = 4\n\n[place]\nclimate = "Duluth, MN"\n'


def faults(text: str, folder: Path) -> str:
    """What is said about a job file of this text."""
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(JobError) as trouble:
        load_job(file)
    return str(trouble.value)


def test_good_file_is_read(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(GOOD, encoding="utf-8")

    assert load_job(file).household.occupants.total == 4


def test_file_with_a_byte_order_mark_is_read(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(GOOD, encoding="utf-8-sig")

    assert load_job(file).household.occupants.total == 4


@pytest.mark.parametrize("name", ["cold-family", "warm-bungalow", "propane-well", "town-house-ca"])
def test_shipped_job_is_read_and_says_that_it_is_invented(name):
    assert "invented" in load_job(dataset_path(f"jobs/{name}.toml")).title.lower()


def test_missing_file_says_how_to_make_one(tmp_path):
    with pytest.raises(JobError, match=r"none\.toml is missing.*heatersel new"):
        load_job(tmp_path / "none.toml")


def test_folder_is_not_a_file(tmp_path):
    with pytest.raises(JobError, match="unreadable; allowed: a text file"):
        load_job(tmp_path)


def test_other_encoding_is_refused(tmp_path):
    file = tmp_path / "job.toml"
    file.write_bytes("title = 'Orléans'".encode("latin-1"))
    with pytest.raises(JobError, match="a text file in UTF-8"):
        load_job(file)


def test_huge_file_is_refused_unread(tmp_path):
    assert "up to 1000000 bytes" in faults("#" * 1_000_001, tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        "occupants: 4",
        "[household",
        "title = 'a",
        "a = 1\na = 2",
        "a = " + "[" * 5000,
        "a = " + "9" * 5000,
    ],
)
def test_text_that_is_not_toml_says_where(text, tmp_path):
    assert "is not TOML; allowed: tables and keys" in faults(text, tmp_path)


def test_empty_file_says_what_to_add(tmp_path):
    text = faults("", tmp_path)

    assert "household is missing" in text
    assert "such as occupants = 4" in text
    assert 'such as climate = "Duluth, MN"' in text


def test_every_fault_is_told_at_once_with_file_and_field(tmp_path):
    text = faults(
        """
        colour = "red"
        [household]
        occupants = 4
        bedrooms = "three"
        fixtures = { shower = 1 }
        simultaneous = { shower = 2 }
        [household.fixture_flow]
        shower = "40 gal"
        [place]
        climate = "Duluth"
        main_depth = 7
        [home]
        fuels = ["electricity"]
        vnet = "none"
        static_pressure = "6500 psi"
        [existing]
        kind = "boiler"
        energy_source = "natural_gas"
        """,
        tmp_path,
    )
    fields = [line.split(": ")[1].split(" is ")[0] for line in text.splitlines()]

    assert sorted(fields) == [
        "colour", "existing.energy_source", "existing.kind", "home.static_pressure", "home.vnet",
        "household.bedrooms", "household.fixture_flow.shower", "household.simultaneous.shower",
        "place.climate", "place.main_depth",
    ]  # fmt: skip
    assert all(line.startswith(str(tmp_path / "job.toml")) for line in text.splitlines())
    assert all("; allowed: " in line for line in text.splitlines())


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("[home]\nvnet = 'none'", "home.vnet is not a known key; .*did you mean vent"),
        ("[home.pannel]\nservice = '100 A'", "home.pannel is not a known key; .*panel"),
        ("[existing]\nenergy_source = 'natural gas'", "did you mean natural_gas"),
        ("[home]\nvent = 'masonry'", "did you mean masonry_chimney"),
        ("[home]\nroom_volume = 6000", 'a number without a unit|such as "6000 ft3"'),
        ("[home]\nroom_volume = '40 gal/min'", "home.room_volume is '40 gal/min'.*to ft3"),
        ("[home]\nroom_volume = '6000'", 'write it with its unit, such as "6000 ft3"'),
        ("[home]\nother_gas_input = '80 MBtu/h'", "write MBH or MMBtu"),
        ("[home]\nfloor_drain = 'yes'", "true or false, without quotes"),
        ("[home]\nfloor_drain = 1", "floor_drain = true"),
        ("[home]\nfuels = 'natural_gas'", r"a list.*fuels = \["),
        ("[home]\nfuels = ['gas']", "natural_gas, propane, fuel_oil or electricity"),
        ("[home]\npanel = 100", r"a table; write it as \[home.panel\]"),
        ("[home.panel]\nspare_poles = -1", "a whole number, 0 to 84"),
        ("[home.panel]\nspare_poles = 2.5", "a whole number, 0 to 84"),
        ("[preferences]\nsetpoint = '200 degF'", "109.4 to 180.1 degF"),
        ("[preferences]\nstudy_years = 0", "a whole number, 1 to 40"),
        ("[preferences]\ndiscount_rate = '30 %'", "a number, 0 to 0.25"),
        ("[preferences]\ndiscount_rate = '3 degF'", "a number, 0 to 0.25"),
        ("[existing]\nkind = 'storage'", "existing.energy_source is missing"),
        ("[existing]\nenergy_source = 'propane'\nuef = 9", "less than 5"),
        ("[prices]\nelectricity = 0.14", '"0.14 USD/kWh"'),
        ("[prices]\npropane = '2 USD/gal'\nfuel_oil = '2 CAD/L'", "one currency throughout"),
        (
            "[prices.solar]\nsurplus = 'sun.csv'",
            "prices.solar.surplus is sun.csv, which is missing; .*beside the job file",
        ),
        ("title = 4", "text in quotes"),
    ],
)
def test_fault_says_what_is_allowed_and_how_to_mend_it(line, said, tmp_path):
    keys, tables = (line, "") if line.startswith("title") else ("", line)
    file = tmp_path / "job.toml"
    file.write_text(f"{keys}\n{GOOD}\n{tables}\n", encoding="utf-8")
    with pytest.raises(JobError, match=said) as trouble:
        load_job(file)
    assert len(trouble.value.faults) == 1


def test_contradiction_with_a_faulty_value_is_not_told(tmp_path):
    text = faults(
        GOOD.replace("= 4", '= 4\nuse_temperature = "121 degF"')
        + '[preferences]\nsetpoint = "140"',
        tmp_path,
    )

    assert "preferences.setpoint" in text
    assert "use_temperature" not in text


def test_value_is_cut_where_it_is_long(tmp_path):
    text = faults(GOOD + f'[home]\nvent = "{"x" * 5000}"', tmp_path)

    assert len(text) < 400


def test_files_of_a_job_lie_beside_it(tmp_path):
    (tmp_path / "own.toml").write_text(
        '[[electricity]]\nname = "own"\nenergy = "0.2 USD/kWh"', encoding="utf-8"
    )
    file = tmp_path / "job.toml"
    file.write_text(GOOD + '[prices]\nelectricity = { file = "own.toml" }', encoding="utf-8")

    found = load_job(file).prices.electricity
    assert isinstance(found, tuple)
    assert found[0].name == "own"


def test_toml_is_read_as_it_stands(tmp_path):
    file = tmp_path / "x.toml"
    file.write_text("a = [1, 2]\n[b]\nc = 2027-01-31", encoding="utf-8")

    assert read_toml(file) == {"a": [1, 2], "b": {"c": dt.date(2027, 1, 31)}}


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20), st.dates(),
    st.datetimes(), st.times(),
    st.sampled_from(
        ["120 degF", "7 ft", "2 gpm", "9**9**9 ft", "nan degF", "1e999 gal", "-40 degF", "storage",
         "0.14 USD/kWh", "1 CAD/L", "13 %", "7-11", "natural_gas", "3/4 in", "../x", "\x00"]
    ),
)  # fmt: skip
TREE = st.recursive(
    ODD,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


def odd_tables(model: type[InputTable], depth: int = 0) -> st.SearchStrategy[Any]:
    """Tables with the right keys and anything under them."""
    inner = {
        key.name: TREE | odd_tables(key.inside, depth + 1) if key.inside and depth < 3 else TREE
        for key in keys_of(model)
    }
    return st.fixed_dictionaries({}, optional=inner)


def outcome(found: Any) -> list[str]:
    """The sentences about a job, none for a good one; anything but a JobError passes through."""
    try:
        parse_job(found)
    except JobError as trouble:
        return [fault.sentence() for fault in trouble.faults]
    return []


@settings(max_examples=150)
@given(odd_tables(Job))
def test_any_tables_are_a_job_or_faults_in_words(found):
    assert all(line.strip(".") for line in outcome(found))


@settings(max_examples=100)
@given(tables(), st.data())
def test_one_spoilt_value_in_a_good_job_is_a_job_or_faults_in_words(found, data):
    table = data.draw(st.sampled_from([name for name, held in found.items() if held]))
    if isinstance(found[table], dict):
        key = data.draw(st.sampled_from(sorted(found[table])))
        found[table][key] = data.draw(TREE)
    else:
        found[table] = data.draw(TREE)

    assert all("; " in line for line in outcome(found))


@given(st.text(max_size=200))
def test_any_text_is_tables_or_an_error_of_ours(tmp_path_factory, text):
    file = tmp_path_factory.mktemp("fuzz") / "x.toml"
    file.write_text(text, encoding="utf-8", errors="replace")
    try:
        found = read_toml(file)
    except JobError as trouble:
        found = {"faults": trouble.faults}

    assert isinstance(found, dict)
