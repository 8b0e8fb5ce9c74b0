"""Vent categories, what a vent serves, flue ratio and terminal distances."""

from __future__ import annotations

from dataclasses import replace

import pytest

from heatersel.cautions.jurisdiction import Country
from heatersel.cautions.venting import (
    Clearance,
    VentCategory,
    flue_ratio,
    terminal_clearance,
    vent_category,
    vent_serves,
)
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import VentType
from heatersel.job.models import VentPresent

KW_PER_BTUH = 2.930710702e-4
INCH = 0.0254


@pytest.mark.parametrize(
    ("heater", "category"),
    [
        ("gas-tank-40", VentCategory.I),
        ("oil-tank-30", VentCategory.OIL),
        ("gas-power-vent-40", VentCategory.DILUTED),
        ("gas-condensing-50", VentCategory.IV),
        ("gas-tankless-199", VentCategory.III),
        ("gas-tankless-condensing-199", VentCategory.IV),
        ("electric-tank-50", VentCategory.NONE),
    ],
)
def test_category(heater_of, heater, category):
    assert vent_category(heater_of(heater)) is category


@pytest.mark.parametrize(
    ("present", "heater", "serves"),
    [
        (VentPresent.MASONRY_CHIMNEY, "gas-tank-40", True),
        (VentPresent.B_VENT, "oil-tank-30", False),  # oil burns hotter than a B-vent allows
        (VentPresent.MASONRY_CHIMNEY, "gas-condensing-50", False),
        (VentPresent.PLASTIC_VENT, "gas-condensing-50", True),
        (VentPresent.PLASTIC_VENT, "gas-tankless-199", False),  # too hot for plastic
        (VentPresent.STAINLESS_VENT, "gas-tankless-199", True),
        (VentPresent.PLASTIC_VENT, "gas-tank-40", False),
        (VentPresent.PLASTIC_VENT, "gas-power-vent-40", True),  # common practice, no source
        (VentPresent.B_VENT, "gas-power-vent-40", False),
        (VentPresent.NONE, "gas-tank-40", False),
        (VentPresent.NONE, "heat-pump-50", True),
    ],
)
def test_what_stands_there_serves(heater_of, present, heater, serves):
    assert vent_serves(present, heater_of(heater)) is serves


def test_ratio_of_a_square_flue_to_its_own_hood_area():
    # 2 in hood: 3.1416 in2; a flue of the same area has ratio 1
    assert flue_ratio(3.14159265 * 6.4516, 2 * 25.4) == pytest.approx(1.0)


def test_ratio_needs_a_hood():
    with pytest.raises(OutOfRangeError, match="above 0"):
        flue_ratio(400.0, 0.0)


@pytest.mark.parametrize(
    ("btuh", "country", "vent", "year", "inches"),
    [
        # United States, direct vent (seen in appliance instructions)
        (10_000, Country.US, VentType.DIRECT_VENT, 2021, 6),
        (10_100, Country.US, VentType.DIRECT_VENT, 2021, 9),
        (50_000, Country.US, VentType.DIRECT_VENT, 2021, 9),
        (50_100, Country.US, VentType.DIRECT_VENT, 2021, 12),
        (150_000, Country.US, VentType.DIRECT_VENT, 2021, 12),
        (150_100, Country.US, VentType.DIRECT_VENT, 2018, None),  # memory
        (150_100, Country.US, VentType.DIRECT_VENT, 2015, 12),
        (40_000, Country.US, VentType.POWER_VENT, 2021, 48),
        # Canada, CSA B149.1 8.14.8 (seen as quoted)
        (10_000, Country.CANADA, VentType.DIRECT_VENT, 2021, 6),
        (10_100, Country.CANADA, VentType.POWER_VENT, 2021, 12),
        (100_000, Country.CANADA, VentType.DIRECT_VENT, 2021, 12),
        (100_100, Country.CANADA, VentType.DIRECT_VENT, 2021, 36),
        (199_000, Country.CANADA, VentType.DIRECT_VENT, 2021, 36),
    ],
)
def test_window_distance_by_input(heater_of, btuh, country, vent, year, inches):
    heater = replace(heater_of("gas-tankless-199"), input_kw=btuh * KW_PER_BTUH, vent_type=vent)
    found = terminal_clearance("window", heater, country, year)
    assert _inches(found) == (None if inches is None else pytest.approx(inches))


@pytest.mark.parametrize(
    ("item", "country", "inches"),
    [
        ("mechanical_inlet", Country.CANADA, 72), ("regulator", Country.CANADA, 36),
        ("grade", Country.CANADA, 12), ("grade", Country.US, 12),
        ("mechanical_inlet", Country.US, 120), ("regulator", Country.US, None),
    ],
)  # fmt: skip
def test_other_distances(heater_of, item, country, inches):
    found = terminal_clearance(item, heater_of("gas-tankless-199"), country, 2021)
    assert _inches(found) == (None if inches is None else pytest.approx(inches))


def _inches(found: Clearance | None) -> float | None:
    return None if found is None else found.distance_m / INCH


@pytest.mark.parametrize(
    ("item", "heater", "country", "inches"),
    [
        # IFGC 503.8, NFPA 54 (seen as quoted): 4 ft below or beside or 1 ft above an opening for a
        # power vent; 3 ft above a fan-driven inlet within 10 ft
        ("window", "gas-power-vent-50", Country.US, 12),
        ("window", "gas-direct-vent-40", Country.US, None),
        ("mechanical_inlet", "gas-power-vent-50", Country.US, 36),
        ("mechanical_inlet", "gas-tankless-199", Country.US, 36),
        ("window", "gas-power-vent-50", Country.CANADA, None),
        ("mechanical_inlet", "gas-power-vent-50", Country.CANADA, None),
    ],
)
def test_height_above_that_does_instead(heater_of, item, heater, country, inches):
    found = terminal_clearance(item, heater_of(heater), country, 2021)
    assert found.above_m == (None if inches is None else pytest.approx(inches * INCH))


def test_an_unknown_height_never_makes_a_short_distance_do():
    needed = Clearance(distance_m=48 * INCH, above_m=12 * INCH)
    assert needed.holds(48 * INCH, None)
    assert not needed.holds(24 * INCH, None)
    assert not needed.holds(24 * INCH, 11 * INCH)
    assert needed.holds(24 * INCH, 12 * INCH)


def test_two_units_end_in_two_terminals(heater_of):
    one = replace(heater_of("gas-tankless-199"), input_kw=90_000 * KW_PER_BTUH)
    both = replace(one, units=2, input_kw=2 * one.input_kw)
    for country in Country:
        alone = terminal_clearance("window", one, country, 2021)
        assert terminal_clearance("window", both, country, 2021) == alone
