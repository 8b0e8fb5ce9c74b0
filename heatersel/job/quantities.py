"""Quantity types for input models: a string with a unit in, a plain SI float out.

Each type names the unit it converts to, the range it allows and an example that an error shows.
A model field of such a type keeps its file key as alias and carries the unit in its name::

    use_temp_c: Temperature = Field(alias="use_temperature")
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

from heatersel import units
from heatersel.errors import InputError

__all__ = [
    "AirChange",
    "Area",
    "BurialDepth",
    "BurnerInput",
    "Conductance",
    "Current",
    "Duration",
    "Energy",
    "Flow",
    "Hardness",
    "InletTemperature",
    "Length",
    "Power",
    "Pressure",
    "RoomVolume",
    "Setpoint",
    "SmallLength",
    "TankVolume",
    "Temperature",
    "UseTemperature",
    "Voltage",
    "quantity",
]


def quantity(unit: str, low: float, high: float, example: str) -> Any:
    """Return a validator that turns text such as `example` into a float in `unit`.

    Parameters
    ----------
    unit : str
        Unit of the result.
    low, high : float
        Allowed range, in `unit`, ends included.
    example : str
        A sensible value in the trade's own unit, shown in errors.

    Returns
    -------
    pydantic.BeforeValidator
        For use in ``Annotated[float, ...]``.
    """
    example_unit = example.split(" ", 1)[1]

    def shown(value: float) -> str:
        return f"{units.convert(value, unit, example_unit):.4g} {example_unit}"

    def read(given: Any) -> float:
        if not isinstance(given, str):
            bare = isinstance(given, int | float) and not isinstance(given, bool)
            raise PydanticCustomError(
                "quantity",
                "{kind}",
                {
                    "kind": "a number without a unit" if bare else "not a quantity",
                    "allowed": f"text with a number and a unit, {shown(low)} to {shown(high)}",
                    "fix": f'write it with its unit, such as "{example}"',
                },
            )
        try:
            value = units.parse(given, unit)
        except InputError as trouble:
            fault = trouble.faults[0]
            raise PydanticCustomError(
                "quantity",
                "no usable unit",
                {
                    "allowed": f"a quantity that converts to {example_unit}, "
                    f"{shown(low)} to {shown(high)}",
                    "fix": _fix(fault.fix, example),
                },
            ) from None
        slack = 1e-9 * max(1.0, abs(low), abs(high))
        if not low - slack <= value <= high + slack:
            raise PydanticCustomError(
                "quantity",
                "out of range",
                {
                    "allowed": f"{shown(low)} to {shown(high)}",
                    "fix": f'check the number and its unit; an example is "{example}"',
                },
            )
        return value

    return BeforeValidator(read)


def _fix(reason: str, example: str) -> str:
    hint = f'an example is "{example}"'
    return f"{reason}; {hint}" if reason.startswith("M") else f"write a unit of that kind; {hint}"


Temperature = Annotated[float, quantity("degC", -60.0, 99.0, "120 degF")]
UseTemperature = Annotated[float, quantity("degC", 30.0, 50.0, "105 degF")]
Setpoint = Annotated[float, quantity("degC", 43.0, 82.3, "120 degF")]
InletTemperature = Annotated[float, quantity("degC", 0.0, 40.0, "45 degF")]
BurialDepth = Annotated[float, quantity("m", 0.05, 10.0, "7 ft")]
Flow = Annotated[float, quantity("L/min", 0.1, 120.0, "2.0 gal/min")]
TankVolume = Annotated[float, quantity("L", 4.0, 1000.0, "50 gal")]
RoomVolume = Annotated[float, quantity("m3", 0.5, 5000.0, "6000 ft3")]
Length = Annotated[float, quantity("m", 0.0, 6000.0, "40 ft")]
SmallLength = Annotated[float, quantity("mm", 0.0, 100000.0, "4 inch")]
Area = Annotated[float, quantity("m2", 0.0, 5000.0, "1800 ft2")]
BurnerInput = Annotated[float, quantity("kW", 0.0, 600.0, "80000 Btu/h")]
Power = Annotated[float, quantity("kW", 0.0, 200.0, "4.5 kW")]
Current = Annotated[float, quantity("A", 0.0, 1000.0, "100 A")]
Voltage = Annotated[float, quantity("V", 100.0, 600.0, "240 V")]
Pressure = Annotated[float, quantity("kPa", 0.0, 2000.0, "65 psi")]
Hardness = Annotated[float, quantity("mg/L", 0.0, 2000.0, "15 grain/gal")]
Energy = Annotated[float, quantity("kWh", 0.0, 1.0e6, "900 kWh")]
Conductance = Annotated[float, quantity("W/K", 0.0, 5000.0, "50 W/K")]
AirChange = Annotated[float, quantity("1/h", 0.01, 30.0, "0.35 1/h")]
Duration = Annotated[float, quantity("min", 0.0, 6.0e5, "8 min")]
