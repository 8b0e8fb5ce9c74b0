"""Write the property tables under datasets/properties/ afresh, each with its source sheet.

Run as ``python -m heatersel.properties_build [FOLDER]``. This command and the cycle module are
the only places that load CoolProp; everything at run time reads the tables.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

import numpy as np

from heatersel.reference import datasets_folder
from heatersel.simulation.heat_pump import PerformanceTable
from heatersel.simulation.heat_pump_settings import SETTINGS, CycleSettings

__all__ = ["heat_pump_rows", "main", "water_rows", "write_tables"]

_WATER_PRESSURE_PA = 300e3
_ZERO_C_K = 273.15

_WATER_SHEET = {
    "title": "Density, heat capacity and enthalpy of liquid water at 300 kPa",
    "publisher": "Computed for this project from the IAPWS Formulation 1995",
    "year": 2002,
    "address": "https://doi.org/10.1063/1.1461829",
    "table": "Wagner, Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387",
    "licence": "own computation; the property library is under the MIT licence",
    "status": "computed",
    "changes": "rounded to 1e-6 kg/L, 1e-5 kJ/(kg K) and 1e-4 kJ/kg",
}
_WATER_COLUMNS = {
    "temperature [degC]": "water temperature",
    "density [kg/L]": "density",
    "heat_capacity [kJ/kg/K]": "isobaric heat capacity",
    "enthalpy [kJ/kg]": "specific enthalpy, zero for the saturated liquid at the triple point",
}

# Equation of state behind each table, with its address (from memory; R744 seen).
_EQUATIONS_OF_STATE = {
    "R134a": (
        "Tillner-Roth, Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657",
        "https://doi.org/10.1063/1.555958",
    ),
    "R513A": (
        "blend of R1234yf (Richter, McLinden, Lemmon, J. Chem. Eng. Data 56 (2011) 3254) and R134a",
        "https://doi.org/10.1021/je200369m",
    ),
    "R290": (
        "Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141",
        "https://doi.org/10.1021/je900217v",
    ),
    "R744": (
        "Span, Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509",
        "https://doi.org/10.1063/1.555991",
    ),
}
_HEAT_PUMP_COLUMNS = {
    "air [degC]": "dry bulb of the entering air",
    "humidity": "relative humidity of the entering air, 0 to 1",
    "water [degC]": "water beside the condenser; entering water of a transcritical unit",
    "cop": "heat into the water over electricity, with fan and controls",
    "heat_ratio": "heat output over that at the rating point",
    "surface [degC]": "mean temperature of the coil's surface",
    "sensible_frac": "share of the coil's heat that cools rather than dries the air",
    "rated_cop": "cop at the rating point, the same in every row",
}


def water_rows() -> list[tuple[str, ...]]:
    """Return the rows of the water table, 0 to 99 °C in steps of 1 K at 300 kPa.

    Returns
    -------
    list of tuple of str
        Temperature, density, heat capacity and enthalpy, rounded as printed in the table.
        [°C], [kg/L], [kJ/(kg K)], [kJ/kg]

    References
    ----------
    .. [1] Wagner, W., Pruss, A., "The IAPWS Formulation 1995 for the Thermodynamic Properties
       of Ordinary Water Substance", J. Phys. Chem. Ref. Data 31 (2002) 387, as implemented by
       CoolProp (Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498).  (memory)
    """
    from CoolProp import CoolProp

    water = CoolProp.AbstractState("HEOS", "Water")
    rows: list[tuple[str, ...]] = []
    for temp_c in range(100):
        water.update(CoolProp.PT_INPUTS, _WATER_PRESSURE_PA, temp_c + _ZERO_C_K)
        rows.append(
            (
                str(temp_c),
                f"{water.rhomass() / 1000.0:.6f}",
                f"{water.cpmass() / 1000.0:.5f}",
                f"{water.hmass() / 1000.0:.4f}",
            )
        )
    return rows


def heat_pump_rows(table: PerformanceTable) -> list[tuple[str, ...]]:
    """Return a performance table as text rows, in the order of its grid.

    Parameters
    ----------
    table : PerformanceTable
        As computed from the cycle.
    """
    shape = table.cop.shape
    return [
        (
            f"{table.air_c[t]:g}",
            f"{table.humidity[h]:g}",
            f"{table.water_c[w]:g}",
            f"{table.cop[t, h, w]:.4f}",
            f"{table.heat_ratio[t, h, w]:.4f}",
            f"{table.values[t, h, -2]:.2f}",
            f"{table.values[t, h, -1]:.3f}",
            f"{table.rated_cop:.4f}",
        )
        for t, h, w in np.ndindex(shape)
    ]


def write_tables(folder: Path) -> list[Path]:
    """Write every property table into a folder and return the CSV files written.

    Parameters
    ----------
    folder : pathlib.Path
        Where to write, usually datasets/properties of a checkout.
    """
    from heatersel.simulation.heat_pump_cycle import performance_table

    folder.mkdir(parents=True, exist_ok=True)
    written = [_write(folder / "water", _WATER_SHEET, _WATER_COLUMNS, water_rows())]
    for name, settings in SETTINGS.items():
        rows = heat_pump_rows(performance_table(settings))
        path = folder / f"heat_pump_{name.lower()}"
        written.append(_write(path, _heat_pump_sheet(settings), _HEAT_PUMP_COLUMNS, rows))
    return written


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command: write the tables and name them on standard output."""
    given = sys.argv[1:] if arguments is None else list(arguments)
    folder = Path(given[0]) if given else datasets_folder() / "properties"
    for path in write_tables(folder):
        print(path)
    return 0


def _heat_pump_sheet(settings: CycleSettings) -> dict[str, object]:
    equation, address = _EQUATIONS_OF_STATE[settings.refrigerant]
    return {
        "title": f"Heat-pump cycle with {settings.refrigerant}: COP and heat over air and water",
        "publisher": "Computed for this project with heatersel.simulation.heat_pump_cycle",
        "year": 2026,
        "address": address,
        "table": equation,
        "licence": "own computation; the property library is under the MIT licence",
        "status": "computed",
        "changes": "rounded; the settings below made it",
        "settings": asdict(settings),
    }


def _write(
    stem: Path,
    sheet: Mapping[str, object],
    columns: Mapping[str, str],
    rows: Sequence[Sequence[str]],
) -> Path:
    from CoolProp import __version__

    with stem.with_suffix(".csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows(rows)
    meanings = {heading.split(" ")[0]: meaning for heading, meaning in columns.items()}
    facts = {
        **{key: value for key, value in sheet.items() if key != "settings"},
        "read": date(2026, 11, 25),
        "library": f"CoolProp {__version__}",
        "command": "python -m heatersel.properties_build",
        "columns": meanings,
    }
    if "settings" in sheet:
        facts["settings"] = sheet["settings"]
    stem.with_suffix(".source.toml").write_text(_toml(facts), encoding="utf-8")
    return stem.with_suffix(".csv")


def _toml(facts: Mapping[str, object]) -> str:
    """Return flat facts and their sub-tables as TOML text."""
    lines = [f"{key} = {_value(value)}" for key, value in facts.items()
             if not isinstance(value, Mapping)]  # fmt: skip
    for name, table in facts.items():
        if isinstance(table, Mapping):
            lines += [
                "",
                f"[{name}]",
                *(f"{key} = {_value(value)}" for key, value in table.items()),
            ]
    return "\n".join(lines) + "\n"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return "[" + ", ".join(_value(part) for part in value) + "]"
    if isinstance(value, date):
        return value.isoformat()
    return f'"{value}"' if isinstance(value, str) else repr(value)


if __name__ == "__main__":
    sys.exit(main())
