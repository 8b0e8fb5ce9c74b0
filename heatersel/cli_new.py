"""The terminal face of the interview: asks, listens, keeps every answer, writes the job file."""

from __future__ import annotations

import contextlib
import sys
import textwrap
from pathlib import Path
from typing import Any

from rich.console import Console

from heatersel.errors import InputError
from heatersel.interview.draft import draft_path, in_the_way, load_draft, save_draft, write_job
from heatersel.interview.flow import NOT_KNOWN, Interview
from heatersel.interview.hearing import one_of
from heatersel.interview.question import Question, Tables

__all__ = ["run"]

_WIDEST = 80
_INDENT = "   "
_ROOM_TO_TYPE = 20
_MOST_REFUSALS = 10  # in a row, from a script that cannot read what is wrong
_HELP = (
    "Enter takes what stands in [brackets]. b goes back, s means not known, ? explains, q stops "
    "for now. Answers are kept as you go."
)
_LAST = "Enter writes the file, b goes back to the last question, q keeps the answers for later."
_BACK, _STOP, _WRITE = ("b", "<"), ("q", "quit", "exit"), ("", "y", "yes", "write")


class _Stopped(Exception):
    """The one who answers has stopped; carries the exit status."""


def run(file: Path, console: Console | None = None) -> int:
    """Hold the interview on the terminal and write the job file.

    Parameters
    ----------
    file : pathlib.Path
        The job file to write; answers are kept beside it until then.
    console : rich.console.Console, optional
        Where to print; standard output if not given.

    Returns
    -------
    int
        0 written or stopped by choice, 2 answers that end too early, 130 interrupted.

    Raises
    ------
    InputError
        If the file is there already or its folder cannot be written to.
    """
    console = console or Console(highlight=False, soft_wrap=True)
    if file.exists():
        raise in_the_way(file)
    interview = load_draft(file)
    save_draft(file, interview)
    _greet(console, file, interview)
    with contextlib.suppress(ImportError):  # line editing, where the system has it
        import readline  # noqa: F401  (imported for its effect on input)
    try:
        interview = _hold(console, file, interview)
        write_job(file, interview)
    except _Stopped as stop:
        return int(stop.args[0])
    _farewell(console, file, interview)
    return 0


def _hold(console: Console, file: Path, interview: Interview) -> Interview:
    """Ask until all is answered and confirmed; keep each answer."""
    part, shown, refusals = "", None, 0
    while True:
        question = interview.question
        if question is not None and question.part != part:
            part = question.part
            console.print(f"\n{part}\n{'-' * len(part)}", style="bold", markup=False)
        if shown is not interview:
            _show(console, interview, question)
            shown = interview
        said = _listen(console, file, interview, question)
        if question is None and said.lower() in _WRITE:
            return interview
        if said == "?" or (question is None and said not in _BACK):
            _print(console, question.more if question else _LAST, style="dim")
            continue
        before = interview
        try:
            interview = before.back() if said in _BACK else before.answered(said)
        except InputError as trouble:
            _print(console, one_of(trouble), style="yellow")
            refusals += 1
            if refusals >= _MOST_REFUSALS and not sys.stdin.isatty():
                raise _Stopped(_kept(file, before, 2)) from None
            continue
        refusals = 0
        save_draft(file, interview)
        if said not in _BACK and question is not None:
            _echo(console, question, said, interview.tables)


def _listen(console: Console, file: Path, interview: Interview, question: Question | None) -> str:
    """Return an answer; stop with everything kept where none comes any more."""
    offered = interview.offered or question.untold if question else f"write {file.name}"
    prompt = f"{_INDENT}[{offered}] > "
    if len(prompt) > _WIDEST - _ROOM_TO_TYPE:
        _print(console, f"[{offered}]")
        prompt = f"{_INDENT}> "
    try:
        said = input(prompt).strip()
    except KeyboardInterrupt:
        print()
        raise _Stopped(_kept(file, interview, 130)) from None
    except EOFError:
        print()
        if question is None:
            return ""
        raise _Stopped(_kept(file, interview, 2)) from None
    except UnicodeDecodeError:
        said = "\ufffd"
    if not sys.stdin.isatty():
        print(said)
    said = said.encode("utf-8", "replace").decode("utf-8")
    if said.lower() in _STOP:
        raise _Stopped(_kept(file, interview, 0))
    return said.lower() if said.lower() in (*_BACK, NOT_KNOWN) else said


def _greet(console: Console, file: Path, interview: Interview) -> None:
    console.print(f"A new job: {file}", style="bold", markup=False)
    _print(console, _HELP, indent="")
    count = len(interview.answers)
    if count:
        _print(
            console,
            f"{count} {'answer is' if count == 1 else 'answers are'} kept from last time, in "
            f"{draft_path(file)}.",
            indent="",
        )


def _show(console: Console, interview: Interview, question: Question | None) -> None:
    """Print a question with its reason and choices."""
    console.print()
    if question is None:
        console.print("That was the last question.", style="bold")
        return
    number, count = interview.place
    _print(console, f"{question.text}  ({number}\u00a0of\u00a0{count})", "bold", indent="")
    _print(console, question.why)
    picks = [f"{n} {name}" for n, name in enumerate(question.picks, start=1)]
    if picks and list(question.picks) != ["yes", "no"]:
        _print(console, "   ".join(pick.replace(" ", "\u00a0") for pick in picks))


def _echo(console: Console, question: Question, said: str, tables: Tables) -> None:
    """Print how an answer was understood, where that is more than what was typed."""
    if said in ("", NOT_KNOWN):
        return
    held: Any = tables
    for part in question.id.split("."):
        held = held.get(part, {}) if isinstance(held, dict) else {}
    if question.picks:
        heard = question.picks
        words = next((name for name, value in heard.items() if _matches(value, held)), "")
    elif isinstance(held, dict):
        words = ", ".join(_counted(count, name) for name, count in held.items())
    elif isinstance(held, list):
        words = ", ".join(held).replace("_", " ")
    else:
        words = str(held)
    if words and words.lower() != said.lower():
        _print(console, f"= {words}", style="dim")


def _counted(count: int, name: str) -> str:
    one = {"adults": "adult", "teenagers": "teenager", "children": "child"}.get(name, name)
    many = name if one != name else f"{name[:-1]}ies" if name.endswith("ry") else f"{name}s"
    return f"{count} {one if count == 1 else many}".replace("_", " ")


def _matches(value: str, held: Any) -> bool:
    if isinstance(held, dict):
        return value == (" ".join(map(str, held.values())) or "none")
    return value == held or (isinstance(held, bool) and value == ("yes" if held else "no"))


def _kept(file: Path, interview: Interview, status: int) -> int:
    """Keep the answers, say where and how to go on, and return the exit status."""
    save_draft(file, interview)
    number, count = interview.place
    where = f"at question {number} of {count}" if interview.question else "before writing"
    print(
        f"Stopped {where}. The answers are kept in {draft_path(file)}; "
        f"to go on: heatersel new {file}",
        file=sys.stderr,
    )
    return status


def _farewell(console: Console, file: Path, interview: Interview) -> None:
    unknown = sum(text == NOT_KNOWN for _, text in interview.answers)
    told = len(interview.answers) - unknown
    console.print(f"\n{file} is written.", style="bold", markup=False)
    _print(
        console,
        f"{told} answers; {unknown} not known, which stand in it behind a # until somebody has "
        "looked.",
        indent="",
    )
    _print(console, f"Next: heatersel compare {file}", indent="")


def _print(console: Console, text: str, style: str = "", indent: str = _INDENT) -> None:
    width = min(console.width, _WIDEST) - len(indent)
    for line in textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False):
        console.print(indent + line.replace("\u00a0", " "), style=style, markup=False)
