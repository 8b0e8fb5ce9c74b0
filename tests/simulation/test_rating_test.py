"""Every storage heater's label comes back from the simulated tests, or the row is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatersel.errors import InconsistentRatingError
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import DrawPattern
from heatersel.heaters.rated import standby_loss_w_per_k
from heatersel.simulation.laboratory import simulated_uefs
from heatersel.simulation.rating_test import calibrate, calibrated, rate, rate_all
from heatersel.simulation.tank import uncalibrated

STORAGE = tuple(heater for heater in load_heaters().heaters if not heater.is_tankless)
BY_ID = {heater.id: heater for heater in STORAGE}
GAS, HEAT_PUMP = BY_ID["gas-tank-40"], BY_ID["heat-pump-50"]


@pytest.fixture(scope="module")
def ratings():
    return {rating.id: rating for rating in rate_all(STORAGE)}


@pytest.mark.parametrize("id_", BY_ID)
def test_the_simulated_tests_give_the_label_back(ratings, id_):
    rating = ratings[id_]
    assert rating.consistent, rating.why_not
    assert rating.uef_simulated == pytest.approx(rating.uef_rated, abs=0.001)
    assert rating.first_hour_rating_simulated_l == pytest.approx(
        rating.first_hour_rating_rated_l, rel=0.03
    )


def test_closed_form_and_simulation_agree_within_two_hundredths_of_uef():
    # The closed form takes the tank as standing at 125 degF all day.
    sound = [heater for heater in STORAGE if heater.compressor_input_kw == 0.0]
    simulated = simulated_uefs([uncalibrated(heater) for heater in sound])
    assert np.abs(simulated - [heater.uef for heater in sound]).max() < 0.02


@pytest.mark.parametrize(
    "id_", [h.id for h in STORAGE if h.burns_fuel and h.heater_class != "oil_storage"]
)
def test_the_loss_stays_near_the_closed_form(ratings, id_):
    closed = standby_loss_w_per_k(BY_ID[id_])
    assert ratings[id_].standby_loss_w_per_k == pytest.approx(closed, rel=0.10)


def test_a_heat_pump_keeps_its_stated_loss_and_scales_its_cop(ratings):
    rating = ratings["heat-pump-50"]
    assert rating.standby_loss_w_per_k == HEAT_PUMP.standby_loss_w_per_k
    assert 0.7 < rating.cop_scale < 1.4


def test_more_loss_means_more_cop_for_the_same_rating():
    scales = [
        calibrate(replace(HEAT_PUMP, standby_loss_w_per_k=loss)).cop_scale
        for loss in (0.8, 1.3, 1.8)
    ]
    assert scales == sorted(scales)


def test_the_traces_show_the_day_of_the_simulated_use(ratings):
    rating = ratings["gas-tank-40"]
    assert rating.time_h.shape == rating.top_c.shape == (1440,)
    assert rating.draw_l_per_min.max() == pytest.approx(1.7 * 3.785411784)
    assert np.trapezoid(rating.input_kw, rating.time_h) == pytest.approx(
        rating.input_kw.sum() / 60.0, rel=0.02
    )
    assert rating.top_c.max() <= 125.0 / 1.8 - 32.0 / 1.8 + 0.01


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"uef": 0.80}, "below the recovery efficiency"),
        ({"input_kw": 0.0}, "above 0"),
        ({"first_hour_rating_l": 90.0, "draw_pattern": DrawPattern.LOW}, "without any heating"),
        ({"draw_pattern": DrawPattern.HIGH}, "the one for a first-hour rating of 68 gal"),
        (
            {"first_hour_rating_l": 400.0, "draw_pattern": DrawPattern.HIGH},
            "in the first-hour test",
        ),
    ],
)
def test_a_label_that_cannot_be_is_refused_with_the_reason(change, said):
    with pytest.raises(InconsistentRatingError, match=said):
        calibrate(replace(GAS, **change))


def test_the_rest_goes_on_without_a_row_at_fault():
    broken = replace(GAS, id="broken", uef=0.85)
    models, faults = calibrated((GAS, broken, HEAT_PUMP))
    assert [model.heater.id for model in models] == ["gas-tank-40", "heat-pump-50"]
    assert [fault.faults[0].name for fault in faults] == ["broken: uef"]


def test_the_report_of_a_row_at_fault_has_no_simulated_figures():
    rating = rate(replace(GAS, uef=0.85))
    assert not rating.consistent
    assert "below the recovery efficiency" in rating.why_not
    assert np.isnan(rating.uef_simulated)


def test_the_order_of_the_list_changes_nothing(ratings):
    again = {rating.id: rating for rating in rate_all(STORAGE[::-1])}
    for id_, rating in ratings.items():
        assert again[id_].uef_simulated == rating.uef_simulated
        assert again[id_].standby_loss_w_per_k == rating.standby_loss_w_per_k
