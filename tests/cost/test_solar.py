"""Own solar surplus that the heater takes."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.cost.bill import Use
from heatersel.cost.solar import SolarSurplus

NOON = np.arange(8760) % 24 == 12
LOAD = Use(monthly_kwh=np.bincount(np.repeat(np.arange(12), [744, 672, 744, 720, 744, 720, 744, 744,
           720, 744, 720, 744]), np.ones(8760)), hourly_kwh=np.ones(8760))  # fmt: skip


def test_only_what_coincides_is_used() -> None:
    surplus = SolarSurplus(hourly_kwh=3.0 * NOON, export_per_kwh=0.05)

    assert float(surplus.used_kwh(LOAD).sum()) == pytest.approx(365.0)
    assert float(surplus.grid_use(LOAD).monthly_kwh.sum()) == pytest.approx(8760 - 365)
    assert surplus.forgone(LOAD) == pytest.approx(0.05 * 365)


def test_without_surplus_the_grid_supplies_all() -> None:
    none = SolarSurplus(hourly_kwh=np.zeros(8760))

    np.testing.assert_allclose(none.grid_use(LOAD).monthly_kwh, LOAD.monthly_kwh)


def test_more_surplus_never_leaves_more_for_the_grid() -> None:
    small, large = SolarSurplus(hourly_kwh=0.4 * NOON), SolarSurplus(hourly_kwh=0.9 * NOON)

    assert np.all(large.grid_use(LOAD).monthly_kwh <= small.grid_use(LOAD).monthly_kwh)
