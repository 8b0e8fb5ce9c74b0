"""Read a job file, report all its faults at once, and say which defaults it fell back on."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from heatersel.errors import JobError
from heatersel.job.models import Job

__all__ = ["load_job", "parse_job", "parse_toml", "read_toml"]

_MAX_BYTES = 1_000_000


def load_job(path: Path | str) -> Job:
    """Return the job of a TOML file.

    Parameters
    ----------
    path : pathlib.Path or str
        The file.

    Returns
    -------
    Job
        Frozen, all quantities in SI units.

    Raises
    ------
    JobError
        If the file cannot be read, is not TOML, or has faults; every fault is listed with
        table, field, value, what is allowed and an example.
    """
    return parse_job(read_toml(Path(path)), file=str(path))


def read_toml(path: Path) -> dict[str, Any]:
    """Return the tables of a TOML file; raise JobError with a plain reason if that fails."""
    try:
        size = path.stat().st_size
        if size > _MAX_BYTES:
            raise JobError.of(
                str(path), value=f"{size} bytes", allowed=f"up to {_MAX_BYTES} bytes",
                fix="is this the right file?",
            )  # fmt: skip
        return parse_toml(path.read_text(encoding="utf-8-sig"), file=str(path))
    except FileNotFoundError:
        raise JobError.of(
            str(path), value="missing", allowed="an existing file",
            fix="check the name, or make one with: heatersel new",
        ) from None  # fmt: skip
    except (OSError, UnicodeDecodeError) as trouble:
        raise JobError.of(
            str(path), value="unreadable", allowed="a text file in UTF-8", fix=str(trouble)
        ) from None


def parse_toml(text: str, file: str = "job file") -> dict[str, Any]:
    """Return the tables of a TOML text; raise JobError with a plain reason if that fails."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as trouble:
        reason = str(trouble) if isinstance(trouble, tomllib.TOMLDecodeError) else "of its size"
        raise JobError.of(
            file, value="not TOML", allowed='tables and keys such as supply = "well"',
            fix=f"the reader stopped because: {reason}",
        ) from None  # fmt: skip


def parse_job(tables: dict[str, Any], file: str = "") -> Job:
    """Return the job of already parsed tables; raise JobError listing every fault.

    Files that the job names are looked for beside `file`.
    """
    context = {"folder": Path(file).parent}
    try:
        return Job.model_validate(tables, context=context)
    except ValidationError as trouble:
        from heatersel.job.faults import all_faults

        raise JobError(*all_faults(tables, trouble, file, context)) from None
