"""The command line: each command reads a job, asks the public API and prints the answer.

Results go to standard output, trouble to standard error. Exit status 0: done; 1: trouble of
ours; 2: bad input, one line per fault.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heatersel import __version__, cli_accounts, cli_register
from heatersel.cli_audit import audit
from heatersel.cli_check import check
from heatersel.cli_portfolio import population, portfolio
from heatersel.cli_quote import PolicyFile, PriceFile, Register, quote
from heatersel.cli_shared import (
    AsJson,
    Csv,
    Extend,
    HeaterFile,
    JobFile,
    Plot,
    Sets,
    Units,
    console,
    heater_ids,
    print_json,
    read_heaters,
    read_job,
    read_method,
    write_csv,
    write_plot,
)
from heatersel.cli_site import site
from heatersel.errors import (
    DataError,
    HeaterselError,
    InputError,
    NoFeasibleHeaterError,
    UnknownChoiceError,
)

if TYPE_CHECKING:
    from heatersel.comparison import Comparison

__all__ = ["app", "main"]

app = typer.Typer(
    add_completion=True,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Choose, size and compare water heaters for one house. Without JOB, each command shows "
    "an invented example.",
)


def _say_version(asked: bool) -> None:
    if asked:
        print(f"heatersel {__version__}")
        raise typer.Exit


@app.callback()
def _whole(
    _: Annotated[
        bool,
        typer.Option(
            "--version", callback=_say_version, is_eager=True, help="Show the version and exit."
        ),
    ] = False,
) -> None:
    """Take what is said before any command."""


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
MethodName = Annotated[
    str, typer.Option("--method", help="Year of energy: simulation, or balance (closed form).")
]


@app.command()
def compare(
    job: JobFile = None,
    all_sizes: Annotated[
        bool, typer.Option("--all", help="List every size, and every note on the best one.")
    ] = False,
    show_excluded: Annotated[
        bool, typer.Option("--show-excluded", help="List what is left out, and why.")
    ] = False,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    method: MethodName = "simulation",
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
    """Rank all options by what they cost to own, with reasons."""
    from heatersel.api import compare as compare_options

    comparison = compare_options(
        read_job(job, units, setpoint, occupants, sets),
        read_heaters(heaters, extend),
        method=read_method(method),
    )
    if as_json:
        print_json(comparison.as_dict())
    else:
        from heatersel.terminal.compare import print_comparison

        print_comparison(console(), comparison, all_sizes=all_sizes, show_excluded=show_excluded)
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

    sized = size_options(
        read_job(job, units, setpoint, occupants, sets), read_heaters(heaters, extend)
    )
    if as_json:
        print_json(sized.as_dict())
    else:
        from heatersel.terminal.size import print_sizes

        print_sizes(console(), sized)


@app.command(short_help="Show the numbers of one option, with sources.")
def explain(
    option: Annotated[
        str,
        typer.Argument(
            help="Id of an option, as `compare --all` shows it.",
            autocompletion=heater_ids,
        ),
    ],
    job: JobFile = None,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    method: MethodName = "simulation",
    extend: Extend = False,
    as_json: AsJson = False,
) -> None:
    """Show the working of one option: each number with its formula, inputs and source."""
    from heatersel.api import compare as compare_options
    from heatersel.explain import explain as explain_option
    from heatersel.in_service import in_service

    comparison = compare_options(
        read_job(job, units, setpoint, occupants, sets),
        read_heaters(heaters, extend),
        method=read_method(method),
    )
    steps = explain_option(comparison, option)
    chosen = comparison.option(option)
    lived_with = in_service(comparison, chosen)
    if as_json:
        print_json(
            {
                "option": option,
                "steps": [step.as_dict() for step in steps],
                "in_service": lived_with.as_dict(),
            }
        )
    else:
        from heatersel.terminal.explain import print_steps
        from heatersel.terminal.in_service import print_in_service

        to = console()
        print_steps(to, comparison, chosen, steps)
        print_in_service(to, comparison, chosen, lived_with)


@app.command(short_help="Show how the household uses hot water.")
def demand(
    job: JobFile = None,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    csv: Csv = None,
    plot: Plot = None,
    as_json: AsJson = False,
) -> None:
    """Show how the household uses hot water: by fixture, by hour, at its busiest."""
    from heatersel.api import demand_of_job

    report = demand_of_job(read_job(job, units, setpoint, occupants, sets))
    if csv:
        from heatersel.demand.report import DRAW_COLUMNS, draw_rows

        write_csv(csv, DRAW_COLUMNS, draw_rows(report.year, report.hot_share_by_day))
    if plot:
        from heatersel.plots.demand import demand_figure

        write_plot(plot, demand_figure(report))
    if as_json:
        print_json(report.as_dict())
    else:
        from heatersel.terminal.demand import print_demand

        print_demand(console(), report)


@app.command(short_help="Show what an option costs, now and over the years.")
def cost(
    job: JobFile = None,
    option: Annotated[
        str | None,
        typer.Argument(
            help="Option id; none: the recommended one.",
            show_default=False,
            autocompletion=heater_ids,
        ),
    ] = None,
    units: Units = None,
    setpoint: Setpoint = None,
    occupants: Occupants = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    method: MethodName = "simulation",
    extend: Extend = False,
    csv: Annotated[
        Path | None,
        typer.Option(
            "--csv",
            help="Write the bills to FILE.csv and the years to FILE-ledger.csv.",
            show_default=False,
        ),
    ] = None,
    plot: Plot = None,
    as_json: AsJson = False,
) -> None:
    """Show what an option costs: bill by month, ledger by year, spread, break-even prices."""
    from heatersel.api import Method, cost_of_job, shift_of_job
    from heatersel.display import Display
    from heatersel.heaters.catalogue import heater_by_id

    asked = read_job(job, units, setpoint, occupants, sets)
    listed = read_heaters(heaters, extend)
    how = read_method(method)
    report = cost_of_job(asked, listed, method=how)
    if not report.options:
        raise NoFeasibleHeaterError.of(
            "heaters", value="none fits", fix="see: heatersel compare --show-excluded"
        )
    shown = report.option(option) if option else report.options[0]
    show = Display(asked.units.value, shown.cost.currency)
    if csv:
        years = csv.with_name(f"{csv.stem}-ledger{csv.suffix}")
        for file, rows in ((csv, report.bill_rows()), (years, report.ledger_rows())):
            columns = dict.fromkeys(name for row in rows for name in row)
            write_csv(file, columns, ([row.get(name, "") for name in columns] for row in rows))
    if plot:
        from heatersel.plots.cost import cost_figure

        write_plot(plot, cost_figure(report, shown.id, show))
    shift = None
    if how is Method.SIMULATION:
        shift = shift_of_job(asked, heater_by_id(listed.heaters, shown.id))
    if as_json:
        print_json({**report.as_dict(), "shift": shift.as_dict() if shift else None})
    else:
        from heatersel.terminal.cost import print_cost

        print_cost(console(), report, shown, show, shift)


@app.command(short_help="Simulate the federal rating tests of heaters.")
def rate(
    heater: Annotated[
        str | None,
        typer.Argument(
            help="Id of a heater; none: the whole list.",
            show_default=False,
            autocompletion=heater_ids,
        ),
    ] = None,
    units: Units = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    plot: Plot = None,
    as_json: AsJson = False,
) -> None:
    """Run the federal rating tests on simulated heaters and show them beside the label."""
    from heatersel.api import rate as rate_heaters
    from heatersel.terminal.first_run import say_if_first_run

    say_if_first_run()
    listed = read_heaters(heaters, extend)
    rows = rate_heaters(listed, heater)
    system = _system(units)
    if plot:
        from heatersel.plots.rate import rating_figure

        write_plot(plot, rating_figure(rows[0], system))
    if as_json:
        print_json({"heaters": [row.as_dict() for row in rows]})
    else:
        from heatersel.display import Display
        from heatersel.terminal.rate import print_ratings

        print_ratings(console(), rows, Display(system))
    for fault in listed.faults:
        print(fault.sentence(), file=sys.stderr)


@app.command(short_help="Show the dashboard in the browser.")
def serve(
    host: Annotated[str, typer.Option(help="Address to answer at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port; 0 takes a free one.")] = 8100,
    no_open: Annotated[bool, typer.Option("--no-open", help="Do not open the browser.")] = False,
    accounts: Annotated[
        bool, typer.Option("--accounts", help="Serve the register; people sign in.")
    ] = False,
    register: Register = "",
    policy: PolicyFile = None,
    prices: PriceFile = None,
    secure: Annotated[
        bool, typer.Option("--secure", help="It is reached by https only, through a proxy.")
    ] = False,
) -> None:
    """Show the dashboard in the browser, on this computer only; or the register, with accounts."""
    from heatersel import cli_company

    cli_company.check_address(host, accounts=accounts)
    if accounts:
        cli_company.run(host, port, register, policy, prices, secure=secure)
        return
    from heatersel.cli_serve import run

    run(host, port, not no_open)


@app.command(short_help="Ask the kitchen-table questions; write a job file.")
def new(
    file: Annotated[Path, typer.Argument(help="The job file to write.")] = Path("job.toml"),
) -> None:
    """Ask the kitchen-table questions and write a commented job file."""
    from heatersel.cli_new import run

    raise typer.Exit(run(file))


app.command(short_help="List what is still to be measured in the house.")(site)
app.command(short_help="Check a file, and list what was assumed.")(check)
app.command(short_help="Make the offers of a job and the paper to sign.")(quote)
app.command(short_help="Compare heaters for many houses.")(portfolio)
app.command(short_help="Invent houses to plan with.")(population)
app.command(short_help="Replay stored quotes under new rules or prices.")(audit)
app.add_typer(cli_register.app, name="register")
app.add_typer(cli_accounts.app, name="accounts")


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


def _system(units: str | None) -> str:
    """Return "us" or "si"; raise UnknownChoiceError for another word."""
    if units not in (None, "us", "si"):
        raise UnknownChoiceError.of("--units", value=units, allowed="us or si", fix="use us or si")
    return units or "us"


def _nothing_fits(comparison: Comparison) -> NoFeasibleHeaterError:
    """Return the error that says what to change when no option takes part."""
    from collections import Counter

    # A caution says more than its first words; those are enough to count it by.
    causes = Counter(
        reason.split(" by ")[0].split(". ")[0]
        for option in comparison.excluded
        for reason in option.excluded_because
    )
    most = "; ".join(
        f"{reason} ({count} {'option' if count == 1 else 'options'})"
        for reason, count in causes.most_common(3)
    )
    return NoFeasibleHeaterError.of(
        "heaters", value="none fits", allowed="at least one option that fits this house",
        fix=f"what stands in the way: {most}. Change home.fuels, the peak hour or the list of "
        "heaters, or see --show-excluded",
    )  # fmt: skip
