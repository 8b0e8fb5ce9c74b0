"""Scale in a tankless heater: how often it has to be flushed.

Hard water leaves lime where it is heated most. Data sheets ask for descaling once a year in hard
water and more often in very hard water, and some void the warranty above a limit; no published
law was found. The rule here is common practice, no source: once a year at 10 grain/gal and
60 gal/day at 120 degF, in proportion to hardness and water used, twice as often for every 10 K
of setpoint above that. The unit's own manual governs.
"""

from __future__ import annotations

import math

from heatersel.demand.household import Demand
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job

__all__ = ["descaling_interval_months", "descaling_months"]

_USUAL_HARDNESS_MG_PER_L = 171.2  # 10 grain/gal
_USUAL_HOT_L_PER_DAY = 227.1  # 60 gal
_USUAL_SETPOINT_C = 48.9  # 120 degF
_USUAL_MONTHS = 12.0
_DOUBLES_K = 10.0
_MONTHS = (3.0, 60.0)


def descaling_interval_months(
    hardness_mg_per_l: float, hot_l_per_day: float, setpoint_c: float
) -> float:
    """Return the time between two descalings.

    Parameters
    ----------
    hardness_mg_per_l : float
        Hardness as calcium carbonate, 0 to 2000. [mg/L]
    hot_l_per_day : float
        Hot water used, 0 or more. [L/day]
    setpoint_c : float
        Outlet temperature, 30 to 85. [°C]

    Returns
    -------
    float
        Interval, 3 to 60 months; 60 stands for soft water too. [month]

    Raises
    ------
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    Common practice, no source; see the module.

    Examples
    --------
    >>> round(descaling_interval_months(256.8, 227.1, 48.9), 1)
    8.0
    """
    for name, value, low, high, unit in (
        ("hardness", hardness_mg_per_l, 0.0, 2000.0, "mg/L"),
        ("hot water", hot_l_per_day, 0.0, 20000.0, "L/day"),
        ("setpoint", setpoint_c, 30.0, 85.0, "°C"),
    ):
        if not low <= value <= high:
            raise OutOfRangeError.of(
                name, value=f"{value:g} {unit}", allowed=f"{low:g} to {high:g} {unit}",
                fix="check the number and its unit; 10 grain/gal are 171 mg/L",
            )  # fmt: skip
    scaling = (
        hardness_mg_per_l
        / _USUAL_HARDNESS_MG_PER_L
        * hot_l_per_day
        / _USUAL_HOT_L_PER_DAY
        * math.exp2((setpoint_c - _USUAL_SETPOINT_C) / _DOUBLES_K)
    )
    return min(max(_USUAL_MONTHS / max(scaling, 1e-9), _MONTHS[0]), _MONTHS[1])


def descaling_months(job: Job, demand: Demand, heater: Heater) -> float | None:
    """Return the time between two descalings of a heater, or of each of several in parallel.

    Parameters
    ----------
    job : Job
        The house.
    demand : Demand
        What its household asks for.
    heater : Heater
        The option.

    Returns
    -------
    float or None
        None for a tank, and where the hardness of the water is not known. [month]
    """
    hardness = job.home.hardness_mg_per_l
    if hardness is None or not heater.is_tankless:
        return None
    return descaling_interval_months(
        hardness, demand.daily_hot_water_l / heater.units, demand.setpoint_c
    )
