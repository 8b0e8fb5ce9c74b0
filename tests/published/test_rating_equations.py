"""The simulated rating tests against the federal method and figures published from it."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import DrawPattern, EnergySource
from heatersel.heaters.rated import rating_day_heat_kwh
from heatersel.simulation.laboratory import (
    PATTERNS,
    laboratory_draws,
    simulated_first_hours_l,
    simulated_use,
)
from heatersel.simulation.rating_test import calibrate, rate_all

GAL = 3.785411784
HEATERS = {heater.id: heater for heater in load_heaters().heaters}
STORAGE = tuple(heater for heater in HEATERS.values() if not heater.is_tankless)


@pytest.mark.parametrize(
    ("pattern", "gal", "n_draws"),
    [("very_small", 10, 9), ("low", 38, 11), ("medium", 55, 12), ("high", 84, 14)],
)
def test_the_draw_patterns_have_their_volume_and_number(pattern, gal, n_draws):
    # 10 CFR 430 Subpart B Appendix E, tables of the four patterns (from memory, high).
    years, pieces = laboratory_draws()
    year = PATTERNS.index(DrawPattern(pattern))
    mine = pieces[years[year] : years[year + 1]]
    litres = (mine["end_s"] - mine["start_s"]) * mine["flow_l_per_s"][:, 0]
    assert litres.sum() / GAL == pytest.approx(gal, abs=1e-9)
    assert mine.size == n_draws


def test_the_first_draw_of_the_high_pattern_is_27_gallons_at_three_a_minute():
    # Appendix E (from memory, high): 27 gal at 3 gal/min, so nine minutes.
    years, pieces = laboratory_draws()
    first = pieces[years[PATTERNS.index(DrawPattern.HIGH)]]
    assert (first["end_s"] - first["start_s"]) / 60.0 == pytest.approx(9.0)


@pytest.mark.parametrize(("uef", "kwh"), [(3.8, 855), (2.2, 1476), (0.95, 3437)])
def test_annual_energy_from_the_rating(uef, kwh):
    # US DOE FEMP purchasing guidance, heat-pump water heaters, typical use (seen): within 1 %.
    annual = 365.0 * rating_day_heat_kwh(DrawPattern.MEDIUM) / uef
    assert annual == pytest.approx(kwh, rel=0.01)


def test_the_simulated_day_delivers_the_heat_of_the_label():
    # Appendix E: 55 gal x 8.24 lb/gal x 1.00 x 67 degF = 30 364 Btu (from memory, worked by
    # hand); the thermostat's band leaves the outlet a little below 125 degF.
    model = calibrate(HEATERS["electric-tank-50"])
    delivered_kwh = simulated_use([model], 1).totals["out_kj"][0, 0] / 3600.0
    assert delivered_kwh * 3412.142 == pytest.approx(30_364, rel=0.03)


@pytest.mark.parametrize("id_", [h.id for h in STORAGE if h.id.startswith("electric")])
def test_electric_tanks_lose_less_than_the_law_allows(id_):
    # B.C. Energy Efficiency Act, bulletin 09-04 (seen): at 182 L at most 61 W (top inlet) and
    # 76 W (bottom inlet), 25 + 0.20 V and 40 + 0.20 V up to 270 L, 0.472 V - 48.5 / -33.5 above,
    # at 44.4 K over the room (CSA C191, from memory). Federal tanks of 2015 and later lose less.
    heater = HEATERS[id_]
    volume = heater.volume_l
    allowed_w = 40.0 + 0.20 * volume if volume <= 270.0 else 0.472 * volume - 33.5
    assert 10.0 < calibrate(heater).standby_loss_w_per_k * 44.4 < allowed_w


def test_atmospheric_gas_tanks_lose_what_the_literature_says():
    # Centre-flue gas tanks 7 to 10.6 Btu/(h degF), flue and pilot included (derived from old
    # ratings, medium); our row's pilot puts part of it back.
    loss = calibrate(HEATERS["gas-tank-40"]).standby_loss_w_per_k / 0.5275
    assert 6.0 < loss < 10.6


@pytest.mark.parametrize(
    ("id_", "draw_gal", "recovery_gal"),
    [("gas-tank-40", 70, 30), ("gas-tank-50", 82, 32), ("electric-tank-50-fast", 72, 22),
     ("electric-tank-40", 58, 18), ("oil-tank-30", 89, 59)],
)  # fmt: skip
def test_first_hour_ratings_stand_below_the_old_one_hour_draw(id_, draw_gal, recovery_gal):
    # HUD-FHA Minimum Property Standards, one-hour draw = whole tank + recovery at 100 degF rise
    # (from memory, high). At the test's 67 degF the same input recovers 100/67 as much. The old
    # table takes the whole tank as usable and the burner as on for the whole hour, so a rating
    # reaches 0.7 to 1.0 of it (oil burners have grown since: up to 1.15).
    old_gal = draw_gal - recovery_gal + recovery_gal * 100.0 / 67.0
    share = calibrate_first_hour_gal(id_) / old_gal
    assert 0.7 < share < (1.2 if id_.startswith("oil") else 1.0)


def calibrate_first_hour_gal(id_):
    model = calibrate(HEATERS[id_])
    return simulated_first_hours_l([model], np.array([[model.mixing_frac]]))[0, 0] / GAL


def test_slower_inlet_stirring_never_lowers_a_fuel_tanks_first_hour():
    # More stirring of the store can only bring cold water up sooner.
    model = calibrate(HEATERS["gas-tank-50"])
    ratings = simulated_first_hours_l([model], np.array([[0.0, 0.1, 0.2]]))[0]
    assert ratings[0] > ratings[1] > ratings[2]


def test_all_energy_sources_of_storage_heaters_are_rated():
    rated = {HEATERS[rating.id].energy_source for rating in rate_all(STORAGE) if rating.consistent}
    assert rated == set(EnergySource)
