"""What cautions ask of the one who plans the visits, in a few words of the trade.

Common practice, no source: the words are ours; whether and how the work is done is decided on
site by local codes, the heater's listing and a licensed person.
"""

from __future__ import annotations

__all__ = ["WORK", "field_words", "work_words"]

WORK = {
    "scald-setpoint": "tempering valve, or limiting valves at the fixtures",
    "scald-vulnerable": "limiting valves for people who scald easily",
    "tempering-valve-planned": "tempering valve that the plan counts on",
    "growth-electric-canada": "store at 60 °C with a tempering valve",
    "relief-discharge": "relief valve or its discharge pipe",
    "closed-system": "expansion tank",
    "closed-system-tankless": "expansion tank",
    "closed-system-canada": "expansion tank",
    "expansion-tank-size": "larger or newly charged expansion tank",
    "pressure-high": "pressure regulator",
    "pressure-high-canada": "pressure regulator",
    "vacuum-relief": "vacuum relief valve",
    "shutoff-valve": "shutoff on the cold line",
    "bonding": "bonding jumper, or fittings between metals",
    "air-room-volume": "openings for combustion air",
    "air-tight-house": "openings for combustion air, tight house",
    "air-canada": "combustion air by the code's table",
    "vent-kind": "vent of the heater's kind",
    "vent-oversized": "smaller flue or a liner",
    "vent-undersized": "larger flue",
    "vent-unlined": "chimney liner",
    "vent-orphaned": "chimney liner, the heater is alone on it",
    "vent-left-behind": "flue check for the appliance that stays",
    "vent-draft-test-left": "chimney that failed its draft test",
    "vent-asbestos": "asbestos removal by a specialist",
    "co-alarm": "carbon-monoxide alarms",
    "garage-ignition": "stand in the garage, ignition above the floor",
    "garage-ignition-canada": "stand in the garage, ignition above the floor",
    "garage-vehicle": "barrier against cars",
    "propane-below-grade": "propane below grade: ask the code office",
    "gas-shutoff-and-trap": "gas shutoff and sediment trap",
    "condensate-acid": "condensate neutralizer and drain",
    "gas-pipe": "larger gas pipe",
    "gas-pipe-canada": "larger gas pipe",
    "gas-pressure": "gas pressure set right",
    "gas-meter": "larger gas meter or regulator",
    "circuit-tank": "circuit and breaker for the heater",
    "circuit-tank-canada": "circuit and breaker for the heater",
    "circuit-tankless": "circuits for an electric tankless heater",
    "panel-spaces": "spaces in the panel",
    "service-load": "load calculation, larger service or load control",
    "service-load-canada": "load calculation, larger service or load control",
    "supply-too-low": "240 V service",
    "outlet": "grounded outlet within reach",
    "heat-pump-room": "louvred door or ducts for a heat pump",
    "heat-pump-no-element": "warmer air or a backup for a heat pump without an element",
    "heat-pump-condensate": "condensate drain or pump",
    "heat-pump-backdraft": "draft check beside a ducted heat pump",
    "drain-pan": "drain pan with a drain",
    "seismic-straps": "earthquake straps",
    "frost": "protection against frost",
    "outdoors-listing": "model that is listed for outdoors",
    "descaling-valves": "service valves for descaling",
}
"""What each caution that asks for work asks for."""


def work_words(caution_id: str) -> str:
    """Return what a caution asks for; its id with blanks where it is not known.

    Examples
    --------
    >>> work_words("gas-pipe"), work_words("some-rule")
    ('larger gas pipe', 'some rule')
    """
    return WORK.get(caution_id, caution_id.replace("-", " "))


def field_words(field: str) -> str:
    """Return a key of the job file as words, with its inner table where that tells more.

    Examples
    --------
    >>> field_words("home.site.check_valve"), field_words("household.fixtures.shower")
    ('check valve', 'fixtures: shower')
    """
    _, *inner, name = field.replace("_", " ").split(".")
    return ": ".join([*(table for table in inner if table != "site"), name])
