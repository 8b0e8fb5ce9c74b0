"""The rules, one function each, grouped by subject; importing a module enters its rules."""

from __future__ import annotations

from importlib import import_module

__all__ = ["SUBJECTS", "load"]

SUBJECTS = (
    "fuel", "hot_water", "water_pressure", "water_pipes", "burner_air", "vents", "burner_room",
    "gas_line", "electric_supply", "heat_pump", "spot", "permit",
)  # fmt: skip
"""Modules of the rulebook, in the order in which their rules are listed."""


def load() -> None:
    """Enter every rule in the register; a second call does nothing."""
    for subject in SUBJECTS:
        import_module(f"{__name__}.{subject}")
