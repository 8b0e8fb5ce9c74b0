"""Energy use against outdoor temperature: base load with heating and cooling above and below.

Three parameters (base, heating slope, balance temperature) or five (with cooling), as in the
inverse models of building energy analysis [1]_. The balance temperatures are found by search,
the linear rest by weighted least squares.

A period may come with one mean temperature or with the temperature of each of its days. Degrees
below and above the balance are then summed day by day, which matters for a tank filled twice a
winter: the mean of a period that begins warm and ends cold says too little of its heating.

References
----------
.. [1] Kissock, J. K., Haberl, J. S., Claridge, D. E., "Inverse Modeling Toolkit: Numerical
   Algorithms", ASHRAE Transactions 109(2), 2003.  (memory, sure of the models)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import HeaterselError, ModelError

__all__ = [
    "ChangePointFit",
    "Temperatures",
    "fit_base_load",
    "fit_five_parameter",
    "fit_three_parameter",
    "student_t_95",
]

Floats = NDArray[np.float64]

Temperatures = Floats | Sequence[float | Floats]
"""Mean outdoor temperature of each period, or an array with those of its days. [°C]"""

_T_95 = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160,
    2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056,
    2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
_T_95_MANY = 1.96
_COARSE_STEPS = 61
_REFINEMENTS = 4
_FINE_STEPS = 11


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePointFit:
    """Use per day as a function of the mean outdoor temperature.

    Parameters
    ----------
    base_per_day : float
        Use that does not depend on the temperature. [kWh/d]
    base_error_per_day : float
        Its standard error, that of the balance temperatures included. [kWh/d]
    heating_per_day_k, cooling_per_day_k : float
        Use per day and kelvin below and above the balance temperatures; 0 without. [kWh/(d K)]
    heating_balance_c, cooling_balance_c : float or None
        Temperatures at which heating and cooling begin. [°C]
    cv_rmse : float
        Root mean square of the residuals, with degrees of freedom, over the mean use. [-]
    r_squared : float
        Share of the variance that the fit explains; 0 for a base load alone. [-]
    n, n_parameters : int
        Periods and fitted parameters.
    """

    base_per_day: float
    base_error_per_day: float
    heating_per_day_k: float
    cooling_per_day_k: float
    heating_balance_c: float | None
    cooling_balance_c: float | None
    cv_rmse: float
    r_squared: float
    n: int
    n_parameters: int

    def use_per_day(self, temp_c: Floats) -> Floats:
        """Return the use at mean outdoor temperatures. [kWh/d]"""
        use = np.full(np.shape(temp_c), self.base_per_day)
        if self.heating_balance_c is not None:
            use = use + self.heating_per_day_k * np.maximum(self.heating_balance_c - temp_c, 0.0)
        if self.cooling_balance_c is not None:
            use = use + self.cooling_per_day_k * np.maximum(temp_c - self.cooling_balance_c, 0.0)
        return use

    @property
    def base_half_width_per_day(self) -> float:
        """Half the 95 % confidence interval of the base load. [kWh/d]"""
        return student_t_95(self.n - self.n_parameters) * self.base_error_per_day


def fit_base_load(use_per_day: Floats, days: Floats) -> ChangePointFit:
    """Return the mean use with its error: for a fuel that neither heats nor cools the house.

    Parameters
    ----------
    use_per_day : array
        Use of each period. [kWh/d]
    days : array
        Length of each period, its weight.

    Returns
    -------
    ChangePointFit
        One parameter.

    Raises
    ------
    ModelError
        If there are fewer than three periods or nothing was used.
    """
    return _fit(_Weather.of(np.zeros(use_per_day.size)), use_per_day, days, (None,), (None,))


def fit_three_parameter(
    temp_c: Temperatures, use_per_day: Floats, days: Floats, *, cooling: bool = False
) -> ChangePointFit:
    """Return the best fit of a base load and heating below a balance temperature.

    Parameters
    ----------
    temp_c : Temperatures
        Mean outdoor temperature of each period, or those of its days. [°C]
    use_per_day : array
        Use of each period. [kWh/d]
    days : array
        Length of each period, its weight.
    cooling : bool
        Fit cooling above a balance temperature in place of heating.

    Returns
    -------
    ChangePointFit
        Three parameters.

    Raises
    ------
    ModelError
        If there are fewer than five periods or nothing was used.
    """
    weather = _Weather.of(temp_c)
    if cooling:
        return _fit(weather, use_per_day, days, (None,), weather.grid())
    return _fit(weather, use_per_day, days, weather.grid(), (None,))


def fit_five_parameter(temp_c: Temperatures, use_per_day: Floats, days: Floats) -> ChangePointFit:
    """Return the best fit of a base load with heating and cooling.

    Parameters
    ----------
    temp_c, use_per_day, days
        As for :func:`fit_three_parameter`.

    Returns
    -------
    ChangePointFit
        Five parameters, cooling beginning at or above the end of heating.

    Raises
    ------
    ModelError
        If there are fewer than seven periods or nothing was used.
    """
    weather = _Weather.of(temp_c)
    return _fit(weather, use_per_day, days, weather.grid(), weather.grid())


def student_t_95(degrees_of_freedom: int) -> float:
    """Return the two-sided 95 % point of Student's t; 1.96 beyond 30 degrees of freedom. [-]

    Raises ModelError below one degree of freedom.
    """
    if degrees_of_freedom < 1:
        raise _too_few(degrees_of_freedom)
    return _T_95[degrees_of_freedom - 1] if degrees_of_freedom <= len(_T_95) else _T_95_MANY


_Balances = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True, eq=False)
class _Weather:
    """Temperatures of all days in a row, with the place where each period begins."""

    temp_c: Floats
    begins: NDArray[np.int64]
    n_days: NDArray[np.int64]

    @classmethod
    def of(cls, temp_c: Temperatures) -> Self:
        periods = [np.atleast_1d(np.asarray(period, dtype=float)) for period in temp_c]
        n_days = np.array([period.size for period in periods], dtype=np.int64)
        flat = np.concatenate(periods) if periods else np.zeros(0)
        return cls(flat, np.cumsum(n_days) - n_days, n_days)

    def mean(self, by_day: Floats) -> Floats:
        """Return the mean of each period."""
        return np.asarray(np.add.reduceat(by_day, self.begins) / self.n_days)

    def columns(self, balances: _Balances) -> Floats:
        """Return ones, mean degrees below and mean degrees above, one row a period."""
        heating, cooling = balances
        found = [np.ones(self.n_days.size)]
        if heating is not None:
            found.append(self.mean(np.maximum(heating - self.temp_c, 0.0)))
        if cooling is not None:
            found.append(self.mean(np.maximum(self.temp_c - cooling, 0.0)))
        return np.column_stack(found)

    def shares(self, balances: _Balances) -> list[Floats]:
        """Return the share of each period's days below and above the balances."""
        heating, cooling = balances
        found = []
        if heating is not None:
            found.append(self.mean((self.temp_c < heating).astype(float)))
        if cooling is not None:
            found.append(self.mean((self.temp_c > cooling).astype(float)))
        return found

    def grid(self) -> tuple[float, ...]:
        """Return balances to try: from the second coldest to the second warmest temperature."""
        ordered = np.unique(self.temp_c)
        if ordered.size < 2:
            return (0.0,)
        low, high = (ordered[1], ordered[-2]) if ordered.size > 3 else (ordered[0], ordered[-1])
        return tuple(float(value) for value in np.linspace(low, high, _COARSE_STEPS))


def _fit(
    weather: _Weather,
    use_per_day: Floats,
    days: Floats,
    heating: Iterable[float | None],
    cooling: Iterable[float | None],
) -> ChangePointFit:
    """Search the balance temperatures, coarse first, then ever finer around the best."""
    heating, cooling = tuple(heating), tuple(cooling)
    n_parameters = 1 + 2 * (heating[0] is not None) + 2 * (cooling[0] is not None)
    if use_per_day.size < n_parameters + 2 or float(use_per_day @ days) <= 0.0:
        raise _too_few(use_per_day.size)
    best = _best(weather, use_per_day, days, heating, cooling)
    width = float(np.ptp(weather.temp_c)) / (_COARSE_STEPS - 1)
    for _ in range(_REFINEMENTS if n_parameters > 1 else 0):
        around = _around(best[0], width), _around(best[1], width)
        best = _best(weather, use_per_day, days, *around)
        width /= (_FINE_STEPS - 1) / 2
    fit = _summed_up(weather, use_per_day, days, best, n_parameters)
    # Heating and cooling cannot take energy away: what would is left out of the model.
    if fit.heating_per_day_k < 0.0:
        return _fit(weather, use_per_day, days, (None,), cooling)
    if fit.cooling_per_day_k < 0.0:
        return _fit(weather, use_per_day, days, heating, (None,))
    return fit


def _best(
    weather: _Weather,
    use_per_day: Floats,
    days: Floats,
    heating: Iterable[float | None],
    cooling: Iterable[float | None],
) -> _Balances:
    """Return the pair of balance temperatures with the least squares."""
    ones = np.ones((use_per_day.size, 1))
    below = {h: weather.columns((h, None))[:, 1:] for h in heating}
    above = {c: weather.columns((None, c))[:, 1:] for c in cooling}
    pairs = [(h, c) for h in below for c in above if h is None or c is None or h <= c]
    design = np.stack([np.hstack([ones, below[h], above[c]]) for h, c in pairs])
    weighted = design * days[None, :, None]
    normal = np.einsum("kni,knj->kij", weighted, design)
    right = np.einsum("kni,n->ki", weighted, use_per_day)
    # A balance outside the data leaves a column of zeros: the ridge keeps that solvable.
    normal += 1e-9 * np.trace(normal, axis1=1, axis2=2)[:, None, None] * np.eye(normal.shape[1])
    slopes = np.linalg.solve(normal, right[:, :, None])[:, :, 0]
    residual = use_per_day - np.einsum("kni,ki->kn", design, slopes)
    squares = (residual**2) @ days
    squares[(slopes[:, 1:] < 0.0).any(axis=1)] += squares.max() + 1.0
    return pairs[int(np.argmin(squares))]


def _summed_up(
    weather: _Weather, use_per_day: Floats, days: Floats, balances: _Balances, n_parameters: int
) -> ChangePointFit:
    """Return the fit at given balance temperatures, with errors from all parameters."""
    design = weather.columns(balances)
    root = np.sqrt(days / days.mean())
    slopes = np.linalg.lstsq(design * root[:, None], use_per_day * root, rcond=None)[0]
    residual = (use_per_day - design @ slopes) * root
    freedom = use_per_day.size - n_parameters
    variance = float(residual @ residual) / freedom
    # The use also changes with the balance temperatures themselves: their columns.
    moving = [
        slope * share for slope, share in zip(slopes[1:], weather.shares(balances), strict=True)
    ]
    jacobian = np.column_stack([design, *moving]) * root[:, None]
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * variance
    mean = float(np.average(use_per_day, weights=days))
    spread = float(np.sum(((use_per_day - mean) * root) ** 2))
    heating, cooling = balances
    named = list(slopes[1:])
    return ChangePointFit(
        base_per_day=float(slopes[0]),
        base_error_per_day=float(np.sqrt(max(covariance[0, 0], 0.0))),
        heating_per_day_k=float(named.pop(0)) if heating is not None else 0.0,
        cooling_per_day_k=float(named.pop(0)) if cooling is not None else 0.0,
        heating_balance_c=heating,
        cooling_balance_c=cooling,
        cv_rmse=float(np.sqrt(variance)) / mean,
        r_squared=1.0 - float(residual @ residual) / spread if n_parameters > 1 and spread else 0.0,
        n=int(use_per_day.size),
        n_parameters=n_parameters,
    )


def _around(balance: float | None, width: float) -> tuple[float | None, ...]:
    if balance is None:
        return (None,)
    return tuple(float(v) for v in np.linspace(balance - width, balance + width, _FINE_STEPS))


def _too_few(n: int) -> HeaterselError:
    return ModelError.of(
        "household.bills", value=f"{n} usable periods",
        allowed="at least two more than the fit has parameters, with some use",
        fix="add readings or leave the bills out",
    )  # fmt: skip
