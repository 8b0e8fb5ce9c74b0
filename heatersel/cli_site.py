"""The command that lists what is still to be measured, and takes the answers back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heatersel.cli_shared import (
    AsJson,
    Extend,
    HeaterFile,
    JobFile,
    Sets,
    Units,
    console,
    print_json,
    read_heaters,
    read_job,
    write_text,
)
from heatersel.errors import InputError

__all__ = ["site"]


def site(
    job: JobFile = None,
    units: Units = None,
    sets: Sets = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    html: Annotated[
        Path | None,
        typer.Option("--html", help="Write the sheet as a page to print.", show_default=False),
    ] = None,
    form: Annotated[
        Path | None,
        typer.Option("--form", help="Write a form (TOML) to fill in on site.", show_default=False),
    ] = None,
    answers: Annotated[
        Path | None, typer.Option("--answers", help="A filled-in form.", show_default=False)
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="Job file to write with the answers.", show_default=False),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List what is still to be measured in the house, in walking order, and why."""
    from heatersel.api import site_of_job

    if answers:
        _fill_in(job, answers, to)
        return
    sheet = site_of_job(read_job(job, units, sets=sets), read_heaters(heaters, extend))
    if html:
        from heatersel.cautions.site_sheet_html import site_sheet_html

        write_text(html, site_sheet_html(sheet))
    if form:
        from heatersel.cautions.site_sheet import answer_sheet_toml

        write_text(form, answer_sheet_toml(sheet))
    if as_json:
        print_json(sheet.as_dict())
    else:
        from heatersel.terminal.site import print_site_sheet

        print_site_sheet(console(), sheet)


def _fill_in(path: Path | None, answers: Path, to: Path | None) -> None:
    """Write a new job file with the answers of a site form."""
    from heatersel.cautions.site_sheet import with_answers
    from heatersel.job.load import parse_job, read_toml
    from heatersel.job.write import to_toml

    if path is None or to is None:
        raise InputError.of(
            "--answers", value=str(answers), allowed="with a job file and --to NEW",
            fix="an example is: heatersel site house.toml --answers form.toml --to new.toml",
        )  # fmt: skip
    try:
        form = answers.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as trouble:
        raise InputError.of(str(answers), value="unreadable", fix=str(trouble)) from None
    filled = parse_job(with_answers(read_toml(path), form), str(answers))
    write_text(to, to_toml(filled))
