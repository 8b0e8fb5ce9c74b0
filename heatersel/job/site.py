"""What is measured on site: gas pipe, electrical panel and what stands around the heater."""

from __future__ import annotations

from heatersel.job.quantities import Current, Length
from heatersel.job.table import InputTable, unknown

__all__ = ["GasPipe", "Panel", "Site"]


class GasPipe(InputTable):
    """The pipe that feeds the heater, as one run."""

    size: str
    length_m: Length = unknown("length")
    material: str = "schedule_40"


class Panel(InputTable):
    """The electrical service."""

    service_a: Current | None = unknown("service")
    spare_poles: int | None = unknown()
    calculated_load_a: Current | None = unknown("calculated_load")


class Site(InputTable):
    """Further facts of the house, each optional; None means not measured."""
