"""The working of one option: each number with its formula, its inputs and its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heatersel.comparison import Comparison, Option
from heatersel.heaters.heater import Kind
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C, cop_in_test, standby_loss_w_per_k

__all__ = ["Step", "explain"]

_RATING = "rating label; 10 CFR 430 Subpart B Appendix E"
_DEMAND = "ANSI/RESNET/ICC 301-2019 volumes (from memory); mixing equation"
_LIFE_CYCLE = "10 CFR 436 and NIST Handbook 135 (1995)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the working.

    Parameters
    ----------
    name : str
        What is found.
    formula : str
        How, in words and signs.
    inputs : mapping of str to float
        What goes in, SI units in the names.
    value : float
        The result.
    unit : str
        Its unit.
    source : str
        Where the formula or the number comes from.
    """

    name: str
    formula: str
    inputs: Mapping[str, float]
    value: float
    unit: str
    source: str

    def as_dict(self) -> dict[str, Any]:
        """Return the step as plain fields."""
        return {
            "name": self.name, "formula": self.formula, "inputs": dict(self.inputs),
            "value": self.value, "unit": self.unit, "source": self.source,
        }  # fmt: skip


def explain(comparison: Comparison, option_id: str) -> tuple[Step, ...]:
    """Return the working of one option, from the cold water to the life-cycle cost.

    Parameters
    ----------
    comparison : Comparison
        The finished comparison.
    option_id : str
        Id of the option.

    Returns
    -------
    tuple of Step
        In the order in which the numbers are found.

    Raises
    ------
    UnknownChoiceError
        If there is no such option.
    """
    option = comparison.option(option_id)
    return (
        *_need_steps(comparison),
        *_size_steps(option),
        *_rating_steps(option),
        *_year_steps(comparison, option),
        *_cost_steps(comparison, option),
    )


def _need_steps(comparison: Comparison) -> list[Step]:
    inlet, demand = comparison.inlet, comparison.demand
    return [
        Step(
            name="coldest inlet",
            formula=f"lowest day of the year by {inlet.method}",
            inputs={"annual_mean_c": inlet.annual_mean_c},
            value=inlet.design_c,
            unit="degC",
            source=inlet.note,
        ),
        Step(
            name="hot water on a mean day",
            formula="sum over fixtures of mixed water x (use - inlet) / (setpoint - inlet)",
            inputs={f"{fixture}_l": litres for fixture, litres in demand.by_fixture_l.items()},
            value=demand.daily_hot_water_l,
            unit="L",
            source=_DEMAND,
        ),
        Step(
            name="hot water in the busiest hour",
            formula="sum over uses of flow x time x hot share at the coldest inlet"
            if demand.peak_hour_is_stated
            else "percentile of the busiest hours of simulated days at the coldest inlet",
            inputs={f"{f}_l": litres for f, litres in demand.peak_hour_by_fixture_l.items()}
            if demand.peak_hour_is_stated
            else {"percentile": demand.percentile, "years": demand.busiest_hours_design.n_years},
            value=demand.peak_hour_hot_water_l,
            unit="L",
            source="uses as stated"
            if demand.peak_hour_is_stated
            else "draws by published statistics, Hendron and Burch (2007), from memory",
        ),
        Step(
            name="hot flow at the peak",
            formula="sum over fixtures that run together of flow x hot share",
            inputs={
                "mixed_flow_l_per_min": demand.peak_mixed_flow_l_per_min,
                "percentile_flow_l_per_min": demand.peak_flow_percentile_l_per_min,
            },
            value=demand.peak_flow_l_per_min,
            unit="L/min",
            source="fixtures as stated"
            if demand.peak_flow_is_stated
            else "binomial over fixture counts, Buchberger et al. (2017), from memory",
        ),
        Step(
            name="heat rate at the peak",
            formula="flow x density x (enthalpy at the setpoint - at the inlet)",
            inputs={
                "peak_flow_l_per_min": demand.peak_flow_l_per_min,
                "temperature_rise_k": demand.temperature_rise_k,
            },
            value=demand.peak_output_kw,
            unit="kW",
            source="water table computed from IAPWS-95",
        ),
    ]


def _size_steps(option: Option) -> list[Step]:
    heater, sizing = option.heater, option.sizing
    rated = heater.max_flow_l_per_min if heater.is_tankless else heater.first_hour_rating_l
    inputs = {
        "rated": rated,
        "input_kw": heater.input_kw,
        "test_inlet_c": INLET_TEMP_C,
        "test_delivery_c": DELIVERY_TEMP_C,
    }
    steps = [
        Step(name=name, formula=formula, inputs=inputs, value=value, unit=unit, source=_RATING)
        for name, formula, value, unit in sizing.steps
    ]
    steps.append(
        Step(
            name="margin",
            formula="available / required - 1",
            inputs={"available": sizing.available, "required": sizing.required},
            value=sizing.margin_frac,
            unit="",
            source=f"verdict: {sizing.verdict.value}",
        )
    )
    return steps


def _rating_steps(option: Option) -> list[Step]:
    heater = option.heater
    if heater.is_tankless:
        return []
    steps = [
        Step(
            name="standby loss",
            formula="heat of the test day x (RE / UEF - 1) / (24 h x 57.5 degF)",
            inputs={"uef": heater.uef, "recovery_efficiency": heater.recovery_efficiency},
            value=standby_loss_w_per_k(heater),
            unit="W/K",
            source=_RATING,
        )
    ]
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        source = "data sheet" if heater.standby_loss_w_per_k is not None else "its class"
        steps[0] = Step(
            name="standby loss",
            formula=f"from {source}: a heat pump's UEF cannot separate loss from COP",
            inputs={},
            value=standby_loss_w_per_k(heater),
            unit="W/K",
            source=source,
        )
        steps.append(
            Step(
                name="COP in the test",
                formula="UEF x (1 + 24 h x loss x 57.5 degF / heat of the test day)",
                inputs={"uef": heater.uef, "standby_loss_w_per_k": steps[0].value},
                value=cop_in_test(heater),
                unit="",
                source=_RATING,
            )
        )
    return steps


def _year_steps(comparison: Comparison, option: Option) -> list[Step]:
    annual = option.annual
    conditions = {
        "daily_hot_water_l": comparison.demand.daily_hot_water_l,
        "inlet_mean_c": comparison.inlet.annual_mean_c,
        "setpoint_c": comparison.job.preferences.setpoint_c,
    }
    steps = [
        Step(
            name="heat in the hot water of a year",
            formula="sum over days of hot water x density x enthalpy rise",
            inputs=conditions,
            value=annual.delivered_kwh,
            unit="kWh",
            source=f"{annual.method} of the household's year",
        ),
        Step(
            name="standby loss of a year",
            formula="loss x (water - room), summed over the year",
            inputs={},
            value=annual.standby_loss_kwh,
            unit="kWh",
            source=f"{annual.method} of the household's year",
        ),
    ]
    for source, kwh in annual.energy_kwh.items():
        steps.append(
            Step(
                name=f"{source.value.replace('_', ' ')} of a year",
                formula="(heat + loss) / conversion, " + annual.method,
                inputs={
                    "delivered_kwh": annual.delivered_kwh,
                    "standby_loss_kwh": annual.standby_loss_kwh,
                    "auxiliary_kwh": annual.auxiliary_kwh,
                },
                value=kwh,
                unit="kWh",
                source="; ".join(annual.notes) or "rating carried to this house",
            )
        )
    return steps


def _cost_steps(comparison: Comparison, option: Option) -> list[Step]:
    cost, preferences = option.cost, comparison.job.preferences
    currency = str(comparison.provenance["currency"])
    steps = [
        Step(
            name=line.text,
            formula="line of the installed price",
            inputs={},
            value=line.amount,
            unit=currency,
            source="invented demo price table",
        )
        for line in cost.installed_lines
    ]
    steps.append(
        Step(
            name="cost of a year",
            formula="energy + fixed charges + maintenance",
            inputs={
                **{f"{source}": amount for source, amount in cost.energy_per_year.items()},
                "fixed_per_year": cost.fixed_per_year,
                "maintenance_per_year": cost.maintenance_per_year,
            },
            value=cost.total_per_year,
            unit=f"{currency}/yr",
            source="prices of the job or the region",
        )
    )
    steps.append(
        Step(
            name=f"life-cycle cost over {preferences.study_years} years",
            formula="installed + PV(energy, upkeep, replacements) - PV(residual)",
            inputs={
                "installed": cost.installed,
                "total_per_year": cost.total_per_year,
                "life_years": cost.life_years,
                "discount_rate": preferences.discount_rate,
            },
            value=cost.life_cycle,
            unit=currency,
            source=_LIFE_CYCLE,
        )
    )
    return steps
