"""What a rating label says about the tank behind it: loss and conversion, in closed form.

The uniform energy factor (UEF) is measured over a test day with a fixed draw pattern, 58 degF
inlet, 125 degF delivery and 67.5 degF air. The daily heat balance of that day turns it round:

    input-side loss    after WHAM [1]_: what standby costs in fuel or electricity, per kelvin
    water-side loss    what the tank itself loses to the room, per kelvin

The two differ by about the recovery efficiency; mixing them up misjudges the standby of a fuel
tank by a quarter. A simulation and a heat balance of the tank need the water-side figure.

A heat pump's UEF cannot separate loss from coefficient of performance (COP): its loss comes
from the data sheet, or failing that from its class, and its COP follows.

References
----------
.. [1] J.D. Lutz, C.D. Whitehead, A.B. Lekov, G.J. Rosenquist, D.W. Winiarski, "WHAM: A
   simplified energy consumption equation for water heaters", ASHRAE Transactions 105(1), 1999.
   (abstract seen; equation from memory)
.. [2] 10 CFR 430 Subpart B Appendix E, "Uniform test method for measuring the energy
   consumption of water heaters". (opening seen; draw patterns and equations from memory)
.. [3] 16 CFR 305 Appendices D1, D3, D4: draw pattern by first-hour rating. (seen)
"""

from __future__ import annotations

from dataclasses import dataclass

from heatersel.errors import Fault, InconsistentRatingError
from heatersel.heaters.heater import DrawPattern, Heater, Kind

__all__ = [
    "AIR_TEMP_C",
    "DAILY_DRAW_L",
    "DELIVERY_TEMP_C",
    "INLET_TEMP_C",
    "RatedTank",
    "check_rating",
    "cop_in_test",
    "expected_draw_pattern",
    "input_side_loss_w_per_k",
    "rate_tank",
    "rating_day_heat_kwh",
    "rating_faults",
    "standby_loss_w_per_k",
]

_L_PER_GAL = 3.785411784

INLET_TEMP_C = (58.0 - 32.0) / 1.8
"""Inlet water of the federal test, 58 degF [2]_. [°C]"""

DELIVERY_TEMP_C = (125.0 - 32.0) / 1.8
"""Delivered water and setpoint of the federal test, 125 degF [2]_. [°C]"""

AIR_TEMP_C = (67.5 - 32.0) / 1.8
"""Air around the heater in the federal test, 67.5 degF [2]_. [°C]"""

DAILY_DRAW_L = {
    DrawPattern.VERY_SMALL: 10.0 * _L_PER_GAL,
    DrawPattern.LOW: 38.0 * _L_PER_GAL,
    DrawPattern.MEDIUM: 55.0 * _L_PER_GAL,
    DrawPattern.HIGH: 84.0 * _L_PER_GAL,
}
"""Hot water of a test day: 10, 38, 55, 84 gal [2]_. [L/day]"""

# 8.24 lb/gal and 1.00 Btu/(lb degF), the water of the label equation [2]_, in kWh/(L K).
_LABEL_WATER_KWH_PER_L_K = 8.24 * 0.45359237 / _L_PER_GAL * 4.1868 / 3600.0

# Lower edges of the first-hour rating, 18, 51 and 75 gal [3]_.
_PATTERN_FLOOR_L = (
    (75.0 * _L_PER_GAL, DrawPattern.HIGH),
    (51.0 * _L_PER_GAL, DrawPattern.MEDIUM),
    (18.0 * _L_PER_GAL, DrawPattern.LOW),
    (0.0, DrawPattern.VERY_SMALL),
)

# Share of a full tank that leaves hot enough before the first draw of the test ends, at the
# least (common practice, no source).
_USABLE_FRAC = 0.70

# Water-side loss of a heat pump's tank where no data sheet states it: the middle of 2.0 to
# 3.5 Btu/(h degF) (from memory, medium).
_HEAT_PUMP_CLASS_LOSS_W_PER_K = 2.75 * 0.29307107 * 1.8


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedTank:
    """Loss and conversion of a storage heater, as its rating implies them.

    Parameters
    ----------
    conversion : float
        Heat into the water per energy used while heating: recovery efficiency, or the COP in
        the test of a heat pump. [-]
    standby_loss_w_per_k : float
        Water-side loss. [W/K]
    loss_source : str
        "rating" (from UEF and recovery efficiency), "data sheet" or "class".
    """

    conversion: float
    standby_loss_w_per_k: float
    loss_source: str


def rate_tank(heater: Heater) -> RatedTank:
    """Return loss and conversion of a storage heater from its label.

    Parameters
    ----------
    heater : Heater
        A storage heater, fuel-fired, electric or heat pump.

    Returns
    -------
    RatedTank

    Raises
    ------
    InconsistentRatingError
        If the rating contradicts itself; see :func:`check_rating`.
    """
    check_rating(heater)
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        stated = heater.standby_loss_w_per_k is not None
        return RatedTank(
            conversion=cop_in_test(heater),
            standby_loss_w_per_k=standby_loss_w_per_k(heater),
            loss_source="data sheet" if stated else "class",
        )
    return RatedTank(
        conversion=heater.recovery_efficiency,
        standby_loss_w_per_k=standby_loss_w_per_k(heater),
        loss_source="rating",
    )


def rating_day_heat_kwh(pattern: DrawPattern) -> float:
    """Return the heat delivered over a test day, with the water of the label equation.

    Parameters
    ----------
    pattern : DrawPattern
        Declared draw pattern.

    Returns
    -------
    float
        Volume x 8.24 lb/gal x 1.00 Btu/(lb degF) x 67 degF [2]_. [kWh/day]

    Examples
    --------
    >>> round(rating_day_heat_kwh(DrawPattern.MEDIUM), 2)
    8.9
    """
    rise_k = DELIVERY_TEMP_C - INLET_TEMP_C
    return DAILY_DRAW_L[pattern] * _LABEL_WATER_KWH_PER_L_K * rise_k


def standby_loss_w_per_k(heater: Heater) -> float:
    """Return the water-side loss of a storage heater: what the tank loses to the room.

    Parameters
    ----------
    heater : Heater
        Storage heater; a tankless heater holds no store and gives 0.

    Returns
    -------
    float
        Loss per kelvin between tank and room; for a fuel tank it includes the flue between
        firings and what a pilot does not put back. [W/K]

    Raises
    ------
    InconsistentRatingError
        If UEF is not below the recovery efficiency.

    Notes
    -----
    From the balance of the test day, UEF (heat + 24 loss dT) = RE heat. The tank is held at
    125 degF all day, though in truth it averages a little less: the closed form gives about
    2 to 10 % less than the simulated test does, and a UEF that is 0.009 to 0.016 high when it
    is put into the simulation. A heat pump's loss is read from its row, else from its class,
    2.75 Btu/(h degF) (from memory).
    """
    if heater.kind is Kind.TANKLESS:
        return 0.0
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        stated = heater.standby_loss_w_per_k
        return _HEAT_PUMP_CLASS_LOSS_W_PER_K if stated is None else stated
    _require_uef_below_recovery(heater)
    heat_kwh = rating_day_heat_kwh(heater.draw_pattern)
    loss_kwh = heat_kwh * (heater.recovery_efficiency / heater.uef - 1.0)
    return 1000.0 * loss_kwh / (24.0 * (DELIVERY_TEMP_C - AIR_TEMP_C))


def input_side_loss_w_per_k(heater: Heater) -> float:
    """Return the WHAM loss coefficient: what standby costs at the meter, per kelvin.

    Parameters
    ----------
    heater : Heater
        Fuel-fired or electric storage heater.

    Returns
    -------
    float
        Input power per kelvin between tank and room while the burner is off [1]_. [W/K]

    Raises
    ------
    InconsistentRatingError
        If UEF is not below the recovery efficiency, or the input is zero.

    Notes
    -----
    UA = (1/UEF - 1/RE) / (dT (24/Qout - 1/(RE Pon))), dT = 57.5 degF. Do not put it into a
    heat balance of the tank: that takes :func:`standby_loss_w_per_k`.
    """
    _require_uef_below_recovery(heater)
    _require_input(heater)
    excess = 1.0 / heater.uef - 1.0 / heater.recovery_efficiency
    heat_kwh = rating_day_heat_kwh(heater.draw_pattern)
    firing = 1.0 / (heater.recovery_efficiency * heater.input_kw)
    return 1000.0 * excess / ((DELIVERY_TEMP_C - AIR_TEMP_C) * (24.0 / heat_kwh - firing))


def cop_in_test(heater: Heater) -> float:
    """Return the mean COP that a heat pump's UEF and loss imply over the test day.

    Parameters
    ----------
    heater : Heater
        Heat-pump storage heater.

    Returns
    -------
    float
        UEF (1 + 24 loss dT / heat), any backup element included. [-]

    Notes
    -----
    COP 3.4, 3.6 and 3.8 at losses of 1.5, 2.2 and 3.0 W/K give the same UEF: the loss decides.
    """
    lost_kwh = 0.024 * standby_loss_w_per_k(heater) * (DELIVERY_TEMP_C - AIR_TEMP_C)
    return heater.uef * (1.0 + lost_kwh / rating_day_heat_kwh(heater.draw_pattern))


def expected_draw_pattern(first_hour_rating_l: float) -> DrawPattern:
    """Return the draw pattern that a first-hour rating belongs to.

    Parameters
    ----------
    first_hour_rating_l : float
        First-hour rating. [L]

    Returns
    -------
    DrawPattern
        Very small under 18 gal, low under 51, medium under 75, high from there on [3]_.

    Examples
    --------
    >>> expected_draw_pattern(200.0).value
    'medium'
    """
    # Ratings are stated in whole gallons: a hair below an edge is the edge itself.
    rounded_l = first_hour_rating_l + 0.005 * _L_PER_GAL
    return next(pattern for floor_l, pattern in _PATTERN_FLOOR_L if rounded_l >= floor_l)


def rating_faults(heater: Heater) -> tuple[Fault, ...]:
    """Return every way in which a storage heater's rating contradicts itself.

    Parameters
    ----------
    heater : Heater
        Any heater; a tankless one is judged on its input alone.

    Returns
    -------
    tuple of Fault
        Empty if the rating is consistent.
    """
    checks = (_require_input, _require_uef_below_recovery, _require_volume, _require_pattern)
    faults: list[Fault] = []
    for check in checks[:1] if heater.is_tankless else checks:
        try:
            check(heater)
        except InconsistentRatingError as trouble:
            faults.extend(trouble.faults)
    return tuple(faults)


def check_rating(heater: Heater) -> None:
    """Raise if a heater's rating contradicts itself.

    Parameters
    ----------
    heater : Heater
        Any heater.

    Raises
    ------
    InconsistentRatingError
        If the input is zero, UEF is not below the recovery efficiency, the first-hour rating
        is less than the volume alone gives, or the draw pattern is not the one that the
        first-hour rating belongs to; one fault for each.
    """
    faults = rating_faults(heater)
    if faults:
        raise InconsistentRatingError(*faults)


def _require_input(heater: Heater) -> None:
    if heater.input_kw <= 0.0 and heater.compressor_input_kw <= 0.0:
        raise InconsistentRatingError.of(
            f"{heater.id}: input", value=f"{heater.input_kw:g} kW", allowed="above 0",
            fix="take the input from the rating plate",
        )  # fmt: skip


def _require_uef_below_recovery(heater: Heater) -> None:
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        return
    if not 0.0 < heater.uef < heater.recovery_efficiency:
        raise InconsistentRatingError.of(
            f"{heater.id}: uef", value=f"{heater.uef:g}",
            allowed=f"above 0 and below the recovery efficiency, {heater.recovery_efficiency:g}, "
            "since every tank loses heat",
            fix="check both figures against the label and the data sheet",
        )  # fmt: skip


def _require_volume(heater: Heater) -> None:
    least_l = _USABLE_FRAC * heater.volume_l
    if heater.volume_l <= 0.0 or heater.first_hour_rating_l < least_l:
        raise InconsistentRatingError.of(
            f"{heater.id}: first-hour rating", value=f"{heater.first_hour_rating_l:.0f} L",
            allowed=f"at least {least_l:.0f} L, what a full tank of {heater.volume_l:.0f} L "
            "gives without any heating",
            fix="check volume and first-hour rating against the label",
        )  # fmt: skip


def _require_pattern(heater: Heater) -> None:
    expected = expected_draw_pattern(heater.first_hour_rating_l)
    if heater.draw_pattern is not expected:
        raise InconsistentRatingError.of(
            f"{heater.id}: draw pattern", value=heater.draw_pattern.value,
            allowed=f"{expected.value}, the one for a first-hour rating of "
            f"{heater.first_hour_rating_l / _L_PER_GAL:.0f} gal",
            fix="check pattern and first-hour rating against the label",
        )  # fmt: skip
