"""What the commands share: their common options, files in and out, and the console."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heatersel.errors import InputError, UnknownChoiceError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console

    from heatersel.api import Method
    from heatersel.heaters.catalogue import HeaterList
    from heatersel.job.models import Job
    from heatersel.plots.figure import Figure

__all__ = [
    "AsJson",
    "Csv",
    "Extend",
    "HeaterFile",
    "JobFile",
    "Plot",
    "Sets",
    "Units",
    "console",
    "heater_ids",
    "print_json",
    "read_heaters",
    "read_job",
    "read_method",
    "write_csv",
    "write_plot",
    "write_text",
]

JobFile = Annotated[
    Path | None, typer.Argument(help="Job file (TOML); none: the example.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object, SI units.")]
HeaterFile = Annotated[
    Path | None,
    typer.Option(
        "--heaters",
        help="A supplier's heater list (CSV) instead of the generic one.",
        show_default=False,
    ),
]
Extend = Annotated[bool, typer.Option("--extend", help="Add --heaters to the generic list.")]
Csv = Annotated[
    Path | None,
    typer.Option("--csv", help="Write the rows behind it to a CSV file.", show_default=False),
]
Plot = Annotated[
    Path | None,
    typer.Option("--plot", help="Draw it: FILE.svg, FILE.png or FILE.html.", show_default=False),
]


Units = Annotated[
    str | None,
    typer.Option("--units", help="Show results in us or si units.", show_default=False),
]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set", help="Try any field: --set place.supply=well. May be repeated.", show_default=False
    ),
]


def console() -> Console:
    """Return the console that results go to."""
    from heatersel.terminal.layout import screen

    return screen()


def print_json(tree: Any) -> None:
    """Print one JSON object."""
    json.dump(tree, sys.stdout, indent=1, ensure_ascii=False, default=str)
    print()


def heater_ids(incomplete: str) -> list[str]:
    """Return the ids of the generic list that begin so, for the shell's completion."""
    from heatersel.heaters.catalogue import load_heaters

    return [h.id for h in load_heaters().heaters if h.id.startswith(incomplete)]


def read_job(
    path: Path | None,
    units: str | None = None,
    setpoint: str | None = None,
    occupants: int | None = None,
    sets: list[str] | None = None,
) -> Job:
    """Return the job of a file, or the example, with the what-ifs of the command line."""
    from heatersel.job.load import parse_job, read_toml
    from heatersel.job.what_if import changed, parse_setting
    from heatersel.reference import dataset_path

    tables = read_toml(path or dataset_path("jobs/cold-family.toml"))
    settings = [
        ("units", units),
        ("preferences.setpoint", setpoint),
        ("household.occupants", occupants),
        *map(parse_setting, sets or ()),
    ]
    for key, value in settings:
        if value is not None:
            tables = changed(tables, key, value)
    return parse_job(tables, str(path) if path else "")


def read_heaters(path: Path | None, extend: bool) -> HeaterList:
    """Return a list without a bad row; raise InputError with every fault of every row."""
    from heatersel.heaters.catalogue import load_heaters

    if extend and path is None:
        raise InputError.of(
            "--extend", value="alone", allowed="together with --heaters FILE",
            fix="name the list that is added to the generic one",
        )  # fmt: skip
    listed = load_heaters(path, extend=extend)
    listed.require_all()
    return listed


def read_method(name: str) -> Method:
    """Return the method of that name; raise UnknownChoiceError for another word.

    The simulation says so if it must be compiled first.
    """
    from heatersel.api import Method

    if name not in tuple(Method):
        raise UnknownChoiceError.of(
            "--method", value=name, allowed=" or ".join(Method), fix="use one of these words"
        )
    if name == Method.SIMULATION:
        from heatersel.terminal.first_run import say_if_first_run

        say_if_first_run()
    return Method(name)


def write_text(path: Path, text: str) -> None:
    """Write a file and say so; raise InputError if it cannot be written."""
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as trouble:
        raise InputError.of(str(path), value="cannot be written", fix=str(trouble)) from None
    print(f"written: {path}", file=sys.stderr)


def write_csv(path: Path, columns: Iterable[str], rows: Iterable[Iterable[Any]]) -> None:
    """Write a table as a CSV file and say so."""
    import csv
    import io

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    write_text(path, text.getvalue())


def write_plot(path: Path, figure: Figure) -> None:
    """Draw a figure into a file and say so."""
    from heatersel.plots.figure import write_figure

    write_figure(figure, path)
    print(f"written: {path}", file=sys.stderr)
