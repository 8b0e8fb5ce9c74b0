"""Which remedies an option needs, each once: what the installed cost adds for its cautions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from heatersel.cautions.caution import Caution, Severity
from heatersel.reference import records

__all__ = ["REMEDIES", "remedies", "without_doubles"]

REMEDIES = {
    "permit": "permit and inspection",
    "tempering_valve": "tempering valve at the heater",
    "point_of_use_valve": "limiting valve at a shower or bath",
    "expansion_tank": "expansion tank",
    "pressure_reducing_valve": "pressure regulator",
    "relief_pipe": "discharge pipe of the relief valve",
    "vacuum_relief": "vacuum relief valve",
    "shutoff_valve": "shutoff on the cold line",
    "bonding_jumper": "bond across hot and cold pipe",
    "isolation_valves": "service valves for descaling",
    "combustion_air": "combustion-air openings",
    "new_vent": "new vent with its terminal",
    "vent_resize": "another size of vent for the appliance that stays",
    "chimney_liner": "metal liner in the chimney",
    "asbestos_removal": "removal of asbestos around the old vent",
    "carbon_monoxide_alarm": "carbon-monoxide alarm",
    "stand": "stand in the garage",
    "vehicle_barrier": "post that keeps vehicles off",
    "gas_fittings": "gas shutoff and sediment trap",
    "neutralizer": "condensate neutralizer",
    "condensate_drain": "condensate drain by gravity",
    "condensate_pump": "condensate pump and its line",
    "gas_line_upsize": "larger gas line",
    "gas_meter_upgrade": "larger gas meter or regulator",
    "new_circuit_240v": "new 240 V circuit",
    "breaker_change": "another breaker on the present circuit",
    "tankless_electric_circuits": "heavy circuits for an electric tankless heater",
    "outlet_120v": "outlet at the heater",
    "subpanel": "subpanel",
    "panel_upgrade": "larger panel or service",
    "makeup_air": "louvred door for the heat pump's air",
    "heat_pump_duct": "ducts for the heat pump's air",
    "drain_pan": "pan with a drain",
    "seismic_straps": "earthquake straps",
    "frost_protection": "frost protection of heater and pipes",
}
"""Every remedy that a rule may call for; the price table has a row for each."""


@lru_cache(maxsize=1)
def _includes() -> dict[str, str]:
    """Return what each piece of work makes needless, as the price table has it."""
    rows = records("costs/adders_us", {})
    return {row["id"]: row["includes"] for row in rows if row["includes"]}


def without_doubles(ids: Iterable[str]) -> tuple[str, ...]:
    """Return remedies once each, without those that another of them includes.

    Parameters
    ----------
    ids : iterable of str
        Keys of the price table, from cautions and from a change of fuel or vent.

    Returns
    -------
    tuple of str
        In the order of first mention.

    Examples
    --------
    >>> without_doubles(["permit", "condensate_drain", "condensate_pump", "permit"])
    ('permit', 'condensate_pump')
    """
    wanted = dict.fromkeys(ids)
    needless = {_includes().get(whole) for whole in wanted}
    return tuple(name for name in wanted if name not in needless)


def remedies(cautions_by_option: Mapping[str, Iterable[Caution]]) -> dict[str, tuple[str, ...]]:
    """Return the remedies that each option's must-cautions call for.

    Parameters
    ----------
    cautions_by_option : mapping of str to iterable of Caution
        By option id.

    Returns
    -------
    dict of str to tuple of str
        Keys of the price table by option id, each once.
    """
    return {
        option: without_doubles(
            remedy
            for caution in cautions
            if caution.severity is Severity.MUST
            for remedy in caution.remedy_ids
        )
        for option, cautions in cautions_by_option.items()
    }
