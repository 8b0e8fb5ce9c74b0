"""Write the property tables under datasets/properties/ afresh.

Run as ``python -m heatersel.properties_build [FOLDER]``. This command and the cycle module are
the only places that load CoolProp; everything at run time reads the tables.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from heatersel.reference import datasets_folder

__all__ = ["main", "water_rows", "write_tables"]

_WATER_HEADINGS = (
    "temperature [degC]",
    "density [kg/L]",
    "heat_capacity [kJ/kg/K]",
    "enthalpy [kJ/kg]",
)
_WATER_PRESSURE_PA = 300e3
_ZERO_C_K = 273.15


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


def write_tables(folder: Path) -> list[Path]:
    """Write every property table into a folder and return the files written.

    Parameters
    ----------
    folder : pathlib.Path
        Where to write, usually datasets/properties of a checkout.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [_write(folder / "water.csv", _WATER_HEADINGS, water_rows())]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command: write the tables and name them on standard output."""
    given = sys.argv[1:] if arguments is None else list(arguments)
    folder = Path(given[0]) if given else datasets_folder() / "properties"
    for path in write_tables(folder):
        print(path)
    return 0


def _write(path: Path, headings: Sequence[str], rows: Iterable[Sequence[str]]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(headings)
        writer.writerows(rows)
    return path


if __name__ == "__main__":
    sys.exit(main())
