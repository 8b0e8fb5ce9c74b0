"""Sums over houses that do not depend on the order or the sharing out of the houses.

Amounts are added as whole numbers (mWh), so that any partition and any number of workers gives
the same totals to the last digit.
"""

from __future__ import annotations

import io
import json
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.job.models import Job
from heatersel.portfolio.outcome import ElectricLoad

__all__ = ["HOURS", "Totals"]

HOURS = 8760
_MWH_PER_KWH = 1.0e6
_BEFORE, _AFTER = 0, 1

Plan = tuple[str, str]
"""Region and electricity plan of a group of houses."""


@dataclass(kw_only=True)
class Totals:
    """What has been added up over houses.

    Parameters
    ----------
    houses, failed : int
        Rows that gave a result, and rows that did not.
    defaults : Counter of str
        How many houses fell back on the default of each field.
    assumed : dict of str to (str, str)
        Value and source of each default.
    load_mwh : dict of (region, plan) to integer array of shape (2, 8760)
        Electricity of the water heaters by hour, before and after. [mWh]
    """

    houses: int = 0
    failed: int = 0
    defaults: Counter[str] = field(default_factory=Counter)
    assumed: dict[str, tuple[str, str]] = field(default_factory=dict)
    load_mwh: dict[Plan, NDArray[np.int64]] = field(default_factory=dict)

    def count(self, job: Job, load: ElectricLoad | None) -> None:
        """Add one house."""
        self.houses += 1
        for used in job.defaults_used():
            self.defaults[used.field] += 1
            self.assumed.setdefault(used.field, (str(used.value), used.source))
        if load is not None:
            both = np.rint(_MWH_PER_KWH * np.stack([load.before_kwh, load.after_kwh]))
            self._add_load((load.region, load.plan), both.astype(np.int64))

    def add(self, other: Totals) -> None:
        """Add what other houses came to."""
        self.houses += other.houses
        self.failed += other.failed
        self.defaults.update(other.defaults)
        self.assumed = other.assumed | self.assumed
        for plan, load in other.load_mwh.items():
            self._add_load(plan, load)

    def load_kw(self, plan: Plan) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the mean power of each hour before and after, of one group. [kW]"""
        load = self.load_mwh[plan] / _MWH_PER_KWH
        return load[_BEFORE], load[_AFTER]

    def _add_load(self, plan: Plan, load: NDArray[np.int64]) -> None:
        if plan in self.load_mwh:
            self.load_mwh[plan] = self.load_mwh[plan] + load
        else:
            self.load_mwh[plan] = load

    def to_bytes(self, **more: Any) -> bytes:
        """Return it, with `more` plain values beside it, as a compressed file of arrays."""
        plans = sorted(self.load_mwh)
        said = {
            "houses": self.houses,
            "failed": self.failed,
            "defaults": dict(self.defaults),
            "assumed": self.assumed,
            "plans": plans,
            **more,
        }
        loads = np.array([self.load_mwh[plan] for plan in plans]).reshape(-1, 2, HOURS)
        sink = io.BytesIO()
        np.savez_compressed(sink, said=np.array(json.dumps(said)), loads=loads.astype(np.int64))
        return sink.getvalue()

    @classmethod
    def from_bytes(cls, data: bytes) -> tuple[Totals, dict[str, Any]]:
        """Return what :meth:`to_bytes` wrote, and the plain values beside it."""
        with np.load(io.BytesIO(data), allow_pickle=False) as arrays:
            said, loads = json.loads(str(arrays["said"])), arrays["loads"]
        plans = [(str(region), str(plan)) for region, plan in said.pop("plans")]
        totals = cls(
            houses=said.pop("houses"),
            failed=said.pop("failed"),
            defaults=Counter(said.pop("defaults")),
            assumed={
                name: (value, source) for name, (value, source) in said.pop("assumed").items()
            },
            load_mwh=dict(zip(plans, loads, strict=True)),
        )  # fmt: skip
        return totals, said
