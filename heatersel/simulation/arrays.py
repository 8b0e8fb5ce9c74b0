"""What goes into the compiled tank and what comes out: records of numbers with named fields.

Inside the kernel: temperatures in °C, volumes in L (heights too, as the volume below), flows in
L/s, time in s from the start of the year, power in kW, energy in kJ. A record is laid out once
here and used by name on both sides of the compiler.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "AS_IT_COMES_C",
    "BOTTOM_DRAW",
    "BURNER",
    "CONDENSER",
    "NO_HEAT_C",
    "N_MIXES",
    "N_SEGMENTS",
    "N_WATERS",
    "PIECE",
    "PLACE",
    "PUMP_DAY",
    "RUN",
    "SPAN",
    "TANK",
    "TOTALS",
    "Grain",
    "Outputs",
    "Scene",
]  # fmt: skip

N_SEGMENTS = 256
"""Room for segments in a run, far more than the 8 it works with; the reference needs them."""

N_WATERS = 16
"""Water temperatures in a heat pump's table."""

N_MIXES = 4
"""Different temperatures that fixtures running together may ask for."""

AS_IT_COMES_C = 900.0
"""A draw that asks for this or more takes hot water as it comes, without mixing. [°C]"""

NO_HEAT_C = -100.0
"""A setpoint below any water: heating is forbidden. [°C]"""

# What the main heat source is.
BURNER = 0  # constant power at one height: burner or element
CONDENSER = 1  # heat pump that warms the tank from below
BOTTOM_DRAW = 2  # heat pump that draws from the bottom and returns hot water to the top

TANK = np.dtype(
    [
        ("volume_l", "f8"),
        ("water_kj_per_l_k", "f8"),
        ("loss_idle_kw_per_k", "f8"),
        ("loss_firing_kw_per_k", "f8"),  # less, where a flue loses between firings
        ("pilot_kw", "f8"),  # heat from the pilot into the water while the burner is off
        ("main", "i8"),  # BURNER, CONDENSER or BOTTOM_DRAW
        ("main_kw", "f8"),  # heat into the water; a heat pump's table says instead
        ("main_conversion", "f8"),  # heat per energy; scale on a heat pump's table of COP
        ("main_height_l", "f8"),
        ("main_sensor_l", "f8"),
        ("main_deadband_k", "f8"),
        ("upper_kw", "f8"),  # heat from the upper element, 0 without one
        ("upper_height_l", "f8"),
        ("upper_sensor_l", "f8"),
        ("upper_drop_k", "f8"),  # below the setpoint where the upper element comes on
        ("lower_kw", "f8"),  # element in place of a compressor that cannot run, 0 without one
        ("lower_height_l", "f8"),
        ("element_conversion", "f8"),
        ("mixing_l", "f8"),  # bottom zone that the incoming water stirs
        ("condenser_top_l", "f8"),
        ("valve_c", "f8"),  # tempering valve at the outlet
        ("pump", "i8"),  # row of the heat-pump tables
    ]
)
"""A storage heater."""

PIECE = np.dtype(
    [
        ("start_s", "f8"),
        ("end_s", "f8"),
        ("n", "i8"),  # temperatures asked for
        ("flow_l_per_s", "f8", (N_MIXES,)),  # mixed flow at each
        ("temp_c", "f8", (N_MIXES,)),
    ]
)
"""A stretch of time in which the same fixtures run."""

SPAN = np.dtype(
    [("start_s", "f8"), ("end_s", "f8"), ("month", "i8"), ("day", "i8"), ("inlet_c", "f8")]
)
"""A stretch of time with constant surroundings."""

PLACE = np.dtype(
    [
        ("room_c", "f8"),
        ("setpoint_c", "f8"),
        ("compressor", "i8"),  # 0 where its control keeps a compressor off
        ("elements", "i8"),  # 0 where it keeps a heat pump's or a tank's elements off
    ]
)
"""What one heater has around it and is set to through one span."""

PUMP_DAY = np.dtype(
    [
        ("runs", "i8"),  # 0 if the air locks it out
        ("first_c", "f8"),  # first water temperature of the tables
        ("per_k", "f8"),  # one over their step
        ("cop", "f8", (N_WATERS,)),
        ("heat_kw", "f8", (N_WATERS,)),
    ]
)
"""A heat pump on one day, over the temperature of the water that it heats."""

TOTALS = np.dtype(
    [
        (name, "f8")
        for name in (
            "main_kj",  # energy used by burner, lower element or compressor
            "upper_kj",  # energy used by the upper element, and by the lower one of a heat pump
            "heat_kj",  # heat into the water, without the pilot's
            "pilot_kj",
            "loss_kj",
            "out_kj",  # heat drawn, above the inlet
            "missed_kj",  # heat that draws asked for and did not get
            "air_kj",  # heat taken from the air
            "hot_l",
            "short_l",  # mixed water below the use temperature
            "short_s",
            "main_s",
            "starts",
            "residual_kj",  # largest error of the balance
        )
    ]
)
"""Sums of one month of one run."""

RUN = np.dtype(
    [
        ("volume_l", "f8", (N_SEGMENTS,)),
        ("temp_c", "f8", (N_SEGMENTS,)),
        ("top", "i8"),  # first segment in use
        ("end", "i8"),  # one past the last
        ("pending_s", "f8"),  # time that has passed without decay
        ("main_on", "i8"),
        ("upper_on", "i8"),
        ("idle_per_s", "f8"),  # rates of decay
        ("firing_per_s", "f8"),
        ("pilot_k", "f8"),  # how far the pilot alone would warm the tank
        ("l_k_per_kj", "f8"),  # litre kelvins that a kJ warms
        ("pump_kw", "f8"),  # heat of the compressor in its last step
        ("stored_kj", "f8"),  # heat stored when the sums began
        ("coldest_c", "f8"),  # coldest water at a fixture that was short
        ("supply_c", "f8"),  # coldest supply of the present draw
        ("short_s", "f8"),  # shortage of the present draw
        ("fired_kj", "f8"),  # energy used and time taken by the last step
        ("fired_s", "f8"),
    ]
)
"""State of one run between steps."""


class Grain(NamedTuple):
    """How finely a run is resolved."""

    segments: int  # at most this many
    slice_frac: float  # largest piece of a draw, as a share of the tank
    merge_k: float  # hot neighbours closer than this become one
    inflow_k: float  # what comes in joins the water above it if closer than this
    decay_s: float  # time whose decay may wait until after a draw or a step of heating
    heat_s: float  # longest step of heating at rest
    pump_k: float  # largest warming of the condenser's water in a step
    check: bool  # close the balance after every step


class Scene(NamedTuple):
    """Everything around the heaters, shared by all runs."""

    years: NDArray[np.int64]  # first piece of each year, one more at the end
    pieces: NDArray[np.void]  # PIECE
    spans: NDArray[np.void]  # SPAN
    places: NDArray[np.void]  # PLACE, shape (heaters, spans)
    pump_days: NDArray[np.void]  # PUMP_DAY, shape (pumps, days), one pump at least
    use_c: float  # a fixture is short below this, or below what it asks for if that is less


class Outputs(NamedTuple):
    """Arrays that runs fill, one row per run; those without columns are left alone."""

    totals: NDArray[np.void]  # TOTALS, shape (runs, months)
    coldest_c: NDArray[np.float64]
    end_mean_c: NDArray[np.float64]
    short_s: NDArray[np.float64]  # (runs, days, 2): whole day, morning
    hourly_kj: NDArray[np.float64]  # (runs, hours)
    supply_c: NDArray[np.float64]  # (runs, pieces of the year): coldest supply of each
    trace: NDArray[np.float64]  # (runs, spans, 3): top, mean, energy so far
