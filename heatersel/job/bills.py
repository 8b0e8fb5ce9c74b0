"""The household's own utility readings, as the job file gives them."""

from __future__ import annotations

from heatersel.job.table import InputTable

__all__ = ["Bills"]


class Bills(InputTable):
    """Monthly readings of one fuel."""

    fuel: str
    monthly: tuple[str, ...]
