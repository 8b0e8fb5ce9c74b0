"""The working of one option: each number with its formula, its inputs and its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heatersel.climate import climate
from heatersel.comparison import Comparison, Option
from heatersel.cost.emissions import emission_factors
from heatersel.cost.installed import descaling_price, upkeep
from heatersel.heaters.heater import EnergySource, Heater, Kind
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C, cop_in_test, standby_loss_w_per_k
from heatersel.simulation.hard_water import descaling_months
from heatersel.simulation.house_air import house_air, system_of
from heatersel.simulation.space_heating import house_shares
from heatersel.sizing.verdict import TIGHT_MARGIN_FRAC

__all__ = ["Step", "explain"]

_TEST = "10 CFR 430 Subpart B Appendix E"
_RATING = f"rating label; {_TEST}"
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
        *_stored_steps(comparison, option),
        *_size_steps(option),
        *_rating_steps(option),
        *_year_steps(comparison, option),
        *_house_steps(comparison, option),
        *_cost_steps(comparison, option),
        _emission_step(comparison, option),
    )


def _need_steps(comparison: Comparison) -> list[Step]:
    inlet, demand = comparison.inlet, comparison.demand
    return [
        Step(
            name="coldest inlet",
            formula=f"lowest day of the year by {inlet.method.replace('_', ' ')}",
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


def _stored_steps(comparison: Comparison, option: Option) -> list[Step]:
    """Return what is needed of a tank that the rules have stored hotter than the job wants."""
    if option.setpoint_c == comparison.demand.setpoint_c:
        return []
    return [
        Step(
            name="hot water in the busiest hour, stored as hot as the rules ask and mixed down",
            formula="as before, with the hotter setpoint",
            inputs={"setpoint_c": option.setpoint_c},
            value=option.sizing.required,
            unit="L",
            source="least setting of electric tanks in Canada; see caution growth-electric-canada",
        )
    ]


def _size_steps(option: Option) -> list[Step]:
    heater, sizing = option.heater, option.sizing
    rated = heater.max_flow_l_per_min if heater.is_tankless else heater.first_hour_rating_l
    inputs = {
        "rated_l_per_min" if heater.is_tankless else "rated_l": rated,
        "input_kw": heater.input_kw,
        "test_inlet_c": INLET_TEMP_C,
        "test_delivery_c": DELIVERY_TEMP_C,
    }
    steps = [
        Step(name=name, formula=formula, inputs=inputs, value=value, unit=unit, source=_RATING)
        for name, formula, value, unit in sizing.steps
    ]
    ending = "_l_per_min" if heater.is_tankless else "_l"
    steps.append(
        Step(
            name="margin",
            formula="available / required - 1",
            inputs={
                f"available{ending}": sizing.available,
                f"required{ending}": sizing.required,
            },
            value=sizing.margin_frac,
            unit="",
            source=f"{sizing.verdict.value}: short below 0, tight below {TIGHT_MARGIN_FRAC:g}; "
            "common practice, no source",
        )
    )
    return steps


def _rating_steps(option: Option) -> list[Step]:
    heater, simulated = option.heater, option.annual.method == "simulation"
    if heater.is_tankless:
        return _flow_rating_steps(heater) if simulated else []
    steps = [_loss_step(heater)]
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        steps.append(
            Step(
                name="COP in the test",
                formula="UEF x (1 + 24 h x loss x 57.5 degF / heat of the test day)",
                inputs={"uef": heater.uef, "standby_loss_w_per_k": steps[0].value},
                value=cop_in_test(heater),
                unit="",
                source=f"UEF of the label, loss from {_loss_source(heater)}; {_TEST}",
            )
        )
    return [*steps, *_store_rating_steps(heater)] if simulated else steps


def _loss_source(heater: Heater) -> str:
    return "the data sheet" if heater.standby_loss_w_per_k is not None else "its class"


def _loss_step(heater: Heater) -> Step:
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        source = _loss_source(heater)
        return Step(
            name="standby loss",
            formula=f"from {source}: a heat pump's UEF cannot separate loss from COP",
            inputs={},
            value=standby_loss_w_per_k(heater),
            unit="W/K",
            source=source
            if heater.standby_loss_w_per_k is not None
            else "its class: 2.75 Btu/(h degF), middle of 2.0 to 3.5, from memory",
        )
    return Step(
        name="standby loss",
        formula="heat of the test day x (RE / UEF - 1) / (24 h x 57.5 degF)",
        inputs={"uef": heater.uef, "recovery_efficiency": heater.recovery_efficiency},
        value=standby_loss_w_per_k(heater),
        unit="W/K",
        source=_RATING,
    )


def _store_rating_steps(heater: Heater) -> list[Step]:
    """Return what the simulated rating tests of a tank were solved for."""
    from heatersel.simulation.rating_test import rate

    found = rate(heater)
    given = {"uef_rated": found.uef_rated, "uef_simulated": found.uef_simulated}
    if heater.kind is not Kind.HEAT_PUMP_STORAGE:
        return [
            Step(
                name="standby loss in the simulation",
                formula="solved for until the simulated 24-hour test gives the label's UEF",
                inputs=given,
                value=found.standby_loss_w_per_k,
                unit="W/K",
                source=f"simulated test; {_TEST}",
            )
        ]
    return [
        Step(
            name="scale of the heat pump's table",
            formula=f"one factor on COP and heat of the {heater.refrigerant} cycle, solved for "
            "until the simulated 24-hour test gives the label's UEF",
            inputs=given,
            value=found.cop_scale,
            unit="",
            source="vapour-compression cycle from refrigerant properties, over wet bulb and "
            f"water; simulated test; {_TEST}",
        )
    ]


def _flow_rating_steps(heater: Heater) -> list[Step]:
    """Return what the simulated rating tests of a tankless heater were solved for."""
    from heatersel.simulation.tankless_rating import rate_tankless

    found = rate_tankless(heater)
    return [
        Step(
            name="efficiency while firing",
            formula="recovery efficiency of the row; a condensing unit's falls as the water "
            "that enters and leaves gets warmer",
            inputs={"recovery_efficiency": heater.recovery_efficiency},
            value=found.efficiency,
            unit="",
            source="data sheet or rating label; flue-gas balance for condensing",
        ),
        Step(
            name="heat held in the exchanger",
            formula="solved for until the simulated 24-hour test gives the label's UEF: each "
            "start warms it anew",
            inputs={"uef_rated": heater.uef, "uef_simulated": found.uef},
            value=found.stored_kj_per_k,
            unit="kJ/K",
            source=f"simulated test; {_TEST}",
        ),
        Step(
            name="loss of the exchanger at rest",
            formula="heat held / time constant of cooling, 2317 s",
            inputs={"stored_kj_per_k": found.stored_kj_per_k},
            value=found.loss_w_per_k,
            unit="W/K",
            source="a laboratory unit of 8.36 kJ/K and 12.99 kJ/(h K), MS thesis, University of "
            "Colorado (2010)",
        ),
    ]


def _year_steps(comparison: Comparison, option: Option) -> list[Step]:
    annual = option.annual
    conditions = {
        "inlet_mean_c": comparison.inlet.annual_mean_c,
        "setpoint_c": option.setpoint_c,
    }
    if option.setpoint_c == comparison.demand.setpoint_c:
        conditions["daily_hot_water_l"] = comparison.demand.daily_hot_water_l
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
                name=f"{_said(source)} of a year",
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


def _house_steps(comparison: Comparison, option: Option) -> list[Step]:
    """Return what the option does to the house's heating and cooling; none in closed form."""
    annual, job = option.annual, comparison.job
    if not annual.space_monthly_kwh:
        return []
    here = climate(job.place.climate)
    taken, given = house_shares(option.heater, house_air(job.home, here.monthly_air_c).room)
    system = system_of(job.home, job.heating_fuels)
    stated = "the job" if job.home.heating else "the likely one, common practice, no source"
    steps = [
        Step(
            name="heat to the heated house in the heating season",
            formula="sum over days of heating share x (share given x standby heat - share taken x "
            "heat that the compressor draws from its air); below 0 the house loses",
            inputs={
                "share_given": given,
                "share_taken": taken,
                "standby_loss_kwh": annual.standby_loss_kwh,
            },
            value=annual.space_heating_effect_kwh,
            unit="kWh",
            source="heat balance of the heater's room; a day heats fully 4 K below 18.3 degC "
            "(65 degF, base of degree days)",
        )
    ]
    for source, kwh in annual.space_energy_kwh.items():
        said = _said(source)
        steps.append(
            Step(
                name=f"{said} of heating and cooling on its account",
                formula="heat lost in the heating season / heating efficiency, and heat given on "
                "cooling days / cooling COP",
                inputs={
                    "heating_efficiency": system.heating_efficiency,
                    "cooling_cop": system.cooling_cop,
                },
                value=kwh,
                unit="kWh",
                source=f"heating of the house: {stated}",
            )
        )
    steps.append(
        Step(
            name="heating and cooling on its account",
            formula="energy x price at the margin of the tariff",
            inputs={f"{source}": money for source, money in option.cost.space_per_year.items()},
            value=sum(option.cost.space_per_year.values()),
            unit=f"{comparison.provenance['currency']}/yr",
            source="prices of the job or the region",
        )
    )
    return steps


def _upkeep_step(comparison: Comparison, option: Option) -> Step:
    heater, currency = option.heater, str(comparison.provenance["currency"])
    keeping = upkeep(heater.heater_class, currency)
    inputs = {"heaters": float(heater.units), "usual_upkeep": keeping.maintenance_per_year}
    formula = "heaters x usual upkeep of such a heater"
    months = descaling_months(comparison.job, comparison.demand, heater)
    if months is not None:
        formula = (
            "heaters x (usual upkeep + (descalings that this water asks for - descalings in the "
            "usual upkeep) x price of one)"
        )
        inputs |= {
            "descalings_asked_for": 12.0 / months,
            "descalings_in_it": keeping.descalings_per_year,
            "price_of_one": descaling_price(currency),
        }
    return Step(
        name="upkeep of a year", formula=formula, inputs=inputs,
        value=option.cost.maintenance_per_year, unit=f"{currency}/yr",
        source="invented demo price table",
    )  # fmt: skip


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
    for source, amount in cost.energy_per_year.items():
        kwh = option.annual.energy_kwh[EnergySource(source)]
        steps.append(
            Step(
                name=f"{_said(source)} bill of a year",
                formula="energy x mean price, which follows from the tariff month by month",
                inputs={
                    "energy_kwh": kwh,
                    "price_per_kwh": amount / kwh if kwh else 0.0,
                },
                value=amount,
                unit=f"{currency}/yr",
                source=_price_source(comparison, source),
            )
        )
    steps.append(_upkeep_step(comparison, option))
    steps.append(
        Step(
            name="cost of a year",
            formula="energy + heating and cooling on its account + fixed charges + maintenance",
            inputs={
                **{f"{source}": amount for source, amount in cost.energy_per_year.items()},
                "heating_and_cooling": sum(cost.space_per_year.values()),
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


def _emission_step(comparison: Comparison, option: Option) -> Step:
    job, annual = comparison.job, option.annual
    factors = emission_factors(climate(job.place.climate).region, job.emissions)
    energy = {
        source: annual.energy_kwh.get(source, 0.0) + annual.space_energy_kwh.get(source, 0.0)
        for source in EnergySource
        if source in annual.energy_kwh or source in annual.space_energy_kwh
    }
    rates = {f"{source}_kg_per_kwh": factors.kg_per_kwh[source] for source in energy}
    return Step(
        name="CO2 of a year",
        formula="sum of energy x rate, heating and cooling on its account with it",
        inputs={f"{source}_kwh": kwh for source, kwh in energy.items()} | rates,
        value=option.co2_kg_per_year,
        unit="kg",
        source="; ".join(
            (factors.basis, "fuels: EPA Emission Factors Hub 2024, Table 1", *factors.switches)
        ),
    )


def _price_source(comparison: Comparison, source: str) -> str:
    notes = [str(n) for n in comparison.provenance["price_notes"] if _said(source) in str(n)]
    return " ".join(notes) or "tariff of the job"


def _said(source: str) -> str:
    return str(source).replace("_", " ")
