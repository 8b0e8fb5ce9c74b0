"""The output folder: finished partitions are kept, half-finished ones are not there.

Each file is written beside its place and moved there whole. A partition counts as finished when
its entry under `state/` is there, and that is written last; whatever stops the program, the
finished partitions stay and the rest is computed again. Entries are gathered into one ledger from
time to time, so that the folder stays small.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from heatersel.errors import HeaterselError, InputError
from heatersel.portfolio.task import Finished
from heatersel.portfolio.totals import Totals

__all__ = ["Store", "whole", "write_whole"]

_MANIFEST = "portfolio.json"
_ERROR_COLUMNS = ("row", "house", "field", "value", "reason")
_FOLDERS = ("results", "recommendations", "state")
_GATHER_AT = 32


class Store:
    """The finished partitions of a run in a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Made if it is not there.
    manifest : dict
        Inputs and settings of the run; a folder holds the partitions of one run only.
    restart : bool
        Whether to throw away what another run left.

    Raises
    ------
    InputError
        If the folder holds another run, is in use, or cannot be written.
    """

    def __init__(self, folder: Path, manifest: dict[str, Any], *, restart: bool = False) -> None:
        """Open the folder and take up what is finished there."""
        self.folder = folder
        self._state = folder / "state"
        try:
            for part in _FOLDERS:
                (folder / part).mkdir(parents=True, exist_ok=True)
            self._lock = _locked(self._state / "lock")
        except OSError as trouble:
            raise InputError.of(
                str(folder), value="not writable", allowed="a folder to write into",
                fix=str(trouble),
            ) from None  # fmt: skip
        self.totals = Totals()
        self._gathered: set[int] = set()
        self._loose: set[int] = set()
        try:
            self.manifest = self._agreed(manifest, restart)
            self._take_up()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Store:
        """Return the open folder."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let another run use the folder."""
        self.close()

    @property
    def done(self) -> frozenset[int]:
        """Numbers of the finished partitions."""
        return frozenset(self._gathered | self._loose)

    def keep(self, finished: Finished) -> None:
        """Write a finished partition; raise HeaterselError if the disk refuses it."""
        name = _part(finished.number)
        write_whole(self.folder / "results" / f"{name}.parquet", finished.results)
        write_whole(self.folder / "recommendations" / f"{name}.parquet", finished.recommendations)
        if finished.errors:
            rows = [[getattr(error, column) for column in _ERROR_COLUMNS]
                    for error in finished.errors]  # fmt: skip
            write_whole(self._state / f"{name}.csv", _as_csv(rows))
        write_whole(self._state / f"{name}.npz", finished.totals.to_bytes())
        self.totals.add(finished.totals)
        self._loose.add(finished.number)
        if len(self._loose) >= _GATHER_AT:
            self._gather()

    def write_errors(self) -> Path:
        """Write the error rows of all finished partitions into errors.csv, by row."""
        path = self.folder / "errors.csv"
        with whole(path) as out:
            out.write(_as_csv([_ERROR_COLUMNS]))
            for number in sorted(self.done):
                part = self._state / f"{_part(number)}.csv"
                if part.exists():
                    out.write(part.read_bytes())
        return path

    def close(self) -> None:
        """Let another run use the folder."""
        self._lock.close()

    def _agreed(self, manifest: dict[str, Any], restart: bool) -> dict[str, Any]:
        """Return the manifest of the folder, after checking that it is of the same run."""
        path = self.folder / _MANIFEST
        if restart:
            for part in self._parts():
                part.unlink()
        there = None if restart else _read_json(path)
        if there is None and next(self._parts(), None):
            raise InputError.of(
                str(self.folder), value="a folder with partitions of an unknown run",
                allowed="a new folder, or one that a run left", fix="choose another folder, or "
                "throw the partitions away with --restart",
            )  # fmt: skip
        if there is None:
            write_whole(path, json.dumps(manifest, indent=1).encode())
            return manifest
        other = [key for key in manifest if there.get(key) != manifest[key]]
        if other:
            raise InputError.of(
                str(self.folder), value=f"of another run ({', '.join(other)} differ)",
                allowed="a new folder, or the same houses and settings as before",
                fix="choose another folder, or throw its contents away with --restart",
            )  # fmt: skip
        return there

    def _parts(self) -> Iterator[Path]:
        """Yield the files of partitions and ledger, finished or not."""
        for part in _FOLDERS:
            for pattern in ("part-*", "ledger.*"):
                yield from (self.folder / part).glob(pattern)

    def _take_up(self) -> None:
        """Read the ledger and the loose entries; an entry that cannot be read is not there."""
        ledger = _entry(self._state / "ledger.npz")
        if ledger is not None:
            self.totals, said = ledger
            self._gathered = {int(number) for number in said["parts"]}
        for path in sorted(self._state.glob("part-*.npz")):
            number = int(path.stem.removeprefix("part-"))
            entry = None if number in self._gathered else _entry(path)
            if entry is None:
                path.unlink()
            else:
                self.totals.add(entry[0])
                self._loose.add(number)
        gone = [number for number in self.done if not self._has_tables(number)]
        if gone:
            raise InputError.of(
                str(self.folder), value=f"without the tables of partition {min(gone)}",
                allowed="a folder as the run left it", fix="start afresh with --restart",
            )  # fmt: skip

    def _has_tables(self, number: int) -> bool:
        return all(
            (self.folder / table / f"{_part(number)}.parquet").exists()
            for table in ("results", "recommendations")
        )

    def _gather(self) -> None:
        parts = sorted(self.done)
        write_whole(self._state / "ledger.npz", self.totals.to_bytes(parts=parts))
        for number in self._loose:
            (self._state / f"{_part(number)}.npz").unlink()
        self._gathered |= self._loose
        self._loose.clear()


def write_whole(path: Path, data: bytes) -> None:
    """Write a file such that it is there whole or not at all; raise HeaterselError if refused."""
    with whole(path) as out:
        out.write(data)


@contextlib.contextmanager
def whole(path: Path) -> Iterator[IO[bytes]]:
    """Give a stream to a file that appears when all is written; raise HeaterselError if not."""
    beside = path.with_name(f"{path.name}.part")
    try:
        with beside.open("wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        beside.replace(path)
    except OSError as trouble:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise HeaterselError.of(
            str(path), value=f"not writable ({trouble.strerror or trouble})",
            allowed="a folder with space left",
            fix="what is finished is kept: make room and run the same command again",
        ) from None  # fmt: skip


def _part(number: int) -> str:
    return f"part-{number:06d}"


def _as_csv(rows: Any) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode("utf-8", errors="replace")


def _read_json(path: Path) -> dict[str, Any] | None:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None


def _entry(path: Path) -> tuple[Totals, dict[str, Any]] | None:
    try:
        return Totals.from_bytes(path.read_bytes())
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None


def _locked(path: Path) -> IO[bytes]:
    """Return an open file that only one process can hold; the system frees it at its end."""
    stream = path.open("ab")
    try:
        import fcntl

        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:  # other systems go without
        pass
    except OSError:
        stream.close()
        raise InputError.of(
            str(path.parent.parent), value="in use by another run", allowed="one run at a time",
            fix="wait for it, stop it, or choose another folder",
        ) from None  # fmt: skip
    return stream
