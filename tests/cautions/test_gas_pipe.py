"""Pipe flow by hand, branch trees, and the limits of what a table says."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.gas_pipe import (
    ALLOWED_DROP_KPA,
    GASES,
    check_gas_pipe,
    flexible_tube_capacity_kw,
    pipe_capacity_m3_per_h,
    pressure_drop_kpa,
)
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.job.site import GasPipe, PipeSize

KW_PER_BTUH = 2.930710702e-4
NATURAL, PROPANE = EnergySource.NATURAL_GAS, EnergySource.PROPANE
GAS = GASES[NATURAL]

TREE = {
    "segments": [
        {"name": "trunk", "size": "1 in", "length": "20 ft"},
        {"name": "furnace", "after": "trunk", "size": "3/4 in", "length": "10 ft",
         "load": "80000 Btu/h"},
        {"name": "heater", "after": "trunk", "size": "1/2 in", "length": "20 ft",
         "feeds_heater": True},
    ]
}  # fmt: skip


def tree(**changes: object) -> GasPipe:
    return GasPipe.model_validate({**TREE, **changes})


def test_drop_is_the_inverse_of_capacity():
    flow = pipe_capacity_m3_per_h(20.9, 12.0, 0.1, GAS) * GAS.heat_kwh_per_m3
    assert pressure_drop_kpa(flow, 20.9, 12.0, GAS) == pytest.approx(0.1)


def test_no_flow_loses_no_pressure():
    assert pressure_drop_kpa(0.0, 20.9, 12.0, GAS) == 0.0


def test_capacity_depends_on_drop_over_length_alone():
    assert pipe_capacity_m3_per_h(20.9, 6.0, 0.1, GAS) == pytest.approx(
        pipe_capacity_m3_per_h(20.9, 12.0, 0.2, GAS)
    )


def test_pipe_without_length_is_refused():
    with pytest.raises(OutOfRangeError, match="above 0"):
        pipe_capacity_m3_per_h(20.9, 0.0, 0.1, GAS)


@given(st.floats(10.0, 60.0), st.floats(1.0, 60.0), st.floats(1.01, 3.0))
def test_longer_pipe_never_carries_more(bore_mm, length_m, times):
    short = pipe_capacity_m3_per_h(bore_mm, length_m, ALLOWED_DROP_KPA, GAS)
    assert pipe_capacity_m3_per_h(bore_mm, times * length_m, ALLOWED_DROP_KPA, GAS) < short


def test_nothing_measured_gives_no_verdict():
    assert check_gas_pipe(GasPipe(), NATURAL, 11.7, 0.0) is None
    assert check_gas_pipe(GasPipe(size=PipeSize.N_3_4), NATURAL, 11.7, 0.0) is None


def test_tree_adds_the_flows_of_its_branches():
    check = check_gas_pipe(tree(), NATURAL, 40_000 * KW_PER_BTUH, 0.0)
    flows = {s.name: s.flow_kw / KW_PER_BTUH for s in check.segments}
    assert flows == pytest.approx({"trunk": 120_000, "furnace": 80_000, "heater": 40_000})
    assert check.total_kw / KW_PER_BTUH == pytest.approx(120_000)


def test_tree_is_sized_by_its_longest_run():
    check = check_gas_pipe(tree(), NATURAL, 40_000 * KW_PER_BTUH, 0.0)
    assert check.longest_m == pytest.approx(40 * 0.3048)  # meter, trunk, heater
    # printed capacities at 40 ft and 0.5 in of water, 1000 Btu/ft3: 1 in 320, 3/4 in 170,
    # 1/2 in 81 thousand Btu/h (memory, equation-checked)
    printed = {"trunk": 320_000, "furnace": 170_000, "heater": 81_000}
    found = {s.name: s.capacity_kw / KW_PER_BTUH for s in check.segments}
    assert found == pytest.approx(printed, rel=0.01)
    assert not check.short


def test_only_the_short_segment_is_named_with_the_size_that_works():
    # 199 000 Btu/h: the branch needs 1 in (320 at 40 ft), the trunk then carries 279 of 320.
    check = check_gas_pipe(tree(), NATURAL, 199_000 * KW_PER_BTUH, 0.0)
    assert [s.name for s in check.short] == ["heater"]
    assert check.short[0].smallest_size is PipeSize.N_1


def test_drop_to_the_heater_sums_its_way_only():
    check = check_gas_pipe(tree(), NATURAL, 40_000 * KW_PER_BTUH, 0.0)
    by_name = {s.name: s.drop_kpa for s in check.segments}
    assert check.drop_kpa == pytest.approx(by_name["trunk"] + by_name["heater"])


def test_fittings_lengthen_the_run():
    # 30 diameters an elbow, 60 a tee (handbook values, memory): 1/2 in bore 0.622 in
    bent = GasPipe.model_validate(
        {"size": "1/2 in", "length": "20 ft", "elbows": 4, "tees": 1, "dedicated": True}
    )
    check = check_gas_pipe(bent, NATURAL, 11.7, 0.0)
    assert check.longest_m == pytest.approx((20 + 0.622 / 12 * (4 * 30 + 60)) * 0.3048)


def test_single_run_counts_the_others_unless_dedicated():
    run = {"size": "3/4 in", "length": "40 ft"}
    shared = check_gas_pipe(GasPipe.model_validate(run), NATURAL, 10.0, 20.0)
    alone = check_gas_pipe(GasPipe.model_validate({**run, "dedicated": True}), NATURAL, 10.0, 20.0)
    assert shared.segments[0].flow_kw == pytest.approx(30.0)
    assert alone.segments[0].flow_kw == pytest.approx(10.0)


def test_copper_of_the_same_name_carries_less_than_steel():
    # type L 1/2 in has a bore of 0.545 in (ASTM B88, memory), schedule 40 0.622 in
    steel, copper = (
        check_gas_pipe(
            GasPipe.model_validate({"size": "1/2 in", "length": "20 ft", "material": material}),
            NATURAL, 10.0, 0.0,
        ).segments[0].capacity_kw
        for material in ("schedule_40", "copper_l")
    )  # fmt: skip
    assert copper / steel == pytest.approx((0.545 / 0.622) ** 2.623)


def test_flexible_tube_uses_the_next_longer_row():
    at_20, at_16 = (
        flexible_tube_capacity_kw(PipeSize.EHD_23, feet * 0.3048, PROPANE) for feet in (20, 16)
    )
    assert at_16 == at_20


def test_flexible_tube_is_unknown_for_natural_gas_and_beyond_the_table():
    assert flexible_tube_capacity_kw(PipeSize.EHD_23, 6.0, NATURAL) is None
    assert flexible_tube_capacity_kw(PipeSize.EHD_23, 30.0, PROPANE) is None


def test_flexible_tube_in_a_tree_has_no_drop_and_no_verdict_for_natural_gas():
    pipe = GasPipe.model_validate({"size": "EHD 23", "length": "20 ft", "material": "csst"})
    check = check_gas_pipe(pipe, NATURAL, 10.0, 0.0)
    assert check.drop_kpa is None
    assert [s.name for s in check.unknown] == ["meter to heater"]
    assert not check.short
