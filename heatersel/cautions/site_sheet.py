"""The site sheet: what is still to be measured or photographed in a house, in walking order.

It is made from the measurements that the rules ask for, so it is empty once everything is known.
Filled in, its answers go back into the job file: :func:`answer_sheet_toml` writes a form with the
same keys, :func:`with_answers` merges a filled form into the tables of a job.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from heatersel.cautions.caution import LOCAL_RULES, Measure
from heatersel.cautions.walk import Question, question
from heatersel.display import Display
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.job.keys import key_at
from heatersel.job.models import Job

__all__ = [
    "SheetLine",
    "SiteSheet",
    "Station",
    "answer_sheet_toml",
    "site_sheet",
    "with_answers",
]

_GASES = (EnergySource.NATURAL_GAS, EnergySource.PROPANE)
_CHIMNEYED = (VentType.DRAFT_HOOD, VentType.BAROMETRIC)
_FANNED = (VentType.POWER_VENT, VentType.DIRECT_VENT)
_GROUPS: tuple[tuple[str, Callable[[Heater], bool]], ...] = (
    ("tanks", lambda heater: not heater.is_tankless),
    ("tankless heaters", lambda heater: heater.is_tankless),
    ("electric heaters", lambda heater: not heater.burns_fuel),
    ("gas heaters", lambda heater: heater.energy_source in _GASES),
    ("gas and oil heaters", lambda heater: heater.burns_fuel),
    ("gas tankless heaters",
     lambda heater: heater.energy_source in _GASES and heater.is_tankless),
    ("burners on room air",
     lambda heater: heater.burns_fuel and heater.vent_type is not VentType.DIRECT_VENT),
    ("heaters vented through the wall", lambda heater: heater.vent_type in _FANNED),
    ("heaters on a chimney", lambda heater: heater.vent_type in _CHIMNEYED),
    ("draft-hood heaters", lambda heater: heater.vent_type is VentType.DRAFT_HOOD),
    ("electric tanks and heat pumps on 240 V",
     lambda heater: not heater.burns_fuel and not heater.is_tankless
     and heater.heater_class is not HeaterClass.HEAT_PUMP_120V),
    ("electric heaters on 240 V",
     lambda heater: not heater.burns_fuel
     and heater.heater_class is not HeaterClass.HEAT_PUMP_120V),
    ("electric tankless heaters",
     lambda heater: heater.heater_class is HeaterClass.TANKLESS_ELECTRIC),
    ("heat pumps", lambda heater: heater.kind is Kind.HEAT_PUMP_STORAGE),
    ("heat pumps that stand in the room",
     lambda heater: heater.kind is Kind.HEAT_PUMP_STORAGE
     and heater.heater_class is not HeaterClass.HEAT_PUMP_SPLIT),
)  # fmt: skip
"""Sets of heaters that have a name, wide ones first."""

_FEW = 3  # so many options are named one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One thing to measure.

    Parameters
    ----------
    question : Question
        What, where, how the answer is written.
    reasons : tuple of str
        What depends on it.
    matters_for : tuple of str
        Ids of the options.
    matters_in_words : str
        The same as a person says it: "every heater", "heat pumps".
    """

    question: Question
    reasons: tuple[str, ...]
    matters_for: tuple[str, ...]
    matters_in_words: str

    def as_dict(self) -> dict[str, Any]:
        """Return the line as plain fields, for JSON."""
        return {
            "field": self.question.field,
            "station": self.question.station,
            "question": self.question.question,
            "why": "; ".join(self.reasons),
            "matters_for": list(self.matters_for),
            "example": self.question.example,
            "photo": self.question.photo,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One stop of the walk, with what is looked at there."""

    name: str
    lines: tuple[SheetLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteSheet:
    """Everything still to be measured in one house.

    Parameters
    ----------
    title, place : str
        The job.
    stations : tuple of Station
        In walking order; empty where nothing is missing.
    reminder : str
        Who decides in the end.
    """

    title: str
    place: str
    stations: tuple[Station, ...]
    reminder: str = LOCAL_RULES

    @property
    def lines(self) -> tuple[SheetLine, ...]:
        """All lines, in walking order."""
        return tuple(line for station in self.stations for line in station.lines)

    def as_dict(self) -> dict[str, Any]:
        """Return the sheet as plain fields, for JSON."""
        return {
            "title": self.title,
            "place": self.place,
            "to_measure": [line.as_dict() for line in self.lines],
            "reminder": self.reminder,
        }


def site_sheet(job: Job, options: Iterable[tuple[Heater, Iterable[Measure]]]) -> SiteSheet:
    """Return what is still to be measured for a list of options.

    Parameters
    ----------
    job : Job
        The job.
    options : iterable of (Heater, iterable of Measure)
        Each heater under consideration and the measurements its rules ask for.

    Returns
    -------
    SiteSheet
        Each question once, in walking order, with the options for which it matters; heaters
        whose fuel the house lacks are left out.
    """
    heaters: dict[str, Heater] = {}
    asked: dict[str, dict[str, list[str]]] = {}
    for heater, measures in options:
        if heater.energy_source not in job.fuels:
            continue
        heaters[heater.id] = heater
        for measure in measures:
            found = asked.setdefault(measure.field, {"why": [], "for": []})
            found["why"].append(measure.why)
            found["for"].append(heater.id)
    show = Display(job.units.value)
    lines = sorted(
        (_line(field, found, heaters, show) for field, found in asked.items()),
        key=lambda line: line.question.order,
    )
    return SiteSheet(
        title=job.title,
        place=job.place.climate,
        stations=tuple(
            Station(name=name, lines=tuple(group))
            for name, group in groupby(lines, key=lambda line: line.question.station)
        ),
    )


def _line(
    field: str, found: dict[str, list[str]], heaters: Mapping[str, Heater], show: Display
) -> SheetLine:
    ids = tuple(dict.fromkeys(found["for"]))
    return SheetLine(
        question=question(field),
        reasons=tuple(dict.fromkeys(found["why"])),
        matters_for=ids,
        matters_in_words=_in_words(ids, heaters, show),
    )


def _in_words(ids: tuple[str, ...], heaters: Mapping[str, Heater], show: Display) -> str:
    """Return a set of options as a person names it."""
    wanted = set(ids)
    if wanted == set(heaters):
        return "every heater"
    for name, belongs in _GROUPS:
        if wanted == {heater.id for heater in heaters.values() if belongs(heater)}:
            return name
    if len(ids) <= _FEW:
        return "; ".join(show.heater_name(heaters[option].name) for option in ids)
    covering = (
        name
        for name, belongs in reversed(_GROUPS)
        if all(belongs(heaters[option]) for option in ids)
    )
    return f"some {next(covering, 'heaters')}"


def answer_sheet_toml(sheet: SiteSheet) -> str:
    """Return a form to fill in: the sheet's keys as TOML, each commented out with an example.

    Parameters
    ----------
    sheet : SiteSheet
        The sheet.

    Returns
    -------
    str
        TOML whose every answer is a comment until the hash before it is removed.
    """
    parts = [
        "# Answers from the visit. Remove the hash before a line and write what you found.",
        "# A line left as it is stays unknown.",
    ]
    by_table = sorted(sheet.lines, key=lambda line: _table(line.question.field))
    for table, lines in groupby(by_table, key=lambda line: _table(line.question.field)):
        parts += ["", f"[{table}]"]
        for line in lines:
            key = line.question.field.rpartition(".")[2]
            parts.append(f"# {line.question.question}{_words_allowed(line.question.field)}")
            parts.append(f"# {key} = {line.question.example}")
    return "\n".join(parts) + "\n"


def _words_allowed(field: str) -> str:
    """Return the words that an answer may be, where it is one of a few."""
    key = key_at(field)
    if key is None or not key.choices:
        return ""
    return f" ({'any of' if key.is_list else 'one of'} {', '.join(map(str, key.choices))})"


def _table(field: str) -> str:
    return field.rpartition(".")[0]


def with_answers(tables: Mapping[str, Any], answers: str) -> dict[str, Any]:
    """Return the tables of a job with a filled form merged into them.

    Parameters
    ----------
    tables : mapping
        A job file's tables, as read.
    answers : str
        The filled form, TOML.

    Returns
    -------
    dict
        New tables; an answer replaces what stood there.

    Raises
    ------
    InputError
        If the form is not TOML.
    """
    try:
        filled = tomllib.loads(answers)
    except tomllib.TOMLDecodeError as trouble:
        raise InputError.of(
            "answers", value="not TOML", allowed='lines such as opens_to = "garage"',
            fix=f"the reader stopped because: {trouble}",
        ) from None  # fmt: skip
    return _merged(tables, filled)


def _merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    both = dict(old)
    for key, value in new.items():
        present = both.get(key)
        nested = isinstance(present, Mapping) and isinstance(value, Mapping)
        both[key] = _merged(present, value) if nested else value  # type: ignore[arg-type]
    return both
