"""How an option behaves once it hangs on the wall: waits, what runs together, upkeep, the house.

These are the things that a household lives with beside the yearly figures. Nothing here moves the
ranking: energy of a loop and of the house's heating stand in the year itself, and descaling in
the upkeep that the cost counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from heatersel.chain import loop_in_service
from heatersel.climate import climate
from heatersel.comparison import Comparison, Option, tankless_dict
from heatersel.cost.installed import descaling_price
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_years
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.models import Fixture
from heatersel.job.services import HotPipe, LoopPump
from heatersel.simulation.distribution import (
    LoopYear,
    PipeYear,
    pipe_year,
    run_of,
    wait_s,
)
from heatersel.simulation.hard_water import descaling_months
from heatersel.simulation.house_air import house_air
from heatersel.simulation.together import Together, in_words, run_together
from heatersel.sized_job import altitude_derate

if TYPE_CHECKING:
    from heatersel.simulation.tankless import TanklessYears

__all__ = ["Descaling", "InService", "PipeInService", "in_service"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Descaling:
    """Scale in a tankless heater.

    Parameters
    ----------
    interval_months : float
        Time between two services. [month]
    per_year : float
        What they cost a year, of an invented price each, in the job's currency.
    """

    interval_months: float
    per_year: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeInService:
    """The pipe to the farthest fixture, and a year of it.

    Parameters
    ----------
    length_m, volume_l : float
        The run and the water in it. [m], [L]
    full_wait_s : float
        Time until a shower runs hot through a cold pipe, without the heater's own start. [s]
    year : PipeYear
        Waiting, waste and loss over the year.
    """

    length_m: float
    volume_l: float
    full_wait_s: float
    year: PipeYear


@dataclass(frozen=True, slots=True, kw_only=True)
class InService:
    """How one option behaves in daily use.

    Parameters
    ----------
    option_id : str
        The option.
    tankless : TanklessYears or None
        Waits, cold slugs, draws too small to fire, of a simulated tankless heater.
    together : tuple of Together
        What runs at once in each month; empty for a tank.
    together_in_words : str
        The best and the worst month as a sentence's middle; empty for a tank.
    descaling : Descaling or None
        Of a tankless heater where the hardness is known.
    pipe : PipeInService or None
        Where the job describes the pipe.
    loop : LoopYear or None
        Where it has a pump.
    condensate_l : float
        Water that a heat pump's coil condenses in a year. [L]
    room_c, room_alone_c : tuple of 12 float
        Air around the heater with it at work and without, by month; empty for a year in closed
        form. [°C]
    house_heat_kwh : float
        Heat that the heated house gains (positive) or loses in the heating season. [kWh]
    house_energy_kwh : mapping of EnergySource to float
        Energy of heating and cooling on its account. [kWh]
    house_per_year : float
        What that costs (positive) or saves a year, in the job's currency.
    notes : tuple of str
        What else is to be known of its year.
    """

    option_id: str
    tankless: TanklessYears | None
    together: tuple[Together, ...]
    together_in_words: str
    descaling: Descaling | None
    pipe: PipeInService | None
    loop: LoopYear | None
    condensate_l: float
    room_c: tuple[float, ...]
    room_alone_c: tuple[float, ...]
    house_heat_kwh: float
    house_energy_kwh: Mapping[EnergySource, float]
    house_per_year: float
    notes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain fields, SI units; null where it does not apply or is not known."""
        return {
            "tankless": None if self.tankless is None else tankless_dict(self.tankless),
            "together": [
                {
                    "month": one.month + 1,
                    "hot_flow_l_per_min": one.hot_flow_l_per_min,
                    "fixtures": {f.value: number for f, number in one.fixtures.items()},
                    "spare_l_per_min": one.spare_l_per_min,
                }
                for one in self.together
            ],
            "together_in_words": self.together_in_words,
            "descaling": None if self.descaling is None else asdict(self.descaling),
            "pipe": None if self.pipe is None else asdict(self.pipe),
            "loop": None if self.loop is None else asdict(self.loop),
            "condensate_l": self.condensate_l,
            "room_c": list(self.room_c),
            "room_alone_c": list(self.room_alone_c),
            "house_heat_kwh": self.house_heat_kwh,
            "house_energy_kwh": {str(s): kwh for s, kwh in self.house_energy_kwh.items()},
            "house_per_year": self.house_per_year,
            "notes": list(self.notes),
        }


def in_service(comparison: Comparison, option: Option) -> InService:
    """Return how an option behaves in daily use.

    Parameters
    ----------
    comparison : Comparison
        The finished comparison.
    option : Option
        One of its options, or the heater that stands there now.

    Returns
    -------
    InService

    Raises
    ------
    UnknownChoiceError
        If no table has a pipe of the job's material and size.

    Notes
    -----
    The pipe's year is that of the first seeded year of draws. Under a timer the draws outside its
    hours are taken as the like share of all.
    """
    job, annual = comparison.job, option.annual
    here = climate(job.place.climate)
    alone_c = house_air(job.home, here.monthly_air_c).air.mean_c
    together = _together(comparison, option, alone_c) if option.heater.is_tankless else ()
    around = annual.room_monthly_c
    return InService(
        option_id=option.id,
        tankless=option.tankless,
        together=together,
        together_in_words=in_words(together) if together else "",
        descaling=_descaling(comparison, option.heater),
        pipe=_pipe(comparison, job.home.hot_pipe, alone_c),
        loop=loop_in_service(job, option.setpoint_c, alone_c),
        condensate_l=annual.condensate_l,
        room_c=() if around is None else tuple(float(temp_c) for temp_c in around),
        room_alone_c=() if around is None else _monthly(alone_c),
        house_heat_kwh=annual.space_heating_effect_kwh,
        house_energy_kwh=annual.space_energy_kwh,
        house_per_year=float(sum(option.cost.space_per_year.values())),
        notes=annual.notes,
    )


def _together(comparison: Comparison, option: Option, room_c: Floats) -> tuple[Together, ...]:
    from heatersel.simulation.tankless import TanklessSite

    job, house = comparison.job, comparison.job.household
    panel = job.home.panel
    site = TanklessSite(
        inlet_c=comparison.inlet.daily_c,
        room_c=room_c,
        setpoint_c=job.preferences.setpoint_c,
        use_temp_c=house.use_temp_c,
        altitude_derate_frac=altitude_derate(job, climate(job.place.climate)),
        supply_v=float(panel.line_v) if panel is not None and panel.line_v else None,
    )
    return run_together(
        option.heater,
        comparison.inlet.monthly_c,
        setpoint_c=site.setpoint_c,
        use_temp_c=site.use_temp_c,
        installed={fixture: house.fixtures.of(fixture) for fixture in Fixture},
        flow_l_per_min={fixture: house.fixture_flow.of(fixture) for fixture in Fixture},
        input_frac=min(site.input_frac(option.heater), 1.0),
    )


def _descaling(comparison: Comparison, heater: Heater) -> Descaling | None:
    """Return the scale of one heater, or of several that share the water and are each served."""
    months = descaling_months(comparison.job, comparison.demand, heater)
    if months is None:
        return None
    price = descaling_price(str(comparison.provenance["currency"]))
    return Descaling(interval_months=months, per_year=heater.units * 12.0 / months * price)


def _pipe(comparison: Comparison, pipe: HotPipe | None, room_c: Floats) -> PipeInService | None:
    if pipe is None:
        return None
    job, run = comparison.job, run_of(pipe)
    plan = plan_draws(job.household, comparison.demand.volume_factor)
    year = pipe_year(
        run,
        next(iter(draw_years(plan, job.preferences.seed, 1))),
        hot_c=job.preferences.setpoint_c,
        use_temp_c=job.household.use_temp_c,
        room_c=room_c,
        kept_hot=pipe.loop_pump not in (None, LoopPump.TIMER),
    )
    if pipe.loop_pump is LoopPump.TIMER:
        year = _in_part(year, 1.0 - pipe.loop_hours_per_day / 24.0)
    shower = job.household.fixture_flow.of(Fixture.SHOWER)
    return PipeInService(
        length_m=run.length_m, volume_l=run.volume_l, full_wait_s=wait_s(run, shower), year=year
    )


def _in_part(year: PipeYear, share: float) -> PipeYear:
    """Return what a share of the draws of a year waits and wastes."""
    return replace(
        year,
        cold_starts=round(share * year.cold_starts),
        long_waits=round(share * year.long_waits),
        wasted_l=share * year.wasted_l,
        lost_kwh=share * year.lost_kwh,
    )


def _monthly(daily: Floats) -> tuple[float, ...]:
    from heatersel.simulation.year import MONTH_OF_DAY

    return tuple(float(daily[month == MONTH_OF_DAY].mean()) for month in range(12))
