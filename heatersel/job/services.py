"""The house's own services that a water heater works with: its heating and its hot-water pipe."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from heatersel.heaters.heater import EnergySource
from heatersel.job.quantities import Fraction, Quantity
from heatersel.job.table import InputTable, assumed

__all__ = [
    "HeatPumpMode",
    "Heating",
    "HotPipe",
    "HotPipeMaterial",
    "HotPipeSize",
    "LoopPump",
    "TanklessOverload",
]

PipeLength = Annotated[float, Quantity("m", 0.1, 100.0, "40 ft")]


class HeatPumpMode(StrEnum):
    """How a heat pump's compressor and elements share the work."""

    COMPRESSOR_FIRST = "compressor_first"
    COMPRESSOR_ONLY = "compressor_only"
    ELEMENTS_ONLY = "elements_only"
    SCHEDULE = "schedule"


class TanklessOverload(StrEnum):
    """What gives way when fixtures ask a tankless heater for more than it can do."""

    SAG = "sag"
    THROTTLE = "throttle"


class HotPipeMaterial(StrEnum):
    """What the hot-water pipe is made of."""

    COPPER_K = "copper_k"
    COPPER_L = "copper_l"
    COPPER_M = "copper_m"
    PEX_SDR_9 = "pex_sdr_9"
    CPVC_SDR_11 = "cpvc_sdr_11"


class HotPipeSize(StrEnum):
    """Nominal size of the hot-water pipe."""

    N_3_8 = "3/8 in"
    N_1_2 = "1/2 in"
    N_3_4 = "3/4 in"
    N_1 = "1 in"


class LoopPump(StrEnum):
    """When the pump of a recirculation loop runs."""

    CONTINUOUS = "continuous"
    TIMER = "timer"
    TEMPERATURE = "temperature"
    DEMAND = "demand"


class Heating(InputTable):
    """How the house is heated and cooled; a heat pump takes its heat from it."""

    energy_source: EnergySource
    efficiency: Fraction = assumed(
        0.85, "seasonal efficiency of a usual furnace; common practice, no source", ge=0.3, le=6.0
    )
    cooling: bool = Field(default=True, strict=True)


class HotPipe(InputTable):
    """The pipe from the heater to the farthest fixture, and the loop that keeps it warm."""

    length_m: PipeLength = Field(alias="length")
    size: HotPipeSize = assumed(HotPipeSize.N_3_4, "common practice, no source")
    material: HotPipeMaterial = assumed(HotPipeMaterial.COPPER_L, "common practice, no source")
    insulated: bool = Field(default=False, strict=True)
    loop_pump: LoopPump | None = None
    loop_hours_per_day: float = Field(default=12.0, ge=0.0, le=24.0)
