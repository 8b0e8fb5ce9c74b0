"""Quantity types for input models: a string with a unit in, a plain SI float out.

Each type names the unit it converts to, the range it allows and an example that an error shows.
A model field of such a type keeps its file key as alias and carries the unit in its name::

    use_temp_c: Temperature = Field(alias="use_temperature")
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from heatersel import units
from heatersel.errors import InputError

__all__ = [
    "AirChange",
    "Area",
    "BurialDepth",
    "BurnerInput",
    "CeilingHeight",
    "Conductance",
    "Current",
    "Duration",
    "Elevation",
    "Energy",
    "Flow",
    "Fraction",
    "Hardness",
    "InletTemperature",
    "Length",
    "Power",
    "Pressure",
    "Quantity",
    "RoomVolume",
    "Setpoint",
    "SmallLength",
    "TankVolume",
    "Temperature",
    "UseTemperature",
    "Voltage",
]


_PERCENT = re.compile(r"\s*([-+]?[0-9]*\.?[0-9]+)\s*%\s*")


@dataclass(frozen=True, slots=True)
class Quantity:
    """Validator that turns text such as `example` into a float in `unit`.

    For use in ``Annotated[float, Quantity(...)]``; readers of a model find it in the field's
    metadata, for instance to write a value back.

    Parameters
    ----------
    unit : str
        Unit of the result.
    low, high : float
        Allowed range, in `unit`, ends included.
    example : str
        A sensible value in the trade's own unit, shown in errors.
    """

    unit: str
    low: float
    high: float
    example: str

    @property
    def example_unit(self) -> str:
        """The trade's own unit."""
        return self.example.split(" ", 1)[1]

    def shown(self, value: float) -> str:
        """Return a value as people say it, in the trade's own unit."""
        number = units.convert(value, self.unit, self.example_unit)
        return f"{float(f'{number:.4g}'):,.10g} {self.example_unit}"

    @property
    def allowed(self) -> str:
        """The allowed range in words."""
        low, high = self.shown(self.low), self.shown(self.high)
        return f"{low.removesuffix(self.example_unit)}to {high}"

    def read(self, given: Any) -> float:
        """Return the value of a text; raise PydanticCustomError saying what is allowed."""
        bare = isinstance(given, int | float) and not isinstance(given, bool)
        if not isinstance(given, str) or _is_number(given):
            bare = bare or isinstance(given, str)
            raise _trouble(
                "a number without a unit" if bare else "not a quantity",
                f"text with a number and a unit, {self.allowed}",
                f'write it with its unit, such as "{self.example}"',
            )
        try:
            value = units.parse(given, self.unit)
        except InputError as trouble:
            raise _trouble(
                "no usable unit",
                f"a quantity that converts to {self.example_unit}, {self.allowed}",
                _fix(trouble.faults[0].fix, self.example),
            ) from None
        slack = 1e-9 * max(1.0, abs(self.low), abs(self.high))
        if not self.low - slack <= value <= self.high + slack:
            raise _trouble(
                "out of range",
                self.allowed,
                f'check the number and its unit; an example is "{self.example}"',
            )
        return value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Put :meth:`read` before the check that the result is a float."""
        return core_schema.no_info_before_validator_function(self.read, handler(source))


def _of_percent(given: Any) -> Any:
    """Return the fraction that a percentage says; leave all else to the check of a number."""
    percent = _PERCENT.fullmatch(given) if isinstance(given, str) else None
    return float(percent[1]) / 100.0 if percent else given


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _trouble(kind: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{kind}", {"kind": kind, "allowed": allowed, "fix": fix})


def _fix(reason: str, example: str) -> str:
    """Return the reason a unit was refused, where it says more than that it is another kind."""
    telling = reason.startswith(("MBtu", "write a decimal point"))
    hint = f'an example is "{example}"'
    return f"{reason}; {hint}" if telling else f"write a unit of that kind; {hint}"


Fraction = Annotated[float, BeforeValidator(_of_percent)]
"""A number such as 0.03, or "3 %"; limits are set by the field."""

Temperature = Annotated[float, Quantity("degC", -60.0, 99.0, "120 degF")]
UseTemperature = Annotated[float, Quantity("degC", 30.0, 50.0, "105 degF")]
Setpoint = Annotated[float, Quantity("degC", 43.0, 82.3, "120 degF")]
InletTemperature = Annotated[float, Quantity("degC", 0.0, 40.0, "45 degF")]
BurialDepth = Annotated[float, Quantity("m", 0.05, 10.0, "7 ft")]
Flow = Annotated[float, Quantity("L/min", 0.1, 120.0, "2.0 gal/min")]
TankVolume = Annotated[float, Quantity("L", 4.0, 1000.0, "50 gal")]
RoomVolume = Annotated[float, Quantity("m3", 0.5, 5000.0, "6000 ft3")]
Elevation = Annotated[float, Quantity("m", 0.0, 6000.0, "1050 ft")]
CeilingHeight = Annotated[float, Quantity("m", 1.0, 20.0, "7 ft")]
Length = Annotated[float, Quantity("m", 0.0, 6000.0, "40 ft")]
SmallLength = Annotated[float, Quantity("mm", 0.0, 100000.0, "4 inch")]
Area = Annotated[float, Quantity("m2", 0.0, 5000.0, "1800 ft2")]
BurnerInput = Annotated[float, Quantity("kW", 0.0, 600.0, "80000 Btu/h")]
Power = Annotated[float, Quantity("kW", 0.0, 200.0, "4.5 kW")]
Current = Annotated[float, Quantity("A", 0.0, 1000.0, "100 A")]
Voltage = Annotated[float, Quantity("V", 100.0, 600.0, "240 V")]
Pressure = Annotated[float, Quantity("kPa", 0.0, 2000.0, "65 psi")]
Hardness = Annotated[float, Quantity("mg/L", 0.0, 2000.0, "15 grain/gal")]
Energy = Annotated[float, Quantity("kWh", 0.0, 1.0e6, "900 kWh")]
Conductance = Annotated[float, Quantity("W/K", 0.0, 5000.0, "50 W/K")]
AirChange = Annotated[float, Quantity("1/h", 0.01, 30.0, "0.35 1/h")]
Duration = Annotated[float, Quantity("min", 0.0, 6.0e5, "8 min")]
