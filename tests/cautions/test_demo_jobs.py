"""The demo jobs, option by option: what a plumber would stop and what he would require.

Judged by hand from the invented houses in datasets/jobs, not from a published source.
"""

from __future__ import annotations

import pytest

from heatersel.cautions import Severity, SiteFacts, cautions_for
from heatersel.climate import climate
from heatersel.job.load import load_job
from heatersel.reference import dataset_path

ALWAYS = {"permit"}
HOT_WATER = {"scald-setpoint", "scald-vulnerable"}  # 125 F, a child of three, no valves known
FURNACE_STAYS = {"vent-left-behind"}  # the furnace is left alone on the brick chimney

REQUIRED = {
    "cold-family": {
        # like for like: the chimney serves, the closed system needs its expansion tank
        "gas-tank-50": HOT_WATER | {"closed-system"},
        # 6000 ft3 are too few for 80 000 and 50 000 Btu/h on room air; a fan cannot use a chimney
        "gas-power-vent-50": HOT_WATER | FURNACE_STAYS
        | {"closed-system", "air-room-volume", "vent-kind"},
        # 3/4 in at 40 ft carries 170 000 of 279 000 Btu/h
        "gas-tankless-199": HOT_WATER | FURNACE_STAYS
        | {"closed-system-tankless", "descaling-valves", "vent-kind", "gas-pipe"},
        "gas-tankless-condensing-199": HOT_WATER | FURNACE_STAYS
        | {"closed-system-tankless", "descaling-valves", "vent-kind", "gas-pipe",
           "condensate-acid"},
        "heat-pump-65": HOT_WATER | FURNACE_STAYS | {"closed-system", "circuit-tank"},
        # 62 A and 40 % of 112.5 A on a 100 A service, six poles where two are free
        "electric-tankless-27": HOT_WATER | FURNACE_STAYS
        | {"closed-system-tankless", "descaling-valves", "circuit-tankless", "panel-spaces",
           "service-load"},
    },
    "warm-bungalow": {
        "electric-tank-50": set(),
        "heat-pump-50": {"heat-pump-condensate"},  # no floor drain in the garage
        "electric-tankless-27": {"descaling-valves", "circuit-tankless"},
    },
    "propane-well": {
        # 1100 ft3 beside 120 000 Btu/h of furnace and range
        "propane-tank-50": {"tempering-valve-planned", "air-room-volume"},
        "propane-tankless-199": {"tempering-valve-planned", "descaling-valves", "vent-kind"},
        "heat-pump-80": {"tempering-valve-planned", "circuit-tank"},
    },
    "town-house-ca": {
        "electric-tank-50": {"scald-vulnerable"},
        "heat-pump-50": {"scald-vulnerable"},
        "electric-tankless-27": {
            "scald-vulnerable", "circuit-tankless", "panel-spaces", "service-load-canada"},
    },
}  # fmt: skip

CASES = [(job, heater) for job, options in REQUIRED.items() for heater in options]


def report(name: str, heater):
    job = load_job(dataset_path(f"jobs/{name}.toml"))
    place = climate(job.place.climate)
    facts = SiteFacts(
        region=place.region, design_inlet_c=4.0, setpoint_c=job.preferences.setpoint_c,
        elevation_m=job.place.elevation_m or place.elevation_m, daily_hot_l=250.0,
        coldest_air_c=min(place.monthly_air_c),
    )  # fmt: skip
    return cautions_for(job, heater, facts)


@pytest.mark.parametrize(("job", "heater"), CASES)
def test_what_must_be_added(heater_of, job, heater):
    found = report(job, heater_of(heater)).cautions
    musts = {caution.id for caution in found if caution.severity is Severity.MUST}
    assert musts == REQUIRED[job][heater] | ALWAYS


@pytest.mark.parametrize(("job", "heater"), CASES)
def test_nothing_of_these_is_stopped(heater_of, job, heater):
    assert report(job, heater_of(heater)).stops == ()


@pytest.mark.parametrize("job", REQUIRED)
def test_only_heaters_without_their_fuel_are_stopped(heaters, job):
    present = load_job(dataset_path(f"jobs/{job}.toml")).fuels
    for heater in heaters:
        stopped = {caution.id for caution in report(job, heater).stops}
        assert ("fuel-missing" in stopped) is (heater.energy_source not in present)


def test_thin_air_is_noted_in_the_high_house(heater_of):
    found = report("propane-well", heater_of("propane-tank-50")).cautions
    assert any(caution.id == "altitude" for caution in found)
