"""What a site visit adds to a job, and the branch trees that are refused."""

from __future__ import annotations

import pytest

from heatersel.errors import JobError
from heatersel.job.load import parse_job
from heatersel.job.site import PipeSize, ReliefFault

TRUNK = {"name": "trunk", "size": "1 in", "length": "20 ft"}
HEATER = {"name": "heater", "after": "trunk", "size": "3/4 in", "length": "10 ft",
          "feeds_heater": True}  # fmt: skip


def home(**tables: object):
    job = parse_job(
        {"household": {"occupants": 2}, "place": {"climate": "Duluth, MN"}, "home": tables}
    )
    return job.home


def test_nothing_measured_is_none_and_never_false():
    site = home().site
    unknown = [name for name in type(site).model_fields if getattr(site, name) is None]
    assert {"tempering_valve", "co_alarm", "relief_faults", "draft_test"} <= set(unknown)


def test_quantities_arrive_in_si():
    site = home(site={"flue_area": "64 in2", "terminal_to_window": "36 inch",
                      "expansion_precharge": "60 psi"}).site  # fmt: skip
    assert site.flue_area_cm2 == pytest.approx(64 * 6.4516)
    assert site.terminal_to_window_m == pytest.approx(0.9144)
    assert site.expansion_precharge_kpa == pytest.approx(413.685, abs=0.01)


def test_looked_at_and_right_differs_from_not_looked_at():
    assert home(site={"relief_faults": []}).site.relief_faults == ()
    assert home(site={}).site.relief_faults is None


def test_faults_of_the_relief_valve_are_words():
    site = home(site={"relief_faults": ["trapped", "hidden"]}).site
    assert site.relief_faults == (ReliefFault.TRAPPED, ReliefFault.HIDDEN)


@pytest.mark.parametrize(
    ("site", "field"),
    [
        ({"relief_faults": ["rusty"]}, "relief_faults"),
        ({"flue_area": 64}, "flue_area"),
        ({"flue_area": "64 ft"}, "flue_area"),
        ({"co_alarm": "yes"}, "co_alarm"),
        ({"opens_to": "kitchen"}, "opens_to"),
        ({"code_year": 1850}, "code_year"),
    ],
)
def test_a_bad_fact_is_named(site, field):
    with pytest.raises(JobError, match=f"home.site.{field}"):
        home(site=site)


def test_a_tree_of_gas_pipe():
    pipe = home(gas_pipe={"segments": [TRUNK, HEATER]}).gas_pipe
    assert [segment.size for segment in pipe.segments] == [PipeSize.N_1, PipeSize.N_3_4]
    assert pipe.segments[0].after == "meter"


@pytest.mark.parametrize(
    ("segments", "why"),
    [
        ([TRUNK, {**HEATER, "after": "attic"}], "leads back to the meter"),
        ([{**TRUNK, "after": "heater"}, HEATER], "leads back to the meter"),  # a ring
        ([TRUNK, {**HEATER, "name": "trunk"}], "names that differ"),
        ([{**TRUNK, "name": "meter"}, HEATER], "names that differ"),
        ([TRUNK, {**HEATER, "feeds_heater": False}], "exactly one segment"),
        ([{**TRUNK, "feeds_heater": True}, HEATER], "exactly one segment"),
    ],
)
def test_a_tree_that_does_not_hang_together_is_refused(segments, why):
    with pytest.raises(JobError, match=why):
        home(gas_pipe={"segments": segments})
