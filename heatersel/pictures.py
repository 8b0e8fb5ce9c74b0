"""What each picture of a comparison shows, worked out once for every face that draws it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatersel.cautions.caution import CautionReport, SiteFacts
from heatersel.cautions.setpoint_tradeoff import SetpointPoint, setpoint_tradeoff
from heatersel.cautions.water_path import WaterPath
from heatersel.cautions.water_path import water_path as path_of
from heatersel.climate import climate
from heatersel.comparison import Comparison, Option
from heatersel.cost.basis import cost_basis
from heatersel.cost.break_even import PriceMap, price_lines, price_map, prices_today
from heatersel.cost.drawn import uncertain
from heatersel.cost.uncertainty import Ranges, draw, futures_of, money_spent
from heatersel.heaters.heater import EnergySource
from heatersel.heaters.rated import standby_loss_w_per_k
from heatersel.job.models import Fixture
from heatersel.simulation.together import Together, run_together

__all__ = [
    "CostYears",
    "best_of_each_kind",
    "cost_over_years",
    "path_through_house",
    "prices_that_turn_it",
    "running_together",
    "setpoint_curve",
]

_N_FUTURES = 500
_STEPS = 41
_FUELS = (EnergySource.NATURAL_GAS, EnergySource.PROPANE, EnergySource.FUEL_OIL)


@dataclass(frozen=True, slots=True, kw_only=True)
class CostYears:
    """What one option has cost so far, year after year.

    Parameters
    ----------
    option_id : str
        The option.
    p10, p50, p90 : tuple of float
        Money spent by the end of year 0, 1, 2, ..., in today's money, in the tenth, fiftieth and
        ninetieth of a hundred futures. What a heater is still worth is not taken off, so that
        each replacement shows.
    """

    option_id: str
    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]


_ROOM_C = 19.7  # 67.5 degF, air of the federal rating test


def path_through_house(comparison: Comparison, option: Option) -> WaterPath:
    """Return the way of the hot water through the house with one option.

    Parameters
    ----------
    comparison : Comparison
        The answer.
    option : Option
        One of its options.

    Returns
    -------
    WaterPath
        What stands there, what is added, what is still to be checked.
    """
    job, demand = comparison.job, comparison.demand
    here = climate(job.place.climate)
    elevation_m = job.place.elevation_m
    facts = SiteFacts(
        region=here.region, design_inlet_c=comparison.inlet.design_c,
        setpoint_c=demand.setpoint_c,
        elevation_m=here.elevation_m if elevation_m is None else elevation_m,
        daily_hot_l=demand.daily_hot_water_l, coldest_air_c=min(here.monthly_air_c),
    )  # fmt: skip
    report = CautionReport(cautions=option.cautions, to_measure=option.to_measure)
    return path_of(job, option.heater, facts, report, demand.peak_flow_l_per_min)


def running_together(comparison: Comparison, option: Option) -> tuple[Together, ...]:
    """Return what can run at once with a tankless option, month by month; empty for a tank.

    Parameters
    ----------
    comparison : Comparison
        The answer.
    option : Option
        One of its options.

    Returns
    -------
    tuple of Together
        Twelve months, or nothing.
    """
    if not option.heater.is_tankless:
        return ()
    household = comparison.job.household
    return run_together(
        option.heater,
        comparison.inlet.monthly_c,
        setpoint_c=comparison.demand.setpoint_c,
        use_temp_c=household.use_temp_c,
        installed={fixture: household.fixtures.of(fixture) for fixture in Fixture},
        flow_l_per_min={fixture: household.fixture_flow.of(fixture) for fixture in Fixture},
    )


def setpoint_curve(comparison: Comparison, option: Option) -> tuple[SetpointPoint, ...]:
    """Return what each setpoint would mean with one option: burns, bacteria, cost of standby.

    Parameters
    ----------
    comparison : Comparison
        The answer.
    option : Option
        One of its options, with a known cost.

    Returns
    -------
    tuple of SetpointPoint
        From 45 to 66 °C.
    """
    heater, annual, cost = option.heater, option.annual, option.cost
    used = sum(annual.energy_kwh.values())
    price = sum(cost.energy_per_year.values()) / used if cost is not None and used else 0.0
    into_water = (annual.delivered_kwh + annual.standby_loss_kwh) / used if used else 1.0
    return setpoint_tradeoff(standby_loss_w_per_k(heater), _ROOM_C, price / into_water)


def best_of_each_kind(comparison: Comparison) -> tuple[Option, ...]:
    """Return the best-ranked option of each construction class, by rank."""
    seen: dict[tuple[str, str], Option] = {}
    for option in comparison.ranked:
        seen.setdefault((option.heater.heater_class, option.heater.energy_source), option)
    return tuple(seen.values())


def cost_over_years(comparison: Comparison, options: Sequence[Option]) -> tuple[CostYears, ...]:
    """Return how the money spent on options grows over the years of the study.

    Parameters
    ----------
    comparison : Comparison
        The answer.
    options : sequence of Option
        Options with a known cost.

    Returns
    -------
    tuple of CostYears
        In the order of the options; all are drawn in the same 500 futures.
    """
    job = comparison.job
    basis = cost_basis(job)
    drawn = [uncertain(basis, o.heater, o.cost) for o in options if o.cost is not None]
    if not drawn:
        return ()
    uniform = draw(_N_FUTURES, job.preferences.seed)
    future = futures_of(uniform, basis.terms, Ranges())
    by_year = []
    for years in range(job.preferences.study_years + 1):
        spent = money_spent(drawn, years, future)
        by_year.append(np.quantile(spent, (0.1, 0.5, 0.9), axis=0))
    spread = np.array(by_year)
    return tuple(
        CostYears(
            option_id=one.id,
            p10=tuple(spread[:, 0, k].tolist()),
            p50=tuple(spread[:, 1, k].tolist()),
            p90=tuple(spread[:, 2, k].tolist()),
        )
        for k, one in enumerate(drawn)
    )


def prices_that_turn_it(comparison: Comparison) -> PriceMap | None:
    """Return which kind costs least to own at each pair of prices of electricity and fuel.

    Parameters
    ----------
    comparison : Comparison
        The answer.

    Returns
    -------
    PriceMap or None
        From no price to two and a half times today's; None where no fuel competes.
    """
    basis = cost_basis(comparison.job)
    options = [(o.id, o.cost) for o in best_of_each_kind(comparison) if o.cost is not None]
    today = prices_today(basis, [cost for _, cost in options])
    fuel = next((source for source in _FUELS if source in today), None)
    if fuel is None or EnergySource.ELECTRICITY not in today:
        return None
    return price_map(price_lines(basis, options), today, up=fuel, steps=_STEPS)
