"""What the options of a house meet in their simulated years, and what comes of them.

Records only, so that faces and the closed form can name them without loading the compiled models.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.errors import Fault
from heatersel.simulation.distribution import LoopYear
from heatersel.simulation.heat_pump import DEFROST_PENALTY_FRAC
from heatersel.simulation.heat_pump_control import HeatPumpControl
from heatersel.simulation.house_air import HouseAir
from heatersel.simulation.result import AnnualResult
from heatersel.simulation.space_heating import HouseSystem
from heatersel.water import heat_kwh

if TYPE_CHECKING:
    from heatersel.simulation.tankless import TanklessYears

__all__ = ["HouseYear", "SimulatedOptions"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseYear:
    """What all options of a house meet when their years are simulated.

    Parameters
    ----------
    years : tuple of DrawYear
        Seeded years of draws.
    hot_l : array of shape (365,)
        Hot water at the setpoint on a mean day of that date. [L/day]
    inlet_c : array of shape (365,)
        Cold water. [°C]
    setpoint_c, use_temp_c : float
        Store or outlet, and least temperature that a fixture's user accepts. [°C]
    air : HouseAir
        Room, house, outdoors.
    system : HouseSystem or None
        Heating and cooling that a heater burdens or helps; None leaves them out.
    altitude_derate_frac : float
        Input that burners lose. [-]
    supply_v : float or None
        Supply of electric tankless heaters, if not the one of their rating. [V]
    tempering_valve_c : float or None
        Mixed temperature of a valve at the store, None without one. [°C]
    control : HeatPumpControl
        How compressor and elements share the work.
    defrost_penalty_frac : float
        Heat of a heat pump that defrosting costs in freezing air. [-]
    throttles : bool
        Whether an overloaded tankless heater cuts the flow; else its outlet sags.
    buffer_l : float
        Small tank behind a tankless heater, 0 for none. [L]
    loop : LoopYear or None
        Recirculation loop that each heater would keep warm.
    """

    years: tuple[DrawYear, ...]
    hot_l: Floats
    inlet_c: Floats
    setpoint_c: float
    use_temp_c: float
    air: HouseAir
    system: HouseSystem | None
    altitude_derate_frac: float = 0.0
    supply_v: float | None = None
    tempering_valve_c: float | None = None
    control: HeatPumpControl = field(default_factory=HeatPumpControl)
    defrost_penalty_frac: float = DEFROST_PENALTY_FRAC
    throttles: bool = False
    buffer_l: float = 0.0
    loop: LoopYear | None = None

    @property
    def heat_kwh(self) -> Floats:
        """Heat in the hot water of each day. [kWh/day]"""
        return heat_kwh(self.hot_l, self.inlet_c, np.full(365, self.setpoint_c))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedOptions:
    """The simulated years of a list of heaters.

    Parameters
    ----------
    annual : dict of str to AnnualResult
        By heater id; without the heaters whose label no tank gives.
    tankless : dict of str to TanklessYears
        What only tankless heaters have: waits, slugs, draws too small to fire.
    faults : tuple of Fault
        Why heaters were left out.
    """

    annual: dict[str, AnnualResult]
    tankless: dict[str, TanklessYears]
    faults: tuple[Fault, ...]
