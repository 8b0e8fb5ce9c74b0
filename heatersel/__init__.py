"""Water-heater selection, sizing and energy-cost comparison.

The public names load on first use, so that `import heatersel` costs nothing::

    from heatersel import compare, load_job

    comparison = compare(load_job(Path("house.toml")))
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from heatersel.api import (
        Method,
        compare,
        cost_of_job,
        demand_of_job,
        first_look,
        morning,
        rate,
        shift_of_job,
        site_of_job,
        size,
    )
    from heatersel.heaters.catalogue import load_heaters
    from heatersel.job.load import load_job, parse_job

__version__ = "0.1.0"

__all__ = [
    "Method",
    "compare",
    "cost_of_job",
    "demand_of_job",
    "first_look",
    "load_heaters",
    "load_job",
    "morning",
    "parse_job",
    "rate",
    "shift_of_job",
    "site_of_job",
    "size",
]

_HOMES = {
    "load_heaters": "heatersel.heaters.catalogue",
    "load_job": "heatersel.job.load",
    "parse_job": "heatersel.job.load",
}


def __getattr__(name: str) -> Any:
    """Return a public name from the module that defines it."""
    if name not in __all__:
        raise AttributeError(f"module 'heatersel' has no attribute {name!r}")
    return getattr(import_module(_HOMES.get(name, "heatersel.api")), name)


def __dir__() -> list[str]:
    """Return the public names."""
    return [*__all__, "__version__"]
