"""The list of heaters to choose from: the generic list that ships, or a supplier's own file.

Both are CSV files with one heater a row and the unit of each column in its heading, so that a
supplier may write "volume [gal]" or "volume [L]", "burner_input [Btu/h]" or "burner_input [kW]".
Rows are checked one by one: a row that cannot be used is left out and every reason is kept with
file, line and column. The columns are described in datasets/heaters/generic.source.toml.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Container, Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from heatersel import units
from heatersel.errors import DataError, Fault, InputError, UnknownChoiceError
from heatersel.heaters.heater import (
    DrawPattern,
    EnergySource,
    Heater,
    HeaterClass,
    Kind,
    VentType,
)
from heatersel.heaters.rated import rating_faults
from heatersel.reference import Record, dataset_path, read_records

__all__ = ["HeaterList", "heater_by_id", "load_heaters"]


class _Number(NamedTuple):
    """A numeric column: the field it fills, in its unit, and what it may be.

    The limits are wider than anything sold, so that they catch a wrong unit.
    """

    field: str
    unit: str
    low: float
    high: float


_NUMBERS = {
    "volume": _Number("volume_l", "L", 4.0, 1000.0),
    "burner_input": _Number("input_kw", "kW", 1.0, 120.0),
    "min_burner_input": _Number("min_input_kw", "kW", 0.5, 120.0),
    "element_power": _Number("input_kw", "kW", 0.5, 60.0),
    "upper_element_power": _Number("upper_input_kw", "kW", 0.5, 60.0),
    "compressor_power": _Number("compressor_input_kw", "kW", 0.1, 5.0),
    "uef": _Number("uef", "", 0.2, 6.0),
    "first_hour_rating": _Number("first_hour_rating_l", "L", 4.0, 4000.0),
    "max_flow": _Number("max_flow_l_per_min", "L/min", 1.0, 120.0),
    "recovery_efficiency": _Number("recovery_efficiency", "", 0.3, 8.0),
    "standby_loss": _Number("standby_loss_w_per_k", "W/K", 0.1, 15.0),
    "min_flow": _Number("min_flow_l_per_min", "L/min", 0.2, 10.0),
    "pilot": _Number("pilot_w", "W", 0.0, 400.0),
    "aux_running": _Number("aux_running_w", "W", 0.0, 1000.0),
    "aux_standby": _Number("aux_standby_w", "W", 0.0, 100.0),
    "voltage": _Number("voltage_v", "V", 100.0, 600.0),
    "breaker": _Number("breaker_a", "A", 5.0, 300.0),
    "min_air_temp": _Number("min_air_temp_c", "degC", -50.0, 30.0),
    "max_air_temp": _Number("max_air_temp_c", "degC", 20.0, 80.0),
    "noise_dba": _Number("noise_dba", "", 10.0, 100.0),
    "height": _Number("height_m", "m", 0.1, 4.0),
    "diameter": _Number("diameter_m", "m", 0.1, 2.0),
    "weight": _Number("weight_kg", "kg", 1.0, 1000.0),
}

_UNITS = {name: number.unit for name, number in _NUMBERS.items()}

_WORDS: dict[str, type[StrEnum]] = {
    "kind": Kind,
    "heater_class": HeaterClass,
    "energy_source": EnergySource,
    "vent_type": VentType,
    "draw_pattern": DrawPattern,
}

_TEXTS = ("id", "name", *_WORDS, "refrigerant")
_REQUIRED = ("id", "name", *_WORDS, "uef", "recovery_efficiency")

_FUELS = (EnergySource.NATURAL_GAS, EnergySource.PROPANE, EnergySource.FUEL_OIL)
_GASES = _FUELS[:2]
_ELECTRIC = (EnergySource.ELECTRICITY,)

# What each class is by construction: how it works and what it may be fed with.
_CLASSES: dict[HeaterClass, tuple[Kind, tuple[EnergySource, ...]]] = {
    HeaterClass.ATMOSPHERIC_STORAGE: (Kind.STORAGE, _GASES),
    HeaterClass.POWER_VENTED_STORAGE: (Kind.STORAGE, _GASES),
    HeaterClass.CONDENSING_STORAGE: (Kind.STORAGE, _FUELS),
    HeaterClass.OIL_STORAGE: (Kind.STORAGE, (EnergySource.FUEL_OIL,)),
    HeaterClass.ELECTRIC_STORAGE: (Kind.STORAGE, _ELECTRIC),
    HeaterClass.HEAT_PUMP_240V: (Kind.HEAT_PUMP_STORAGE, _ELECTRIC),
    HeaterClass.HEAT_PUMP_120V: (Kind.HEAT_PUMP_STORAGE, _ELECTRIC),
    HeaterClass.HEAT_PUMP_SPLIT: (Kind.HEAT_PUMP_STORAGE, _ELECTRIC),
    HeaterClass.TANKLESS_NON_CONDENSING: (Kind.TANKLESS, _FUELS),
    HeaterClass.TANKLESS_CONDENSING: (Kind.TANKLESS, _FUELS),
    HeaterClass.TANKLESS_ELECTRIC: (Kind.TANKLESS, _ELECTRIC),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterList:
    """The heaters of a file and what was wrong with the rows that could not be used.

    Parameters
    ----------
    heaters : tuple of Heater
        The usable rows, in the order of the file.
    faults : tuple of Fault
        Every reason for leaving a row out, with file, line and column; empty if none was.
    """

    heaters: tuple[Heater, ...]
    faults: tuple[Fault, ...] = ()

    def require_all(self) -> tuple[Heater, ...]:
        """Return the heaters if every row was usable, else raise InputError with all faults."""
        if self.faults:
            raise InputError(*self.faults)
        return self.heaters


def load_heaters(path: Path | None = None, *, extend: bool = False) -> HeaterList:
    """Return the list of heaters to choose from.

    Parameters
    ----------
    path : pathlib.Path, optional
        A supplier's CSV file; without it the generic list that ships.
    extend : bool
        Whether the file adds to the generic list; a row of the file takes the place of a
        generic row with the same id. Without it the file stands alone.

    Returns
    -------
    HeaterList
        Heaters in SI units, and the faults of the rows that were left out.

    Raises
    ------
    InputError
        If the file cannot be read, has no rows, lacks a column that every heater needs, or has
        a heading that is not known or carries no usable unit.
    """
    if path is None:
        return HeaterList(heaters=_generic())
    supplied = _read(path)
    if not extend:
        return supplied
    ids = {heater.id for heater in supplied.heaters}
    kept = tuple(heater for heater in _generic() if heater.id not in ids)
    return HeaterList(heaters=kept + supplied.heaters, faults=supplied.faults)


def heater_by_id(heaters: Iterable[Heater], heater_id: str) -> Heater:
    """Return the heater with this id.

    Parameters
    ----------
    heaters : iterable of Heater
        The list to look in.
    heater_id : str
        Its id, as in the first column of the list.

    Returns
    -------
    Heater

    Raises
    ------
    UnknownChoiceError
        If there is none; the nearest ids are named.
    """
    by_id = {heater.id: heater for heater in heaters}
    if heater_id in by_id:
        return by_id[heater_id]
    near = difflib.get_close_matches(heater_id, by_id, n=3, cutoff=0.5)
    raise UnknownChoiceError.of(
        "heater", value=heater_id, allowed=f"an id of the list of {len(by_id)} heaters",
        fix="did you mean " + " or ".join(near) if near else "see the list: heatersel rate",
    )  # fmt: skip


@lru_cache(maxsize=1)
def _generic() -> tuple[Heater, ...]:
    found = _read(dataset_path("heaters/generic.csv"))
    if found.faults:
        raise DataError(*found.faults)
    return found.heaters


def _read(path: Path) -> HeaterList:
    typed = _typed_units(path)
    rows, cell_faults = read_records(path, _UNITS)
    if not rows and not cell_faults:
        raise _not_a_list(path, "empty")
    faults = list(cell_faults)
    bad_cells = {(fault.line, fault.name) for fault in cell_faults}
    bad_lines = {line for line, _ in bad_cells}
    heaters: dict[str, Heater] = {}
    for row in map(_without_zeros, rows):
        found = [
            replace(fault, file=str(path), line=row["line"])
            for fault in _row_faults(row, heaters, typed)
            if (row["line"], fault.name) not in bad_cells
        ]
        faults.extend(found)
        if not found and row["line"] not in bad_lines:
            heaters[row["id"]] = _heater(row)
    faults.sort(key=lambda fault: fault.line)
    return HeaterList(heaters=tuple(heaters.values()), faults=tuple(faults))


def _not_a_list(path: Path, value: str) -> InputError:
    return InputError.of(
        str(path), value=value, allowed="a heading row and one heater a row",
        fix="is this the right file?",
    )  # fmt: skip


def _without_zeros(row: Record) -> Record:
    """Return the row with None for 0, as suppliers write what a heater does not have."""
    return {
        name: None if value == 0.0 and _UNITS.get(name) != "degC" else value
        for name, value in row.items()
    }


def _typed_units(path: Path) -> dict[str, str]:
    """Return the unit of each numeric column as it is headed; raise InputError if one is wrong."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            titles = next(csv.reader(file), [])
    except (OSError, UnicodeDecodeError):
        return {}  # read_records says it in full
    names = [title.split("[")[0].strip() for title in titles]
    known = (*_TEXTS, *_NUMBERS)
    if not any(names):
        raise _not_a_list(path, "empty")
    if not any(name in known for name in names):
        raise _not_a_list(path, "not a heater list")
    faults = [
        Fault(name=f"column {name!r}", value="unknown", allowed="the columns of the generic list",
              fix=_nearest(name, known, "remove the column"), file=str(path), line=1)
        for name in names if name not in known
    ] + [
        Fault(name=f"column {name!r}", value="missing", allowed="a column that every heater needs",
              fix=f'add the column "{name}"', file=str(path), line=1)
        for name in _REQUIRED if name not in names
    ]  # fmt: skip
    if faults:
        raise InputError(*faults)
    return {
        name: title.partition("[")[2].rstrip("] ")
        for name, title in zip(names, titles, strict=True)
    }


def _nearest(name: str, known: Iterable[str], otherwise: str) -> str:
    near = difflib.get_close_matches(name, known, n=1)
    return f"did you mean {near[0]}?" if near else otherwise


def _row_faults(row: Record, seen: Container[str], typed: dict[str, str]) -> list[Fault]:
    """Return everything that makes a row unusable, in the units that it was typed in."""
    faults = [
        _fault(name, "missing", "a value in every row", "fill the cell in")
        for name in _REQUIRED
        if row.get(name) in (None, "")
    ]
    if row.get("id") in seen:
        faults.append(_fault("id", row["id"], "an id that no earlier row has", "give it another"))
    for name, words in _WORDS.items():
        word = row.get(name)
        if word and word not in list(words):
            fix = _nearest(word, words, "write one of these words")
            faults.append(_fault(name, word, ", ".join(words), fix))
    for name, (_, unit, low, high) in _NUMBERS.items():
        value = row.get(name)
        if value is not None and not low <= value <= high:
            said = [
                f"{units.convert(x, unit, typed[name]) if unit else x:.4g}"
                for x in (value, low, high)
            ]
            faults.append(_fault(name, f"{said[0]} {typed[name]}".rstrip(),
                                 f"{said[1]} to {said[2]} {typed[name]}".rstrip(),
                                 "check the figure and the unit in the heading"))  # fmt: skip
    if not faults:
        faults.extend(_fault(*parts) for parts in _contradictions(row))
    if not faults:
        # The rating names its figures after the heater, the list after its columns.
        faults.extend(
            replace(fault, name=fault.name.partition(": ")[2])
            for fault in rating_faults(_heater(row))
        )
    return faults


def _fault(name: str, value: object, allowed: str, fix: str) -> Fault:
    return Fault(name=name, value=str(value), allowed=allowed, fix=fix)


def _contradictions(row: Record) -> Iterable[tuple[str, object, str, str]]:
    """Yield name, value, what is allowed and fix for each figure that does not fit the class."""
    heater_class = HeaterClass(row["heater_class"])
    kind, sources = _CLASSES[heater_class]
    if row["kind"] != kind:
        yield "kind", row["kind"], f"{kind} for {heater_class}", "correct kind or heater_class"
    if row["energy_source"] not in sources:
        allowed = f"{' or '.join(sources)} for {heater_class}"
        yield "energy_source", row["energy_source"], allowed, "correct it or heater_class"
    yield from _missing_for_class(row, kind)
    if kind is not Kind.HEAT_PUMP_STORAGE and row["uef"] >= row["recovery_efficiency"]:
        allowed = f"below the recovery efficiency, {row['recovery_efficiency']:g}"
        yield "uef", f"{row['uef']:g}", allowed, "check both figures against the label"


def _missing_for_class(row: Record, kind: Kind) -> Iterable[tuple[str, object, str, str]]:
    needed = ["max_flow", "min_flow"] if kind is Kind.TANKLESS else ["volume", "first_hour_rating"]
    if row["energy_source"] != EnergySource.ELECTRICITY:
        needed.append("burner_input")
    elif kind is Kind.HEAT_PUMP_STORAGE:
        needed.append("compressor_power")
    else:
        needed.append("element_power")
    for name in needed:
        if row.get(name) is None:
            yield name, "missing", f"a value for {row['heater_class']}", "fill the cell in"


def _heater(row: Record) -> Heater:
    # A tankless heater has no volume to state, a plug-in heat pump no element.
    fields: dict[str, Any] = {"volume_l": 0.0, "input_kw": 0.0}
    fields |= {name: word(row[name]) for name, word in _WORDS.items()}
    fields |= {
        number.field: row[name]
        for name, number in _NUMBERS.items()
        if row.get(name) is not None
    }  # fmt: skip
    refrigerant = row.get("refrigerant", "")
    return Heater(id=row["id"], name=row["name"], refrigerant=refrigerant, **fields)
