"""What the demand of a household says on a terminal."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

from heatersel.demand.report import demand_report
from heatersel.job.load import parse_job
from heatersel.terminal.demand import print_demand

GAS = [f"{t} therm" for t in (165, 140, 112, 68, 33, 17, 16, 16, 22, 62, 105, 152)]


def said(**tables: Any) -> str:
    """Print the demand of a small job, one simulated year, as one line without breaks."""
    job = {
        "household": {"occupants": 4} | tables.pop("household", {}),
        "place": {"climate": "Duluth, MN"} | tables.pop("place", {}),
        "home": {"fuels": ["natural_gas", "electricity"]},
    }
    text = io.StringIO()
    print_demand(Console(file=text, width=80), demand_report(parse_job(job | tables), n_years=1))
    assert max(len(line.rstrip()) for line in text.getvalue().splitlines()) <= 80
    return " ".join(text.getvalue().split())


def test_stated_hour_and_flow_are_placed_on_their_distributions():
    text = said(
        household={
            "fixtures": {"shower": 2}, "simultaneous": {"shower": 2}, "peak_hour": {"shower": 3},
        }
    )  # fmt: skip

    assert "Your busy hour (3 showers) is busier than" in text
    assert "What you named to run together suffices in 9" in text


def test_an_estimated_flow_says_why_it_lies_below_the_busy_moments():
    assert "idle ones counted and tubs left out" in said()


def test_bills_show_interval_parts_and_quality_of_the_fit():
    text = said(household={"bills": {"fuel": "natural_gas", "monthly": GAS}})

    assert "in 95 of 100 cases" in text
    assert "keep the tank warm" in text
    assert "CV(RMSE)" in text
    assert "R²" in text
    assert "long-term means" in text


def test_refused_bills_say_why_in_a_sentence():
    monthly = [f"{t} therm" for t in (20, 150, 10, 90, 140, 5, 90, 12, 160, 8, 40, 99)]
    text = said(household={"bills": {"fuel": "natural_gas", "monthly": monthly}})

    assert "around the fit, more than 25%. The volumes above rest on the people instead." in text


def test_bills_of_a_fuel_that_heats_no_water_have_no_fit_to_show():
    bills = {"fuel": "natural_gas", "monthly": GAS, "heats_water": False}

    assert "This fuel does not heat the water. The volumes" in said(household={"bills": bills})


def test_a_place_outside_the_data_is_told_to_measure():
    assert "measure the cold tap in winter" in said(place={"climate": "Winnipeg, MB"})


@pytest.mark.parametrize(("people", "words"), [(1, "1 adult in Duluth, MN uses"), (2, "MN use ")])
def test_one_person_uses_and_several_use(people: int, words: str):
    assert words in said(household={"occupants": people})


def test_half_a_degree_is_not_shown_as_freezing():
    text = said(units="si", place={"main_depth": "3 ft"})

    assert "0.5 °C" in text
    assert " 0 °C" not in text
