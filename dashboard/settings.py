"""What a dashboard is started with."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

__all__ = ["Settings"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Settings of one dashboard.

    Parameters
    ----------
    hosts : tuple of str
        Names under which the server answers. Another name in a request is refused, so that no
        web page elsewhere can reach it through a name of its own.
    language : str
        Language of the texts, such as "en"; English stands in for what is not translated.
    most_bytes : int
        Largest request that is read. [B]
    kept_answers : int
        Comparisons kept for the next question about the same job.
    patience_s : float
        How long an answer may wait for the models before the page says that they are being
        prepared. [s]
    shelf : pathlib.Path or None
        Folder in which processes that serve the same address share comparisons.
    """

    hosts: tuple[str, ...] = ("localhost", "127.0.0.1", "[::1]")
    language: str = "en"
    most_bytes: int = 1_500_000
    kept_answers: int = 24
    patience_s: float = 1.8
    shelf: Path | None = None
