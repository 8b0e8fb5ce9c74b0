"""The public functions: what each face asks for, put together from the one chain.

household -> demand -> sizing -> year -> cost -> cautions -> recommendation. All are pure: the
same job, heaters and settings give the same answer on every machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from heatersel.cautions.site_sheet import SiteSheet
from heatersel.cautions.site_sheet import site_sheet as sheet_of
from heatersel.chain import (
    House,
    Method,
    Watch,
    YearsOf,
    by_storage,
    house_of,
    house_year,
    option_in,
    provenance_of,
    years_of,
)
from heatersel.comparison import Comparison, Option
from heatersel.cost.drawn import with_bands
from heatersel.cost.report import CostReport, Priced, cost_report, like_for_like
from heatersel.demand.report import DemandReport, demand_report
from heatersel.errors import Fault
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.heaters.in_use import heater_behind_bills
from heatersel.job.models import Job
from heatersel.recommend import exclusions, rank_options, recommend
from heatersel.sized_job import SizedHeater, SizedJob, size_existing, size_job

if TYPE_CHECKING:
    from heatersel.cost.shifting import Shift
    from heatersel.rating import RatedRow
    from heatersel.simulation.morning import Morning
    from heatersel.simulation.result import AnnualResult

__all__ = [
    "N_YEARS",
    "Method",
    "SizedHeater",
    "SizedJob",
    "Watch",
    "compare",
    "cost_of_job",
    "demand_of_job",
    "first_look",
    "morning",
    "rate",
    "shift_of_job",
    "site_of_job",
    "size",
]

N_YEARS = 8
"""Seeded years of draws behind a comparison."""


def size(job: Job, heaters: HeaterList | None = None) -> SizedJob:
    """Return what a household needs and the verdict on each heater of a list.

    Parameters and errors are those of :func:`heatersel.sized_job.size_job`.
    """
    return size_job(job, heaters)


def demand_of_job(job: Job) -> DemandReport:
    """Return everything there is to show of a household's demand.

    Parameters and errors are those of :func:`heatersel.demand.report.demand_report`.
    """
    return demand_report(job, heater=heater_behind_bills(job, load_heaters().heaters))


def compare(
    job: Job,
    heaters: HeaterList | None = None,
    *,
    method: Method = Method.SIMULATION,
    n_years: int = N_YEARS,
    watch: Watch | None = None,
    years: YearsOf | None = None,
) -> Comparison:
    """Return every option of a list for one job, ranked, with everything behind the ranking.

    Parameters
    ----------
    job : Job
        Household, house, place, prices and preferences.
    heaters : HeaterList, optional
        The list to choose from; the generic list if not given.
    method : Method
        How the year of energy is found.
    n_years : int
        Seeded years of draws behind the simulation, 1 or more.
    watch : callable, optional
        Told after every few heaters how many are done, of how many; what it raises ends the work.
    years : callable, optional
        Gives the years of energy in place of `method`, from the house and its heaters.

    Returns
    -------
    Comparison
        Options that cannot or should not stand in this house are there, with the reason.

    Raises
    ------
    InputError
        If the job contradicts itself in a way that only shows here, such as a setpoint below
        the warmest inlet.
    """
    worked = _work_out(size_job(job, heaters), method, n_years, watch, years)
    return _compared(worked, method, n_years)


def first_look(
    job: Job, heaters: HeaterList | None = None, *, keep: Sequence[str] = ()
) -> Comparison:
    """Return a comparison of the likeliest heaters over one year of draws, for an answer at once.

    Parameters
    ----------
    job, heaters
        As for :func:`compare`.
    keep : sequence of str
        Ids of heaters that take part in any case.

    Returns
    -------
    Comparison
        Of each kind the smallest heater that is large enough (the largest if none is), and those
        that are kept. Energy is within about 2 % of :func:`compare`; days with a short supply,
        being few, may be twice or half of it, and a heater that is not looked at may do better.

    Raises
    ------
    InputError
        As for :func:`compare`.
    """
    sized = size_job(job, heaters)
    likely = replace(sized, options=_likeliest(sized, keep))
    return _compared(_work_out(likely, Method.SIMULATION, 1), Method.SIMULATION, 1)


def _likeliest(sized: SizedJob, keep: Sequence[str]) -> tuple[SizedHeater, ...]:
    """Return of each kind the smallest heater that is large enough, and those to keep."""
    kinds: dict[tuple[str, str], list[SizedHeater]] = {}
    for option in sized.options:
        heater = option.heater
        if heater.energy_source in sized.job.fuels:
            kinds.setdefault((heater.heater_class, heater.energy_source), []).append(option)
    chosen = {
        min(alike, key=lambda o: (o.sizing.margin_frac < 0.0, abs(o.sizing.margin_frac))).heater.id
        for alike in kinds.values()
    }
    return tuple(o for o in sized.options if o.heater.id in chosen or o.heater.id in keep)


def _compared(worked: _Worked, method: Method, n_years: int) -> Comparison:
    """Return the comparison of options that are worked out."""
    options = rank_options(_with_bands(worked.house, worked.options))
    return Comparison(
        job=worked.house.sized.job,
        inlet=worked.house.sized.inlet,
        demand=worked.house.sized.demand,
        options=options,
        existing=worked.existing,
        recommendation=recommend([option for option in options if option.rank is not None]),
        rejected=worked.faults,
        provenance={
            **provenance_of(worked.house),
            "method": method.value,
            "n_years": n_years if method is Method.SIMULATION else 0,
        },
    )


def cost_of_job(
    job: Job,
    heaters: HeaterList | None = None,
    *,
    method: Method = Method.SIMULATION,
    n_years: int = N_YEARS,
) -> CostReport:
    """Return the cost of the options that compete: bills, ledger, bands, break-even prices.

    Parameters
    ----------
    job, heaters, method, n_years
        As for :func:`compare`.

    Returns
    -------
    CostReport
        The cheapest to own first; savings against replacing like for like.
    """
    worked = _work_out(size_job(job, heaters), method, n_years)
    competing = [
        Priced(
            heater=option.heater,
            cost=option.cost,
            energy_kwh=option.annual.energy_kwh,
            space_kwh=option.annual.space_energy_kwh,
        )
        for option in worked.options
        if not option.excluded_because
    ]
    existing = worked.existing
    return cost_report(
        worked.house.basis,
        competing,
        baseline_id=like_for_like(competing, existing.heater if existing else None),
        emissions=worked.house.emissions,
        seed=job.preferences.seed,
    )


def shift_of_job(
    job: Job, heater: Heater, *, n_years: int = N_YEARS, most_runs: int = 30
) -> Shift | None:
    """Return the heating schedule that saves most by the hours of a plan or of the roof.

    Parameters
    ----------
    job : Job
        Household, house, place, prices and preferences.
    heater : Heater
        The option.
    n_years : int
        Seeded years of draws behind the risk of running short.
    most_runs : int
        Simulations at most.

    Returns
    -------
    Shift or None
        None without electric storage, with neither a plan by the hour nor own solar surplus, and
        for a store that is hotter already than any that is tried. Where today's plan has no
        hours, of the others by the hour the one with the lowest bill is tried, and set against
        today's. The store is tried hotter only behind a tempering valve.

    Raises
    ------
    InputError
        As for :func:`compare`, or if no tank gives the heater's label.
    """
    electricity = EnergySource.ELECTRICITY
    if heater.is_tankless or heater.energy_source is not electricity:
        return None
    house = house_of(size_job(job, HeaterList(heaters=(heater,)))).for_heater(heater)
    basis = house.basis
    today = basis.tariffs.get(electricity)
    plans = [plan for plan in basis.plans.get(electricity, ()) if plan.by_hour]
    if today is not None and (today.by_hour or basis.solar is not None):
        plans = [today]
    if today is None or not plans:
        return None
    from heatersel.cost.shifting import (
        HOTTEST_C,
        HOTTEST_LIFT_C,
        HeatingSchedule,
        cheapest_plan,
        shift_heating,
    )
    from heatersel.simulation.annual import simulate_schedule

    year = house_year(house, n_years)
    if year.setpoint_c > HOTTEST_C:
        return None

    def simulate(schedule: HeatingSchedule) -> AnnualResult:
        return simulate_schedule(
            heater, year, setpoint_c=schedule.setpoint_c, blocked=schedule.blocked
        )

    free = HeatingSchedule(setpoint_c=year.setpoint_c, blocked=np.zeros(8760, dtype=bool))
    plan, other = plans[0], basis.other_use[electricity]
    if len(plans) > 1:
        plan = cheapest_plan(plans, simulate(free), other, basis.bill_year)
    hottest_c = HOTTEST_LIFT_C if heater.refrigerant else HOTTEST_C
    return shift_heating(
        simulate, plan, other, bill_year=basis.bill_year, today=today,
        setpoint_c=year.setpoint_c, solar=basis.solar, most_runs=most_runs,
        hottest_c=max(hottest_c, year.setpoint_c) if year.tempering_valve_c is not None else None,
    )  # fmt: skip


def site_of_job(job: Job, heaters: HeaterList | None = None) -> SiteSheet:
    """Return what is still to be measured in this house, in walking order.

    Parameters
    ----------
    job, heaters
        As for :func:`compare`.

    Returns
    -------
    SiteSheet
        Each question once, with why it matters and for which options.
    """
    options = _work_out(size_job(job, heaters), Method.BALANCE, 0).options
    return sheet_of(job, [(option.heater, option.to_measure) for option in options])


def rate(heaters: HeaterList | None = None, heater_id: str | None = None) -> tuple[RatedRow, ...]:
    """Return labels beside the simulated federal rating tests.

    Parameters
    ----------
    heaters : HeaterList, optional
        The list; the generic one if not given.
    heater_id : str, optional
        One heater of it; all if not given.

    Returns
    -------
    tuple of RatedRow
        In the order of the list.

    Raises
    ------
    UnknownChoiceError
        If the list has no heater with that id.
    """
    from heatersel.rating import rate_list

    listed = (heaters or load_heaters()).heaters
    return rate_list(listed if heater_id is None else [heater_by_id(listed, heater_id)])


def morning(job: Job, heaters: Sequence[Heater]) -> tuple[Morning, ...]:
    """Return a busy January morning in this house, minute by minute, with each heater.

    Parameters
    ----------
    job : Job
        Household, house, place and preferences.
    heaters : sequence of Heater
        Those to lay side by side, as the options of a comparison carry them.

    Returns
    -------
    tuple of Morning
        Temperature at each running fixture, charge of the store, input of the heater; in the
        order of the heaters.

    Raises
    ------
    InputError
        As for :func:`compare`.
    """
    from heatersel.simulation.morning import mornings

    sized = size_job(job, HeaterList(heaters=tuple(heaters)))
    found = {
        morning.heater_id: morning
        for house, alike in by_storage(house_of(sized), heaters)
        for morning in mornings(alike, house_year(house, 1))
    }
    return tuple(found[heater.id] for heater in heaters)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Worked:
    """Every option of a job worked out, before they are ranked."""

    house: House
    options: list[Option]
    existing: Option | None
    faults: tuple[Fault, ...]


def _work_out(
    in_size: SizedJob,
    method: Method,
    n_years: int,
    watch: Watch | None = None,
    years_from: YearsOf | None = None,
) -> _Worked:
    """Return every option with the reasons that keep it out, and what stands there now."""
    house = house_of(in_size)
    sized = [s for s in house.sized.options if s.heater.energy_source in house.basis.tariffs]
    existing = size_existing(house.sized)
    present = [existing] if existing else []
    wanted = [s.heater for s in (*sized, *present)]
    if years_from is None:
        years = years_of(house, wanted, method, n_years, watch)
    else:
        years = years_from(house, wanted)
    options = [option_in(house, s, years) for s in sized if s.heater.id in years.annual]
    known = existing is not None and existing.heater.id in years.annual
    return _Worked(
        house=house,
        options=[replace(o, excluded_because=exclusions(o, in_size.job.fuels)) for o in options],
        existing=option_in(house, existing, years) if existing is not None and known else None,
        faults=(*house.sized.rejected, *_unpriced(house), *years.faults),
    )


def _with_bands(house: House, options: list[Option]) -> list[Option]:
    """Return the options with the spread of what the competing ones cost to own."""
    competing = [(option.heater, option.cost) for option in options if not option.excluded_because]
    banded = with_bands(house.basis, competing, seed=house.sized.job.preferences.seed)
    costs = {heater.id: cost for (heater, _), cost in zip(competing, banded, strict=True)}
    return [replace(option, cost=costs.get(option.id, option.cost)) for option in options]


def _unpriced(house: House) -> tuple[Fault, ...]:
    """Return a fault for each energy source whose heaters are left out for want of a price."""
    wanted = {sized_heater.heater.energy_source for sized_heater in house.sized.options}
    return tuple(
        Fault(
            name=f"prices.{source.value}",
            value="missing",
            allowed=f"a price in {house.basis.currency}",
            fix="give it, and its heaters take part",
        )
        for source in EnergySource
        if source in wanted and source not in house.basis.tariffs
    )
