"""What a job says about emissions."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from heatersel.job.emission_table import EmissionChoices


def test_leakage_is_off_unless_switched_on() -> None:
    choices = EmissionChoices()

    assert (choices.methane_leakage, choices.refrigerant_leakage) == (0.0, False)


def test_a_marginal_rate_is_a_quantity() -> None:
    choices = EmissionChoices.model_validate({"marginal": "700 g/kWh"})

    assert choices.marginal_kg_per_kwh == pytest.approx(0.7)


@pytest.mark.parametrize(
    "values",
    [{"methane_horizon": 50}, {"methane_leakage": 1.5}, {"grid_decline": -0.1},
     {"marginal": 0.7}, {"refrigerant_leakage": "yes"}],
)  # fmt: skip
def test_what_cannot_be_is_refused(values: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        EmissionChoices.model_validate(values)
