"""What it costs to put an option in, how long it lasts and what its upkeep costs.

Prices come from the demo table, which is invented and marked so; a contractor's own price book
replaces it. Every line is named, so that a quote can show it, and the work that a fuel or vent
change or a caution brings along stands on its own line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from heatersel import reference, units
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind, VentType

__all__ = [
    "InstalledLine",
    "PresentHeater",
    "Upkeep",
    "descaling_price",
    "installed_cost",
    "maintenance_per_year",
    "replacement_cost",
    "total",
    "upkeep",
    "work_for_change",
]

_PLACES = {"USD": "us", "CAD": "canada"}
_GASES = (EnergySource.NATURAL_GAS, EnergySource.PROPANE)
_CONDENSES = (  # in the house; the coil of a split heat pump drips outdoors
    HeaterClass.CONDENSING_STORAGE, HeaterClass.TANKLESS_CONDENSING, HeaterClass.HEAT_PUMP_240V,
    HeaterClass.HEAT_PUMP_120V,
)  # fmt: skip
_ALWAYS = ("permit", "disposal")


@dataclass(frozen=True, slots=True, kw_only=True)
class InstalledLine:
    """One line of the price of an installation.

    Parameters
    ----------
    id : str
        "heater", "labour", "fittings" or the id of a piece of work; cautions name the same ids.
    text : str
        The line in a customer's words.
    amount : float
        Price, in the currency of the job.
    repeats : bool
        Whether it is paid again at each replacement.
    """

    id: str
    text: str
    amount: float
    repeats: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PresentHeater:
    """What is known of the heater that stands there now; what is not known adds no work.

    Parameters
    ----------
    kind : Kind or None
        Tank, heat pump or tankless.
    energy_source : EnergySource or None
        What it is fed with.
    vent_type : VentType or None
        How it is vented.
    vent_is_known : bool
        Whether somebody has said what vent the house has; the cautions then say if it serves.
    has_circuit_240v, has_outlet_120v : bool
        Whether a circuit or an outlet for an electric heater is known to be there. Whether it is
        the right one is for the cautions to say.
    """

    kind: Kind | None = None
    energy_source: EnergySource | None = None
    vent_type: VentType | None = None
    vent_is_known: bool = False
    has_circuit_240v: bool = False
    has_outlet_120v: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Upkeep:
    """Life and upkeep of a construction class.

    Parameters
    ----------
    life_years : float
        Mean life. [yr]
    life_shape : float
        Shape of the Weibull distribution of life, an assumption. [-]
    maintenance_per_year : float
        Upkeep of one heater, in the currency asked for.
    descalings_per_year : float
        Descalings that it holds. [1/yr]
    life_source : str
        Where the mean life comes from.
    """

    life_years: float
    life_shape: float
    maintenance_per_year: float
    descalings_per_year: float
    life_source: str


def installed_cost(
    heater: Heater,
    *,
    currency: str = "USD",
    present: PresentHeater | None = None,
    remedies: Iterable[str] = (),
    bathing_fixtures: int = 1,
) -> tuple[InstalledLine, ...]:
    """Return the lines that putting in `heater` costs.

    Parameters
    ----------
    heater : Heater
        The option.
    currency : str
        "USD" or "CAD".
    present : PresentHeater, optional
        What stands there now; without it nothing is known of it.
    remedies : iterable of str
        Work that cautions call for; an id that the table lacks brings no line.
    bathing_fixtures : int
        Showers and baths, each of which takes its own limiting valve.

    Returns
    -------
    tuple of InstalledLine
        Each piece of work on one line, without what other work includes; as often as the table
        says, for each heater in parallel or each bathing fixture.

    Raises
    ------
    UnknownChoiceError
        If the currency is neither USD nor CAD.

    Notes
    -----
    From the invented demo table: heater = base + by volume + by input.
    """
    row = _heater_rows(currency)[heater.heater_class]
    volume_gal = units.convert(heater.volume_l, "L", "gal")
    sized = row["by_volume"] * volume_gal + row["by_input"] * heater.input_kw
    each = heater.units
    lines = [
        InstalledLine(id=id_, text=text, amount=amount, repeats=True)
        for id_, text, amount in (
            ("heater", heater.name, each * row["equipment"] + sized),
            ("labour", "Take out and put in", each * row["labour"]),
            ("fittings", "Valves, connectors and vent pieces", each * row["fittings"]),
        )
    ]
    wanted = (*_ALWAYS, *work_for_change(heater, present or PresentHeater()), *remedies)
    known, includes, per = _work(currency)
    needless = {includes[work] for work in wanted if work in includes}
    counts = {"unit": each, "bathing fixture": bathing_fixtures}
    return (
        *lines,
        *(
            _times(counts.get(per[work], 1), known[work])
            for work in dict.fromkeys(wanted)
            if work in known and work not in needless
        ),
    )


def _times(count: int, line: InstalledLine) -> InstalledLine:
    """Return a line for several of the same piece of work."""
    if count <= 1:
        return line
    return replace(line, text=f"{count} x {line.text}", amount=count * line.amount)


def work_for_change(heater: Heater, present: PresentHeater) -> tuple[str, ...]:
    """Return the ids of the work that a change of fuel, kind or vent brings along."""
    work: list[str] = []
    source = present.energy_source
    switched = source not in (None, heater.energy_source)
    if switched and heater.energy_source in _GASES:
        work.append("new_gas_line")
    if switched and source in _GASES:
        work.append("cap_gas_line")
    if heater.heater_class is HeaterClass.TANKLESS_ELECTRIC:
        if switched or present.kind not in (None, Kind.TANKLESS):
            work.append("tankless_electric_circuits")
    elif switched and heater.heater_class is HeaterClass.HEAT_PUMP_120V:
        work += [] if present.has_outlet_120v else ["outlet_120v"]
    elif switched and heater.energy_source is EnergySource.ELECTRICITY:
        work += [] if present.has_circuit_240v else ["new_circuit_240v"]
    vented_anew = present.vent_type not in (None, heater.vent_type) or (
        switched and not present.vent_is_known
    )
    if heater.burns_fuel and vented_anew:
        work.append("new_vent")
    if heater.heater_class in _CONDENSES:
        work.append("condensate_drain")
    return tuple(work)


def total(lines: Iterable[InstalledLine]) -> float:
    """Return the sum of the lines."""
    return sum(line.amount for line in lines)


def replacement_cost(lines: Iterable[InstalledLine]) -> float:
    """Return the sum of the lines that are paid again at each replacement."""
    return sum(line.amount for line in lines if line.repeats)


@lru_cache(maxsize=32)
def upkeep(heater_class: HeaterClass, currency: str = "USD") -> Upkeep:
    """Return life and upkeep of a construction class, upkeep in `currency`."""
    place = _place(currency)
    rows = reference.records(
        "costs/upkeep",
        {"life": "year", "life_shape": "", "upkeep_us": "USD", "upkeep_canada": "CAD",
         "descalings": "1/year"},
    )  # fmt: skip
    row = next(row for row in rows if row["heater_class"] == heater_class)
    return Upkeep(
        life_years=row["life"], life_shape=row["life_shape"],
        maintenance_per_year=row[f"upkeep_{place}"], descalings_per_year=row["descalings"],
        life_source=row["life_source"],
    )  # fmt: skip


def maintenance_per_year(
    heater: Heater, currency: str = "USD", descaling_months: float | None = None
) -> float:
    """Return what the upkeep of an option costs a year.

    Parameters
    ----------
    heater : Heater
        The option; each of several in parallel is kept up.
    currency : str
        "USD" or "CAD".
    descaling_months : float or None
        Time between two descalings in this house's water, above 0; None where it is not known,
        and the table's usual number stands. [month]

    Returns
    -------
    float
        In that currency; prices of the table are invented.
    """
    keeping = upkeep(heater.heater_class, currency)
    each = keeping.maintenance_per_year
    if descaling_months is not None:
        more = 12.0 / descaling_months - keeping.descalings_per_year
        each += more * descaling_price(currency)
    return heater.units * each


@lru_cache(maxsize=2)
def descaling_price(currency: str = "USD") -> float:
    """Return the price of one descaling by a plumber, invented, in `currency`."""
    (row,) = reference.records("costs/descaling", {"us": "USD", "canada": "CAD"})
    price: float = row[_place(currency)]
    return price


def _place(currency: str) -> str:
    if currency not in _PLACES:
        raise UnknownChoiceError.of(
            "currency", value=currency, allowed="USD or CAD", fix="write prices in one of them"
        )
    return _PLACES[currency]


@lru_cache(maxsize=2)
def _heater_rows(currency: str) -> dict[str, reference.Record]:
    money = {"equipment": currency, "by_volume": f"{currency}/gal", "by_input": f"{currency}/kW",
             "labour": currency, "fittings": currency}  # fmt: skip
    rows = reference.records(f"costs/installed_{_place(currency)}", money)
    return {row["heater_class"]: row for row in rows}


@lru_cache(maxsize=2)
def _work(currency: str) -> tuple[dict[str, InstalledLine], dict[str, str], dict[str, str]]:
    """Return the lines of further work by id, what each makes needless, what each is per."""
    rows = reference.records(f"costs/adders_{_place(currency)}", {"amount": currency})
    lines = {
        row["id"]: InstalledLine(
            id=row["id"], text=row["text"], amount=row["amount"], repeats=row["repeats"] == "yes"
        )
        for row in rows
    }
    includes = {row["id"]: row["includes"] for row in rows if row["includes"]}
    return lines, includes, {row["id"]: row["per"] for row in rows}
