"""Heat pump at run time: COP and heat output by day, from the shipped cycle tables.

The tables were computed from refrigerant properties (see
:mod:`heatersel.simulation.heat_pump_cycle`); here they are read, interpolated to the air of each
day, scaled to the heater's rating and handed to the tank simulation as one row per day over water
temperature. Nothing here loads the property library.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import InconsistentRatingError, OutOfRangeError
from heatersel.heaters.heater import Heater
from heatersel.reference import dataset_path
from heatersel.simulation.heat_pump_settings import SINGLE_PASS_OUTLET_C, settings_for

__all__ = [
    "DEFROST_PENALTY_FRAC",
    "HeatPumpDays",
    "PerformanceTable",
    "daily_tables",
    "read_table",
]

Floats = NDArray[np.float64]

DEFROST_PENALTY_FRAC = 0.10
"""Heat and COP lost to frost and its removal while the coil is well below freezing (from memory,
low: 5 to 15 % for air coils near 0 °C). [-]"""

# Frost starts where the coil's surface reaches freezing and costs its full share a little below.
_FROST_FULL_C = -3.0

_ZERO_C_K = 273.15


@dataclass(frozen=True, slots=True, kw_only=True)
class PerformanceTable:
    """COP and heat output of one refrigerant's cycle over air and water.

    Parameters
    ----------
    refrigerant : str
        Trade designation.
    single_pass : bool
        Whether the unit takes water from the cold bottom and returns it hot: then `water_c` is
        the entering water.
    air_c, humidity, water_c : array of shape (t,), (h,), (w,)
        Grid: dry bulb, relative humidity, water. [°C], [-], [°C]
    values : array of shape (t, h, 2 w + 2)
        For each kind of air: COP with fan and controls over water; heat over that at the rating
        point, over water; mean temperature of the coil's surface; share of the coil's heat that
        cools rather than dries the air. [-], [-], [°C], [-]
    rated_cop : float
        COP at the rating point. [-]
    """

    refrigerant: str
    single_pass: bool
    air_c: Floats
    humidity: Floats
    water_c: Floats
    values: Floats
    rated_cop: float

    @property
    def cop(self) -> Floats:
        """COP, of shape (t, h, w). [-]"""
        return self.values[..., : self.water_c.size]

    @property
    def heat_ratio(self) -> Floats:
        """Heat over that at the rating point, of shape (t, h, w). [-]"""
        return self.values[..., self.water_c.size : -2]

    def at_air(self, air_c: Floats, humidity: Floats) -> Floats:
        """Return the values for given air, interpolated linearly.

        Parameters
        ----------
        air_c, humidity : array of shape (n,)
            Air; what lies beyond the grid takes its edge. [°C], [-]

        Returns
        -------
        array of shape (n, 2 w + 2)
        """
        row, across = _place(self.air_c, air_c)
        column, along = _place(self.humidity, humidity)
        across, along = across[:, None], along[:, None]
        drier = self.values[row, column] * (1.0 - across)
        drier += self.values[row + 1, column] * across
        wetter = self.values[row, column + 1] * (1.0 - across)
        wetter += self.values[row + 1, column + 1] * across
        return drier + (wetter - drier) * along


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPumpDays:
    """What a heat pump can do on each day of a year, over water temperature.

    Parameters
    ----------
    water_c : array of shape (w,)
        Water beside the condenser, or entering a single-pass unit. [°C]
    cop, heat_kw : array of shape (365, w)
        COP with fan and controls, and heat into the water while running. [-], [kW]
    locked_out : array of bool, shape (365,)
        Days on which the air is outside the compressor's range.
    surface_c, sensible_frac : array of shape (365,)
        As in :class:`PerformanceTable`, for the air of each day. [°C], [-]
    single_pass : bool
        As in :class:`PerformanceTable`.
    """

    water_c: Floats
    cop: Floats
    heat_kw: Floats
    locked_out: NDArray[np.bool_]
    surface_c: Floats
    sensible_frac: Floats
    single_pass: bool


@lru_cache(maxsize=8)
def read_table(refrigerant: str) -> PerformanceTable:
    """Return the shipped performance table of a refrigerant.

    Parameters
    ----------
    refrigerant : str
        R134a, R513A, R290 or R744.

    Raises
    ------
    UnknownChoiceError
        If there is no table for it.
    """
    settings = settings_for(refrigerant)
    # air, humidity, water, cop, heat_ratio, surface, sensible_frac, rated_cop
    path = dataset_path(f"properties/heat_pump_{refrigerant.lower()}.csv")
    values = np.loadtxt(path, delimiter=",", skiprows=1)
    kinds, waters = (len(settings.air_c), len(settings.humidity)), len(settings.water_c)
    rows = values.reshape(*kinds, waters, -1)
    return PerformanceTable(
        refrigerant=refrigerant,
        single_pass=settings.transcritical,
        air_c=np.array(settings.air_c),
        humidity=np.array(settings.humidity),
        water_c=np.array(settings.water_c),
        values=np.concatenate((rows[..., 3], rows[..., 4], rows[..., 0, 5:7]), axis=2),
        rated_cop=float(values[0, 7]),
    )


def daily_tables(
    heater: Heater,
    air_temp_c: Floats,
    rel_humidity: Floats,
    *,
    cop_scale: float = 1.0,
    defrost_penalty_frac: float = DEFROST_PENALTY_FRAC,
    table: PerformanceTable | None = None,
) -> HeatPumpDays:
    """Return what a heat pump can do in the air of each day.

    Parameters
    ----------
    heater : Heater
        Heat-pump row: refrigerant, compressor power at the rating point and range of air.
    air_temp_c, rel_humidity : array of shape (365,)
        Air that enters the unit while it runs. [°C], [-]
    cop_scale : float
        Factor on the table's COP that reproduces the heater's UEF. [-]
    defrost_penalty_frac : float
        Heat and COP lost while the coil frosts, 0 to 0.5. [-]
    table : PerformanceTable, optional
        In place of the shipped one.

    Returns
    -------
    HeatPumpDays

    Raises
    ------
    OutOfRangeError
        If the penalty lies outside its range.
    InconsistentRatingError
        If the scaled COP exceeds the Carnot bound, so that the rating cannot be true.
    UnknownChoiceError
        If there is no table for the refrigerant.

    Notes
    -----
    The electric power at the rating point is the row's, whatever the scale: better units give
    more heat for it. The penalty grows from nothing at a coil surface of 0 °C to its full share at
    -3 °C and is taken in dry air as well, which overstates it in deep cold.
    """
    if not 0.0 <= defrost_penalty_frac <= 0.5:
        raise OutOfRangeError.of(
            "defrost penalty", value=f"{defrost_penalty_frac:g}", allowed="0 to 0.5",
            fix="write 10 % as 0.1",
        )  # fmt: skip
    table = table or read_table(heater.refrigerant)
    values = table.at_air(air_temp_c, rel_humidity)
    waters = table.water_c.size
    surface_c = values[:, -2]
    left = 1.0 - defrost_penalty_frac * np.minimum(np.maximum(surface_c / _FROST_FULL_C, 0.0), 1.0)
    cop = values[:, :waters] * (cop_scale * left)[:, None]
    _check_carnot(heater, table, cop, air_temp_c)
    rated_heat_kw = heater.compressor_input_kw * cop_scale * table.rated_cop
    coldest = max(heater.min_air_temp_c, float(table.air_c[0]))
    hottest = min(heater.max_air_temp_c, float(table.air_c[-1]))
    return HeatPumpDays(
        water_c=table.water_c,
        cop=cop,
        heat_kw=values[:, waters:-2] * (rated_heat_kw * left)[:, None],
        locked_out=(air_temp_c < coldest) | (air_temp_c > hottest),
        surface_c=surface_c,
        sensible_frac=values[:, -1],
        single_pass=table.single_pass,
    )


def _place(grid: Floats, values: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return the grid cell of each value and the share of its upper edge."""
    values = np.minimum(np.maximum(values, grid[0]), grid[-1])
    cell = np.minimum(np.searchsorted(grid, values, side="right") - 1, len(grid) - 2)
    return cell, (values - grid[cell]) / (grid[cell + 1] - grid[cell])


def _check_carnot(heater: Heater, table: PerformanceTable, cop: Floats, air_c: Floats) -> None:
    """Raise if heat would rise from air to water with less work than the second law asks."""
    sink_k = table.water_c + _ZERO_C_K
    if table.single_pass:
        outlet_k = np.maximum(SINGLE_PASS_OUTLET_C + _ZERO_C_K, sink_k + 1.0)
        sink_k = (outlet_k - sink_k) / np.log(outlet_k / sink_k)
    lift_k = sink_k[None, :] - (air_c + _ZERO_C_K)[:, None]
    if np.any(cop * lift_k > sink_k[None, :]):
        raise InconsistentRatingError.of(
            f"{heater.id}: uef", value=f"{heater.uef:g}",
            allowed="a COP below the Carnot bound between air and water",
            fix="check UEF and standby loss against the label",
        )  # fmt: skip
