"""The job: a household, its house and place, what stands there now, prices and preferences.

These frozen models are both the validator of a job file and the input of every stage. The key in
the file is the alias; the attribute carries the SI unit. None means that nobody has measured it
yet, which later stages report and never count as fine.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated, Any, Self

from pydantic import Field, field_validator, model_validator
from pydantic_core import PydanticCustomError

from heatersel import units
from heatersel.heaters.heater import EnergySource, Kind
from heatersel.job.bills import Bills
from heatersel.job.emission_table import EmissionChoices
from heatersel.job.prices import Prices, currency_of
from heatersel.job.quantities import (
    BurialDepth,
    BurnerInput,
    CeilingHeight,
    Elevation,
    Flow,
    Fraction,
    Hardness,
    InletTemperature,
    Pressure,
    Quantity,
    RoomVolume,
    Setpoint,
    TankVolume,
    UseTemperature,
)
from heatersel.job.services import Heating, HeatPumpMode, HotPipe, TanklessOverload
from heatersel.job.site import GasPipe, Panel, Site
from heatersel.job.table import DefaultUsed, InputTable, assumed, unknown
from heatersel.job.windows import ALL_HOURS, HoursType

SmallBuffer = Annotated[float, Quantity("L", 2.0, 40.0, "5 gal")]

__all__ = [
    "Existing",
    "Fixture",
    "FixtureCounts",
    "FixtureFlows",
    "HeaterLocation",
    "Home",
    "Household",
    "Job",
    "Occupants",
    "Place",
    "Preferences",
    "Supply",
    "UnitsShown",
    "VentPresent",
    "Weekday",
]

MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip

_NO_SOURCE = "common practice, no source"
_WATERSENSE = "EPA WaterSense maximum: shower 2.0 gal/min at 80 psi, lavatory 1.5 at 60 psi"
_PEAK_STUDY = "Buchberger et al., Peak Water Demand Study (2017), design flows, from memory"


class Fixture(StrEnum):
    """A place where hot water is drawn."""

    SHOWER = "shower"
    BATHTUB = "bathtub"
    LAVATORY = "lavatory"
    KITCHEN_SINK = "kitchen_sink"
    DISHWASHER = "dishwasher"
    CLOTHES_WASHER = "clothes_washer"
    SOAKING_TUB = "soaking_tub"
    BODY_SPRAY = "body_spray"


class HeaterLocation(StrEnum):
    """Where the heater stands."""

    BASEMENT = "basement"
    GARAGE = "garage"
    CLOSET = "closet"
    UTILITY_ROOM = "utility_room"
    ATTIC = "attic"
    OUTDOORS = "outdoors"


class Supply(StrEnum):
    """Where the cold water comes from."""

    MUNICIPAL = "municipal"
    WELL = "well"


class VentPresent(StrEnum):
    """The vent that stands there now."""

    MASONRY_CHIMNEY = "masonry_chimney"
    LINED_CHIMNEY = "lined_chimney"
    B_VENT = "b_vent"
    PLASTIC_VENT = "plastic_vent"
    STAINLESS_VENT = "stainless_vent"
    NONE = "none"


class UnitsShown(StrEnum):
    """The system that results are shown in."""

    US = "us"
    SI = "si"


class Weekday(StrEnum):
    """A day of the week."""

    MONDAY = "monday"
    TUESDAY = "tuesday"
    WEDNESDAY = "wednesday"
    THURSDAY = "thursday"
    FRIDAY = "friday"
    SATURDAY = "saturday"
    SUNDAY = "sunday"


class Occupants(InputTable):
    """Who lives here; a bare number in the file counts as that many adults."""

    adults: int = Field(default=0, ge=0, le=30, strict=True)
    teenagers: int = Field(default=0, ge=0, le=30, strict=True)
    children: int = Field(default=0, ge=0, le=30, strict=True)

    @property
    def total(self) -> int:
        """Number of people."""
        return self.adults + self.teenagers + self.children


class FixtureCounts(InputTable):
    """How many of each fixture are installed."""

    shower: int = assumed(1, _NO_SOURCE, ge=0, le=20, strict=True)
    bathtub: int = assumed(1, _NO_SOURCE, ge=0, le=20, strict=True)
    lavatory: int = assumed(2, _NO_SOURCE, ge=0, le=20, strict=True)
    kitchen_sink: int = assumed(1, _NO_SOURCE, ge=0, le=20, strict=True)
    dishwasher: int = assumed(1, _NO_SOURCE, ge=0, le=20, strict=True)
    clothes_washer: int = assumed(1, _NO_SOURCE, ge=0, le=20, strict=True)
    soaking_tub: int = Field(default=0, ge=0, le=20, strict=True)
    body_spray: int = Field(default=0, ge=0, le=20, strict=True)

    def of(self, fixture: Fixture) -> int:
        """Return how many of `fixture` there are."""
        return int(getattr(self, fixture.value))


class FixtureFlows(InputTable):
    """Flow of one fixture of each kind, as mixed water (appliances: hot water)."""

    shower_l_per_min: Flow = assumed(7.571, _WATERSENSE, "shower")
    bathtub_l_per_min: Flow = assumed(20.82, _PEAK_STUDY, "bathtub")
    lavatory_l_per_min: Flow = assumed(5.678, _WATERSENSE, "lavatory")
    kitchen_sink_l_per_min: Flow = assumed(
        8.328, "federal maximum for faucets, 2.2 gal/min at 60 psi", "kitchen_sink"
    )
    dishwasher_l_per_min: Flow = assumed(4.921, _PEAK_STUDY, "dishwasher")
    clothes_washer_l_per_min: Flow = assumed(13.25, _PEAK_STUDY, "clothes_washer")
    soaking_tub_l_per_min: Flow = assumed(20.82, f"as a bathtub: {_PEAK_STUDY}", "soaking_tub")
    body_spray_l_per_min: Flow = assumed(7.571, f"as a shower head: {_WATERSENSE}", "body_spray")

    def of(self, fixture: Fixture) -> float:
        """Return the flow of one `fixture`. [L/min]"""
        return float(getattr(self, f"{fixture.value}_l_per_min"))


class FixtureUses(InputTable):
    """A number for some of the fixtures: run together at the peak, or uses in the busiest hour."""

    shower: int = Field(default=0, ge=0, le=60, strict=True)
    bathtub: int = Field(default=0, ge=0, le=60, strict=True)
    lavatory: int = Field(default=0, ge=0, le=60, strict=True)
    kitchen_sink: int = Field(default=0, ge=0, le=60, strict=True)
    dishwasher: int = Field(default=0, ge=0, le=60, strict=True)
    clothes_washer: int = Field(default=0, ge=0, le=60, strict=True)
    soaking_tub: int = Field(default=0, ge=0, le=60, strict=True)
    body_spray: int = Field(default=0, ge=0, le=60, strict=True)

    def of(self, fixture: Fixture) -> int:
        """Return the number for `fixture`."""
        return int(getattr(self, fixture.value))


class Household(InputTable):
    """Who lives here and how they use hot water."""

    occupants: Occupants
    bedrooms: int = assumed(3, _NO_SOURCE, ge=1, le=15, strict=True)
    use_temp_c: UseTemperature = assumed(
        40.56, "105 degF, ANSI/RESNET/ICC 301 mixed-water temperature, from memory",
        "use_temperature",
    )  # fmt: skip
    fixtures: FixtureCounts = FixtureCounts()
    fixture_flow: FixtureFlows = FixtureFlows()
    simultaneous: FixtureUses | None = None
    peak_hour: FixtureUses | None = None
    bills: Bills | None = None
    days_away: int = assumed(
        14, "Hendron & Engebrecht (2010), vacation of 14 days a year, from memory",
        ge=0, le=200, strict=True,
    )  # fmt: skip
    guests: int = Field(default=0, ge=0, le=30, strict=True)
    laundry_day: Weekday | None = None
    dishwasher_heats_water: bool = Field(default=False, strict=True)

    @field_validator("occupants", mode="before")
    @classmethod
    def _count_as_adults(cls, given: Any) -> Any:
        if isinstance(given, int) and not isinstance(given, bool):
            if not 1 <= given <= 30:
                raise PydanticCustomError(
                    "count", "out of range",
                    {"allowed": "1 to 30 people", "fix": "count who sleeps here"},
                )  # fmt: skip
            return {"adults": given}
        if isinstance(given, dict | Occupants):
            return given
        raise PydanticCustomError(
            "count", "not a number of people",
            {"allowed": "a whole number, or a table of adults, teenagers and children",
             "fix": "an example is 4, or { adults = 2, children = 2 }"},
        )  # fmt: skip

    @field_validator("occupants")
    @classmethod
    def _somebody_lives_here(cls, occupants: Occupants) -> Occupants:
        if not 1 <= occupants.total <= 30:
            raise PydanticCustomError(
                "count",
                "out of range",
                {"allowed": "1 to 30 people", "fix": "count who sleeps here"},
            )
        return occupants

    def defaults_used(self, table: str = "") -> Iterator[DefaultUsed]:
        """Yield the defaults; the flow of a fixture that is not installed was not used."""
        absent = {
            f"{table}.fixture_flow.{fixture}".lstrip(".")
            for fixture in Fixture
            if not self.fixtures.of(fixture)
        }
        yield from (used for used in super().defaults_used(table) if used.field not in absent)

    @model_validator(mode="after")
    def _no_more_than_installed(self) -> Self:
        for fixture in Fixture:
            running = self.simultaneous.of(fixture) if self.simultaneous else 0
            uses = self.peak_hour.of(fixture) if self.peak_hour else 0
            installed = self.fixtures.of(fixture)
            if running > installed or (uses and not installed):
                table = "simultaneous" if running > installed else "peak_hour"
                raise _contradiction(
                    f"{table}.{fixture.value}", str(running or uses),
                    f"at most {installed}, the number under household.fixtures",
                    "correct one of the two",
                )  # fmt: skip
        return self


class InletReadings(InputTable):
    """Cold-water temperature by month, as measured; months without a reading are interpolated."""

    january_c: InletTemperature | None = unknown("january")
    february_c: InletTemperature | None = unknown("february")
    march_c: InletTemperature | None = unknown("march")
    april_c: InletTemperature | None = unknown("april")
    may_c: InletTemperature | None = unknown("may")
    june_c: InletTemperature | None = unknown("june")
    july_c: InletTemperature | None = unknown("july")
    august_c: InletTemperature | None = unknown("august")
    september_c: InletTemperature | None = unknown("september")
    october_c: InletTemperature | None = unknown("october")
    november_c: InletTemperature | None = unknown("november")
    december_c: InletTemperature | None = unknown("december")

    @property
    def monthly_c(self) -> tuple[float | None, ...]:
        """The twelve readings, January first; None where there is none. [°C]"""
        return tuple(getattr(self, f"{month}_c") for month in MONTHS)

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if all(value is None for value in self.monthly_c):
            raise PydanticCustomError(
                "readings", "no reading",
                {"allowed": "at least one month", "fix": 'an example is january = "40 degF"'},
            )  # fmt: skip
        return self


class Place(InputTable):
    """Where the house is and where its water comes from."""

    climate: str
    supply: Supply = assumed(Supply.MUNICIPAL, _NO_SOURCE)
    main_depth_m: BurialDepth | None = unknown("main_depth")
    elevation_m: Elevation | None = unknown("elevation")
    inlet: InletReadings | None = None

    @field_validator("climate")
    @classmethod
    def _known_station(cls, name: str) -> str:
        from heatersel.climate import climate
        from heatersel.errors import InputError

        try:
            return climate(name).place
        except InputError as trouble:
            fault = trouble.faults[0]
            raise PydanticCustomError(
                "climate", "unknown", {"allowed": fault.allowed, "fix": fault.fix}
            ) from None


class Home(InputTable):
    """What the house allows."""

    heater_location: HeaterLocation = assumed(HeaterLocation.BASEMENT, _NO_SOURCE)
    room_volume_m3: RoomVolume | None = unknown("room_volume")
    ceiling_height_m: CeilingHeight | None = unknown("ceiling_height")
    fuels: tuple[EnergySource, ...] | None = None
    vent: VentPresent | None = None
    other_gas_input_kw: BurnerInput | None = unknown("other_gas_input")
    gas_pipe: GasPipe | None = None
    panel: Panel | None = None
    backflow_preventer: bool | None = unknown(strict=True)
    static_pressure_kpa: Pressure | None = unknown("static_pressure")
    floor_drain: bool | None = unknown(strict=True)
    hardness_mg_per_l: Hardness | None = unknown("hardness")
    vulnerable_occupants: bool | None = unknown(strict=True)
    heating: Heating | None = None
    hot_pipe: HotPipe | None = None
    site: Site = Site()


class Existing(InputTable):
    """The heater that stands there now: the baseline of every saving."""

    kind: Kind = assumed(Kind.STORAGE, _NO_SOURCE)
    energy_source: EnergySource
    volume_l: TankVolume | None = unknown("volume")
    input_kw: BurnerInput | None = unknown("input")
    installed: int | None = unknown(ge=1950, le=2100, strict=True)
    uef: float | None = unknown(gt=0.2, lt=5.0)


class Preferences(InputTable):
    """What the customer wants and how the money is counted."""

    setpoint_c: Setpoint = assumed(
        48.89, "120 degF, the setting that limits scalding; see the cautions", "setpoint"
    )
    tempering_valve: bool = Field(default=False, strict=True)
    heat_pump_mode: HeatPumpMode = HeatPumpMode.COMPRESSOR_FIRST
    compressor_hours: HoursType = ALL_HOURS
    element_hours: HoursType = ALL_HOURS
    defrost_penalty: Fraction = assumed(
        0.10, "share of the heat in freezing air, 5 to 15 %; from memory, low", ge=0.0, le=0.5
    )
    tankless_overload: TanklessOverload = TanklessOverload.SAG
    tankless_buffer_l: SmallBuffer | None = unknown("tankless_buffer")
    count_space_heating: bool = Field(default=True, strict=True)
    discount_rate: Fraction = assumed(
        0.03, "real rate of the US Department of Energy's life-cycle method, 10 CFR 436",
        ge=0.0, le=0.25,
    )  # fmt: skip
    study_years: int = assumed(20, _NO_SOURCE, ge=1, le=40, strict=True)
    sizing_percentile: Fraction = assumed(
        0.99, "the 99th of 100 mornings; common practice, no source", ge=0.5, le=0.999
    )
    seed: int = Field(default=1, ge=0, le=2**31, strict=True)


class Job(InputTable):
    """Everything the plumber learned at the kitchen table."""

    title: str = Field(default="", max_length=200)
    units: UnitsShown = UnitsShown.US
    household: Household
    place: Place
    home: Home = Home()
    existing: Existing | None = None
    prices: Prices = Prices()
    emissions: EmissionChoices = EmissionChoices()
    preferences: Preferences = Preferences()

    @property
    def fuels(self) -> tuple[EnergySource, ...]:
        """Energy sources the house has: as stated, else electricity and what is there now."""
        if self.home.fuels is not None:
            return self.home.fuels
        present = {EnergySource.ELECTRICITY}
        if self.existing is not None:
            present.add(self.existing.energy_source)
        return tuple(source for source in EnergySource if source in present)

    @property
    def heating_fuels(self) -> tuple[EnergySource, ...]:
        """Sources that may heat the house: its fuels without those said to heat water alone."""
        return tuple(source for source in self.fuels if not self._heats_water_alone(source))

    def _heats_water_alone(self, source: EnergySource) -> bool:
        if source is EnergySource.ELECTRICITY:
            return False
        gas = source in (EnergySource.NATURAL_GAS, EnergySource.PROPANE)
        if gas and self.home.other_gas_input_kw == 0.0:
            return True
        used = getattr(self.prices.other_use, source.value)
        return used is not None and not any(month.amount for month in used)

    @model_validator(mode="after")
    def _possible(self) -> Self:
        use_c, set_c = self.household.use_temp_c, self.preferences.setpoint_c
        if use_c > set_c:
            raise _contradiction(
                "household.use_temperature", _both_degrees(use_c),
                f"at most preferences.setpoint, {_both_degrees(set_c)}",
                "lower the use temperature or raise the setpoint",
            )  # fmt: skip
        self._one_money()
        existing, fuels = self.existing, ", ".join(self.fuels)
        if existing and existing.energy_source not in self.fuels:
            raise _contradiction(
                "existing.energy_source", existing.energy_source,
                f"one of home.fuels: {fuels or 'none'}",
                "add it to home.fuels or correct the existing heater",
            )  # fmt: skip
        bills = self.household.bills
        if bills is None:
            return self
        if bills.fuel not in self.fuels:
            raise _contradiction(
                "household.bills.fuel", bills.fuel, f"one of the house's fuels: {fuels or 'none'}",
                "add it to home.fuels, or give the bills of a fuel the house has",
            )  # fmt: skip
        if bills.heats_water and existing and existing.energy_source is not bills.fuel:
            raise _contradiction(
                "household.bills.fuel", bills.fuel,
                f"the fuel of the existing heater, {existing.energy_source}",
                "give the bills of that fuel, or say heats_water = false",
            )  # fmt: skip
        return self

    def _one_money(self) -> None:
        """Refuse money of another country: "$" and "cents" alone mean US dollars."""
        region = self.prices.region or self.place.climate.rpartition(", ")[2]
        usual = currency_of(region)
        for field, amount in self.prices.money():
            if usual is not None and amount.currency != usual:
                raise _contradiction(
                    f"prices.{field}",
                    amount.currency,
                    f"{usual}, the money of {region}",
                    f'write it as in "0.14 {usual}/kWh"; "$" and "cents" alone mean US dollars',
                )

    def at_setpoint(self, setpoint_c: float) -> Job:
        """Return the same job with another setpoint. [°C]"""
        preferences = self.preferences.model_copy(update={"setpoint_c": setpoint_c})
        return self.model_copy(update={"preferences": preferences})


def _contradiction(field: str, value: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError(
        "contradiction", "contradiction",
        {"field": field, "value": str(value), "allowed": allowed, "fix": fix},
    )  # fmt: skip


def _both_degrees(temp_c: float) -> str:
    return f"{units.convert(temp_c, 'degC', 'degF'):.1f} degF ({temp_c:.1f} degC)"
