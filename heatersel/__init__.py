"""Water-heater selection, sizing and energy-cost comparison."""

from __future__ import annotations

__version__ = "0.1.0"
