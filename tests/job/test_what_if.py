"""What-ifs: one field of a job's tables set to another value."""

from __future__ import annotations

import pytest

from heatersel.errors import InputError
from heatersel.job.what_if import changed, parse_setting


def test_field_is_set_and_the_old_tables_stay():
    tables = {"place": {"supply": "municipal"}}

    assert changed(tables, "place.supply", "well") == {"place": {"supply": "well"}}
    assert tables == {"place": {"supply": "municipal"}}


def test_tables_on_the_way_are_made():
    assert changed({}, "home.panel.spare_poles", 2) == {"home": {"panel": {"spare_poles": 2}}}


def test_value_in_the_way_is_told():
    with pytest.raises(InputError, match="occupants holds a value; set it as a whole"):
        changed({"household": {"occupants": 4}}, "household.occupants.adults", 2)


@pytest.mark.parametrize(
    ("text", "setting"),
    [
        ("place.supply=well", ("place.supply", "well")),
        ("household.bedrooms = 5", ("household.bedrooms", 5)),
        ("home.floor_drain=true", ("home.floor_drain", True)),
        ('home.fuels=["electricity"]', ("home.fuels", ["electricity"])),
        ("preferences.setpoint=140 degF", ("preferences.setpoint", "140 degF")),
        ("title=a=b", ("title", "a=b")),
    ],
)
def test_setting_is_read_as_toml_where_it_is_toml(text, setting):
    assert parse_setting(text) == setting


@pytest.mark.parametrize("text", ["place.supply", "=well", " = well"])
def test_setting_without_field_or_sign_is_refused(text):
    with pytest.raises(InputError, match="FIELD=VALUE"):
        parse_setting(text)
