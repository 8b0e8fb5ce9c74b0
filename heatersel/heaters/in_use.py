"""What the heater that stands there now makes of its fuel: needed to read hot water off bills."""

from __future__ import annotations

from collections.abc import Iterable

from heatersel.demand.bills import HeaterInUse
from heatersel.heaters.existing import existing_heater
from heatersel.heaters.heater import Heater, Kind
from heatersel.heaters.rated import cop_in_test, standby_loss_w_per_k
from heatersel.job.models import Job

__all__ = ["heater_behind_bills"]

_ROOM_C = 18.0


def heater_behind_bills(job: Job, heaters: Iterable[Heater]) -> HeaterInUse | None:
    """Return efficiency and standby of the heater whose fuel the bills count.

    Parameters
    ----------
    job : Job
        With the heater that stands there now, if it is known.
    heaters : iterable of Heater
        The list that lends what the job does not say.

    Returns
    -------
    HeaterInUse or None
        None without bills, if nothing is known of it, or if the list has no row of its class.

    Notes
    -----
    Loss per kelvin from the rating, the tank at the setpoint all day in a room of 18 °C
    (assumed), divided by the conversion of fuel to heat. A tankless heater converts at its UEF
    and has no standby.
    """
    if job.household.bills is None or job.existing is None:
        return None
    present = existing_heater(job.existing, heaters)
    if present is None:
        return None
    basis = f"the heater in the house, UEF {present.uef:.2f}"
    if present.kind is Kind.TANKLESS:
        return HeaterInUse(recovery_efficiency=present.uef, standby_kwh_per_day=0.0, basis=basis)
    conversion = (
        cop_in_test(present)
        if present.kind is Kind.HEAT_PUMP_STORAGE
        else present.recovery_efficiency
    )
    lift_k = max(job.preferences.setpoint_c - _ROOM_C, 0.0)
    loss_kwh = standby_loss_w_per_k(present) * lift_k * 24.0 / 1000.0
    return HeaterInUse(
        recovery_efficiency=conversion, standby_kwh_per_day=loss_kwh / conversion, basis=basis
    )
