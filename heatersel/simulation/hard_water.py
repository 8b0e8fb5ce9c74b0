"""Scale in a tankless heater: how often it has to be flushed, and what that costs.

Hard water leaves lime where it is heated most. Data sheets ask for descaling once a year in hard
water and more often in very hard water, and some void the warranty above a limit; no published
law was found. The rule here is common practice, no source: once a year at 10 grain/gal and
60 gal/day at 120 degF, in proportion to hardness and water used, twice as often for every 10 K
of setpoint above that. The unit's own manual governs.
"""

from __future__ import annotations

import math

from heatersel.errors import OutOfRangeError

__all__ = ["descaling_interval_months", "descaling_per_year"]

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


def descaling_per_year(interval_months: float, price_each: float) -> float:
    """Return the yearly cost of descaling.

    Parameters
    ----------
    interval_months : float
        From :func:`descaling_interval_months`, above 0. [month]
    price_each : float
        Price of one service, in the job's currency.

    Returns
    -------
    float
        Cost per year, in the same currency.

    Raises
    ------
    OutOfRangeError
        If the interval is not positive.

    Examples
    --------
    >>> descaling_per_year(8.0, 150.0)
    225.0
    """
    if not interval_months > 0.0:
        raise OutOfRangeError.of(
            "interval", value=f"{interval_months:g} months", allowed="above 0",
            fix="use descaling_interval_months",
        )  # fmt: skip
    return 12.0 / interval_months * price_each
