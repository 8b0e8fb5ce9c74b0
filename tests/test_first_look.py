"""A first answer at once, and a full one that says how far it is."""

from __future__ import annotations

import pytest

from heatersel.api import compare, first_look
from heatersel.job.load import parse_job
from heatersel.job.models import Job


@pytest.fixture(scope="module")
def job() -> Job:
    return parse_job(
        {
            "household": {"occupants": 4},
            "place": {"climate": "Boise, ID"},
            "home": {"fuels": ["natural_gas", "electricity"]},
        }
    )


def test_a_first_look_takes_one_heater_of_each_kind_and_those_to_keep(job: Job) -> None:
    look = first_look(job, keep=["gas-tank-100"])

    kinds = [(o.heater.heater_class, o.heater.energy_source) for o in look.options]
    assert "gas-tank-100" in [option.id for option in look.options]
    assert len(kinds) == len(set(kinds)) + 1
    assert look.provenance["n_years"] == 1


def test_its_energy_is_close_to_that_of_all_years(job: Job) -> None:
    look = first_look(job)
    full = compare(job)

    for option in look.options:
        energy = sum(option.annual.energy_kwh.values())
        # 2 % as its docstring says; eight years differ that much from the first of them.
        assert energy == pytest.approx(
            sum(full.option(option.id).annual.energy_kwh.values()), rel=0.02
        )


def test_the_watch_sees_the_work_to_its_end_and_changes_nothing(job: Job) -> None:
    seen: list[tuple[int, int]] = []

    watched = compare(job, n_years=1, watch=lambda done, of: seen.append((done, of)))

    assert seen == sorted(seen)
    assert seen[-1][0] == seen[-1][1]
    assert len(seen) > 1
    assert watched.as_dict() == compare(job, n_years=1).as_dict()


def test_what_the_watch_raises_ends_the_work(job: Job) -> None:
    def stop(done: int, of: int) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        compare(job, n_years=1, watch=stop)
