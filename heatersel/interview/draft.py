"""Keep the answers of an interview that was broken off, and write the job at its end."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

from heatersel.errors import InputError
from heatersel.interview.flow import Interview
from heatersel.job.load import parse_job
from heatersel.job.write import to_toml, toml_value

__all__ = ["draft_path", "in_the_way", "load_draft", "save_draft", "write_job"]

_HEAD = "# Answers of an interview that goes on with the same command. Not a job file.\n"


def draft_path(file: Path) -> Path:
    """Return where the answers are kept until the job file is written.

    Examples
    --------
    >>> draft_path(Path("smith.toml")).name
    'smith.draft.toml'
    """
    return file.with_suffix(".draft.toml")


def load_draft(file: Path) -> Interview:
    """Return the interview that was broken off; a new one if there is none or it is spoilt."""
    try:
        tables = tomllib.loads(draft_path(file).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return Interview()
    pairs = {
        name: tuple(found.items()) for name, found in tables.items() if isinstance(found, dict)
    }
    texts = all(isinstance(text, str) for found in pairs.values() for _, text in found)
    if not texts:
        return Interview()
    return Interview(
        answers=pairs.get("answers", ()), taken_back=pairs.get("taken_back", ())
    ).resumed()


def save_draft(file: Path, interview: Interview) -> None:
    """Keep the answers beside `file`, whole or not at all.

    Raises
    ------
    InputError
        If the folder cannot be written to.
    """
    lines = [_HEAD]
    for name, pairs in (("answers", interview.answers), ("taken_back", interview.taken_back)):
        lines += [
            f"[{name}]",
            *(f"{toml_value(key)} = {toml_value(text)}" for key, text in pairs),
            "",
        ]
    _replace(draft_path(file), "\n".join(lines))


def write_job(file: Path, interview: Interview) -> None:
    """Write the job file, without replacing one that is there, and drop the draft.

    Raises
    ------
    InputError
        If the file is there already, cannot be written, or the answers contradict each other.
    """
    job = parse_job(interview.tables, str(file))
    new = file.with_name(f".{file.name}.new")
    _replace(new, to_toml(job))
    try:
        os.link(new, file)  # fails where the file is there, which a rename would replace
    except FileExistsError:
        raise in_the_way(file) from None
    except OSError:  # a disk without links
        _create(file, new.read_text(encoding="utf-8"))
    finally:
        new.unlink(missing_ok=True)
    draft_path(file).unlink(missing_ok=True)


def in_the_way(file: Path) -> InputError:
    """Return the error for a job file that is there already."""
    return InputError.of(
        str(file), value="there already", allowed="a new name, since nothing is overwritten",
        fix="give another name, or move the file away",
    )  # fmt: skip


def _create(file: Path, text: str) -> None:
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write(text)
    except FileExistsError:
        raise in_the_way(file) from None
    except OSError as trouble:
        raise _unwritable(file, trouble) from None


def _replace(path: Path, text: str) -> None:
    """Write a file so that at any moment the old or the new one is there, whole."""
    beside = path.with_name(f".{path.name}.part")
    try:
        with beside.open("w", encoding="utf-8") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        os.replace(beside, path)
    except OSError as trouble:
        beside.unlink(missing_ok=True)
        raise _unwritable(path, trouble) from None


def _unwritable(path: Path, trouble: OSError) -> InputError:
    reason = trouble.strerror or str(trouble)
    return InputError.of(
        str(path), value="not writable", allowed="a folder that can be written to",
        fix=f"choose another folder ({reason.lower()})",
    )  # fmt: skip
