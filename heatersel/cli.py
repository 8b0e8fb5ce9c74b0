"""The command line: each command reads a job, asks the public API and prints the answer.

Results go to standard output, trouble to standard error. Exit status 0: done; 1: trouble of
ours; 2: bad input, one line per fault.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heatersel.errors import DataError, HeaterselError, InputError, NoFeasibleHeaterError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from heatersel.comparison import Comparison
    from heatersel.errors import Fault
    from heatersel.heaters.catalogue import HeaterList
    from heatersel.job.models import Job
    from heatersel.job.table import DefaultUsed

__all__ = ["app", "main"]

app = typer.Typer(
    add_completion=True,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Choose, size and compare water heaters for one house. Without JOB, each command shows "
    "an invented example.",
)

JobFile = Annotated[
    Path | None, typer.Argument(help="Job file (TOML); none: the example.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object, SI units.")]
Units = Annotated[
    str | None,
    typer.Option("--units", help="Show results in us or si units.", show_default=False),
]
Setpoint = Annotated[
    str | None,
    typer.Option(
        "--setpoint", help='Try another setpoint, such as "140 degF".', show_default=False
    ),
]
Occupants = Annotated[
    int | None,
    typer.Option("--occupants", help="Try another number of people.", show_default=False),
]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set", help="Try any field: --set place.supply=well. May be repeated.", show_default=False
    ),
]
HeaterFile = Annotated[
    Path | None,
    typer.Option(
        "--heaters",
        help="A supplier's heater list (CSV) instead of the generic one.",
        show_default=False,
    ),
]
Extend = Annotated[bool, typer.Option("--extend", help="Add --heaters to the generic list.")]


@app.command()
def compare(
    job: JobFile = None,
    all_sizes: Annotated[bool, typer.Option("--all", help="List every size.")] = False,
    show_excluded: Annotated[
        bool, typer.Option("--show-excluded", help="List what is left out, and why.")
    ] = False,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
    """Rank all options by what they cost to own, with reasons."""
    from heatersel.api import compare as compare_options

    comparison = compare_options(
        _job(job, units, setpoint, occupants, sets), _heaters(heaters, extend)
    )
    if as_json:
        _print_json(comparison.as_dict())
    else:
        from heatersel.terminal.compare import print_comparison

        print_comparison(_console(), comparison, all_sizes=all_sizes, show_excluded=show_excluded)
    if not comparison.ranked:
        raise _nothing_fits(comparison)


@app.command()
def size(
    job: JobFile = None,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
    """Show what the household needs and which sizes give it."""
    from heatersel.api import size as size_options

    sized = size_options(_job(job, units, setpoint, occupants, sets), _heaters(heaters, extend))
    if as_json:
        _print_json(sized.as_dict())
    else:
        from heatersel.terminal.size import print_sizes

        print_sizes(_console(), sized)


@app.command()
def explain(
    option: Annotated[str, typer.Argument(help="Id of an option, as `compare --all` shows it.")],
    job: JobFile = None,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
    """Show the working of one option: each number with its formula, inputs and source."""
    from heatersel.api import compare as compare_options
    from heatersel.explain import explain as explain_option

    comparison = compare_options(
        _job(job, units, setpoint, occupants, sets), _heaters(heaters, extend)
    )
    steps = explain_option(comparison, option)
    if as_json:
        _print_json({"option": option, "steps": [step.as_dict() for step in steps]})
    else:
        from heatersel.terminal.explain import print_steps

        print_steps(_console(), comparison, comparison.option(option), steps)


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="A job file (TOML) or a heater list (CSV).")],
    as_json: AsJson = False,
) -> None:
    """Check a file: every fault with what is allowed, or the defaults it falls back on."""
    faults, defaults = _check(file)
    if as_json:
        _print_json(
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

        print_good_file(_console(), file, defaults)
    if faults:
        if not as_json:
            print(*(fault.sentence() for fault in faults), sep="\n", file=sys.stderr)
        raise typer.Exit(2)


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="The job file to write.")] = Path("job.toml"),
) -> None:
    """Ask the kitchen-table questions and write a commented job file."""
    from heatersel.cli_new import run

    raise typer.Exit(run(file))


def main() -> None:
    """Run the command line; every error of ours becomes plain lines and an exit status."""
    try:
        app()
    except (InputError, DataError, NoFeasibleHeaterError) as trouble:
        print(trouble, file=sys.stderr)
        sys.exit(2)
    except HeaterselError as trouble:
        print(trouble, file=sys.stderr)
        sys.exit(1)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)


def _console() -> Console:
    from rich.console import Console

    width = None if sys.stdout.isatty() else 80
    return Console(width=width, highlight=False, soft_wrap=False)


def _print_json(tree: dict[str, Any]) -> None:
    json.dump(tree, sys.stdout, indent=1, ensure_ascii=False, default=str)
    print()


def _job(
    path: Path | None,
    units: str | None,
    setpoint: str | None,
    occupants: int | None,
    sets: list[str] | None,
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


def _heaters(path: Path | None, extend: bool) -> HeaterList:
    from heatersel.heaters.catalogue import load_heaters

    return load_heaters(path, extend=extend)


def _check(path: Path) -> tuple[Sequence[Fault], Sequence[DefaultUsed]]:
    """Return the faults of a file of any known kind, and a job's defaults."""
    try:
        if path.suffix.lower() == ".csv":
            return _heaters(path, extend=False).faults, ()
        from heatersel.job.load import load_job

        return (), tuple(load_job(path).defaults_used())
    except InputError as trouble:
        return trouble.faults, ()


def _nothing_fits(comparison: Comparison) -> NoFeasibleHeaterError:
    """Return the error that says what to change when no option takes part."""
    from collections import Counter

    causes = Counter(
        reason.split(" by ")[0]
        for option in comparison.excluded
        for reason in option.excluded_because
    )
    most = "; ".join(f"{reason} ({count} options)" for reason, count in causes.most_common(3))
    return NoFeasibleHeaterError.of(
        "heaters", value="none fits", allowed="at least one option that fits this house",
        fix=f"what stands in the way: {most}. Change home.fuels, the peak hour or the list of "
        "heaters, or see --show-excluded",
    )  # fmt: skip
