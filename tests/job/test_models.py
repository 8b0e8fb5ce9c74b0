"""The job's models: what they hold, what they assume, and what contradicts itself."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from heatersel.errors import JobError
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job
from heatersel.job.models import Fixture, Job

LEAST = {"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}}


def job(**tables: object) -> Job:
    return parse_job({**LEAST, **tables})


def sentence(**tables: object) -> str:
    with pytest.raises(JobError) as trouble:
        job(**tables)
    return str(trouble.value)


def test_occupants_and_place_are_all_a_job_needs():
    assert job().household.occupants.total == 4
    assert job().place.climate == "Duluth, MN"


def test_bare_number_of_people_counts_as_adults():
    people = job().household.occupants

    assert (people.adults, people.teenagers, people.children) == (4, 0, 0)


def test_people_of_each_kind_add_up():
    people = job(household={"occupants": {"adults": 2, "teenagers": 1, "children": 3}})

    assert people.household.occupants.total == 6


@pytest.mark.parametrize("people", [0, -1, 31, {}, {"adults": 0}, {"adults": 30, "children": 1}])
def test_nobody_and_a_crowd_are_refused(people):
    assert "1 to 30 people" in sentence(household={"occupants": people})


@pytest.mark.parametrize("people", [2.5, True, "four", None, [4]])
def test_people_are_whole_numbers(people):
    assert "a whole number" in sentence(household={"occupants": people})


def test_model_is_frozen():
    with pytest.raises(ValidationError, match="frozen"):
        job().title = "another"


def test_defaults_are_listed_with_their_sources():
    listed = {default.field: default for default in job().defaults_used()}

    assert listed["household.bedrooms"].value == 3
    assert "WaterSense" in listed["household.fixture_flow.shower"].source
    assert all(default.source for default in listed.values())


def test_flow_of_a_fixture_that_is_not_there_is_no_default():
    house = job(household={"occupants": 2, "fixtures": {"bathtub": 0}})
    fields = {default.field for default in house.defaults_used()}

    assert "household.fixture_flow.shower" in fields
    assert not fields & {"household.fixture_flow.bathtub", "household.fixture_flow.body_spray"}


def test_told_values_are_not_listed_as_assumed():
    told = job(household={"occupants": 4, "bedrooms": 3})

    assert "household.bedrooms" not in {default.field for default in told.defaults_used()}


# ANSI/RESNET/ICC 301, from memory: water at the fixture is 105 degF.
def test_use_temperature_is_assumed_as_the_standard_has_it():
    assert job().household.use_temp_c == pytest.approx((105 - 32) / 1.8, abs=0.01)


# EPA WaterSense, from memory: shower heads at most 2.0 gal/min, lavatory faucets 1.5 gal/min.
@pytest.mark.parametrize(("fixture", "gal_per_min"), [("shower", 2.0), ("lavatory", 1.5)])
def test_fixture_flow_is_assumed_as_labelled(fixture, gal_per_min):
    flow_l_per_min = job().household.fixture_flow.of(Fixture(fixture))

    assert flow_l_per_min == pytest.approx(gal_per_min * 3.785411784, rel=1e-3)


def test_what_nobody_measured_is_none():
    home = job().home

    assert home.static_pressure_kpa is None
    assert home.backflow_preventer is None
    assert home.site.expansion_tank is None


def test_house_without_a_list_of_fuels_has_electricity_and_what_is_there_now():
    now = job(existing={"energy_source": "propane"})

    assert job().fuels == (EnergySource.ELECTRICITY,)
    assert now.fuels == (EnergySource.PROPANE, EnergySource.ELECTRICITY)


def test_existing_heater_burns_what_the_house_has():
    text = sentence(existing={"energy_source": "natural_gas"}, home={"fuels": ["electricity"]})

    assert "existing.energy_source is natural_gas" in text
    assert "add it to home.fuels" in text


def test_use_temperature_stays_below_the_setpoint():
    household = {"occupants": 4, "use_temperature": "118 degF"}
    text = sentence(household=household, preferences={"setpoint": "115 degF"})

    assert "household.use_temperature is 118.0 degF" in text
    assert "at most preferences.setpoint, 115.0 degF" in text


def test_no_more_runs_together_than_is_installed():
    household = {"occupants": 4, "fixtures": {"shower": 2}, "simultaneous": {"shower": 3}}

    assert "household.simultaneous.shower is 3; allowed: at most 2" in sentence(household=household)


def test_fixture_that_is_not_there_is_not_used():
    household = {"occupants": 4, "peak_hour": {"soaking_tub": 1}}

    assert "household.peak_hour.soaking_tub is 1; allowed: at most 0" in sentence(
        household=household
    )


def test_inlet_table_needs_a_reading():
    place = {"climate": "Duluth, MN", "inlet": {}}

    assert 'an example is january = "40 degF"' in sentence(place=place)


def test_months_without_a_reading_are_none():
    place = {"climate": "Duluth, MN", "inlet": {"march": "41 degF"}}
    readings = job(place=place).place.inlet

    assert readings is not None
    assert readings.monthly_c[2] == pytest.approx(5.0)
    assert readings.monthly_c.count(None) == 11


def test_unknown_place_names_the_nearest():
    assert "did you mean Duluth, MN" in sentence(place={"climate": "Duluht, MN"})


def test_another_setpoint_leaves_the_rest():
    hotter = job().at_setpoint(60.0)

    assert hotter.preferences.setpoint_c == 60.0
    assert hotter.household == job().household


@pytest.mark.parametrize(
    ("tables", "heats"),
    [
        ({}, True),
        ({"home": {"other_gas_input": "0 Btu/h"}}, False),
        ({"home": {"other_gas_input": "60000 Btu/h"}}, True),
        ({"prices": {"other_use": {"natural_gas": "0 therm/month"}}}, False),
        ({"prices": {"other_use": {"natural_gas": "50 therm/month"}}}, True),
    ],
)
def test_a_fuel_that_only_heats_water_does_not_heat_the_house(
    tables: dict[str, dict[str, object]], heats: bool
) -> None:
    home = {"fuels": ["natural_gas", "electricity"], **tables.get("home", {})}
    found = job(**{**tables, "home": home}).heating_fuels

    assert (EnergySource.NATURAL_GAS in found) is heats
    assert EnergySource.ELECTRICITY in found
