"""How long the cost stage takes: python tests/benchmarks/bench_cost.py

Each case is run once to warm up and then five times; the best time is shown, in milliseconds.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from heatersel.cost.bill import Use, heater_bill
from heatersel.cost.life_cycle import Ownership, StudyTerms
from heatersel.cost.sensitivity import shares_of_variance
from heatersel.cost.tariff import tariff_of
from heatersel.cost.uncertainty import CostCurve, Uncertain, bands
from heatersel.heaters.heater import EnergySource, HeaterClass
from heatersel.job.prices import Prices

N_OPTIONS = 60
REPEATS = 5


def options() -> list[Uncertain]:
    """Return sixty options of all classes, half of them on gas."""
    rng = np.random.default_rng(1)
    made = []
    for k in range(N_OPTIONS):
        source = EnergySource.NATURAL_GAS if k % 2 else EnergySource.ELECTRICITY
        installed, energy = (float(rng.uniform(*ends)) for ends in ((1500, 5000), (150, 700)))
        made.append(
            Uncertain(
                id=f"option {k}",
                heater_class=tuple(HeaterClass)[k % len(HeaterClass)],
                ownership=Ownership(
                    installed=installed, replacement=1800.0,
                    life_years=13.0, energy_per_year={source: energy},
                ),
                price=CostCurve.straight(installed),
                curves={source: CostCurve.straight(energy)},
                shortfall_frac=0.1,
            )
        )  # fmt: skip
    return made


def draws_of_all_options() -> Callable[[], object]:
    """2,000 futures of sixty options; the aim is below 500 ms."""
    drawn, terms = options(), StudyTerms()
    return lambda: bands(drawn, terms)


def variance_shares_of_two_options() -> Callable[[], object]:
    """Shares of variance of the lead of one option over another."""
    drawn, terms = options(), StudyTerms()
    return lambda: shares_of_variance(drawn[0], drawn[1], terms)


def hourly_bill_at_the_margin() -> Callable[[], object]:
    """A year of hourly bills by time of use, with and without the heater."""
    tables = Prices.model_validate({"electricity": {"tariff": "ontario-2025"}}).electricity
    assert isinstance(tables, tuple)
    tariff = tariff_of(tables[0], EnergySource.ELECTRICITY)
    hourly = np.random.default_rng(1).exponential(0.4, 8760)
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    month = np.repeat(np.arange(12), days * 24)
    heater = Use(monthly_kwh=np.bincount(month, hourly), hourly_kwh=hourly)
    other = Use(monthly_kwh=np.full(12, 800.0))
    return lambda: heater_bill(tariff, heater, other, 2027)


CASES = (draws_of_all_options, variance_shares_of_two_options, hourly_bill_at_the_margin)


def best_ms(case: Callable[[], Callable[[], object]]) -> float:
    """Return the best time of a case. [ms]"""
    run = case()
    run()
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return 1000.0 * min(times)


if __name__ == "__main__":
    for case in CASES:
        print(f"{case.__name__:34} {best_ms(case):8.1f} ms")
