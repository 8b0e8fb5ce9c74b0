"""What a water heater is: one frozen row of the list, in SI units.

A row holds what a rating label and a data sheet state, nothing computed. Ratings follow the
federal test method, 10 CFR 430 Subpart B Appendix E: inlet 58 degF, delivery 125 degF, air
67.5 degF.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

__all__ = [
    "DrawPattern",
    "EnergySource",
    "Heater",
    "HeaterClass",
    "Kind",
    "VentType",
    "in_parallel",
    "input_left_frac",
]


class Kind(StrEnum):
    """How the heater works."""

    STORAGE = "storage"
    HEAT_PUMP_STORAGE = "heat_pump_storage"
    TANKLESS = "tankless"


class EnergySource(StrEnum):
    """What the heater is fed with."""

    NATURAL_GAS = "natural_gas"
    PROPANE = "propane"
    FUEL_OIL = "fuel_oil"
    ELECTRICITY = "electricity"


class DrawPattern(StrEnum):
    """The federal draw pattern that the rating was measured with."""

    VERY_SMALL = "very_small"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class HeaterClass(StrEnum):
    """Construction class: what decides venting, losses, power and upkeep."""

    ATMOSPHERIC_STORAGE = "atmospheric_storage"
    POWER_VENTED_STORAGE = "power_vented_storage"
    CONDENSING_STORAGE = "condensing_storage"
    OIL_STORAGE = "oil_storage"
    ELECTRIC_STORAGE = "electric_storage"
    HEAT_PUMP_240V = "heat_pump_240v"
    HEAT_PUMP_120V = "heat_pump_120v"
    HEAT_PUMP_SPLIT = "heat_pump_split"
    TANKLESS_NON_CONDENSING = "tankless_non_condensing"
    TANKLESS_CONDENSING = "tankless_condensing"
    TANKLESS_ELECTRIC = "tankless_electric"


class VentType(StrEnum):
    """How the heater gets rid of flue gas, by the pressure and wetness of its vent."""

    NONE = "none"
    DRAFT_HOOD = "draft_hood"  # category I, natural draft, room air
    BAROMETRIC = "barometric"  # oil burner on a chimney with a draft regulator
    POWER_VENT = "power_vent"  # category III/IV, fan, room air
    DIRECT_VENT = "direct_vent"  # sealed combustion, outdoor air


@dataclass(frozen=True, slots=True, kw_only=True)
class Heater:
    """One heater as its label and data sheet describe it.

    Parameters
    ----------
    id, name : str
        Short id, unique in the list, and a plain name without brands.
    kind, heater_class, energy_source, vent_type, draw_pattern : enum
        See the enums of this module.
    volume_l : float
        Rated storage volume, 0 for tankless. [L]
    input_kw : float
        Burner input on the higher heating value, or the electric power of the largest element
        (tankless electric: of all elements together, at the rated voltage). [kW]
    upper_input_kw : float
        Upper element, 0 where there is none. [kW]
    compressor_input_kw : float
        Electric power of a heat pump's compressor and fan at its rating point, else 0. [kW]
    uef : float
        Uniform energy factor. [-]
    first_hour_rating_l, max_flow_l_per_min : float
        First-hour rating (storage) or maximum flow (tankless) of the federal test; the other
        is 0. [L], [L/min]
    recovery_efficiency : float
        Of the federal test; for a heat pump its COP in the test. [-]
    standby_loss_w_per_k : float or None
        Water-side loss coefficient where a data sheet states it. A heat pump needs one, since
        its UEF cannot separate loss from COP. [W/K]
    min_flow_l_per_min : float
        Flow below which a tankless burner stays off. [L/min]
    min_input_kw : float
        Lowest input of a modulating burner. [kW]
    pilot_w : float
        Standing pilot. [W]
    aux_running_w, aux_standby_w : float
        Electric power of fan and controls while firing, and otherwise. [W]
    voltage_v, breaker_a : float
        Supply voltage and the breaker named on the data sheet; 0 if it needs no circuit of
        its own. [V], [A]
    refrigerant : str
        Refrigerant of a heat pump, else empty.
    min_air_temp_c, max_air_temp_c : float
        Range of entering air in which a compressor runs. [°C]
    noise_dba : float
        Sound level beside the unit, 0 if quiet. [dB(A)]
    height_m, diameter_m, weight_kg : float
        Outer size and empty weight. [m], [m], [kg]
    units : int
        Equal units side by side. Volume, inputs, powers, rated flow or first-hour rating are
        those of all together; outer size, weight, voltage, breaker and minimum flow of one.
    """

    id: str
    name: str
    kind: Kind
    heater_class: HeaterClass
    energy_source: EnergySource
    vent_type: VentType
    draw_pattern: DrawPattern
    volume_l: float
    input_kw: float
    upper_input_kw: float = 0.0
    compressor_input_kw: float = 0.0
    uef: float
    first_hour_rating_l: float = 0.0
    max_flow_l_per_min: float = 0.0
    recovery_efficiency: float
    standby_loss_w_per_k: float | None = None
    min_flow_l_per_min: float = 0.0
    min_input_kw: float = 0.0
    pilot_w: float = 0.0
    aux_running_w: float = 0.0
    aux_standby_w: float = 0.0
    voltage_v: float = 0.0
    breaker_a: float = 0.0
    refrigerant: str = ""
    min_air_temp_c: float = -40.0
    max_air_temp_c: float = 60.0
    noise_dba: float = 0.0
    height_m: float = 0.0
    diameter_m: float = 0.0
    weight_kg: float = 0.0
    units: int = 1

    @property
    def is_tankless(self) -> bool:
        """Whether it heats without a store."""
        return self.kind is Kind.TANKLESS

    @property
    def burns_fuel(self) -> bool:
        """Whether it makes flue gas."""
        return self.energy_source is not EnergySource.ELECTRICITY


_SHARED_OUT = (
    "volume_l",
    "input_kw",
    "upper_input_kw",
    "compressor_input_kw",
    "first_hour_rating_l",
    "max_flow_l_per_min",
    "pilot_w",
    "aux_running_w",
    "aux_standby_w",
)


def in_parallel(heater: Heater, units: int) -> Heater:
    """Return `units` equal heaters side by side as one option.

    Parameters
    ----------
    heater : Heater
        A single unit.
    units : int
        Number of units, 1 or more.

    Returns
    -------
    Heater
        Same rating per unit; what adds up is added up.
    """
    if units == 1:
        return heater
    return replace(
        heater,
        id=f"{heater.id}-x{units}",
        name=f"{units} x {heater.name}",
        units=units,
        **{name: getattr(heater, name) * units for name in _SHARED_OUT},
    )


def input_left_frac(heater: Heater, altitude_derate_frac: float, supply_v: float | None) -> float:
    """Return the share of a heater's input that is left where it stands.

    Parameters
    ----------
    heater : Heater
        The heater.
    altitude_derate_frac : float
        What thin air takes from a burner, 0 to 1. [-]
    supply_v : float or None
        Voltage of the house; None where it is not known, and nothing is taken off. [V]

    Returns
    -------
    float
        Of a burner what thin air leaves; of elements, whose power goes with the square of the
        voltage, what a low supply leaves; at most 1. [-]
    """
    if heater.burns_fuel:
        return 1.0 - altitude_derate_frac
    if supply_v is None or heater.voltage_v <= 0.0:
        return 1.0
    return min(1.0, (supply_v / heater.voltage_v) ** 2)
