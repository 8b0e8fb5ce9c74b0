"""Whether the electrical service carries one more heater.

Three reckonings: the optional method for dwellings (United States), a measured peak, and the
Canadian rule. A sum is not an approval of a panel.
"""

from __future__ import annotations

import math

from heatersel.cautions.words import factor
from heatersel.job.site import HouseLoads

__all__ = [
    "CANADA_MINIMUM_A",
    "canadian_demand_w",
    "canadian_load_a",
    "canadian_share_of_added_load",
    "general_load_va",
    "heating_cooling_va",
    "measured_load_a",
    "optional_demand_va",
    "optional_load_a",
    "us_share_of_added_load",
]

EXISTING_FIRST_VA = 8000.0  # NEC 220.83, existing dwelling (seen)
NEW_FIRST_VA = 10000.0  # NEC 220.82 (seen)
CANADA_MINIMUM_A = 100.0  # CEC 8-200, dwelling of 80 m² or more; else 60 A (seen)

_REST = 0.40  # share of the general load beyond the first, NEC 220.82 and 220.83 (seen)
_CIRCUIT_VA = 1500.0  # each small-appliance and laundry circuit (seen)
_LIGHTING_VA_PER_FT2 = 3.0  # NEC to 2023 (seen)
_LIGHTING_2026_VA_PER_FT2 = 2.0  # NEC 2026, article 120 (seen)
_HEAT_FEW, _HEAT_MANY = 0.65, 0.40  # fewer than four separately controlled units, or more (seen)
_MEASURED = 1.25  # NEC 220.87 (seen)
_STORAGE = 1.25  # NEC 422.13 (seen)

_CA_BASIC_W, _CA_BASIC_M2, _CA_STEP_W = 5000.0, 90.0, 1000.0  # CEC 8-200 (seen)
_CA_RANGE_W, _CA_RANGE_FREE_W, _CA_RANGE_REST = 6000.0, 12000.0, 0.40  # same
_CA_SMALL_W, _CA_OTHERS = 1500.0, 0.25  # other loads over 1500 W where there is a range (seen)
_CA_NO_RANGE_W = 6000.0  # the first of them in full where there is no range (memory)
_CA_LARGE_M2, _CA_SMALL_A = 80.0, 60.0  # smaller dwellings have a smaller least service (seen)
_CA_HEAT_FIRST_W, _CA_HEAT_REST = 10000.0, 0.75  # CEC 62-118 (seen as quoted)


def general_load_va(loads: HouseLoads, heater_w: float, electrical_year: int = 2023) -> float:
    """Return the general load of the optional method, water heater included.

    Parameters
    ----------
    loads : HouseLoads
        The house's loads.
    heater_w : float
        Nameplate of the electric water heater, 0 if there is none. [W]
    electrical_year : int
        Edition of the code; 2026 counts lighting at 2 VA/ft² instead of 3.

    Returns
    -------
    float
        Sum of nameplates and allowances. [VA]

    References
    ----------
    .. [1] NEC 220.82(B), 220.83(A).  (seen)
    """
    lighting = _LIGHTING_2026_VA_PER_FT2 if electrical_year >= 2026 else _LIGHTING_VA_PER_FT2
    circuits = loads.small_appliance_circuits + loads.laundry_circuits
    nameplates_kw = (
        loads.range_kw + loads.dryer_kw + loads.other_kw
        + loads.vehicle_charger_kw + loads.pool_or_spa_kw
    )  # fmt: skip
    area_ft2 = loads.floor_area_m2 * factor("m2", "ft2")
    return lighting * area_ft2 + _CIRCUIT_VA * circuits + 1000.0 * nameplates_kw + heater_w


def optional_demand_va(general_va: float, first_va: float = EXISTING_FIRST_VA) -> float:
    """Return the demand of a general load: the first part in full, the rest at 40 %.

    Parameters
    ----------
    general_va : float
        General load. [VA]
    first_va : float
        8000 for an existing dwelling (220.83), 10 000 for a new one (220.82). [VA]

    Returns
    -------
    float
        Demand. [VA]

    Examples
    --------
    >>> optional_demand_va(29700.0, NEW_FIRST_VA)
    17880.0
    """
    return min(general_va, first_va) + _REST * max(0.0, general_va - first_va)


def heating_cooling_va(cooling_w: float, heat_w: float, heat_units: int = 1) -> float:
    """Return the larger of cooling and electric heat, as the optional method counts them.

    Parameters
    ----------
    cooling_w, heat_w : float
        Nameplates. [W]
    heat_units : int
        Separately controlled heating units: 65 % below four, 40 % from four on.

    Returns
    -------
    float
        Load. [VA]

    References
    ----------
    .. [1] NEC 220.82(C).  (seen)
    """
    return max(cooling_w, heat_w * (_HEAT_FEW if heat_units < 4 else _HEAT_MANY))


def optional_load_a(
    loads: HouseLoads, heater_w: float, electrical_year: int = 2023, volts: float = 240.0
) -> float:
    """Return the service load of an existing US dwelling with the new heater.

    Cooling and heat that are there already are counted in full, the cautious reading of
    220.83(A).

    Parameters
    ----------
    loads : HouseLoads
        The house's loads without water heating.
    heater_w : float
        The new electric water heater. [W]
    electrical_year : int
        Edition of the code.
    volts : float
        Service voltage. [V]

    Returns
    -------
    float
        Load. [A]

    References
    ----------
    .. [1] NEC 220.83 (120.83 from 2026).  (seen)
    """
    general = optional_demand_va(general_load_va(loads, heater_w, electrical_year))
    climate = heating_cooling_va(
        1000.0 * loads.air_conditioning_kw, 1000.0 * loads.electric_heat_kw, loads.heat_units
    )
    return (general + climate) / volts


def us_share_of_added_load() -> tuple[float, float]:
    """Return the least and the most of a new heater that a known calculated load grows by.

    Least: 40 %, where the general load is already beyond its first part. Most: all of it.
    """
    return _REST, 1.0


def canadian_share_of_added_load(*, is_tankless: bool) -> tuple[float, float]:
    """Return the least and the most of a new heater that a known Canadian load grows by.

    A tankless heater counts in full; a storage heater at 25 % where there is a range, and in
    full at most.
    """
    return (1.0, 1.0) if is_tankless else (_CA_OTHERS, 1.0)


def measured_load_a(peak_a: float, heater_a: float, *, is_storage: bool) -> float:
    """Return the service load from a measured peak.

    Parameters
    ----------
    peak_a : float
        Highest demand of a year, or of 30 days with the seasonal load added. [A]
    heater_a : float
        Current of the new heater. [A]
    is_storage : bool
        A storage heater is a continuous load and counts at 125 %.

    Returns
    -------
    float
        1.25 times the peak plus the new load. [A]

    References
    ----------
    .. [1] NEC 220.87.  (seen)

    Examples
    --------
    >>> round(measured_load_a(48.0, 18.75, is_storage=True), 1)
    83.4
    """
    return _MEASURED * peak_a + heater_a * (_STORAGE if is_storage else 1.0)


def canadian_demand_w(loads: HouseLoads, heater_w: float, *, is_tankless: bool) -> float:
    """Return the calculated demand of a Canadian single dwelling with the new heater.

    Parameters
    ----------
    loads : HouseLoads
        The house's loads without water heating.
    heater_w : float
        The new electric water heater. [W]
    is_tankless : bool
        A tankless heater counts in full, a storage heater among the other loads.

    Returns
    -------
    float
        Demand. [W]

    References
    ----------
    .. [1] CEC Part I, rule 8-200, and 62-118 for heat.  (seen in part; the tankless clause and
       the case without a range from memory)
    """
    return (
        _ca_basic_w(loads.floor_area_m2)
        + max(1000.0 * loads.air_conditioning_kw, _ca_heat_w(1000.0 * loads.electric_heat_kw))
        + _ca_range_w(1000.0 * loads.range_kw)
        + 1000.0 * (loads.vehicle_charger_kw + loads.pool_or_spa_kw)
        + _ca_others_w(loads, 0.0 if is_tankless else heater_w)
        + (heater_w if is_tankless else 0.0)
    )


def canadian_load_a(
    loads: HouseLoads, heater_w: float, *, is_tankless: bool, volts: float = 240.0
) -> float:
    """Return the service that a Canadian single dwelling needs with the new heater.

    Parameters
    ----------
    loads, heater_w, is_tankless
        As for :func:`canadian_demand_w`.
    volts : float
        Service voltage. [V]

    Returns
    -------
    float
        The demand in amperes, at least the minimum service of the dwelling. [A]

    References
    ----------
    .. [1] CEC Part I, rule 8-200: 100 A from 80 m² up, else 60 A.  (seen)
    """
    minimum = CANADA_MINIMUM_A if loads.floor_area_m2 >= _CA_LARGE_M2 else _CA_SMALL_A
    return max(minimum, canadian_demand_w(loads, heater_w, is_tankless=is_tankless) / volts)


def _ca_basic_w(area_m2: float) -> float:
    steps = math.ceil(max(0.0, area_m2 - _CA_BASIC_M2) / _CA_BASIC_M2 - 1e-9)
    return _CA_BASIC_W + _CA_STEP_W * steps


def _ca_heat_w(heat_w: float) -> float:
    rest = max(0.0, heat_w - _CA_HEAT_FIRST_W)
    return min(heat_w, _CA_HEAT_FIRST_W) + _CA_HEAT_REST * rest


def _ca_range_w(range_w: float) -> float:
    if range_w <= 0.0:
        return 0.0
    return _CA_RANGE_W + _CA_RANGE_REST * max(0.0, range_w - _CA_RANGE_FREE_W)


def _ca_others_w(loads: HouseLoads, heater_w: float) -> float:
    named = (1000.0 * loads.dryer_kw, 1000.0 * loads.other_kw, heater_w)
    large = sum(load for load in named if load > _CA_SMALL_W)
    in_full = 0.0 if loads.range_kw else min(large, _CA_NO_RANGE_W)
    return in_full + _CA_OTHERS * (large - in_full)
