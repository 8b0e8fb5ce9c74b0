"""First-hour delivery of a storage heater at this house's inlet, setpoint and altitude.

The first-hour rating is measured with 58 degF inlet and a 125 degF store. It is carried over in
two parts. The store's part, a share of its volume, leaves at the setpoint whatever the inlet
is. The recovery part is heat: the colder the inlet and the hotter the setpoint, the fewer
litres it makes. A cold inlet therefore lowers the delivery and, through the mixing at the tap,
raises the demand at the same time.
"""

from __future__ import annotations

from heatersel.heaters.heater import Heater, HeaterClass, Kind
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.sizing.verdict import Sizing, verdict_for
from heatersel.water import heat_kwh

__all__ = ["first_hour_delivery_l", "recovery_l_per_h", "size_tank", "store_share_l"]


def recovery_l_per_h(
    heater: Heater, inlet_temp_c: float, setpoint_c: float, derate_frac: float = 0.0
) -> float:
    """Return the hot water that a storage heater makes in an hour of steady heating.

    Parameters
    ----------
    heater : Heater
        A storage heater. A heat pump recovers with its compressor and, if it has one, its
        element, as its usual mode does in a busy hour.
    inlet_temp_c, setpoint_c : float
        Cold and hot water. [°C]
    derate_frac : float
        Input lost to thin air or a low supply voltage, 0 to 1. [-]

    Returns
    -------
    float
        Hot water at the setpoint. [L/h]

    Notes
    -----
    Q = P * RE / (rho * (h(setpoint) - h(inlet))). A heat pump is taken to draw on air as warm as
    in its test (67.5 degF); what colder air takes shows in the simulated days that fall short,
    which rank it, and not here.

    Examples
    --------
    A 40,000 Btu/h burner at RE 0.80 and a 90 degF rise makes 43.4 gal/h of hot water; the rule
    of the trade, 40,000 * 0.80 / (8.33 * 90) = 42.7, counts gallons of cold water.
    """
    heat_kw = _recovery_kw(heater, 1.0 - derate_frac)
    return heat_kw / heat_kwh(1.0, inlet_temp_c, setpoint_c)


def _recovery_kw(heater: Heater, input_left_frac: float) -> float:
    """Return the heat of burner, element or compressor, whose power a low voltage spares. [kW]"""
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        has_element = heater.heater_class is not HeaterClass.HEAT_PUMP_120V
        element_kw = input_left_frac * heater.input_kw if has_element else 0.0
        return heater.compressor_input_kw * heater.recovery_efficiency + element_kw * 0.98
    return input_left_frac * heater.input_kw * heater.recovery_efficiency


def store_share_l(heater: Heater) -> float:
    """Return the store's part of the first-hour rating, the rating less an hour of recovery.

    Parameters
    ----------
    heater : Heater
        A storage heater.

    Returns
    -------
    float
        Hot water that the full store gives on its own, between 0.45 and 1 of the volume. [L]

    Notes
    -----
    The burner does not run for the whole hour of the test, so the subtraction can take too
    much from the store of a fast heater; it is therefore kept at 0.45 of the volume at least.
    Against the simulated first-hour test the carried-over rating stays within about 10 %.
    """
    recovery_l = recovery_l_per_h(heater, INLET_TEMP_C, DELIVERY_TEMP_C)
    return min(
        max(heater.first_hour_rating_l - recovery_l, 0.45 * heater.volume_l), heater.volume_l
    )


def first_hour_delivery_l(
    heater: Heater, inlet_temp_c: float, setpoint_c: float, derate_frac: float = 0.0
) -> float:
    """Return the hot water that a storage heater gives in the first hour, starting full.

    Parameters
    ----------
    heater : Heater
        A storage heater.
    inlet_temp_c, setpoint_c : float
        Cold water on the design day, and store. [°C]
    derate_frac : float
        Input lost to thin air or a low supply voltage. [-]

    Returns
    -------
    float
        Hot water at the setpoint; the rating itself under the conditions of the test. [L]
    """
    store_l = store_share_l(heater)
    tested_l = heater.first_hour_rating_l - store_l
    site = recovery_l_per_h(heater, inlet_temp_c, setpoint_c, derate_frac)
    test = recovery_l_per_h(heater, INLET_TEMP_C, DELIVERY_TEMP_C)
    return store_l + tested_l * site / test


def size_tank(
    heater: Heater,
    peak_hour_l: float,
    inlet_temp_c: float,
    setpoint_c: float,
    derate_frac: float = 0.0,
) -> Sizing:
    """Return the verdict on a storage heater for the busiest hour.

    Parameters
    ----------
    heater : Heater
        A storage heater.
    peak_hour_l : float
        Hot water of the busiest hour, at the setpoint and the design inlet. [L]
    inlet_temp_c, setpoint_c : float
        Design inlet, and store. [°C]
    derate_frac : float
        Input lost to thin air or a low supply voltage. [-]

    Returns
    -------
    Sizing
        In litres of hot water in the first hour.
    """
    available_l = first_hour_delivery_l(heater, inlet_temp_c, setpoint_c, derate_frac)
    margin_frac, verdict = verdict_for(peak_hour_l, available_l)
    store_l = store_share_l(heater)
    return Sizing(
        measure="first_hour_delivery",
        required=peak_hour_l,
        available=available_l,
        unit="L",
        margin_frac=margin_frac,
        verdict=verdict,
        steps=(
            ("store", "first-hour rating - recovery in the test hour", store_l, "L"),
            (
                "recovery",
                "recovery in the rating x (rise in the test / rise here) x (1 - altitude derate)",
                available_l - store_l,
                "L",
            ),
            ("first-hour delivery", "store + recovery", available_l, "L"),
        ),
    )
