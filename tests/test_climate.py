"""The climate table against figures printed by its publishers, and how a place is found."""

from __future__ import annotations

import pytest

from heatersel.climate import Climate, climate, climates
from heatersel.errors import UnknownChoiceError


def test_table_has_87_us_and_35_canadian_places():
    countries = [place.country for place in climates()]
    assert (countries.count("US"), countries.count("CA")) == (87, 35)


def test_places_are_unique_and_end_in_their_region():
    names = [place.place for place in climates()]
    assert len(set(names)) == len(names)
    assert all(place.place.endswith(f", {place.region}") for place in climates())


def test_every_state_and_province_has_a_place():
    regions = {place.region for place in climates()}
    states = (
        "AL AK AZ AR CA CO CT DE DC FL GA HI ID IL IN IA KS KY LA ME MD MA MI MN MS MO MT NE NV "
        "NH NJ NM NY NC ND OH OK OR PA RI SC SD TN TX UT VT VA WA WV WI WY"
    )
    provinces = "AB BC MB NB NL NS NT NU ON PE QC SK YT"
    assert regions == {*states.split(), *provinces.split()}


def test_new_york_is_as_the_weather_service_prints_it():
    # NOAA climate summary for Central Park, 1981-2010 (seen): monthly means in degF.
    printed_f = (32.6, 35.3, 42.5, 53.0, 62.4, 71.4, 76.5, 75.2, 68.0, 56.9, 47.7, 37.5)
    found_f = [1.8 * air_c + 32.0 for air_c in climate("New York, NY").monthly_air_c]
    # March is 42.4 when the daily normals are averaged.
    assert found_f == pytest.approx(printed_f, abs=0.11)


@pytest.mark.parametrize(
    ("place", "annual_f", "swing_f"),
    [
        # NOAA 1981-2010 normals averaged by month (seen).
        ("Phoenix, AZ", 75.0, 39.4),
        ("International Falls, MN", 37.5, 60.8),
        ("Duluth, MN", 39.7, 55.6),
        ("Honolulu, HI", 77.7, 8.7),
        ("Fairbanks, AK", 27.7, 70.4),
    ],
)
def test_yearly_mean_and_swing_of_us_places(place, annual_f, swing_f):
    found = climate(place)
    # Each monthly mean is printed to 0.1 degF.
    assert 1.8 * found.annual_mean_c + 32.0 == pytest.approx(annual_f, abs=0.1)
    assert 1.8 * found.monthly_swing_k == pytest.approx(swing_f, abs=0.11)


@pytest.mark.parametrize(
    ("place", "annual_c", "swing_k"),
    [
        # Environment Canada 1960-1994 (seen).
        ("Ottawa, ON", 5.8, 31.9),
        ("Winnipeg, MB", 2.5, 37.9),
        ("Victoria, BC", 9.6, 12.8),
        ("Yellowknife, NT", -5.0, 44.4),
    ],
)
def test_yearly_mean_and_swing_of_canadian_places(place, annual_c, swing_k):
    found = climate(place)
    assert found.annual_mean_c == pytest.approx(annual_c, abs=0.1)
    assert found.monthly_swing_k == pytest.approx(swing_k, abs=0.11)


@pytest.mark.parametrize("place", climates(), ids=lambda place: place.place)
def test_every_place_is_on_the_map_and_colder_in_january_than_in_july(place):
    assert 18.0 < place.latitude_deg < 84.0
    assert -170.0 < place.longitude_deg < -50.0
    assert len(place.monthly_air_c) == 12
    assert -40.0 < min(place.monthly_air_c) <= max(place.monthly_air_c) < 40.0
    assert place.monthly_air_c[0] < place.monthly_air_c[6]


def test_mean_and_swing_of_a_worked_climate():
    even = Climate(
        place="Somewhere, XX", country="US", region="XX", latitude_deg=45.0, longitude_deg=-90.0,
        elevation_m=None, monthly_air_c=(-10.0,) * 6 + (20.0,) * 6, period="", status="invented",
    )  # fmt: skip
    # 181 days at -10 and 184 at 20.
    assert even.annual_mean_c == pytest.approx((181 * -10.0 + 184 * 20.0) / 365)
    assert even.monthly_swing_k == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("written", "place"),
    [
        ("duluth, mn", "Duluth, MN"),
        ("St Louis,MO", "St. Louis, MO"),
        ("Montréal, QC", "Montreal, QC"),
    ],
)
def test_capitals_accents_and_dots_do_not_matter(written, place):
    assert climate(written).place == place


@pytest.mark.parametrize(
    ("written", "nearest"),
    [
        ("Dulut, MN", "Duluth, MN"),
        ("Duluth", "Duluth, MN"),
        ("Duluth, WI", "Duluth, MN"),
        ("Bemidji, MN", "International Falls, MN"),
        ("", "or"),
    ],
)
def test_an_unknown_place_names_the_nearest(written, nearest):
    with pytest.raises(UnknownChoiceError, match=nearest) as trouble:
        climate(written)
    assert trouble.value.faults[0].name == "climate"
