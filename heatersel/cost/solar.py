"""Own solar surplus that a water heater may use instead of the grid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.bill import Use
from heatersel.cost.calendar import billing_year

__all__ = ["SolarSurplus"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SolarSurplus:
    """What the roof makes beyond the household's other use, by hour.

    Parameters
    ----------
    hourly_kwh : array of shape (8760,)
        Surplus by the hours of the clock; hour 0 begins at 1 January 00:00. [kWh]
    export_per_kwh : float
        What the utility would have paid for it.
    """

    hourly_kwh: NDArray[np.float64]
    export_per_kwh: float = 0.0

    def used_kwh(self, use: Use) -> NDArray[np.float64]:
        """Return the surplus that the heater takes, by hour: the smaller of both. [kWh]"""
        return np.minimum(self.hourly_kwh, use.hours())

    def grid_use(self, use: Use) -> Use:
        """Return what is left for the grid to supply."""
        hourly = use.hours() - self.used_kwh(use)
        months = billing_year(2001).month
        return Use(monthly_kwh=np.bincount(months, hourly, 12).astype(float), hourly_kwh=hourly)

    def forgone(self, use: Use) -> float:
        """Return the payment for exports that the heater's share costs in a year."""
        return self.export_per_kwh * float(np.sum(self.used_kwh(use)))
