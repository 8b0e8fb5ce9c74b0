"""The default resolution against the finest, over ninety-six cases."""

from __future__ import annotations

import pytest

from heatersel.simulation.convergence import FINEST_GRAIN, convergence

BOUNDS = {"fuel": 0.001, "electric": 0.001, "heat pump": 0.003, "lifting heat pump": 0.003}
MISSED = dict.fromkeys(BOUNDS, 0.05) | {"lifting heat pump": 0.06}


@pytest.fixture(scope="module")
def found():
    return {one.kind: one for one in convergence()}


def test_there_are_ninety_six_cases(found):
    assert sum(one.n_cases for one in found.values()) == 96


@pytest.mark.parametrize("kind", BOUNDS)
def test_a_years_energy_is_within_its_bound(found, kind):
    assert found[kind].energy_worst_frac < BOUNDS[kind]


@pytest.mark.parametrize("kind", BOUNDS)
def test_missed_heat_is_within_its_bound(found, kind):
    assert found[kind].n_missing > 2
    assert found[kind].missed_worst_frac < MISSED[kind]


def test_the_finest_resolution_has_settled():
    # Against one twice as coarse in everything the finest moves less than half as far as the
    # default does from it.
    coarser = FINEST_GRAIN._replace(
        segments=80, slice_frac=2.0 * FINEST_GRAIN.slice_frac, merge_k=2e-3, heat_s=60.0, pump_k=0.2
    )
    for one, other in zip(convergence(), convergence(coarser), strict=True):
        assert other.energy_worst_frac == pytest.approx(
            one.energy_worst_frac, abs=0.5 * BOUNDS[one.kind]
        )
