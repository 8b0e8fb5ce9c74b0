"""Pipe run and recirculation: limits, directions and errors."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import DrawYear, draw_year
from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.job.load import parse_job
from heatersel.simulation.distribution import (
    Insulation,
    LoopControl,
    PipeRun,
    loop_year,
    pipe_loss_w_per_m_k,
    pipe_year,
    wait_s,
)

RUN = PipeRun(material="copper_l", size="3/4 in", length_m=15.0)
ROOM_C = np.full(365, 20.0)
JOB = parse_job({"household": {"occupants": 3}, "place": {"climate": "Duluth, MN"}})
YEAR = draw_year(plan_draws(JOB.household), 3)


def one_draw(*starts, seconds=300.0, flow=6.0, temp_c=40.0):
    count = len(starts)
    return DrawYear(
        start_s=np.array(starts, dtype=float),
        duration_s=np.full(count, seconds, dtype=np.float32),
        mixed_flow_l_per_min=np.full(count, flow, dtype=np.float32),
        mixed_temp_c=np.full(count, temp_c, dtype=np.float32),
        fixture=np.zeros(count, dtype=np.uint8),
    )


def of_year(run=RUN, year=YEAR, **changes):
    settings = {"hot_c": 49.0, "use_temp_c": 40.0, "room_c": ROOM_C} | changes
    return pipe_year(run, year, **settings)


def test_a_longer_run_costs_more_of_everything():
    short, long = (of_year(dataclasses.replace(RUN, length_m=m)) for m in (5.0, 15.0))
    assert long.mean_wait_s > short.mean_wait_s
    assert long.wasted_l > short.wasted_l
    assert long.lost_kwh > short.lost_kwh


def test_insulation_spares_waiting_and_heat():
    insulated = of_year(dataclasses.replace(RUN, insulation=Insulation.HALF_INCH))
    assert insulated.cold_starts < of_year().cold_starts
    assert insulated.lost_kwh < of_year().lost_kwh


def test_first_draw_of_the_day_waits_for_the_whole_pipe():
    result = of_year(year=one_draw(36000.0))
    assert result.cold_starts == 1
    assert result.mean_wait_s == pytest.approx(wait_s(RUN, 6.0))
    assert result.wasted_l == pytest.approx(1.25 * RUN.volume_l)


def test_a_draw_soon_after_another_waits_for_nothing():
    assert of_year(year=one_draw(36000.0, 36400.0)).cold_starts == 1


def test_nobody_waits_longer_than_the_draw_lasts():
    result = of_year(year=one_draw(36000.0, seconds=5.0))
    assert result.mean_wait_s == pytest.approx(5.0)
    assert result.wasted_l == pytest.approx(0.5)


def test_machines_do_not_wait():
    assert of_year(year=one_draw(36000.0, temp_c=1000.0)).cold_starts == 0


def test_heat_lost_is_at_most_what_the_pipe_held():
    result = of_year(year=one_draw(36000.0, 80000.0))
    held_kwh = 2.0 * 1.19 * 0.00114665 * RUN.volume_l * 29.0
    assert result.lost_kwh == pytest.approx(held_kwh, rel=1e-3)


def test_no_pipe_and_a_hot_pipe_cost_no_waiting():
    assert of_year(dataclasses.replace(RUN, length_m=0.0)).cold_starts == 0
    assert of_year(kept_hot=True).wasted_l == 0.0


def test_long_waits_are_those_over_thirty_seconds():
    slow = of_year(year=one_draw(36000.0, flow=3.0))
    assert slow.mean_wait_s > 30.0
    assert slow.long_waits == 1


def test_less_pumping_costs_less():
    years = {c: loop_year(RUN, control=c, hot_c=49.0, room_c=ROOM_C) for c in LoopControl}
    pumps = [years[c].pump_kwh for c in ("continuous", "timer", "temperature", "demand")]
    assert pumps == sorted(pumps, reverse=True)
    assert years["demand"].loss_kwh < years["timer"].loss_kwh < years["continuous"].loss_kwh
    assert years["temperature"].loss_kwh == years["continuous"].loss_kwh


def test_loop_loss_as_a_coefficient_gives_the_same_heat():
    year = loop_year(RUN, control=LoopControl.TIMER, hot_c=49.0, room_c=ROOM_C)
    assert year.mean_loss_w_per_k * 29.0 * 8.76 == pytest.approx(year.loss_kwh)
    assert year.return_c == pytest.approx(44.0)


def test_a_hotter_store_never_loses_less_in_the_loop():
    losses = [
        loop_year(RUN, control=LoopControl.CONTINUOUS, hot_c=c, room_c=ROOM_C).loss_kwh
        for c in (45.0, 50.0, 60.0)
    ]
    assert losses == sorted(losses)


def test_unknown_pipe_lists_the_sizes_of_its_material():
    with pytest.raises(UnknownChoiceError, match="pex_sdr_9: 1 in, 1-1/2 in"):
        PipeRun(material="pex_sdr_9", size="5/8 in", length_m=10.0)
    with pytest.raises(UnknownChoiceError, match="copper_k, copper_l"):
        PipeRun(material="lead", size="1/2 in", length_m=10.0)
    with pytest.raises(UnknownChoiceError, match="1/2 in"):
        pipe_loss_w_per_m_k("9 in")


@pytest.mark.parametrize("length_m", [-1.0, 500.0])
def test_impossible_length_is_refused(length_m):
    with pytest.raises(OutOfRangeError, match="measure along the pipe"):
        dataclasses.replace(RUN, length_m=length_m)


def test_no_flow_no_wait():
    with pytest.raises(OutOfRangeError, match="open the fixture"):
        wait_s(RUN, 0.0)


@pytest.mark.parametrize("setting", [{"hours_per_day": 30.0}, {"starts_per_day": -1.0}])
def test_impossible_timer_is_refused(setting):
    with pytest.raises(OutOfRangeError, match="count one day of the pump"):
        loop_year(RUN, control=LoopControl.TIMER, hot_c=49.0, room_c=ROOM_C, **setting)
