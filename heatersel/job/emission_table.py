"""What a job says about emissions: the grid's rate and what else to count."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError

from heatersel.job.quantities import Fraction, Quantity
from heatersel.job.table import InputTable

__all__ = ["EmissionChoices"]

_Rate = Annotated[float, Quantity("kg/kWh", 0.0, 2.0, "400 g/kWh")]


class EmissionChoices(InputTable):
    """How emissions are counted; leakage is left out unless it is switched on."""

    marginal_kg_per_kwh: _Rate | None = Field(default=None, alias="marginal")
    grid_decline: Fraction = Field(default=0.0, ge=0.0, le=0.5)
    methane_leakage: Fraction = Field(default=0.0, ge=0.0, le=0.1)
    methane_horizon: int = Field(default=100, strict=True)
    refrigerant_leakage: bool = Field(default=False, strict=True)

    @field_validator("methane_horizon")
    @classmethod
    def _known_horizon(cls, given: Any) -> Any:
        if given not in (20, 100):
            raise PydanticCustomError(
                "choice", "{value}",
                {"value": str(given), "allowed": "20 or 100 years", "fix": "an example is 100"},
            )  # fmt: skip
        return given
