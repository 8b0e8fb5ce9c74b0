"""The one order in which cautions are told: how far they reach, then what hurts people first."""

from __future__ import annotations

from heatersel.cautions.caution import Caution, Severity

__all__ = ["SUBJECTS", "gravest_first"]

SUBJECTS = (
    "scald", "carbon monoxide", "venting", "combustion air", "gas line", "refrigerant",
    "electrical", "relief valve", "pressure", "expansion", "where it stands", "heat pump room",
    "growth", "earthquake", "weight", "frost", "water damage", "water pipes", "condensate", "fuel",
    "room to stand", "carrying", "scale", "permit",
)  # fmt: skip
"""Subjects of cautions: harm to people, then to the house, then to the purse; duties last.
Common practice, no source."""

_SEVERITIES = (Severity.STOP, Severity.MUST, Severity.NOTE)


def gravest_first(caution: Caution) -> tuple[int, int, str]:
    """Return the key that sorts cautions, the gravest first.

    Parameters
    ----------
    caution : Caution
        What a rule said.

    Returns
    -------
    tuple
        Smaller is graver: how far it reaches, its subject, and its id for a fixed order.
    """
    return _SEVERITIES.index(caution.severity), SUBJECTS.index(caution.subject), caution.id
