"""The least uniform energy factor (UEF) a water heater may have to be made for sale in the US.

The minimum depends on the class of the regulation, the draw pattern of the rating and the rated
volume: minimum = a - b x volume. Two sets are known: the one in force, and the one for heaters
made from 6 May 2029. Small heaters of some kinds have no minimum in force.

A minimum binds the maker, not the house: a heater made before the date may still be sold and
installed. Whether the 2029 set has since been changed is not known here; it is from memory.

References
----------
.. [1] 10 CFR 430.32(d), consumer water heaters (table seen).
.. [2] 89 FR 37778, 6 May 2024, consumer water heaters made from 6 May 2029 (from memory).
.. [3] 10 CFR 431.110(b), residential-duty commercial water heaters (from memory; the high-pattern
   rows of gas and oil confirmed by Canada's regulation).
.. [4] 42 U.S.C. 6291(27), what a consumer water heater is: up to 75 kBtu/h (gas storage),
   105 kBtu/h (oil storage), 12 kW (electric), 200 kBtu/h (gas tankless), 210 kBtu/h (oil
   tankless) (from memory; limits of gas and oil seen in WAC 51-11C-404021).
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from functools import lru_cache

from heatersel.heaters.heater import EnergySource, Heater, Kind
from heatersel.reference import Record, records

__all__ = ["Regime", "fails_2029", "meets", "minimum_uef", "product_class"]


class Regime(StrEnum):
    """Which set of minimums is meant."""

    IN_FORCE = "in_force"
    FROM_2029 = "from_2029"


_KW_PER_KBTU_H = 0.29307107
_L_PER_GAL = 3.785411784

# Largest input of each class [3]_ [4]_, smallest class first. [kW]
_INPUT_LIMITS_KW: dict[tuple[str, bool], tuple[tuple[float, str], ...]] = {
    ("gas", False): (
        (75.0 * _KW_PER_KBTU_H, "gas_storage"),
        (105.0 * _KW_PER_KBTU_H, "residential_duty_gas_storage"),
    ),
    ("oil", False): (
        (105.0 * _KW_PER_KBTU_H, "oil_storage"),
        (140.0 * _KW_PER_KBTU_H, "residential_duty_oil_storage"),
    ),
    ("electric", False): ((12.0, "electric_storage"),),
    ("gas", True): ((200.0 * _KW_PER_KBTU_H, "gas_instantaneous"),),
    ("oil", True): ((210.0 * _KW_PER_KBTU_H, "oil_instantaneous"),),
    ("electric", True): (
        (12.0, "electric_instantaneous"),
        (58.6, "residential_duty_electric_instantaneous"),
    ),
}

_FAMILY = {
    EnergySource.NATURAL_GAS: "gas",
    EnergySource.PROPANE: "gas",
    EnergySource.FUEL_OIL: "oil",
    EnergySource.ELECTRICITY: "electric",
}

_GRID_ENABLED_ABOVE_L = 75.0 * _L_PER_GAL
_SMALL_UP_TO_L = 35.0 * _L_PER_GAL
_SMALL_FHR_BELOW_L = 51.0 * _L_PER_GAL


def minimum_uef(heater: Heater, regime: Regime = Regime.IN_FORCE) -> float | None:
    """Return the least UEF that the regulation allows for a heater like this one.

    Parameters
    ----------
    heater : Heater
        Any heater; of several in parallel, one counts.
    regime : Regime
        The set in force, or the one from 2029; a class that the latter does not mention keeps
        the minimum in force.

    Returns
    -------
    float or None
        Minimum UEF, unrounded; None if the heater is of a class or size without one. [-]

    Notes
    -----
    The rated volume is used. From 2029 the effective volume counts, which is larger only for
    heaters that store above 125 degF; for those the minimum here is a little high.

    Examples
    --------
    A 40 gal gas tank of the medium pattern: 0.6483 - 0.0017 x 40 [1]_.

    >>> from dataclasses import replace
    >>> from heatersel.heaters.catalogue import heater_by_id, load_heaters
    >>> tank = heater_by_id(load_heaters().heaters, "gas-tank-40")
    >>> round(minimum_uef(replace(tank, volume_l=40.0 * 3.785411784)), 4)
    0.5803
    """
    row = _row(heater, regime)
    if row is None and regime is Regime.FROM_2029:
        row = _row(heater, Regime.IN_FORCE)
    if row is None:
        return None
    return float(row["constant"] - row["slope"] * _one(heater, heater.volume_l))


def meets(heater: Heater, regime: Regime = Regime.IN_FORCE) -> bool:
    """Return whether a heater's UEF reaches the minimum, or there is none for it.

    Parameters
    ----------
    heater : Heater
        Any heater.
    regime : Regime
        The set in force, or the one from 2029.

    Returns
    -------
    bool

    Notes
    -----
    Labels state UEF to hundredths, so the minimum is rounded to hundredths before it is
    compared (common practice, no source).
    """
    minimum = minimum_uef(heater, regime)
    return minimum is None or heater.uef > round(minimum, 2) - 1e-9


def fails_2029(heaters: Iterable[Heater]) -> tuple[Heater, ...]:
    """Return the heaters that may no longer be made from 6 May 2029, in the order given.

    Parameters
    ----------
    heaters : iterable of Heater
        Any list of heaters.

    Returns
    -------
    tuple of Heater
    """
    return tuple(heater for heater in heaters if not meets(heater, Regime.FROM_2029))


def product_class(heater: Heater, regime: Regime = Regime.IN_FORCE) -> str | None:
    """Return the class of the regulation that a heater falls in.

    Parameters
    ----------
    heater : Heater
        Any heater.
    regime : Regime
        The 2029 set has a class of its own for small electric tanks: up to 35 gal with a
        first-hour rating below 51 gal.

    Returns
    -------
    str or None
        A product_class of datasets/ratings/minimum_uef; None for commercial heaters, whose
        minimum is not a UEF.

    Notes
    -----
    An electric resistance tank above 75 gal counts as grid-enabled, since no other may be made.
    """
    input_kw = _one(heater, heater.input_kw)
    limits = _INPUT_LIMITS_KW[_FAMILY[heater.energy_source], heater.is_tankless]
    found = next((name for limit, name in limits if input_kw <= limit + 1e-6), None)
    if found != "electric_storage":
        return found
    volume_l = _one(heater, heater.volume_l)
    if heater.kind is Kind.STORAGE and volume_l > _GRID_ENABLED_ABOVE_L:
        return "grid_enabled_electric_storage"
    is_small = (
        volume_l <= _SMALL_UP_TO_L + 1e-6
        and _one(heater, heater.first_hour_rating_l) < _SMALL_FHR_BELOW_L
    )
    return "small_electric_storage" if is_small and regime is Regime.FROM_2029 else found


def _one(heater: Heater, total: float) -> float:
    """Return one unit's share of what several in parallel have together."""
    return total / heater.units


def _row(heater: Heater, regime: Regime) -> Record | None:
    """Return the row of the table for a heater; on a shared edge the first one counts."""
    volume_l = _one(heater, heater.volume_l)
    key = (regime.value, product_class(heater, regime), heater.draw_pattern.value)
    for row in _rows():
        low, high = row["volume_from"] or 0.0, row["volume_to"] or float("inf")
        if (row["regime"], row["product_class"], row["draw_pattern"]) == key and (
            low - 1e-6 <= volume_l <= high + 1e-6
        ):
            return row
    return None


@lru_cache(maxsize=1)
def _rows() -> tuple[Record, ...]:
    units = {"volume_from": "L", "volume_to": "L", "constant": "", "slope": "1/L"}
    return records("ratings/minimum_uef", units)
