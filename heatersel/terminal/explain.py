"""The working of one option on a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from heatersel.comparison import Comparison, Option
from heatersel.display import Display
from heatersel.explain import Step
from heatersel.terminal import words
from heatersel.terminal.layout import print_hanging

__all__ = ["print_steps"]

_SHOWN = {"_c": "degC", "_k": "K", "_l_per_min": "L/min", "_l": "L"}


def print_steps(
    console: Console, comparison: Comparison, option: Option, steps: Sequence[Step]
) -> None:
    """Print each step: name and value, then formula, inputs and source."""
    show = words.display_for(comparison)
    console.print(
        Text(
            f"How the numbers of the {words.heater_name(option.heater, show)} are found",
            style="bold",
        )
    )
    console.print(words.verdict_sentence(option, show))
    for number, step in enumerate(steps, start=1):
        console.print()
        line = Text(f"{number:>2}  {step.name}  ")
        line.append(_value(step.value, step.unit, show), style="bold")
        console.print(line)
        print_hanging(console, "      = ", step.formula)
        if step.inputs:
            inputs = ", ".join(
                f"{_plain(name)} {_input(name, value, show)}" for name, value in step.inputs.items()
            )
            print_hanging(console, "     of ", inputs)
        if step.source:
            print_hanging(console, "   from ", step.source, style="dim")


def _value(value: float, unit: str, show: Display) -> str:
    if unit in ("USD", "CAD", "USD/yr", "CAD/yr"):
        return show.money(value) + (" a year" if unit.endswith("/yr") else "")
    return show.measure(value, unit)


def _unit_of(name: str) -> str:
    return next((unit for ending, unit in _SHOWN.items() if name.endswith(ending)), "")


def _plain(name: str) -> str:
    ending = next((e for e in (*_SHOWN, "_kwh", "_kw") if name.endswith(e)), "")
    return name.removesuffix(ending).replace("_", " ")


def _input(name: str, value: float, show: Display) -> str:
    if name.endswith("_kwh"):
        return f"{value:,.0f} kWh"
    if name.endswith("_kw"):
        return show.heat_rate(value)
    return show.measure(value, _unit_of(name))
