"""The fuel that a heater needs must be in the house."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.heaters.heater import EnergySource

_WORDS = {
    EnergySource.NATURAL_GAS: "natural gas",
    EnergySource.PROPANE: "propane",
    EnergySource.FUEL_OIL: "heating oil",
    EnergySource.ELECTRICITY: "electricity",
}


@rule(
    "fuel-missing", "fuel", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="every heater", when=lambda case: True,
    trigger="the house does not have the heater's energy source",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _fuel_missing(case: Case) -> Iterator[Finding | Ask]:
    source = case.heater.energy_source
    if source in case.job.fuels:
        return
    fuel = _WORDS[source]
    present = ", ".join(_WORDS[found] for found in case.job.fuels) or "none"
    yield Finding(
        says=f"This heater runs on {fuel}, and your house has no {fuel}.",
        trade=f"Energy source {fuel}; present in the house: {present}.",
        remedy=f"Bring {fuel} to the house, or choose a heater for what is there.",
        lifts=f"a supply of {fuel} brought to the house and named under home.fuels",
    )
