"""Energy use against outdoor temperature: base load with heating and cooling above and below.

Three parameters (base, heating slope, balance temperature) or five (with cooling), as in the
inverse models of building energy analysis [1]_. The balance temperatures are found by search,
the linear rest by weighted least squares.

References
----------
.. [1] Kissock, J. K., Haberl, J. S., Claridge, D. E., "Inverse Modeling Toolkit: Numerical
   Algorithms", ASHRAE Transactions 109(2), 2003.  (memory, sure of the models)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import HeaterselError, ModelError

__all__ = [
    "ChangePointFit",
    "fit_base_load",
    "fit_five_parameter",
    "fit_three_parameter",
    "student_t_95",
]

Floats = NDArray[np.float64]

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
    return _fit(np.zeros(use_per_day.size), use_per_day, days, (None,), (None,))


def fit_three_parameter(
    temp_c: Floats, use_per_day: Floats, days: Floats, *, cooling: bool = False
) -> ChangePointFit:
    """Return the best fit of a base load and heating below a balance temperature.

    Parameters
    ----------
    temp_c : array
        Mean outdoor temperature of each period. [°C]
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
    grid = _grid(temp_c)
    if cooling:
        return _fit(temp_c, use_per_day, days, (None,), grid)
    return _fit(temp_c, use_per_day, days, grid, (None,))


def fit_five_parameter(temp_c: Floats, use_per_day: Floats, days: Floats) -> ChangePointFit:
    """Return the best fit of a base load with heating and cooling.

    Parameters
    ----------
    temp_c, use_per_day, days : array
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
    grid = _grid(temp_c)
    return _fit(temp_c, use_per_day, days, grid, grid)


def student_t_95(degrees_of_freedom: int) -> float:
    """Return the two-sided 95 % point of Student's t; 1.96 beyond 30 degrees of freedom. [-]

    Raises ModelError below one degree of freedom.
    """
    if degrees_of_freedom < 1:
        raise _too_few(degrees_of_freedom)
    return _T_95[degrees_of_freedom - 1] if degrees_of_freedom <= len(_T_95) else _T_95_MANY


_Balances = tuple[float | None, float | None]


def _fit(
    temp_c: Floats,
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
    best = _best(temp_c, use_per_day, days, heating, cooling)
    width = (float(temp_c.max()) - float(temp_c.min())) / (_COARSE_STEPS - 1)
    for _ in range(_REFINEMENTS if n_parameters > 1 else 0):
        best = _best(temp_c, use_per_day, days, _around(best[0], width), _around(best[1], width))
        width /= (_FINE_STEPS - 1) / 2
    fit = _summed_up(temp_c, use_per_day, days, best, n_parameters)
    # Heating and cooling cannot take energy away: what would is left out of the model.
    if fit.heating_per_day_k < 0.0:
        return _fit(temp_c, use_per_day, days, (None,), cooling)
    if fit.cooling_per_day_k < 0.0:
        return _fit(temp_c, use_per_day, days, heating, (None,))
    return fit


def _best(
    temp_c: Floats,
    use_per_day: Floats,
    days: Floats,
    heating: Iterable[float | None],
    cooling: Iterable[float | None],
) -> _Balances:
    """Return the pair of balance temperatures with the least squares."""
    pairs = [(h, c) for h in heating for c in cooling if h is None or c is None or h <= c]
    design = np.stack([_design(temp_c, pair) for pair in pairs])
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
    temp_c: Floats, use_per_day: Floats, days: Floats, balances: _Balances, n_parameters: int
) -> ChangePointFit:
    """Return the fit at given balance temperatures, with errors from all parameters."""
    design = _design(temp_c, balances)
    root = np.sqrt(days / days.mean())
    slopes = np.linalg.lstsq(design * root[:, None], use_per_day * root, rcond=None)[0]
    residual = (use_per_day - design @ slopes) * root
    freedom = use_per_day.size - n_parameters
    variance = float(residual @ residual) / freedom
    # The use also changes with the balance temperatures themselves: their columns.
    moving = [
        np.where(column > 0.0, slope, 0.0)
        for column, slope in zip(design.T[1:], slopes[1:], strict=True)
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


def _design(temp_c: Floats, balances: _Balances) -> Floats:
    heating, cooling = balances
    columns = [np.ones(temp_c.size)]
    if heating is not None:
        columns.append(np.maximum(heating - temp_c, 0.0))
    if cooling is not None:
        columns.append(np.maximum(temp_c - cooling, 0.0))
    return np.column_stack(columns)


def _grid(temp_c: Floats) -> tuple[float, ...]:
    """Return balance temperatures to try: from the second coldest to the second warmest period."""
    if temp_c.size < 2:
        return (0.0,)
    ordered = np.sort(temp_c)
    low, high = (ordered[1], ordered[-2]) if ordered.size > 3 else (ordered[0], ordered[-1])
    return tuple(float(value) for value in np.linspace(low, high, _COARSE_STEPS))


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
