"""Every label of a list beside the simulated federal rating tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from heatersel.heaters.heater import Heater
from heatersel.simulation import rating_test, tankless_rating

__all__ = ["RatedRow", "rate_list"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatedRow:
    """A heater's label beside what the simulated tests give.

    Parameters
    ----------
    heater : Heater
        The row.
    uef_simulated : float
        Uniform energy factor; NaN for a label that contradicts itself. [-]
    size_simulated : float
        First-hour rating, or maximum flow of a tankless heater. [L] or [L/min]
    standby_loss_w_per_k : float
        Of the store, or of a tankless heater's exchanger. [W/K]
    consistent : bool
        Whether the tests give the label.
    why_not : str
        The reason if not.
    trace : heatersel.simulation.rating_test.Rating or None
        Minute by minute, for storage heaters.
    """

    heater: Heater
    uef_simulated: float
    size_simulated: float
    standby_loss_w_per_k: float
    consistent: bool
    why_not: str
    trace: rating_test.Rating | None = None

    @property
    def size_rated(self) -> float:
        """First-hour rating or maximum flow of the label. [L] or [L/min]"""
        tankless = self.heater.is_tankless
        return self.heater.max_flow_l_per_min if tankless else self.heater.first_hour_rating_l

    def as_dict(self) -> dict[str, Any]:
        """Return the row as the JSON contract of `rate` has it; None where there is no figure."""
        measure = "max_flow_{}_l_per_min" if self.heater.is_tankless else "first_hour_rating_{}_l"
        return {
            "id": self.heater.id,
            "draw_pattern": self.heater.draw_pattern.value,
            "uef_rated": self.heater.uef,
            "uef_simulated": _number(self.uef_simulated),
            measure.format("rated"): self.size_rated,
            measure.format("simulated"): _number(self.size_simulated),
            "standby_loss_w_per_k": _number(self.standby_loss_w_per_k),
            "consistent": self.consistent,
            "why_not": self.why_not,
        }


def rate_list(heaters: Sequence[Heater]) -> tuple[RatedRow, ...]:
    """Return each heater's label beside its simulated rating tests.

    Parameters
    ----------
    heaters : sequence of Heater
        Storage and tankless heaters.

    Returns
    -------
    tuple of RatedRow
        In the same order.
    """
    stores = [heater for heater in heaters if not heater.is_tankless]
    flows = tuple(heater for heater in heaters if heater.is_tankless)
    rows = {rating.id: rating for rating in rating_test.rate_all(stores)}
    found = {heater.id: _store_row(heater, rows[heater.id]) for heater in stores}
    ratings = tankless_rating.rate_all(flows) if flows else ()
    for heater, rating in zip(flows, ratings, strict=True):
        found[heater.id] = RatedRow(
            heater=heater,
            uef_simulated=rating.uef,
            size_simulated=rating.max_flow_l_per_min,
            standby_loss_w_per_k=rating.loss_w_per_k,
            consistent=rating.consistent,
            why_not=rating.why_not,
        )
    return tuple(found[heater.id] for heater in heaters)


def _store_row(heater: Heater, rating: rating_test.Rating) -> RatedRow:
    return RatedRow(
        heater=heater,
        uef_simulated=rating.uef_simulated,
        size_simulated=rating.first_hour_rating_simulated_l,
        standby_loss_w_per_k=rating.standby_loss_w_per_k,
        consistent=rating.consistent,
        why_not=rating.why_not,
        trace=rating,
    )


def _number(value: float) -> float | None:
    return None if math.isnan(value) else value
