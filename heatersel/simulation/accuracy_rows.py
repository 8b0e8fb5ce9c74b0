"""Heat pump, tankless and piping beside published values, for the accuracy report.

Each row holds a case, its source, the published or reference value and ours. The tests hold the
same cases to their bands; here they are computed afresh for the reader.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import DrawPattern, Heater
from heatersel.heaters.rated import AIR_TEMP_C, DELIVERY_TEMP_C, INLET_TEMP_C, rating_day_heat_kwh
from heatersel.job.models import HeaterLocation
from heatersel.simulation.around import Around
from heatersel.simulation.distribution import (
    LoopControl,
    PipeRun,
    loop_year,
    pipe_volume_l_per_m,
    wait_s,
)
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.heat_pump_air import settle
from heatersel.simulation.heat_pump_map import map_capacity_ratio, map_cop_ratio
from heatersel.simulation.moist_air import humidity_ratio, wet_bulb_c
from heatersel.simulation.room import room_for
from heatersel.simulation.tankless_rating import rate_all
from heatersel.water import density_kg_per_l, enthalpy_kj_per_kg

__all__ = ["AccuracyRow", "accuracy_rows"]

_L_PER_GAL = 3.785411784
_M3_PER_FT3 = 0.0283168
_RATING_WET_BULB_C, _RATING_WATER_C = 13.55, 48.89
_MAP = "Maguire, Fang, Wilson, NREL/TP-5500-55475 (2013); coefficients from memory"
_FEMP = "US DOE FEMP acquisition guidance, heat pump water heaters, table 1 (2022)"
_LABORATORY = "laboratory study for NEEA (2022), summary"
_PIPE = "US DOE problem set on WaterSense criteria, table 1"
_TITLE_24 = "2016 California Title 24 ACM Reference Manual, appendix B, table B-6"


@dataclass(frozen=True, slots=True, kw_only=True)
class AccuracyRow:
    """One line of the accuracy report.

    Parameters
    ----------
    case : str
        What is compared.
    source : str
        Where the reference value comes from.
    unit : str
        Of both values; empty for a plain number.
    reference, ours : float
        The two values.
    """

    case: str
    source: str
    unit: str
    reference: float
    ours: float

    @property
    def difference_frac(self) -> float:
        """Ours over the reference, less one. [-]"""
        return self.ours / self.reference - 1.0


def accuracy_rows() -> tuple[AccuracyRow, ...]:
    """Return the rows of heat pumps, tankless heaters, piping and water."""
    return (
        *_map_rows(),
        *_room_rows(),
        *_label_rows(),
        *_tankless_rows(),
        *_pipe_rows(),
        *_water_rows(),
    )


def _heater(id_: str) -> Heater:
    return next(heater for heater in load_heaters().heaters if heater.id == id_)


def _map_rows() -> Iterator[AccuracyRow]:
    heater = _heater("heat-pump-50")
    rated = _at(heater, _RATING_WET_BULB_C, _RATING_WATER_C)
    names = ("COP", "heat output")
    maps = (map_cop_ratio, map_capacity_ratio)
    for wet_bulb, water in (
        (8.0, 50.0),
        (13.5, 26.67),
        (13.5, 60.0),
        (19.44, 37.78),
        (25.0, 48.89),
    ):
        found = _at(heater, wet_bulb, water)
        for name, value, base, table in zip(names, found, rated, maps, strict=True):
            mapped = table(wet_bulb, water) / table(_RATING_WET_BULB_C, _RATING_WATER_C)
            yield AccuracyRow(
                case=f"{name} at {wet_bulb:g} °C wet bulb and {water:g} °C water, over rated",
                source=_MAP, unit="", reference=float(mapped), ours=value / base,
            )  # fmt: skip


def _at(heater: Heater, wet_bulb: float, water: float) -> tuple[float, float]:
    """Return COP and heat in saturated air of a wet bulb, at one water temperature."""
    day = daily_tables(heater, np.array([wet_bulb]), np.array([1.0]))
    cop, heat_kw = (float(np.interp(water, day.water_c, row[0])) for row in (day.cop, day.heat_kw))
    return cop, heat_kw


def _room_rows() -> Iterator[AccuracyRow]:
    still = np.full(365, AIR_TEMP_C)
    damp = np.asarray(humidity_ratio(still, 0.5))
    near = Around(
        outdoor_c=still, house_c=still, ground_c=still,
        outdoor_humidity_ratio=damp, house_humidity_ratio=damp,
    )  # fmt: skip
    for pattern, gal, printed in (
        (DrawPattern.MEDIUM, 55, 1.0 - 2.96 / 3.21),
        (DrawPattern.HIGH, 84, 1.0 - 2.26 / 2.63),
    ):
        large, small = (
            settle(
                _heater("heat-pump-50"),
                room_for(HeaterLocation.CLOSET, volume_ft3 * _M3_PER_FT3),
                near,
                heat_kwh=np.full(365, rating_day_heat_kwh(pattern) + 1.0),
                lost_kwh=np.full(365, 1.0),
                setpoint_c=DELIVERY_TEMP_C,
            ).cop.mean()
            for volume_ft3 in (700.0, 450.0)
        )
        yield AccuracyRow(
            case=f"fall of COP from 700 to 450 ft3 at {gal} gal/day, elements not modelled",
            source=_LABORATORY, unit="%", reference=100.0 * printed,
            ours=100.0 * float(1.0 - small / large),
        )  # fmt: skip


def _label_rows() -> Iterator[AccuracyRow]:
    for uef, kwh in ((3.8, 855.0), (2.2, 1476.0)):
        yield AccuracyRow(
            case=f"annual energy at UEF {uef}", source=_FEMP, unit="kWh", reference=kwh,
            ours=365.0 * rating_day_heat_kwh(DrawPattern.MEDIUM) / uef,
        )  # fmt: skip


def _tankless_rows() -> Iterator[AccuracyRow]:
    rows = tuple(heater for heater in load_heaters().heaters if heater.is_tankless)
    for heater, rating in zip(rows, rate_all(rows), strict=True):
        yield AccuracyRow(
            case=f"{heater.id}: UEF, test simulated", source="its own rating", unit="",
            reference=heater.uef, ours=rating.uef,
        )  # fmt: skip
        yield AccuracyRow(
            case=f"{heater.id}: maximum flow, test simulated", source="its own rating",
            unit="L/min", reference=heater.max_flow_l_per_min, ours=rating.max_flow_l_per_min,
        )  # fmt: skip


def _pipe_rows() -> Iterator[AccuracyRow]:
    ounce_per_foot_l_per_m = _L_PER_GAL / 128.0 / 0.3048
    for material, size, ounces in (
        ("copper_m", "3/4 in", 3.43),
        ("copper_l", "3/4 in", 3.22),
        ("pex_sdr_9", "1/2 in", 1.18),
    ):
        yield AccuracyRow(
            case=f"water in {material} {size}", source=_PIPE, unit="fl oz/ft", reference=ounces,
            ours=pipe_volume_l_per_m(material, size) / ounce_per_foot_l_per_m,
        )  # fmt: skip
    run = PipeRun(material="copper_l", size="3/4 in", length_m=50.0 * 0.3048)
    yield AccuracyRow(
        case="one volume of 50 ft of 3/4 in copper at 1.5 gal/min", source="hand arithmetic",
        unit="s", reference=50.3, ours=wait_s(run, 1.5 * _L_PER_GAL) / 1.25,
    )  # fmt: skip
    for control, kwh in ((LoopControl.CONTINUOUS, 350.0), (LoopControl.DEMAND, 23.0)):
        year = loop_year(run, control=control, hot_c=50.0, room_c=np.full(365, 20.0))
        yield AccuracyRow(
            case=f"recirculation pump, {control.value}", source=_TITLE_24, unit="kWh/yr",
            reference=kwh, ours=year.pump_kwh,
        )  # fmt: skip


def _water_rows() -> Iterator[AccuracyRow]:
    rise = enthalpy_kj_per_kg(DELIVERY_TEMP_C) - enthalpy_kj_per_kg(INLET_TEMP_C)
    yield AccuracyRow(
        case="enthalpy rise of water from 58 to 125 degF", source="IAPWS-IF97, computed",
        unit="Btu/lb", reference=66.895, ours=rise / 2.326,
    )  # fmt: skip
    yield AccuracyRow(
        case="density of water at 125 degF", source="IAPWS-IF97, computed", unit="lb/gal",
        reference=8.2393, ours=density_kg_per_l(DELIVERY_TEMP_C) * _L_PER_GAL / 0.45359237,
    )  # fmt: skip
    yield AccuracyRow(
        case="wet bulb of 67.5 degF and 50 %", source="psychrometric library, computed",
        unit="degF", reference=56.4, ours=float(wet_bulb_c(AIR_TEMP_C, 0.5)) * 1.8 + 32.0,
    )  # fmt: skip
