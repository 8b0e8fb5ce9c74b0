from __future__ import annotations

import numpy as np
import pytest

from heatersel.job.load import parse_job
from heatersel.portfolio.outcome import ElectricLoad
from heatersel.portfolio.totals import HOURS, Totals

JOB = parse_job({"household": {"occupants": 2}, "place": {"climate": "Duluth, MN"}})


def load(seed: int, region: str = "MN") -> ElectricLoad:
    rng = np.random.default_rng(seed)
    return ElectricLoad(
        region=region, plan="flat price",
        before_kwh=rng.exponential(0.3, HOURS), after_kwh=rng.exponential(0.1, HOURS),
    )  # fmt: skip


def counted(*loads: ElectricLoad) -> Totals:
    totals = Totals()
    for one in loads:
        totals.count(JOB, one)
    return totals


def test_sums_do_not_depend_on_how_houses_are_shared_out() -> None:
    loads = [load(seed, "MN" if seed % 2 else "WI") for seed in range(6)]
    together = counted(*loads)

    apart = counted(*loads[4:])
    apart.add(counted(*loads[:1]))
    apart.add(counted(*loads[1:4]))

    assert apart.load_mwh.keys() == together.load_mwh.keys()
    for plan, both in together.load_mwh.items():
        np.testing.assert_array_equal(apart.load_mwh[plan], both)
    assert apart.defaults == together.defaults
    assert apart.houses == together.houses == 6


def test_the_load_of_a_group_is_the_sum_of_its_houses() -> None:
    one, other = load(1), load(2)

    before_kw, after_kw = counted(one, other).load_kw(("MN", "flat price"))

    assert before_kw == pytest.approx(one.before_kwh + other.before_kwh, abs=2e-6)
    assert after_kw == pytest.approx(one.after_kwh + other.after_kwh, abs=2e-6)


def test_a_house_without_a_heater_to_compare_with_counts_but_adds_no_load() -> None:
    totals = Totals()
    totals.count(JOB, None)

    assert totals.houses == 1
    assert not totals.load_mwh


@pytest.mark.parametrize("totals", [Totals(), counted(load(1), load(2, "ON"))])
def test_what_is_written_reads_back(totals: Totals) -> None:
    again, more = Totals.from_bytes(totals.to_bytes(parts=[1, 2]))

    assert more == {"parts": [1, 2]}
    assert (again.houses, again.defaults, again.assumed) == (
        totals.houses, totals.defaults, totals.assumed,
    )  # fmt: skip
    for plan, both in totals.load_mwh.items():
        np.testing.assert_array_equal(again.load_mwh[plan], both)


def test_a_default_is_kept_with_its_value_and_source() -> None:
    value, source = counted(load(1)).assumed["household.bedrooms"]

    assert value == "3"
    assert source
