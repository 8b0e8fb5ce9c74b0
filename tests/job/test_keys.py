"""Keys: what may stand in a job file, as the models have it."""

from __future__ import annotations

import pytest

from heatersel.job.bills import BillPeriod
from heatersel.job.keys import key_at, keys_of
from heatersel.job.models import Job, Panel
from heatersel.job.quantities import Quantity
from heatersel.job.tariff_table import TariffTable


def test_keys_stand_in_the_order_of_the_model_under_their_file_names():
    names = [key.name for key in keys_of(Panel)]

    assert names[:3] == ["service", "spare_poles", "calculated_load"]
    assert [key.attribute for key in keys_of(Panel)][:3] == list(Panel.model_fields)[:3]


def test_quantity_keeps_its_unit():
    key = key_at("home.panel.service")

    assert key is not None
    assert isinstance(key.reader, Quantity)
    assert key.reader.unit == "A"


@pytest.mark.parametrize(
    ("dotted", "allowed"),
    [
        ("place.supply", "municipal or well"),
        ("household.bedrooms", "1 to 15"),
        ("preferences.discount_rate", "0 to 0.25"),
        ("home.floor_drain", ""),
        ("preferences.seed", ""),
    ],
)
def test_allowed_names_choices_and_limits(dotted, allowed):
    key = key_at(dotted)

    assert key is not None
    assert key.allowed == allowed


def test_required_keys_have_no_default():
    required = [key.name for key in keys_of(Job) if key.required]

    assert required == ["household", "place"]
    assert all(key.default is None for key in keys_of(Job) if key.required)


def test_default_comes_with_its_source():
    key = key_at("household.fixture_flow.shower")

    assert key is not None
    assert key.default == pytest.approx(7.571)
    assert "WaterSense" in key.source


def test_list_of_tables_and_rows_beside_a_price_are_found():
    monthly, price = key_at("household.bills.monthly"), key_at("prices.electricity")

    assert monthly is not None
    assert (monthly.is_list, monthly.table) == (True, BillPeriod)
    assert price is not None
    assert (price.table, price.rows) == (None, TariffTable)
    assert key_at("prices.electricity.energy") is not None


@pytest.mark.parametrize("dotted", ["", "nothing", "home.nothing", "title.nothing", "home..vent"])
def test_unknown_path_is_none(dotted):
    assert key_at(dotted) is None
