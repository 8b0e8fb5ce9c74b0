"""The working of one option on a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from heatersel import words
from heatersel.comparison import Comparison, Option
from heatersel.explain import Step
from heatersel.terminal.layout import print_hanging

__all__ = ["print_steps"]


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
        line.append(words.step_value(step, show), style="bold")
        console.print(line)
        print_hanging(console, "      = ", step.formula)
        if step.inputs:
            print_hanging(console, "     of ", words.step_inputs(step, show))
        if step.source:
            print_hanging(console, "   from ", step.source, style="dim")
