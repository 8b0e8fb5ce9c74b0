"""Heat pumps and tankless heaters: python tests/benchmarks/bench_heat_pump_and_tankless.py

Each case is run once to warm up and then several times; the best time is shown, in milliseconds,
beside its aim.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from heatersel.climate import climate
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_years
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import parse_job
from heatersel.job.models import HeaterLocation
from heatersel.simulation import tankless_kernel as k
from heatersel.simulation.around import around
from heatersel.simulation.heat_pump import daily_tables, read_table
from heatersel.simulation.heat_pump_air import settle
from heatersel.simulation.pieces import cut_years
from heatersel.simulation.room import room_for
from heatersel.simulation.tankless import TanklessSite, efficiency, simulate_tankless
from heatersel.simulation.tankless_rating import rate_all, rate_tankless, unit_row

REPEATS = 15
LEAST_S = 1.0
HEATERS = {heater.id: heater for heater in load_heaters().heaters}
TANKLESS = [heater for heater in HEATERS.values() if heater.is_tankless]
JOB = parse_job({"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}})
NEAR = around(climate("Duluth, MN").monthly_air_c)
YEARS = list(draw_years(plan_draws(JOB.household), 1, 8))
SITE = TanklessSite(
    inlet_c=np.full(365, 8.0), room_c=np.full(365, 15.0), setpoint_c=49.0, use_temp_c=40.6
)


def four_tables() -> Callable[[], object]:
    """Reading the tables of all refrigerants."""

    def read() -> None:
        read_table.cache_clear()
        for refrigerant in ("R134a", "R513A", "R290", "R744"):
            read_table(refrigerant)

    return read


def year_of_heat_pump_tables() -> Callable[[], object]:
    """A year of COP and heat by day."""
    air_c, rel = np.linspace(5.0, 25.0, 365), np.full(365, 0.5)
    return lambda: daily_tables(HEATERS["heat-pump-50"], air_c, rel)


def heat_pump_settled_in_a_basement() -> Callable[[], object]:
    """Room and heat pump settled for a year, on top of the tank's own year."""
    room = room_for(HeaterLocation.BASEMENT)
    heat, lost = np.full(365, 9.0), np.full(365, 1.0)
    return lambda: settle(
        HEATERS["heat-pump-50"], room, NEAR, heat_kwh=heat, lost_kwh=lost, setpoint_c=50.0
    )


def tankless_year() -> Callable[[], object]:
    """One heater, one year of a household of four, one core."""
    heater = HEATERS["gas-tankless-180"]
    draws = cut_years(YEARS[:1])
    units = np.array([unit_row(heater, rate_tankless(heater).stored_kj_per_k)])
    weather = k.Weather(
        month=np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]),
        inlet_c=SITE.inlet_c,
        room_c=SITE.room_c[None, :],
        setpoint_c=np.full((1, 365), 49.0),
        efficiency=efficiency(heater, SITE.inlet_c, 49.0)[None, :],
        use_c=40.6,
    )
    pair = np.zeros((1, 2), dtype=np.int64)

    def run() -> None:
        k.run_tankless(units, pair, *draws, weather, np.zeros((1, 12, k.N_TOTALS)),
                       np.zeros((1, 365, 2)), np.zeros((1, 8760)))  # fmt: skip

    return run


def rating_of_all_tankless() -> Callable[[], object]:
    """Parameters of the whole list from its ratings."""
    rows = tuple(TANKLESS)

    def rate() -> None:
        rate_all.cache_clear()
        rate_all(rows)

    return rate


def all_tankless_eight_years() -> Callable[[], object]:
    """The whole list over eight years, all cores, cutting of draws included."""
    return lambda: simulate_tankless(TANKLESS, YEARS, SITE)


CASES = (
    (four_tables, 20.0),
    (year_of_heat_pump_tables, 1.0),
    (heat_pump_settled_in_a_basement, 1.5),
    (tankless_year, 3.0),
    (rating_of_all_tankless, 10.0),
    (all_tankless_eight_years, 500.0),
)


def best_ms(case: Callable[[], object]) -> float:
    case()
    best, spent, done = float("inf"), 0.0, 0
    while done < REPEATS or spent < LEAST_S:  # short cases need many tries beside other work
        start = time.perf_counter()
        case()
        took = time.perf_counter() - start
        best, spent, done = min(best, took), spent + took, done + 1
    return 1000.0 * best


if __name__ == "__main__":
    for make, aim_ms in CASES:
        print(f"{make.__name__:34} {best_ms(make()):9.2f} ms   aim {aim_ms:g} ms")
