"""The heater that stands there now, as a row like any other: the baseline of every saving.

Its rating is the given UEF, or failing that what the federal minimum of its year implies. Rust,
scale and a worn thermostat are not counted, so that savings are on the low side.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from heatersel.heaters.heater import DrawPattern, EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.heaters.rated import (
    AIR_TEMP_C,
    DELIVERY_TEMP_C,
    expected_draw_pattern,
    rating_day_heat_kwh,
)
from heatersel.job.models import Existing
from heatersel.reference import records

__all__ = ["existing_heater", "uef_from_ef"]

EXISTING_ID = "existing"

_EF_DAY_HEAT_KWH = 41093.7 / 3412.14
_EF_AIR_DIFFERENCE_K = 67.5 / 1.8
_UEF_AIR_DIFFERENCE_K = DELIVERY_TEMP_C - AIR_TEMP_C
_YEAR_ASSUMED = 2009
# A heater of unknown age is taken to be of the 2004 standard, which held until April 2015.

_FAMILY = {
    EnergySource.NATURAL_GAS: "gas",
    EnergySource.PROPANE: "gas",
    EnergySource.FUEL_OIL: "oil",
    EnergySource.ELECTRICITY: "electric",
}
_USUAL_CLASS = {
    (Kind.STORAGE, "gas"): HeaterClass.ATMOSPHERIC_STORAGE,
    (Kind.STORAGE, "oil"): HeaterClass.OIL_STORAGE,
    (Kind.STORAGE, "electric"): HeaterClass.ELECTRIC_STORAGE,
    (Kind.HEAT_PUMP_STORAGE, "electric"): HeaterClass.HEAT_PUMP_240V,
    (Kind.TANKLESS, "gas"): HeaterClass.TANKLESS_NON_CONDENSING,
    (Kind.TANKLESS, "electric"): HeaterClass.TANKLESS_ELECTRIC,
}


def existing_heater(existing: Existing, heaters: Iterable[Heater]) -> Heater | None:
    """Return the present heater as a row of the list.

    Parameters
    ----------
    existing : Existing
        What the job says of it.
    heaters : iterable of Heater
        The list; the nearest row of the usual class lends what the job does not say.

    Returns
    -------
    Heater or None
        With id "existing"; None if the list has no row of its class.

    Notes
    -----
    Where neither UEF nor year is given, the standard of 2004 to 2015 is assumed.
    """
    wanted = _USUAL_CLASS.get((existing.kind, _FAMILY[existing.energy_source]))
    rows = [
        heater
        for heater in heaters
        if heater.heater_class is wanted and heater.energy_source is existing.energy_source
    ]
    if not rows:
        return None
    volume_l = existing.volume_l or 0.0
    nearest = min(
        rows,
        key=lambda row: (
            row.vent_type is VentType.DIRECT_VENT,
            abs(row.volume_l - 0.95 * volume_l),
            row.id,
        ),
    )
    present = replace(
        nearest,
        id=EXISTING_ID,
        name="What stands there now",
        input_kw=existing.input_kw or nearest.input_kw,
    )
    return replace(present, uef=existing.uef or _uef_of_its_year(present, existing))


def uef_from_ef(heater: Heater, energy_factor: float) -> float:
    """Return the UEF of a storage heater that was rated by the older energy factor.

    Parameters
    ----------
    heater : Heater
        Its recovery efficiency and first-hour rating are used.
    energy_factor : float
        Energy factor of the test in force until 2017, below the recovery efficiency. [-]

    Returns
    -------
    float
        UEF in the draw pattern of its first-hour rating. [-]

    Notes
    -----
    Both tests are taken as daily balances with the same loss coefficient: the loss follows from
    the older test (41,094 Btu/day, 67.5 degF to the air) and is put into the newer one. Within
    about 0.01 of the published conversion for the common classes.

    References
    ----------
    .. [1] 10 CFR 429.17 and 81 FR 96204 (2016), conversion of EF to UEF. (memory)
    """
    excess = heater.recovery_efficiency / energy_factor - 1.0
    loss_kwh_per_k = _EF_DAY_HEAT_KWH * excess / _EF_AIR_DIFFERENCE_K
    heat_kwh = rating_day_heat_kwh(_pattern(heater))
    return heater.recovery_efficiency / (1.0 + loss_kwh_per_k * _UEF_AIR_DIFFERENCE_K / heat_kwh)


def _pattern(heater: Heater) -> DrawPattern:
    return expected_draw_pattern(heater.first_hour_rating_l)


def _uef_of_its_year(present: Heater, existing: Existing) -> float:
    """Return the UEF that the federal minimum of the year of installation implies."""
    if present.kind is not Kind.STORAGE:
        return present.uef
    name = f"{_FAMILY[present.energy_source]}_storage"
    columns = {"volume_from": "gal", "volume_to": "gal", "constant": "", "slope": "1/gal"}
    nominal_gal = (existing.volume_l or present.volume_l) / 3.785411784
    year = existing.installed or _YEAR_ASSUMED
    rows = [
        row
        for row in records("ratings/minimum_ef", columns)
        if row["product_class"] == name
        and int(row["from_date"][:4]) <= max(year, 1990)
        and (row["volume_from"] or 0.0) <= nominal_gal <= (row["volume_to"] or 999.0)
    ]
    if not rows:
        return present.uef
    row = max(rows, key=lambda row: row["from_date"])
    energy_factor = row["constant"] - row["slope"] * nominal_gal
    return min(uef_from_ef(present, energy_factor), present.recovery_efficiency - 0.005)
