"""The tool's smallest adequate tank beside the HUD-FHA minimum for each bathroom x bedroom row.

Source: HUD-FHA Minimum Property Standards, reprinted in ASHRAE Handbook HVAC Applications,
Service Water Heating (from memory, high; every row obeys draw = storage + recovery at 100 degF).
Conditions here: 140 degF store, 40 degF inlet (100 degF rise), people = bedrooms + 1.

The two differ for known reasons, none of them tuned away:

* The standard counts the whole tank as usable; a first-hour rating counts about 0.5 to 0.8 of it,
  so the tool asks for the next size or two up.
* The standard's electric rows ask for less hot water than its gas rows in the same house, since
  it accepts slower recovery; the tool asks for the same water whatever heats it.
* The standard's oil rows are the smallest burner on the market and far above any need.
* The standard grows with bathrooms; the tool grows with people.
* No resistance tank may be made between 55 and 75 gal, so the tool's list jumps from 55 to 80 gal;
  for six bedrooms even that one is a few per cent short where the standard counts all of it.
"""

from __future__ import annotations

from functools import cache

import pytest

from heatersel.api import SizedHeater, SizedJob, size
from heatersel.heaters.heater import HeaterClass
from heatersel.job.load import parse_job
from heatersel.reference import Record, records
from heatersel.sizing.verdict import Verdict

L_PER_GAL = 3.785411784
ROWS = records("ratings/hud_fha_minimum", {"bedrooms": "", "volume": "L", "one_hour_draw": "L"})
PLAIN_TANKS = (
    HeaterClass.ATMOSPHERIC_STORAGE,
    HeaterClass.ELECTRIC_STORAGE,
    HeaterClass.OIL_STORAGE,
)


@cache
def household(bathrooms: int, bedrooms: int) -> SizedJob:
    fixtures = {"shower": bathrooms, "bathtub": 1, "lavatory": bathrooms}
    return size(
        parse_job(
            {
                "household": {
                    "occupants": bedrooms + 1, "bedrooms": bedrooms, "fixtures": fixtures,
                },
                "place": {
                    "climate": "Chicago, IL",
                    "inlet": {month: "40 degF" for month in ("january", "july")},
                },
                "preferences": {"setpoint": "140 degF"},
            }
        )
    )  # fmt: skip


def sized(row: Record) -> SizedJob:
    return household(int(float(row["bathrooms_from"])), int(row["bedrooms"]))


def smallest_adequate(row: Record) -> SizedHeater | None:
    fits = [
        option
        for option in sized(row).options
        if option.heater.heater_class in PLAIN_TANKS
        and option.heater.energy_source == row["energy_source"]
        and option.sizing.verdict is not Verdict.SHORT
    ]
    return min(fits, key=lambda option: option.heater.volume_l, default=None)


def name(row: Record) -> str:
    return f"{row['energy_source']}-{row['bathrooms_from']}-baths-{row['bedrooms']:.0f}-bedrooms"


@pytest.mark.parametrize("row", ROWS, ids=name)
def test_the_smallest_adequate_tank_is_no_smaller_than_the_minimum(row: Record) -> None:
    """Rated volume is up to 10 % below the nominal one that the standard names."""
    found = smallest_adequate(row)

    assert found is None or found.heater.volume_l >= 0.9 * row["volume"]


def test_only_the_largest_electric_row_finds_no_tank() -> None:
    without = [name(row) for row in ROWS if smallest_adequate(row) is None]

    assert without == ["electricity-3-baths-6-bedrooms"]
    margins = [o.sizing.margin_frac for o in household(3, 6).options
               if o.heater.heater_class is HeaterClass.ELECTRIC_STORAGE]  # fmt: skip
    assert max(margins) > -0.10


@pytest.mark.parametrize("row", [r for r in ROWS if r["energy_source"] == "natural_gas"], ids=name)
def test_the_hot_water_of_the_busiest_hour_is_near_the_standards_draw(row: Record) -> None:
    """The 99th morning against the one-hour draw of the gas rows: within a third."""
    need_l = sized(row).demand.peak_hour_hot_water_l

    assert 0.75 < need_l / row["one_hour_draw"] < 1.35


@pytest.mark.parametrize("row", [r for r in ROWS if r["energy_source"] != "fuel_oil"], ids=name)
def test_the_tool_asks_for_less_than_three_times_the_minimum_volume(row: Record) -> None:
    found = smallest_adequate(row)

    assert found is None or found.heater.volume_l < 3.0 * row["volume"]
