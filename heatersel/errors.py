"""Errors that heatersel raises, each with the facts a user needs to mend it.

The tree::

    HeaterselError
      InputError (ValueError)       what the user gave
        OutOfRangeError
        UnknownChoiceError
        MissingUnitError
        JobError                    several faults of one file, all at once
      DataError                     what a data file gave
      ModelError (RuntimeError)     what the model cannot do
        NoFeasibleHeaterError
        InconsistentRatingError
        NotConvergedError

Every error keeps its parts as fields (the dashboard shows them one by one) and builds its
sentence from them (the command line prints it). All survive pickling, for batch workers.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Self

__all__ = [
    "DataError",
    "Fault",
    "HeaterselError",
    "InconsistentRatingError",
    "InputError",
    "JobError",
    "MissingUnitError",
    "ModelError",
    "NoFeasibleHeaterError",
    "NotConvergedError",
    "OutOfRangeError",
    "UnknownChoiceError",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong with one value, and how to mend it.

    Parameters
    ----------
    name : str
        The field, dotted by table ("home.room_volume").
    value : str
        The value as it was given.
    allowed : str
        What is allowed, in words and numbers.
    fix : str
        What to write instead, with an example.
    file : str
        The file it stands in; empty for a value given in code.
    line : int
        Line in the file, 0 if not known.
    """

    name: str
    value: str = ""
    allowed: str = ""
    fix: str = ""
    file: str = ""
    line: int = 0

    def sentence(self) -> str:
        """Return the fault as one sentence: where, what, the value, what is allowed, the fix."""
        place = f"{self.file}:{self.line}: " if self.line else f"{self.file}: " if self.file else ""
        given = f" is {self.value}" if self.value else ""
        allowed = f"; allowed: {self.allowed}" if self.allowed else ""
        fix = f"; {self.fix}" if self.fix else ""
        sentence = f"{place}{self.name}{given}{allowed}{fix}"
        end = "?" if self.fix.startswith("did you mean") else "."
        return sentence if sentence.endswith((".", "?")) else sentence + end

    def as_dict(self) -> dict[str, str | int]:
        """Return the fault as plain fields, for JSON."""
        return asdict(self)


class HeaterselError(Exception):
    """Base of every error of this package; carries one or more :class:`Fault`."""

    def __init__(self, *faults: Fault) -> None:
        """Keep the faults as they are."""
        super().__init__(*faults)
        self.faults = faults

    def __str__(self) -> str:
        """Return one sentence per fault, each on its line."""
        return "\n".join(fault.sentence() for fault in self.faults)

    @classmethod
    def of(
        cls,
        name: str,
        *,
        value: object = "",
        allowed: str = "",
        fix: str = "",
        file: str = "",
        line: int = 0,
    ) -> Self:
        """Return an error of this class with a single fault."""
        fault = Fault(name=name, value=str(value), allowed=allowed, fix=fix, file=file, line=line)
        return cls(fault)


class InputError(HeaterselError, ValueError):
    """What the user gave cannot be used."""


class OutOfRangeError(InputError):
    """A number lies outside the range that is allowed or that the model covers."""


class UnknownChoiceError(InputError):
    """A word is not one of the words that are allowed."""


class MissingUnitError(InputError):
    """A quantity came without a unit, or with a unit of another dimension."""


class JobError(InputError):
    """A job file has one or more faults; all are listed."""


class DataError(HeaterselError):
    """A data file is missing, incomplete or lacks its source."""


class ModelError(HeaterselError, RuntimeError):
    """The model cannot answer for these inputs."""


class NoFeasibleHeaterError(ModelError):
    """No heater of the list can stand in this house; the fault says what to change."""


class InconsistentRatingError(ModelError):
    """A heater's rating contradicts itself or the rating test."""


class NotConvergedError(ModelError):
    """An iteration did not settle."""
