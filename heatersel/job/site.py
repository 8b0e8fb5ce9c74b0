"""What a visit to the house adds to a job: pipes, vents, panel, room and the devices found there.

Every field is optional. None means "not measured" and is never read as fine: the rule that
needs the fact then asks for it on the site sheet. File keys are the aliases; attributes carry
the unit.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from heatersel.job.quantities import (
    AirChange,
    Area,
    BurnerInput,
    Current,
    Length,
    Power,
    Pressure,
    Quantity,
    SmallLength,
    TankVolume,
    Temperature,
)
from heatersel.job.table import InputTable, unknown

__all__ = [
    "AltitudeReading",
    "CodeFamily",
    "DraftTest",
    "Ducting",
    "GasMaterial",
    "GasPipe",
    "GasSegment",
    "HouseLoads",
    "OpeningRoute",
    "OpensTo",
    "Panel",
    "PipeSize",
    "Recirculation",
    "ReliefFault",
    "Site",
]

OpeningArea = Annotated[float, Quantity("cm2", 0.0, 50000.0, "100 in2")]
HeadLength = Annotated[float, Quantity("m", 0.0, 300.0, "36 inch")]
GasPressure = Annotated[float, Quantity("kPa", 0.5, 700.0, "7 inWC")]
TankCharge = Annotated[float, Quantity("g", 0.0, 20000.0, "150 g")]
SmallTank = Annotated[float, Quantity("L", 0.5, 500.0, "2 gal")]


class CodeFamily(StrEnum):
    """Model plumbing and fuel-gas code that a US place has adopted."""

    IPC = "ipc"
    UPC = "upc"


class AltitudeReading(StrEnum):
    """How the 4 % per 1000 ft derate of US gas codes is counted."""

    SEA_LEVEL = "sea_level"
    ABOVE_2000_FT = "above_2000_ft"


class GasMaterial(StrEnum):
    """Gas pipe material."""

    SCHEDULE_40 = "schedule_40"
    COPPER_L = "copper_l"
    CSST = "csst"


class PipeSize(StrEnum):
    """Nominal size of pipe or tube; flexible tube goes by its hydraulic diameter (EHD)."""

    N_3_8 = "3/8 in"
    N_1_2 = "1/2 in"
    N_3_4 = "3/4 in"
    N_1 = "1 in"
    N_1_1_4 = "1-1/4 in"
    N_1_1_2 = "1-1/2 in"
    N_2 = "2 in"
    EHD_13 = "EHD 13"
    EHD_15 = "EHD 15"
    EHD_18 = "EHD 18"
    EHD_19 = "EHD 19"
    EHD_23 = "EHD 23"
    EHD_25 = "EHD 25"
    EHD_30 = "EHD 30"
    EHD_31 = "EHD 31"
    EHD_37 = "EHD 37"

    @property
    def is_flexible(self) -> bool:
        """Whether it is a size of flexible tube."""
        return self.value.startswith("EHD")


class ReliefFault(StrEnum):
    """What may be wrong with the relief valve or its discharge pipe."""

    NO_VALVE = "no_valve"
    NO_PIPE = "no_pipe"
    UNDERSIZED = "undersized"
    TRAPPED = "trapped"
    VALVED = "valved"
    THREADED_END = "threaded_end"
    HIDDEN = "hidden"
    PIPED_TO_DRAIN = "piped_to_drain"
    ENDS_HIGH = "ends_high"


class Recirculation(StrEnum):
    """How hot water is kept near the fixtures."""

    NONE = "none"
    CONTINUOUS = "continuous"
    TIMER = "timer"
    DEMAND = "demand"


class OpeningRoute(StrEnum):
    """Where the combustion-air openings lead and by what."""

    INDOORS = "indoors"
    OUTDOORS_DIRECT = "outdoors_direct"
    VERTICAL_DUCTS = "vertical_ducts"
    HORIZONTAL_DUCTS = "horizontal_ducts"
    SINGLE_OUTDOORS = "single_outdoors"


class OpensTo(StrEnum):
    """The room that the heater's space opens into."""

    LIVING_SPACE = "living_space"
    BEDROOM = "bedroom"
    BATHROOM = "bathroom"
    GARAGE = "garage"
    OUTDOORS = "outdoors"


class Ducting(StrEnum):
    """Ducts on a heat pump's air side."""

    NONE = "none"
    ONE_SIDE = "one_side"
    BOTH_SIDES = "both_sides"


class DraftTest(StrEnum):
    """Outcome of a test on site."""

    PASS = "pass"
    FAIL = "fail"


class GasSegment(InputTable):
    """One stretch of gas pipe between two branches, in a tree that starts at the meter.

    Parameters
    ----------
    name : str
        Label of the segment, unique in the tree.
    after : str
        Name of the segment it continues, "meter" at the start.
    size, material : PipeSize, GasMaterial
        What it is made of.
    length_m : float
        Length along the pipe, without fittings. [m]
    elbows, tees : int
        90-degree elbows, and tees passed through the branch.
    load_kw : float
        Input of the appliances at its far end, without the new water heater. [kW]
    feeds_heater : bool
        True for the one segment at whose end the water heater stands.
    """

    name: str
    after: str = "meter"
    size: PipeSize
    length_m: Length = Field(alias="length")
    material: GasMaterial = GasMaterial.SCHEDULE_40
    elbows: int = Field(default=0, ge=0, le=50)
    tees: int = Field(default=0, ge=0, le=50)
    load_kw: BurnerInput = Field(default=0.0, alias="load")
    feeds_heater: bool = Field(default=False, strict=True)


class GasPipe(InputTable):
    """The gas pipe from the meter: one run, or a tree of segments.

    Parameters
    ----------
    size, length_m, material, elbows, tees
        The single run to the heater, when there are no segments. [m]
    dedicated : bool or None
        Whether the single run feeds the water heater alone; None counts the other gas
        appliances on it too.
    supply_kpa : float or None
        Gas pressure behind the meter's regulator. [kPa]
    meter_capacity_kw : float or None
        Heat rate that the meter and regulator are good for. [kW]
    listed_capacity_kw : float or None
        Heat rate that the maker of flexible tube lists for its size at this length. [kW]
    segments : tuple of GasSegment
        The branch tree; replaces the single run.
    """

    size: PipeSize | None = None
    length_m: Length | None = unknown("length")
    material: GasMaterial = GasMaterial.SCHEDULE_40
    elbows: int = Field(default=0, ge=0, le=50)
    tees: int = Field(default=0, ge=0, le=50)
    dedicated: bool | None = unknown(strict=True)
    supply_kpa: GasPressure | None = unknown("supply")
    meter_capacity_kw: BurnerInput | None = unknown("meter_capacity")
    listed_capacity_kw: BurnerInput | None = unknown("listed_capacity")
    segments: tuple[GasSegment, ...] = ()

    @model_validator(mode="after")
    def _is_one_material(self) -> Self:
        """Refuse a size of flexible tube on a pipe that is not said to be flexible."""
        parts = [(self.size, self.material), *((s.size, s.material) for s in self.segments)]
        for size, material in parts:
            if size is not None and size.is_flexible and material is not GasMaterial.CSST:
                raise PydanticCustomError(
                    "contradiction", "not one material",
                    {"field": "material", "value": material.value,
                     "allowed": f"csst, since {size.value} is a size of flexible tube",
                     "fix": 'write material = "csst", or a size such as "3/4 in"'},
                )  # fmt: skip
        return self

    @model_validator(mode="after")
    def _is_a_tree(self) -> Self:
        """Refuse segments that do not hang together: each starts at the meter or at another."""
        names = [segment.name for segment in self.segments]
        reached = {"meter"}
        while waiting := [s for s in self.segments if s.after in reached and s.name not in reached]:
            reached |= {segment.name for segment in waiting}
        loose = sorted(set(names) - reached)
        if len(set(names)) < len(names) or "meter" in names:
            raise _tree_fault(", ".join(names), "names that differ, none of them meter")
        if loose:
            raise _tree_fault(loose[0], "a segment whose after leads back to the meter")
        if names and sum(segment.feeds_heater for segment in self.segments) != 1:
            raise _tree_fault(", ".join(names), "feeds_heater = true on exactly one segment")
        return self


def _tree_fault(value: str, allowed: str) -> PydanticCustomError:
    return PydanticCustomError(
        "contradiction", "not a tree",
        {"field": "segments", "value": value, "allowed": allowed,
         "fix": 'an example is { name = "kitchen", after = "trunk", size = "1/2 in", '
                'length = "12 ft", load = "65000 Btu/h" }'},
    )  # fmt: skip


class HouseLoads(InputTable):
    """The house's electric loads, for a service calculation; water heating left out.

    Parameters
    ----------
    floor_area_m2 : float
        Heated floor area. [m²]
    small_appliance_circuits, laundry_circuits : int
        Circuits counted at 1500 VA each.
    range_kw, dryer_kw, other_kw : float
        Nameplates; other takes dishwasher, microwave and the like together. [kW]
    air_conditioning_kw, electric_heat_kw : float
        Largest cooling and heating load. [kW]
    heat_units : int
        Separately controlled heating units.
    vehicle_charger_kw, pool_or_spa_kw : float
        Counted in full in Canada. [kW]
    """

    floor_area_m2: Area = Field(alias="floor_area")
    small_appliance_circuits: int = Field(default=2, ge=0, le=20)
    laundry_circuits: int = Field(default=1, ge=0, le=10)
    range_kw: Power = Field(default=0.0, alias="range")
    dryer_kw: Power = Field(default=0.0, alias="dryer")
    other_kw: Power = Field(default=0.0, alias="other")
    air_conditioning_kw: Power = Field(default=0.0, alias="air_conditioning")
    electric_heat_kw: Power = Field(default=0.0, alias="electric_heat")
    heat_units: int = Field(default=1, ge=1, le=40)
    vehicle_charger_kw: Power = Field(default=0.0, alias="vehicle_charger")
    pool_or_spa_kw: Power = Field(default=0.0, alias="pool_or_spa")


class Panel(InputTable):
    """The electrical service and the circuit that stands at the heater now.

    Parameters
    ----------
    service_a : float or None
        Rating of the main disconnect. [A]
    spare_poles : int or None
        Free breaker spaces.
    calculated_load_a : float or None
        Calculated load without any electric water heater. [A]
    measured_peak_a : float or None
        Highest measured demand, without an electric water heater. [A]
    line_v : int or None
        240 (house service) or 208 (two legs of a three-phase service). [V]
    heater_breaker_a : float or None
        Breaker of the circuit at the heater, 0 if there is none. [A]
    heater_wire_awg : int or None
        Copper conductor of that circuit.
    outlet_120v : bool or None
        A grounded 120 V outlet within reach of the heater.
    energy_management : bool
        A listed system sheds the water heater before the service is overloaded.
    loads : HouseLoads or None
        Enables the service calculation.
    """

    service_a: Current | None = unknown("service")
    spare_poles: int | None = unknown(ge=0, le=84)
    calculated_load_a: Current | None = unknown("calculated_load")
    measured_peak_a: Current | None = unknown("measured_peak")
    line_v: int | None = unknown("line_voltage", ge=100, le=250)
    heater_breaker_a: Current | None = unknown("heater_breaker")
    heater_wire_awg: int | None = unknown("heater_wire", ge=1, le=18)
    outlet_120v: bool | None = unknown(strict=True)
    energy_management: bool = Field(default=False, strict=True)
    loads: HouseLoads | None = None


class Site(InputTable):
    """Facts of the visit that are neither pipe sizes nor the panel.

    The names say what is meant; units stand in the attribute names. Booleans: True found,
    False looked for and absent, None not looked for.
    """

    # the place and its rules
    plumbing_code: CodeFamily | None = None
    code_year: int | None = unknown(ge=2000, le=2040)
    electrical_code_year: int | None = unknown(ge=2000, le=2040)
    altitude_reading: AltitudeReading | None = None
    seismic: bool | None = unknown(strict=True)

    # water side
    tempering_valve: bool | None = unknown(strict=True)
    point_of_use_valves: bool | None = unknown(strict=True)
    pressure_regulator: bool | None = unknown(strict=True)
    check_valve: bool | None = unknown(strict=True)
    expansion_tank: bool | None = unknown(strict=True)
    expansion_tank_l: SmallTank | None = unknown("expansion_tank_volume")
    expansion_precharge_kpa: Pressure | None = unknown("expansion_precharge")
    relief_faults: tuple[ReliefFault, ...] | None = None
    vacuum_relief: bool | None = unknown(strict=True)
    above_fixtures: bool | None = unknown(strict=True)
    shutoff_valve: bool | None = unknown(strict=True)
    galvanized_pipe: bool | None = unknown(strict=True)
    bonding_jumper: bool | None = unknown(strict=True)
    recirculation: Recirculation | None = None
    idle_branch_m: Length | None = unknown("idle_branch")

    # burning and venting
    room_other_kw: BurnerInput | None = unknown("room_other_input")
    room_other_fan_assisted: bool = Field(default=False, strict=True)
    air_changes_per_h: AirChange | None = unknown("air_changes")
    air_opening_cm2: OpeningArea | None = unknown("air_opening")
    air_opening_route: OpeningRoute | None = None
    chimney_shared: bool | None = unknown(strict=True)
    chimney_other_leaves: bool | None = unknown(strict=True)
    chimney_liner: bool | None = unknown(strict=True)
    chimney_tile: bool | None = unknown(strict=True)
    flue_area_cm2: OpeningArea | None = unknown("flue_area")
    draft_hood_mm: SmallLength | None = unknown("draft_hood")
    other_outlet_mm: SmallLength | None = unknown("other_outlet")
    draft_test: DraftTest | None = None
    vent_named: bool | None = unknown(strict=True)
    vent_asbestos: bool | None = unknown(strict=True)
    co_alarm: bool | None = unknown(strict=True)
    terminal_to_window_m: HeadLength | None = unknown("terminal_to_window")
    terminal_above_window_m: HeadLength | None = unknown("terminal_above_window")
    terminal_to_air_inlet_m: HeadLength | None = unknown("terminal_to_mechanical_inlet")
    terminal_above_air_inlet_m: HeadLength | None = unknown("terminal_above_mechanical_inlet")
    terminal_to_regulator_m: HeadLength | None = unknown("terminal_to_regulator")
    terminal_above_grade_m: HeadLength | None = unknown("terminal_above_grade")
    terminal_above_walkway_m: HeadLength | None = unknown("terminal_above_walkway")
    ignition_height_m: HeadLength | None = unknown("ignition_height")
    vapor_resistant: bool | None = unknown(strict=True)
    vehicle_guard: bool | None = unknown(strict=True)
    opens_to: OpensTo | None = None
    below_grade: bool | None = unknown(strict=True)
    sealed_enclosure: bool | None = unknown(strict=True)
    gas_shutoff: bool | None = unknown(strict=True)
    sediment_trap: bool | None = unknown(strict=True)
    condensate_drain: bool | None = unknown(strict=True)
    neutralizer: bool | None = unknown(strict=True)

    # a heat pump's room
    louvered: bool | None = unknown(strict=True)
    ducting: Ducting | None = None
    room_min_temp_c: Temperature | None = unknown("room_min_temperature")
    room_max_temp_c: Temperature | None = unknown("room_max_temperature")
    bedroom_distance_m: HeadLength | None = unknown("bedroom_distance")
    refrigerant_charge_g: TankCharge | None = unknown("refrigerant_charge")
    nameplate_room_m2: Area | None = unknown("nameplate_room_area")
    room_area_m2: Area | None = unknown("room_area")

    # the spot
    drain_pan: bool | None = unknown(strict=True)
    pan_drain: bool | None = unknown(strict=True)
    leak_damages: bool | None = unknown(strict=True)
    upper_floor: bool | None = unknown(strict=True)
    floor_checked: bool | None = unknown(strict=True)
    straps: bool | None = unknown(strict=True)
    freezing_space: bool | None = unknown(strict=True)
    service_space_m: HeadLength | None = unknown("service_space")
    narrowest_way_m: HeadLength | None = unknown("narrowest_way")
    outgoing_tank_l: TankVolume | None = unknown("outgoing_tank")
