"""Flow that a tankless heater holds at this house's rise and altitude.

The rated maximum flow is measured at a 67 degF rise with full input. Full input is heat, so the
flow it holds falls in proportion as the rise grows; a flow limiter caps it near the rated flow.
Below its minimum flow the heater stays off, so a tap that runs alone and draws less hot water than
that stays cold; units side by side start one at a time, with the minimum flow of one.
"""

from __future__ import annotations

from heatersel.heaters.heater import Heater, in_parallel
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.sizing.verdict import Sizing, Verdict, verdict_for
from heatersel.water import heat_kwh

__all__ = ["MOST_IN_PARALLEL", "flow_at_rise_l_per_min", "size_tankless", "smallest_parallel"]

MOST_IN_PARALLEL = 2
"""Units side by side that are offered in a house (common practice, no source)."""

_LIMITER_FRAC = 1.15
# A flow limiter or the exchanger's pressure drop caps the flow a little above the rated one
# even at a small rise (common practice, no source).


def flow_at_rise_l_per_min(
    heater: Heater, inlet_temp_c: float, setpoint_c: float, derate_frac: float = 0.0
) -> float:
    """Return the hot-water flow that a tankless heater holds at the setpoint.

    Parameters
    ----------
    heater : Heater
        A tankless heater.
    inlet_temp_c, setpoint_c : float
        Cold and hot water. [°C]
    derate_frac : float
        Input lost to thin air or a low supply voltage. [-]

    Returns
    -------
    float
        Flow at the setpoint. [L/min]

    Notes
    -----
    flow = rated flow * (heat per litre in the test / heat per litre here) * (1 - derate),
    capped at 1.15 of the rated flow.
    """
    ratio = heat_kwh(1.0, INLET_TEMP_C, DELIVERY_TEMP_C) / heat_kwh(1.0, inlet_temp_c, setpoint_c)
    flow = heater.max_flow_l_per_min * ratio * (1.0 - derate_frac)
    return min(flow, _LIMITER_FRAC * heater.max_flow_l_per_min)


def size_tankless(
    heater: Heater,
    peak_flow_l_per_min: float,
    inlet_temp_c: float,
    setpoint_c: float,
    derate_frac: float = 0.0,
    *,
    least_draw_l_per_min: float | None = None,
) -> Sizing:
    """Return the verdict on a tankless heater for the peak flow.

    Parameters
    ----------
    heater : Heater
        A tankless heater, or several in parallel as one.
    peak_flow_l_per_min : float
        Hot-water flow at the peak, at the setpoint and the design inlet. [L/min]
    inlet_temp_c, setpoint_c : float
        Design inlet, and setpoint. [°C]
    derate_frac : float
        Input lost to thin air or a low supply voltage. [-]
    least_draw_l_per_min : float, optional
        Hot-water flow of the smallest tap, on the day with the warmest inlet. [L/min]

    Returns
    -------
    Sizing
        In litres of hot water per minute. The minimum flow does not change the verdict, for more
        flow at that tap cures it, but :attr:`Sizing.leaves_a_tap_cold` tells of it.
    """
    available = flow_at_rise_l_per_min(heater, inlet_temp_c, setpoint_c, derate_frac)
    margin_frac, verdict = verdict_for(peak_flow_l_per_min, available)
    return Sizing(
        measure="flow_at_rise",
        required=peak_flow_l_per_min,
        available=available,
        unit="L/min",
        margin_frac=margin_frac,
        verdict=verdict,
        steps=(
            ("rated flow", "maximum flow at a 67 degF rise", heater.max_flow_l_per_min, "L/min"),
            (
                "flow at this rise",
                "rated flow x (heat per litre in the test / here) x (1 - altitude derate)",
                available,
                "L/min",
            ),
            (
                "minimum flow",
                "hot water below which the heater stays off, of one unit",
                heater.min_flow_l_per_min,
                "L/min",
            ),
        ),
        starts_at=heater.min_flow_l_per_min,
        least_draw=least_draw_l_per_min,
    )


def smallest_parallel(
    heater: Heater,
    peak_flow_l_per_min: float,
    inlet_temp_c: float,
    setpoint_c: float,
    derate_frac: float = 0.0,
) -> Heater:
    """Return the heater alone, or the fewest in parallel (up to two) that meet the peak flow.

    The single unit is returned where it is enough or where two are short as well. Parameters
    are those of :func:`size_tankless`.
    """
    for units in range(1, MOST_IN_PARALLEL + 1):
        candidate = in_parallel(heater, units)
        sizing = size_tankless(
            candidate, peak_flow_l_per_min, inlet_temp_c, setpoint_c, derate_frac
        )
        if sizing.verdict is not Verdict.SHORT:
            return candidate
    return heater
