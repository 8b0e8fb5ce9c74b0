"""A label beside the simulated rating tests, and the tank that gives the label back.

The calibration solves for standby loss (a heat pump: for the scale of its COP) and for the
stirring at the inlet until the simulated tests give the label: UEF within 0.001, first-hour rating
within 3 %. A row for which no tank of its class does is reported as inconsistent, with the reason.
That is a calibration, not a validation: the loss takes up every error of the model.

References
----------
.. [1] 10 CFR 430 Subpart B Appendix E; see :mod:`heatersel.simulation.laboratory`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import InconsistentRatingError
from heatersel.heaters.heater import DrawPattern, Heater
from heatersel.heaters.rated import rating_faults
from heatersel.simulation.laboratory import (
    PATTERNS,
    laboratory_draws,
    simulated_first_hours_l,
    simulated_uefs,
    simulated_use,
)
from heatersel.simulation.tank import ORDINARY_MIXING_FRAC, TankModel, uncalibrated

__all__ = ["Rating", "calibrate", "calibrated", "rate", "rate_all"]

Floats = NDArray[np.float64]

UEF_TOLERANCE = 0.001
FHR_TOLERANCE_FRAC = 0.03

_MIXINGS = np.linspace(0.0, 0.45, 16)
_STEPS = np.linspace(-0.03, 0.03, 13)
_CLOSE_FRAC = 0.01
_SECANTS = 6
_DAY_S = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rating:
    """A label beside what the simulated tests give.

    Parameters
    ----------
    id : str
        The heater.
    draw_pattern : DrawPattern
        Declared pattern.
    uef_rated, uef_simulated : float
        Uniform energy factor. [-]
    first_hour_rating_rated_l, first_hour_rating_simulated_l : float
        First-hour rating. [L]
    standby_loss_w_per_k : float
        Water-side loss of the calibrated tank. [W/K]
    mixing_frac, cop_scale : float
        Stirred share of the volume, and scale of a heat pump's table. [-]
    consistent : bool
        Whether the tests give the label within 0.001 and 3 %.
    why_not : str
        The reason if they do not, else empty.
    time_h : array
        Hours of the simulated use, every minute. [h]
    top_c, mean_c : array
        Water at the outlet, and mean of the tank. [°C]
    draw_l_per_min, input_kw : array
        Hot water drawn, and energy used by burner, elements or compressor. [L/min], [kW]
    """

    id: str
    draw_pattern: DrawPattern
    uef_rated: float
    uef_simulated: float
    first_hour_rating_rated_l: float
    first_hour_rating_simulated_l: float
    standby_loss_w_per_k: float
    mixing_frac: float
    cop_scale: float
    consistent: bool
    why_not: str = ""
    time_h: Floats
    top_c: Floats
    mean_c: Floats
    draw_l_per_min: Floats
    input_kw: Floats


def rate(heater: Heater) -> Rating:
    """Return a heater's label beside the simulated rating tests.

    Parameters
    ----------
    heater : Heater
        Storage heater. For a tankless one see :mod:`heatersel.simulation.tankless_rating`.

    Returns
    -------
    Rating
    """
    return rate_all((heater,))[0]


def rate_all(heaters: Sequence[Heater]) -> tuple[Rating, ...]:
    """Return the labels of several storage heaters beside the simulated rating tests.

    Parameters
    ----------
    heaters : sequence of Heater
        Storage heaters, in any order.

    Returns
    -------
    tuple of Rating
        In the same order; a row that contradicts itself has no simulated figures (NaN).
    """
    fits = dict(zip((heater.id for heater in heaters), _fit(heaters), strict=True))
    return tuple(_rating(heater, *fits[heater.id]) for heater in heaters)


def calibrate(heater: Heater) -> TankModel:
    """Return the tank that gives a heater's label back.

    Parameters
    ----------
    heater : Heater
        Storage heater.

    Returns
    -------
    TankModel

    Raises
    ------
    InconsistentRatingError
        If the label contradicts itself, or no tank of its class gives it.
    """
    models, faults = calibrated((heater,))
    if faults:
        raise faults[0]
    return models[0]


def calibrated(
    heaters: Sequence[Heater],
) -> tuple[tuple[TankModel, ...], tuple[InconsistentRatingError, ...]]:
    """Return the tanks of those heaters whose label can be given back, and why not for the rest.

    Parameters
    ----------
    heaters : sequence of Heater
        Storage heaters.

    Returns
    -------
    models : tuple of TankModel
        In the order of the heaters, without those at fault.
    faults : tuple of InconsistentRatingError
        One for each heater left out.
    """
    models, faults = [], []
    for heater, (model, tests, why) in zip(heaters, _fit(heaters), strict=True):
        if model is not None and not why:
            models.append(model)
        else:
            faults.append(_error(heater, tests, why))
    return tuple(models), tuple(faults)


@dataclass(frozen=True, slots=True)
class _Tests:
    """What the simulated tests gave for one tank."""

    uef: float
    first_hour_l: float
    least_l: float = float("nan")  # over all stirring
    most_l: float = float("nan")


_Fit = tuple[TankModel | None, _Tests, str]


_KEPT: dict[Heater, _Fit] = {}
_MOST_KEPT = 1000  # a few MB; many houses have the same list and few kinds of present heaters


def _fit(heaters: Sequence[Heater]) -> tuple[_Fit, ...]:
    """Return, for each heater, its calibrated tank, what the tests give, and why it is refused.

    Fits are kept heater by heater: one does not depend on the others that are solved with it.
    """
    known = {heater: fit for heater in heaters if (fit := _KEPT.get(heater)) is not None}
    new = _fitted([heater for heater in dict.fromkeys(heaters) if heater not in known])
    if len(_KEPT) + len(new) > _MOST_KEPT:
        _KEPT.clear()
    _KEPT.update(new)
    fits = known | new
    return tuple(fits[heater] for heater in heaters)


def _fitted(heaters: Sequence[Heater]) -> dict[Heater, _Fit]:
    faults = {heater: rating_faults(heater) for heater in heaters}
    nothing = _Tests(float("nan"), float("nan"))
    fits: dict[Heater, _Fit] = {
        heater: (None, nothing, " ".join(fault.sentence() for fault in found))
        for heater, found in faults.items()
        if found
    }
    sound = [heater for heater in heaters if not faults[heater]]
    models, tests = _solve([uncalibrated(heater) for heater in sound]) if sound else ([], [])
    for model, test in zip(models, tests, strict=True):
        fits[model.heater] = (model, test, _why_not(model.heater, test))
    return fits


def _solve(models: list[TankModel]) -> tuple[list[TankModel], list[_Tests]]:
    """Return the models with stirring and loss (or COP) that come nearest to their labels."""
    everywhere = np.tile(_MIXINGS, (len(models), 1))
    models = _fit_energy(models)
    simulated_l = simulated_first_hours_l(models, everywhere)
    models = _nearest(models, everywhere, simulated_l)
    for _ in range(2):
        models = _fit_energy(models)
        near = np.array([model.mixing_frac for model in models])[:, None]
        near = np.clip(near + _STEPS, 0.0, _MIXINGS[-1])
        models = _nearest(models, near, simulated_first_hours_l(models, near))
    models = _fit_energy(models)
    own = np.array([[model.mixing_frac] for model in models])
    tests = zip(
        simulated_uefs(models).tolist(), simulated_first_hours_l(models, own)[:, 0].tolist(),
        simulated_l.min(axis=1).tolist(), simulated_l.max(axis=1).tolist(), strict=True,
    )  # fmt: skip
    return models, [_Tests(*test) for test in tests]


def _nearest(models: list[TankModel], mixings: Floats, simulated_l: Floats) -> list[TankModel]:
    """Return the models with the stirring that gives the label's first-hour rating.

    Of those that give it within 1 % the most ordinary is taken, since a slow heater's rating
    hardly depends on the stirring.
    """
    rated_l = np.array([[model.heater.first_hour_rating_l] for model in models])
    error = np.abs(simulated_l / rated_l - 1.0)
    oddity = np.abs(mixings - ORDINARY_MIXING_FRAC)
    best = np.where(error < _CLOSE_FRAC, oddity - 10.0, error).argmin(axis=1)
    return [
        replace(model, mixing_frac=float(mixings[n, best[n]])) for n, model in enumerate(models)
    ]


def _fit_energy(models: list[TankModel]) -> list[TankModel]:
    """Return the models with the loss, or a heat pump's COP, that gives the label's UEF."""
    rated = np.array([model.heater.uef for model in models])
    is_pump = np.array([model.is_heat_pump for model in models])
    unknown = np.array([_energy_unknown(model) for model in models])
    uef = simulated_uefs(models)
    best, least = unknown, np.abs(uef - rated)
    before, before_uef = unknown, uef
    unknown = unknown * 1.02
    for _ in range(_SECANTS):
        uef = simulated_uefs(_with_unknown(models, unknown))
        error = np.abs(uef - rated)
        best, least = np.where(error < least, unknown, best), np.minimum(error, least)
        # A loss acts nearly linearly on the reciprocal of the UEF, a COP on the UEF itself.
        old, new, aim = (np.where(is_pump, u, 1.0 / u) for u in (before_uef, uef, rated))
        moved = np.abs(new - old) > 1e-12
        rate_of = np.where(moved, (unknown - before) / np.where(moved, new - old, 1.0), 0.0)
        before, before_uef = unknown, uef
        unknown = np.clip(unknown + rate_of * (aim - new), 0.5 * unknown, 2.0 * unknown)
    return _with_unknown(models, best)


def _energy_unknown(model: TankModel) -> float:
    return model.cop_scale if model.is_heat_pump else model.standby_loss_w_per_k


def _with_unknown(models: list[TankModel], values: Floats) -> list[TankModel]:
    return [
        replace(model, cop_scale=float(value))
        if model.is_heat_pump
        else replace(model, standby_loss_w_per_k=float(value))
        for model, value in zip(models, values, strict=True)
    ]


def _why_not(heater: Heater, tests: _Tests) -> str:
    """Return why a heater's label cannot be given back, empty if it can."""
    if not abs(tests.uef - heater.uef) <= UEF_TOLERANCE:
        wanted = "coefficient of performance" if heater.compressor_input_kw > 0.0 else "loss"
        return f"no {wanted} gives a UEF of {heater.uef:g}; the nearest gives {tests.uef:.3f}"
    rated_l = heater.first_hour_rating_l
    if abs(tests.first_hour_l / rated_l - 1.0) <= FHR_TOLERANCE_FRAC:
        return ""
    return (
        f"a tank of {heater.volume_l:.0f} L with {_power(heater)} gives "
        f"{tests.least_l:.0f} to {tests.most_l:.0f} L in the first-hour test, not {rated_l:.0f} L"
    )


def _power(heater: Heater) -> str:
    if heater.compressor_input_kw > 0.0:
        return (
            f"{heater.compressor_input_kw:g} kW of compressor and {heater.input_kw:g} kW of element"
        )
    return f"{heater.input_kw:.1f} kW"


def _error(heater: Heater, tests: _Tests, why: str) -> InconsistentRatingError:
    faults = rating_faults(heater)
    if faults:
        return InconsistentRatingError(*faults)
    error = InconsistentRatingError.of(
        f"{heater.id}: rating", value=f"UEF {heater.uef:g}, first-hour rating "
        f"{heater.first_hour_rating_l:.0f} L", allowed=why,
        fix="check volume, input, UEF and first-hour rating against the label",
    )  # fmt: skip
    assert isinstance(error, InconsistentRatingError)
    return error


def _rating(heater: Heater, model: TankModel | None, tests: _Tests, why: str) -> Rating:
    nothing = np.zeros(0)
    traces = {"time_h": nothing, "top_c": nothing, "mean_c": nothing, "input_kw": nothing,
              "draw_l_per_min": nothing}  # fmt: skip
    if model is not None:
        traces = _traces(model)
    return Rating(
        id=heater.id,
        draw_pattern=heater.draw_pattern,
        uef_rated=heater.uef,
        uef_simulated=tests.uef,
        first_hour_rating_rated_l=heater.first_hour_rating_l,
        first_hour_rating_simulated_l=tests.first_hour_l,
        standby_loss_w_per_k=model.standby_loss_w_per_k if model else float("nan"),
        mixing_frac=model.mixing_frac if model else float("nan"),
        cop_scale=model.cop_scale if model else float("nan"),
        consistent=not why,
        why_not=why,
        **traces,
    )


def _traces(model: TankModel) -> dict[str, Floats]:
    """Return the day of the simulated use minute by minute."""
    minutes = int(_DAY_S / 60.0)
    trace = simulated_use([model], minutes).trace[0]
    time_h = np.arange(minutes) / 60.0
    years, pieces = laboratory_draws()
    year = PATTERNS.index(model.heater.draw_pattern)
    draw = np.zeros(minutes)
    for piece in pieces[years[year] : years[year + 1]]:
        draw[int(piece["start_s"] // 60) : int(np.ceil(piece["end_s"] / 60))] += (
            60.0 * piece["flow_l_per_s"][0]
        )
    return {
        "time_h": time_h,
        "top_c": trace[:, 0],
        "mean_c": trace[:, 1],
        "draw_l_per_min": draw,
        "input_kw": np.diff(trace[:, 2], prepend=0.0) / 60.0,
    }
