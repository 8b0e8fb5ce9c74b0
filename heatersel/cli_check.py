"""The command that checks a file of any kind: every fault, or what it falls back on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heatersel.cli_shared import AsJson, console, print_json, read_heaters
from heatersel.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from heatersel.errors import Fault
    from heatersel.job.models import Job

__all__ = ["check"]


def check(
    file: Annotated[
        Path,
        typer.Argument(help="A job or policy (TOML), a heater list or price book (CSV, XLSX)."),
    ],
    as_json: AsJson = False,
) -> None:
    """Check a file: every fault with what is allowed, or the defaults it falls back on."""
    faults, job = _check(file)
    defaults = tuple(job.defaults_used()) if job is not None else ()
    if as_json:
        print_json(
            {
                "ok": not faults,
                "faults": [
                    {**fault.as_dict(), "field": fault.name, "message": fault.sentence()}
                    for fault in faults
                ],
                "defaults_used": [
                    {
                        "field": d.field,
                        "attribute": d.attribute,
                        "value": d.value,
                        "source": d.source,
                    }
                    for d in defaults
                ],
            }
        )
    elif not faults:
        from heatersel.terminal.check import print_good_file

        print_good_file(console(), file, defaults, job.units.value if job is not None else "us")
    if faults:
        if not as_json:
            print(*(fault.sentence() for fault in faults), sep="\n", file=sys.stderr)
        raise typer.Exit(2)


def _check(path: Path) -> tuple[Sequence[Fault], Job | None]:
    """Return the faults of a file of any known kind, and the job if it is one."""
    try:
        from heatersel.quote.check import check_company_file

        faults = check_company_file(path)
        if faults is not None:
            return faults, None
        if path.suffix.lower() == ".csv":
            return read_heaters(path, extend=False).faults, None
        from heatersel.job.load import load_job

        return (), load_job(path)
    except InputError as trouble:
        return trouble.faults, None
