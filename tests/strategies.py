"""Hypothesis strategies: whole valid jobs, as the tables of a file and as the model.

Every key of the models is filled by its type and limits, so that a new field is covered without
a change here. Only what a cross-check of the models asks for stands below by name.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import strategies as st

from heatersel.climate import climates
from heatersel.errors import JobError
from heatersel.job import money
from heatersel.job.keys import Key, keys_of
from heatersel.job.load import parse_job
from heatersel.job.models import Fixture, FixtureCounts, Household, InletReadings, Job, Place
from heatersel.job.prices import Prices, currency_of
from heatersel.job.quantities import Quantity
from heatersel.job.table import InputTable
from heatersel.units import convert, dimension

__all__ = ["jobs", "plain_numbers", "quantities", "tables"]

_TRADE_UNITS = (
    "degF", "degC", "ft", "inch", "m", "mm", "gal", "L", "ft3", "m3", "gal/min", "L/min", "Btu/h",
    "MBH", "kW", "W", "psi", "kPa", "inWC", "gpg", "mg/L", "ft2", "m2", "in2", "cm2", "A", "g",
    "kWh", "therm", "1/h", "min", "h",
)  # fmt: skip
_FUELS = ("natural_gas", "propane", "fuel_oil", "electricity")
_PLAIN = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1, max_size=40)


def plain_numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers as people write them, with few digits, and as doubles."""
    short = st.integers(1, 6).flatmap(
        lambda digits: st.floats(low, high).map(lambda x: float(f"{x:.{digits}g}"))
    )
    return st.one_of(short, st.floats(low, high)).filter(lambda x: low <= x <= high)


@st.composite
def quantities(draw: st.DrawFn, kind: Quantity) -> str:
    """Text of a quantity within its limits, in any unit of the trade."""
    alike = [unit for unit in _TRADE_UNITS if dimension(unit) == dimension(kind.unit)]
    unit = draw(st.sampled_from([kind.unit, kind.example_unit, *alike]))
    ends = sorted(convert(end, kind.unit, unit) for end in (kind.low, kind.high))
    return f"{draw(plain_numbers(*ends))!r} {unit}"


@st.composite
def _prices(draw: st.DrawFn, low: float, high: float, units: tuple[str, ...]) -> str:
    return f"{draw(plain_numbers(low, high))!r} {draw(st.sampled_from(units))}"


def _money(currency: str) -> dict[Any, st.SearchStrategy[Any]]:
    """Strategies for each kind of money, by what reads it."""
    by_type = {
        money.EnergyPrice: _prices(0.0, 3.0, (f"{currency}/kWh", f"{currency}/therm",
                                             f"{currency}/gal", f"{currency}/L")),
        money.StandingCharge: _prices(0.0, 90.0, (f"{currency}/month", f"{currency}/day")),
        money.MoneyAmount: _prices(0.0, 9000.0, (currency,)),
        money.FuelAmountType: _prices(0.0, 900.0, ("kWh/month", "therm/month", "kWh/day", "gal",
                                                  "m3")),
        money.HeatContent: _prices(900.0, 1200.0, ("Btu/ft3",)),
        money.Share: _prices(1.0, 100.0, ("%",)),
    }  # fmt: skip
    return {kind.__metadata__[0]: strategy for kind, strategy in by_type.items()}


def _value(key: Key, currency: str) -> st.SearchStrategy[Any] | None:
    """Values of one key; None for one that stays out."""
    strategy: st.SearchStrategy[Any] | None = None
    if isinstance(key.reader, Quantity):
        strategy = quantities(key.reader)
    elif key.reader is not None:
        strategy = _money(currency).get(key.reader)
    elif key.choices:
        strategy = st.sampled_from([str(choice) for choice in key.choices])
    elif key.kind is bool:
        strategy = st.booleans()
    elif key.kind is int:
        strategy = st.integers(int(key.low or 0), int(key.high or 0))
    elif key.kind is float and key.low is not None and key.high is not None:
        strategy = plain_numbers(key.low, key.high)
    elif key.kind is dt.date:
        strategy = st.dates(dt.date(2020, 1, 1), dt.date(2040, 12, 31))
    elif key.kind is str:
        strategy = _PLAIN
    if strategy is not None and key.is_list:
        return st.lists(strategy, min_size=1, max_size=3, unique=True)
    return strategy


_SPECIAL: dict[str, st.SearchStrategy[Any]] = {
    "methane_horizon": st.sampled_from([20, 100]),
    "uef": plain_numbers(0.3, 4.5),
}
"""Keys that allow less than their type says."""


def _table(
    model: type[InputTable], currency: str = "USD", **own: st.SearchStrategy[Any] | None
) -> st.SearchStrategy[dict[str, Any]]:
    """Any subset of the keys of a table that is valid key by key; `own` replaces or drops keys."""
    needed: dict[str, st.SearchStrategy[Any]] = {}
    optional: dict[str, st.SearchStrategy[Any]] = {}
    for key in keys_of(model):
        if key.name in own | _SPECIAL:
            strategy = (_SPECIAL | own)[key.name]
        elif key.table is not None:
            strategy = None if key.is_list else _table(key.table, currency)
        else:
            strategy = _value(key, currency)
        if strategy is not None:
            (needed if key.required else optional)[key.name] = strategy
    return st.fixed_dictionaries(needed, optional=optional)


@st.composite
def _household(draw: st.DrawFn, fuels: list[str]) -> dict[str, Any]:
    fixtures = draw(_table(FixtureCounts))
    installed = FixtureCounts.model_validate(fixtures)
    counts = {fixture.value: installed.of(fixture) for fixture in Fixture}
    running = {name: st.integers(0, count) for name, count in counts.items()}
    uses = {name: st.integers(0, 60 if count else 0) for name, count in counts.items()}
    people = st.one_of(
        st.integers(1, 12),
        st.fixed_dictionaries(
            {"adults": st.integers(1, 6)},
            optional={"teenagers": st.integers(0, 4), "children": st.integers(0, 5)},
        ),
    )
    use = plain_numbers(30.0, 43.0).map(lambda temp_c: f"{temp_c!r} degC")
    household = draw(
        _table(
            Household, occupants=people, use_temperature=use, fixtures=st.just(fixtures),
            simultaneous=st.fixed_dictionaries({}, optional=running),
            peak_hour=st.fixed_dictionaries({}, optional=uses), bills=_bills(fuels),
        )
    )  # fmt: skip
    # Left out, the installed counts are the assumed ones, and the uses might not fit them.
    return household | {"fixtures": fixtures}


@st.composite
def _bills(draw: st.DrawFn, fuels: list[str]) -> dict[str, Any]:
    fuel = draw(st.sampled_from(fuels))
    unit = "kWh" if fuel == "electricity" else draw(st.sampled_from(["therm", "gal", "m3"]))
    amounts = st.lists(st.integers(1, 900), min_size=12, max_size=12)
    months = [f"{amount} {unit}" for amount in draw(amounts)]
    return {"fuel": fuel, "monthly": months, "heats_water": draw(st.booleans())}


@st.composite
def _tariff(draw: st.DrawFn, currency: str, price: st.SearchStrategy[Any]) -> dict[str, Any]:
    tariff = {
        "name": draw(_PLAIN),
        "fixed": f"{draw(plain_numbers(0.0, 60.0))!r} {currency}/month",
    }
    by_hours = [
        {"season": "may to october", "price": draw(price)},
        {"season": "11-01 to 04-30", "days": "weekdays", "hours": "7-11", "price": draw(price)},
        {"season": "11-01 to 04-30", "days": "weekdays", "hours": "11-7", "price": draw(price)},
        {"season": "11-01 to 04-30", "days": "weekends", "price": draw(price)},
    ]
    in_blocks = [
        {
            "blocks": [
                {"up_to": "600 kWh/month", "price": draw(price)},
                {"price": draw(price)},
            ]
        }
    ]
    return tariff | {"energy": draw(st.sampled_from([by_hours, in_blocks]))}


@st.composite
def _price_table(draw: st.DrawFn, currency: str) -> dict[str, Any]:
    of_fuel = _money(currency)[money.EnergyPrice.__metadata__[0]]
    of_power = _prices(0.0, 3.0, (f"{currency}/kWh", f"{currency}/therm"))  # never by volume
    either = {
        fuel: st.one_of(price, st.lists(_tariff(currency, price), min_size=1, max_size=2))
        for fuel in _FUELS
        for price in (of_power if fuel == "electricity" else of_fuel,)
    }
    use = st.one_of(st.just("650 kWh/month"), st.just(["40 therm/month"] * 12))
    first = draw(st.dates(dt.date(2026, 1, 1), dt.date(2027, 1, 1)))
    incentive = st.fixed_dictionaries(
        {
            "name": _PLAIN, "eligibility": _PLAIN, "first": st.just(first),
            "last": st.just(first + dt.timedelta(days=300)),
            "amount": _prices(1.0, 900.0, (currency,)),
        }
    )  # fmt: skip
    loan = st.fixed_dictionaries(
        {"rate": plain_numbers(0.0, 0.3), "years": st.integers(1, 20)},
        optional={"share": _prices(1.0, 100.0, ("%",))},
    )
    region = "ON" if currency == "CAD" else "MN"
    return draw(
        _table(
            Prices, currency, region=st.just(region), solar=None, finance=loan,
            **either,
            other_use=st.fixed_dictionaries({}, optional=dict.fromkeys(_FUELS, use)),
            incentive=st.lists(incentive, min_size=1, max_size=2),
        )
    )  # fmt: skip


@st.composite
def tables(draw: st.DrawFn) -> dict[str, Any]:
    """The tables of a valid job file."""
    currency = draw(st.sampled_from(["USD", "CAD"]))
    fuels = draw(st.lists(st.sampled_from(_FUELS), min_size=1, max_size=4, unique=True))
    places = [found.place for found in climates()]
    here = st.sampled_from([p for p in places if currency_of(p.rpartition(", ")[2]) == currency])
    readings = _table(InletReadings).filter(bool)
    found: dict[str, Any] = draw(
        _table(
            Job, household=_household(fuels), place=_table(Place, climate=here, inlet=readings),
            prices=_price_table(currency),
        )
    )  # fmt: skip
    if "existing" in found:
        source = found["existing"]["energy_source"] = draw(st.sampled_from(fuels))
        bills = found["household"].get("bills", {})
        if bills.get("fuel", source) != source:
            bills["heats_water"] = False
    home = found.get("home", {})
    pipe = home.get("gas_pipe", {})
    if pipe.get("size", "").startswith("EHD"):
        pipe["material"] = "csst"
    return found | {"home": home | {"fuels": fuels}}


def _valid(found: dict[str, Any]) -> bool:
    try:
        parse_job(found)
    except JobError:
        return False
    return True


def jobs() -> st.SearchStrategy[Job]:
    """Valid jobs."""
    return tables().filter(_valid).map(parse_job)
