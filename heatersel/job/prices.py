"""What energy costs this household, as the job file gives it."""

from __future__ import annotations

from heatersel.job.table import InputTable

__all__ = ["Prices"]


class Prices(InputTable):
    """Prices of the region, or the household's own."""

    region: str | None = None
    electricity: str | None = None
    natural_gas: str | None = None
    propane: str | None = None
    fuel_oil: str | None = None
