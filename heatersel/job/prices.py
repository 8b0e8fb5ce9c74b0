"""What energy costs this household, as the job file gives it.

A price is text ("0.14 USD/kWh"), one or more full tariffs (`[[prices.electricity]]`: the first is
today's plan, the others are compared), or a table that names a tariff of this package or a file
(`electricity = { file = "my_tariff.toml" }`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from heatersel import reference
from heatersel.errors import DataError, InputError
from heatersel.heaters.heater import EnergySource
from heatersel.job.incentive_table import FinanceTable, IncentiveTable
from heatersel.job.money import (
    EnergyPrice,
    FuelAmount,
    FuelAmountType,
    HeatContent,
    Money,
    StandingCharge,
)
from heatersel.job.quantities import Fraction
from heatersel.job.table import InputTable, assumed
from heatersel.job.tariff_table import TariffTable

__all__ = ["Escalation", "FixedCharges", "OtherUse", "Prices", "Solar", "currency_of"]

_SOURCES = tuple(source.value for source in EnergySource)


def _shape(given: Any) -> str:
    return "(flat)" if isinstance(given, str | Money) else "(tariffs)"


Price = Annotated[
    Annotated[EnergyPrice, Tag("(flat)")] | Annotated[tuple[TariffTable, ...], Tag("(tariffs)")],
    Discriminator(_shape),
]


class FixedCharges(InputTable):
    """Standing charges beside a flat price; one falls away if its last appliance goes."""

    electricity: StandingCharge | None = None
    natural_gas: StandingCharge | None = None
    propane: StandingCharge | None = None
    fuel_oil: StandingCharge | None = None


class OtherUse(InputTable):
    """What the household uses beside hot water: one amount a month, or twelve."""

    electricity: tuple[FuelAmountType, ...] | None = None
    natural_gas: tuple[FuelAmountType, ...] | None = None
    propane: tuple[FuelAmountType, ...] | None = None
    fuel_oil: tuple[FuelAmountType, ...] | None = None

    @field_validator("*", mode="before")
    @classmethod
    def _one_or_twelve(cls, given: Any) -> Any:
        if isinstance(given, str):
            return (given,)
        if not isinstance(given, list | tuple) or len(given) not in (1, 12):
            raise _trouble("not one or twelve amounts", "one amount a month, or a list of twelve",
                           'an example is "650 kWh/month"')  # fmt: skip
        return tuple(given)


class Escalation(InputTable):
    """Real growth of each energy price, a year."""

    electricity: Fraction = assumed(0.0, "no real growth assumed; see the bands", ge=-0.2, le=0.2)
    natural_gas: Fraction = assumed(0.0, "no real growth assumed; see the bands", ge=-0.2, le=0.2)
    propane: Fraction = assumed(0.0, "no real growth assumed; see the bands", ge=-0.2, le=0.2)
    fuel_oil: Fraction = assumed(0.0, "no real growth assumed; see the bands", ge=-0.2, le=0.2)


_HOURS = 8760
_SOLAR_FILE = (
    'a CSV file with 8760 rows, the hours of one year, in a column "surplus [kWh]", none negative'
    " or empty"
)


def _is_surplus(value: Any) -> bool:
    return value is not None and value >= 0.0


class Solar(InputTable):
    """Own solar surplus that the heater may use: a CSV file with one column "surplus [kWh]".

    Its hours are standard time; the time zone of the electricity tariff brings them to the clock
    by which the household lives. Without one they stand an hour early in summer.
    """

    surplus: tuple[float, ...]
    export_price: EnergyPrice | None = None

    @field_validator("surplus", mode="before")
    @classmethod
    def _hours_of_a_year(cls, given: Any, info: ValidationInfo) -> Any:
        if not isinstance(given, str):
            return given
        path = _folder(info) / given
        if not path.is_file():
            raise _trouble(f"{given}, which is missing", _SOLAR_FILE,
                           "check the name; it is looked for beside the job file")  # fmt: skip
        try:
            rows, _ = reference.read_records(path, {"surplus": "kWh"})
        except InputError:
            raise _trouble(f"{given}, whose heading or text cannot be read", _SOLAR_FILE,
                           'head the column "surplus [kWh]"') from None  # fmt: skip
        hours = tuple(row.get("surplus") for row in rows)
        if len(hours) != _HOURS:
            raise _trouble(f"{given}, with {len(hours)} rows", _SOLAR_FILE,
                           "hour 0 begins at 1 January 00:00 standard time")  # fmt: skip
        bad = next((row["line"] for row in rows if not _is_surplus(row.get("surplus"))), None)
        if bad is not None:
            raise _trouble(f"{given}, line {bad}", _SOLAR_FILE, "correct the line")
        return hours


class Prices(InputTable):
    """Prices of the region, or the household's own."""

    region: str | None = None
    electricity: Price | None = None
    natural_gas: Price | None = None
    propane: Price | None = None
    fuel_oil: Price | None = None
    fixed_charge: FixedCharges = FixedCharges()
    gas_heat_content_kwh_per_l: HeatContent | None = Field(default=None, alias="gas_heat_content")
    gas_altitude_factor: Fraction = Field(default=1.0, ge=0.6, le=1.0)
    other_use: OtherUse = OtherUse()
    escalation: Escalation = Escalation()
    inflation: Fraction = assumed(
        0.025, "near the US consumer price mean of 2.85 % a year, 2014 to 2024", ge=0.0, le=0.2
    )
    incentive: tuple[IncentiveTable, ...] = ()
    finance: FinanceTable | None = None
    solar: Solar | None = None
    purchase_date: dt.date | None = None
    installation_date: dt.date | None = None
    bill_year: int = Field(default=2027, ge=2000, le=2100, strict=True)

    @field_validator(*_SOURCES, mode="before")
    @classmethod
    def _read_tariffs(cls, given: Any, info: ValidationInfo) -> Any:
        if not isinstance(given, dict) or not given.keys() <= {"tariff", "file"}:
            return (given,) if isinstance(given, dict) else given
        if len(given) != 1:
            raise _trouble("tariff and file", "one of the two", 'an example is { file = "x.toml" }')
        ((kind, name),) = given.items()
        return _tariffs_of_file(kind, str(name), str(info.field_name), info)

    @field_validator(*_SOURCES)
    @classmethod
    def _at_least_one(cls, given: Any) -> Any:
        if given == ():
            raise _trouble("no tariff", "a price or at least one tariff",
                           'an example is "0.14 USD/kWh"')  # fmt: skip
        return given

    @field_validator("electricity")
    @classmethod
    def _by_energy(cls, given: Any) -> Any:
        amounts = [given] if isinstance(given, Money) else list(_amounts(given or ()))
        if any(amount.per == "L" for amount in amounts):
            raise _trouble("a price per volume", "a price per energy",
                           'electricity is billed by energy, such as "0.14 USD/kWh"')  # fmt: skip
        return given

    @field_validator("region")
    @classmethod
    def _known_region(cls, region: str | None) -> str | None:
        if region is not None and region not in _countries():
            raise _trouble(region, "a state or province code, such as MN or ON",
                           "use the two-letter code in capitals")  # fmt: skip
        return region

    @model_validator(mode="after")
    def _one_currency(self) -> Self:
        found = {amount.currency: field for field, amount in reversed(self.money())}
        if len(found) > 1:
            usd, cad = found["USD"], found["CAD"]
            raise _trouble(f"USD in {usd}, CAD in {cad}", "one currency throughout",
                           "write all prices in USD or all in CAD")  # fmt: skip
        return self

    @model_validator(mode="after")
    def _one_altitude(self) -> Self:
        tables = self.natural_gas if isinstance(self.natural_gas, tuple) else ()
        twice = next((table for table in tables if table.altitude_factor != 1.0), None)
        if self.gas_altitude_factor != 1.0 and twice is not None:
            raise _trouble(
                f"{self.gas_altitude_factor:g} beside altitude_factor {twice.altitude_factor:g} of"
                f" the tariff {twice.name}",
                "one of the two, since both would count the altitude twice",
                "leave gas_altitude_factor out", field="gas_altitude_factor",
            )  # fmt: skip
        return self

    @property
    def currency(self) -> str:
        """Currency of the prices; the region's where none is given, USD without a region."""
        for _, amount in self.money():
            return amount.currency
        return currency_of(self.region or "") or "USD"

    def price_of(self, source: EnergySource) -> Money | tuple[TariffTable, ...] | None:
        """Return the price given for `source`: flat, tariffs, or None."""
        price: Money | tuple[TariffTable, ...] | None = getattr(self, source.value)
        return price

    def money(self) -> list[tuple[str, Money]]:
        """Return every amount of money with its field, to compare currencies."""
        found: list[tuple[str, Money]] = []
        for source in EnergySource:
            price, fixed = self.price_of(source), getattr(self.fixed_charge, source.value)
            tables = price if isinstance(price, tuple) else ()
            found += [(source.value, price)] if isinstance(price, Money) else []
            found += [(f"fixed_charge.{source.value}", fixed)] if fixed is not None else []
            found += [(f"{source.value}.{f}", m) for table in tables for f, m in table.money()]
        for incentive in self.incentive:
            found += [(f"incentive.{f}", m) for f, m in incentive.money()]
        if self.finance is not None:
            found += [(f"finance.{f}", m) for f, m in self.finance.money()]
        if self.solar is not None and self.solar.export_price is not None:
            found.append(("solar.export_price", self.solar.export_price))
        return found


def currency_of(region: str) -> str | None:
    """Return the currency of a state or province, None where the code is not known."""
    return {"CA": "CAD", "US": "USD"}.get(_countries().get(region, ""))


def _amounts(tables: Iterable[InputTable]) -> Iterator[Money | FuelAmount]:
    """Yield every price and every amount of energy or fuel of some tables, at any depth."""
    for table in tables:
        for name in type(table).model_fields:
            value = getattr(table, name)
            items = value if isinstance(value, tuple) else (value,)
            yield from (item for item in items if isinstance(item, Money | FuelAmount))
            yield from _amounts(item for item in items if isinstance(item, InputTable))


def _tariffs_of_file(kind: str, name: str, source: str, info: ValidationInfo) -> Any:
    """Return the tables `[[source]]` of a tariff file, shipped ("tariff") or the user's own."""
    from heatersel.job.load import read_toml

    if kind == "tariff":
        try:
            path = reference.dataset_path(f"tariffs/{name}.toml")
        except DataError:
            known = sorted(p.stem for p in reference.dataset_path("tariffs").glob("*.toml"))
            known = [stem for stem in known if not stem.endswith(".source")]
            raise _trouble(name, ", ".join(known), "use one of these tariffs") from None
    else:
        path = _folder(info) / name
    if not path.is_file():
        raise _trouble(f"{name}, which is missing", "an existing tariff file",
                       "check the name; it is looked for beside the job file")  # fmt: skip
    try:
        tables = read_toml(path).get(source)
    except InputError as trouble:
        fault = trouble.faults[0]
        raise _trouble(f"{name}, which is {fault.value}", "a tariff file in TOML",
                       fault.fix) from None  # fmt: skip
    if not isinstance(tables, list):
        raise _trouble(f"{name}, without [[{source}]]", f"tables [[{source}]]",
                       "check that the file is a tariff of this energy source")  # fmt: skip
    return tuple(tables)


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    return {row["region"]: row["country"] for row in reference.records("prices/regions", {})}


def _folder(info: ValidationInfo) -> Path:
    return Path((info.context or {}).get("folder", "."))


def _trouble(value: str, allowed: str, fix: str, field: str = "") -> PydanticCustomError:
    return PydanticCustomError(
        "prices", "{value}", {"field": field, "value": value, "allowed": allowed, "fix": fix}
    )
