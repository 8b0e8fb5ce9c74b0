"""How sure the answer is: the options in thousands of drawn futures.

Every option meets the same futures (common random numbers): the same demand, prices, discount
rate and market. What belongs to a construction class (how long it lasts, how far it falls short in
the field, what its installation comes to) is drawn once for the class, so that two sizes of one
class share their luck and adding an option changes no other option's band. Each input is drawn
from equal slices of its range (Latin hypercube), in ten independent batches whose scatter gives
the error of each figure.

References
----------
.. [1] M. D. McKay, R. J. Beckman, W. J. Conover, "A comparison of three methods for selecting
   values of input variables in the analysis of output from a computer code", Technometrics 21(2),
   1979. (from memory)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from math import gamma, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from heatersel import reference
from heatersel.cost.life_cycle import IN_CASH, Ownership, StudyTerms
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, HeaterClass

__all__ = [
    "INPUTS",
    "Band",
    "CostCurve",
    "Future",
    "Ranges",
    "Uncertain",
    "bands",
    "draw",
    "futures_of",
    "in_words",
    "life_cycle_costs",
    "money_spent",
]

N_DRAWS = 2000
_BATCHES = 10
_SOURCES = tuple(EnergySource)
_CLASSES = tuple(HeaterClass)
_SHARED = ("demand", "discount_rate", "installed_market")
INPUTS = (
    *_SHARED,
    *(f"price:{source}" for source in _SOURCES),
    *(f"growth:{source}" for source in _SOURCES),
    *(f"{what}:{cls}" for what in ("installed", "life", "field") for cls in _CLASSES),
)
_SHORTEST_LIFE = 1.0  # years; the Weibull tail reaches lower, a warranty does not


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """How far each input may be off. Judgements of this project unless a source is named.

    Parameters
    ----------
    demand_sd : float
        Standard deviation of the household's hot water about the estimate, lognormal. [-]
    price_sd : float
        Standard deviation of today's price about the one given, lognormal. [-]
    growth_low, growth_high : float
        Real growth of each price about the expected one; triangular. [1/yr]
    discount_low, discount_high : float
        Discount rate about the expected one; triangular. [1/yr]
    market_low, market_high : float
        Level of all installed prices; triangular about 1. [-]
    installed_low, installed_high : float
        Installed price of a class beside the market; triangular about 1. [-]
    """

    demand_sd: float = 0.20
    price_sd: float = 0.05
    growth_low: float = -0.01
    growth_high: float = 0.02
    discount_low: float = -0.01
    discount_high: float = 0.04
    market_low: float = 0.90
    market_high: float = 1.15
    installed_low: float = 0.85
    installed_high: float = 1.25

    def as_dict(self) -> dict[str, float]:
        """Return the ranges as plain fields."""
        return asdict(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostCurve:
    """Cost of something as a function of how much or how dear it is.

    Parameters
    ----------
    scale : array
        Multiple of what is expected, rising from 0.
    cost : array of the same shape
        Cost at each scale; straight between, and beyond the last.
    """

    scale: NDArray[np.float64]
    cost: NDArray[np.float64]

    @classmethod
    def straight(cls, cost: float) -> CostCurve:
        """Return the curve of a cost in proportion, `cost` where all is as expected."""
        return cls(scale=np.array([0.0, 1.0]), cost=np.array([0.0, cost]))

    def at(self, scale: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the cost at `scale`."""
        slope = float((self.cost[-1] - self.cost[-2]) / (self.scale[-1] - self.scale[-2]))
        beyond = np.maximum(scale - self.scale[-1], 0.0)
        return np.asarray(np.interp(scale, self.scale, self.cost) + slope * beyond)


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """One option as the draws see it.

    Parameters
    ----------
    id : str
        The option.
    heater_class : HeaterClass
        Class whose luck it shares.
    ownership : Ownership
        Expected costs.
    price : CostCurve
        Installed price after price cuts, over the level of installed prices.
    receipts : tuple of (float, CostCurve)
        Money received later, likewise: years after installation, amount.
    curves : mapping of EnergySource to CostCurve
        Yearly energy cost by source, over the energy used.
    life_shape : float
        Weibull shape of life; the scale follows from the mean life. [-]
    shortfall_frac : float
        Most that its efficiency falls below the simulated one in the field, 0 to 0.9. [-]
    """

    id: str
    heater_class: HeaterClass
    ownership: Ownership
    price: CostCurve
    receipts: tuple[tuple[float, CostCurve], ...] = ()
    curves: Mapping[EnergySource, CostCurve]
    life_shape: float = 3.0
    shortfall_frac: float = 0.0

    def life_years(self, future: Future) -> NDArray[np.float64]:
        """Return its life in each future. [yr]"""
        quantile = future.life_quantile[self.heater_class]
        return _weibull(quantile, self.ownership.life_years, self.life_shape)

    def shortfall(self, future: Future) -> NDArray[np.float64]:
        """Return how far its efficiency falls short in each future. [-]"""
        return self.shortfall_frac * future.field_quantile[self.heater_class]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Spread of one option's life-cycle cost over the drawn futures.

    Parameters
    ----------
    p10, p50, p90, mean : float
        Tenth, fiftieth and ninetieth of a hundred futures; mean.
    cheapest_probability : float
        Share of the futures in which it costs least of all options drawn together. [-]
    regret : float
        What choosing it costs on average more than the best choice of each future.
    p50_error, probability_error : float
        Standard error of the median and of the probability, from the scatter of the batches.
    n_draws : int
        Futures drawn.
    """

    p10: float
    p50: float
    p90: float
    mean: float
    cheapest_probability: float
    regret: float
    p50_error: float
    probability_error: float
    n_draws: int

    def as_dict(self) -> dict[str, float]:
        """Return it as plain fields."""
        return asdict(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Future:
    """Drawn inputs, one array element per future.

    Parameters
    ----------
    demand, discount_rate, market : array of shape (n,)
        Hot water over the expected; real rate; level of installed prices.
    price, growth : mapping of EnergySource to array
        Today's price over the one given; real growth a year.
    installed, life_quantile, field_quantile : mapping of HeaterClass to array
        Installed price over the market's; quantiles of life and of field shortfall.
    """

    demand: NDArray[np.float64]
    discount_rate: NDArray[np.float64]
    market: NDArray[np.float64]
    price: Mapping[EnergySource, NDArray[np.float64]]
    growth: Mapping[EnergySource, NDArray[np.float64]]
    installed: Mapping[HeaterClass, NDArray[np.float64]]
    life_quantile: Mapping[HeaterClass, NDArray[np.float64]]
    field_quantile: Mapping[HeaterClass, NDArray[np.float64]] = field(default_factory=dict)


def bands(
    options: Sequence[Uncertain],
    terms: StudyTerms,
    *,
    ranges: Ranges | None = None,
    n_draws: int = N_DRAWS,
    seed: int = 1,
) -> tuple[Band, ...]:
    """Return the spread of each option's life-cycle cost in common futures.

    Parameters
    ----------
    options : sequence of Uncertain
        At least one.
    terms : StudyTerms
        Expected terms.
    ranges : Ranges, optional
        How far inputs may be off.
    n_draws : int
        Futures, a multiple of 10 from 100 to 1,000,000.
    seed : int
        Same seed, same futures.

    Returns
    -------
    tuple of Band
        In the order of the options.

    Raises
    ------
    OutOfRangeError
        If there is no option or the number of futures is not allowed.
    """
    if not options:
        raise OutOfRangeError.of("options", value="none", allowed="at least one",
                                 fix="give an option to draw")  # fmt: skip
    uniform = draw(n_draws, seed)
    costs = life_cycle_costs(options, terms, futures_of(uniform, terms, ranges or Ranges()))
    best = costs.min(axis=1)
    is_best = costs == best[:, None]
    wins = is_best / is_best.sum(axis=1, keepdims=True)
    batch_wins = wins.reshape(_BATCHES, -1, len(options)).mean(axis=1)
    batch_median = np.median(costs.reshape(_BATCHES, -1, len(options)), axis=1)
    quantiles = np.quantile(costs, [0.1, 0.5, 0.9], axis=0)
    return tuple(
        Band(
            p10=float(quantiles[0, k]), p50=float(quantiles[1, k]), p90=float(quantiles[2, k]),
            mean=float(costs[:, k].mean()), cheapest_probability=float(wins[:, k].mean()),
            regret=float((costs[:, k] - best).mean()),
            p50_error=float(batch_median[:, k].std(ddof=1) / sqrt(_BATCHES)),
            probability_error=float(batch_wins[:, k].std(ddof=1) / sqrt(_BATCHES)),
            n_draws=n_draws,
        )
        for k in range(len(options))
    )  # fmt: skip


def draw(n_draws: int, seed: int) -> NDArray[np.float64]:
    """Return uniform draws of shape (n_draws, inputs), ten Latin hypercubes one after another.

    Raises OutOfRangeError if `n_draws` is no multiple of 10 from 100 to 1,000,000.
    """
    if not 100 <= n_draws <= 1_000_000 or n_draws % _BATCHES:
        raise OutOfRangeError.of(
            "n_draws", value=n_draws, allowed="a multiple of 10 from 100 to 1,000,000",
            fix="an example is 2000",
        )  # fmt: skip
    generator = np.random.Generator(np.random.PCG64(seed))
    size = n_draws // _BATCHES
    shape = (_BATCHES, size, len(INPUTS))
    slices = generator.permuted(
        np.broadcast_to(np.arange(size, dtype=float)[None, :, None], shape), axis=1
    )
    return ((slices + generator.random(shape)) / size).reshape(n_draws, len(INPUTS))


def futures_of(uniform: NDArray[np.float64], terms: StudyTerms, ranges: Ranges) -> Future:
    """Return the futures behind uniform draws, each input through its own distribution."""
    column = {name: uniform[:, k] for k, name in enumerate(INPUTS)}

    def spread(low: float, high: float, name: str, middle: float = 1.0) -> NDArray[np.float64]:
        return _triangular(column[name], low, middle, high)

    return Future(
        demand=_lognormal(column["demand"], ranges.demand_sd),
        discount_rate=np.maximum(terms.discount_rate + spread(
            ranges.discount_low, ranges.discount_high, "discount_rate", 0.0), -0.05),
        market=spread(ranges.market_low, ranges.market_high, "installed_market"),
        price={s: _lognormal(column[f"price:{s}"], ranges.price_sd) for s in _SOURCES},
        growth={s: terms.escalation.get(s, 0.0) + spread(
            ranges.growth_low, ranges.growth_high, f"growth:{s}", 0.0) for s in _SOURCES},
        installed={c: spread(ranges.installed_low, ranges.installed_high, f"installed:{c}")
                   for c in _CLASSES},
        life_quantile={c: column[f"life:{c}"] for c in _CLASSES},
        field_quantile={c: column[f"field:{c}"] for c in _CLASSES},
    )  # fmt: skip


def life_cycle_costs(
    options: Sequence[Uncertain], terms: StudyTerms, future: Future
) -> NDArray[np.float64]:
    """Return the life-cycle cost of every option in every future, shape (futures, options).

    The same method as :func:`heatersel.cost.life_cycle.life_cycle_cost`, which it equals where
    every input has its expected value; a heater's successors last as long as the first one, since
    the same water and the same installer wait for them.
    """
    rate, years = future.discount_rate, terms.study_years
    return np.column_stack([
        _cost(option, years, future,
              _paid(option.life_years(future), rate, years)
              - _left(option.life_years(future), rate, years))
        for option in options
    ])  # fmt: skip


def money_spent(options: Sequence[Uncertain], years: int, future: Future) -> NDArray[np.float64]:
    """Return what every option has cost by the end of a year, in today's money.

    Parameters
    ----------
    options : sequence of Uncertain
        The options.
    years : int
        Years since the installation, 0 or more.
    future : Future
        Drawn inputs.

    Returns
    -------
    array of shape (futures, options)
        Like :func:`life_cycle_costs`, but what a heater is still worth is not taken off.
    """
    rate = future.discount_rate
    return np.column_stack([
        _cost(option, years, future, _paid(option.life_years(future), rate, years))
        for option in options
    ])  # fmt: skip


def _cost(
    option: Uncertain, years: int, future: Future, successors: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the cost of an option over some years, its successors in units of their price."""
    rate, own = future.discount_rate, option.ownership
    used = future.demand / (1.0 - option.shortfall(future))
    level = future.market * future.installed[option.heater_class]
    cost = option.price.at(level) * _paid_share(own.paid, rate, years) + own.loan_fee
    cost += level * own.replacement * successors
    cost += (own.fixed_per_year + own.maintenance_per_year) * _annuity(1.0 / (1.0 + rate), years)
    for source, curve in option.curves.items():
        energy = _annuity((1.0 + future.growth[source]) / (1.0 + rate), years)
        cost += curve.at(used) * future.price[source] * energy
    for time, receipt in option.receipts:
        if time <= years:
            cost -= receipt.at(level) * (1.0 + rate) ** -time
    return cost


def _paid_share(
    paid: tuple[tuple[float, float], ...], rate: NDArray[np.float64], years: int
) -> NDArray[np.float64]:
    """Return the present value of what is paid of a price within some years, per unit of it."""
    if paid == IN_CASH:
        return np.ones_like(rate)
    times, shares = np.array([part for part in paid if part[0] <= years]).T
    return np.asarray(np.exp(-np.log1p(rate)[:, None] * times) @ shares)


def field_shortfall_frac(heater_class: HeaterClass) -> float:
    """Return how far a class falls below its rating in the field. [-]"""
    rows = reference.records("costs/field_shortfall", {"shortfall": ""})
    return float(next(row["shortfall"] for row in rows if row["heater_class"] == heater_class))


def in_words(probability: float) -> str:
    """Return a probability of being cheapest as a customer would say it.

    Examples
    --------
    >>> in_words(0.68)
    'cheapest in 7 of 10 futures'
    """
    if probability >= 0.97:
        return "cheapest in nearly every future"
    if probability < 0.03:
        return "hardly ever the cheapest"
    if probability < 0.075:
        return "cheapest in 1 of 20 futures"
    return f"cheapest in {min(9, max(1, round(10 * probability)))} of 10 futures"


def _annuity(ratio: NDArray[np.float64], years: int) -> NDArray[np.float64]:
    """Return the sum of ratio^t for t = 1..years."""
    same = np.abs(ratio - 1.0) < 1e-9
    safe = np.where(same, 2.0, ratio)
    return np.where(same, float(years), ratio * (1.0 - ratio**years) / (1.0 - safe))


def _paid(life: NDArray[np.float64], rate: NDArray[np.float64], years: int) -> NDArray[np.float64]:
    """Return the present value of replacements, per unit of their price."""
    count = np.maximum(np.ceil(years / life - 1e-9) - 1.0, 0.0)
    each = (1.0 + rate) ** -life
    same = np.abs(each - 1.0) < 1e-9
    return np.where(same, count, each * (1.0 - each**count) / np.where(same, 1.0, 1.0 - each))


def _left(life: NDArray[np.float64], rate: NDArray[np.float64], years: int) -> NDArray[np.float64]:
    """Return the present value of the life that is left at the end, per unit of the price."""
    count = np.ceil(years / life - 1e-9)
    unused = np.maximum(count * life - years, 0.0) / life
    return np.asarray(unused * (1.0 + rate) ** -float(years))


def _weibull(quantile: NDArray[np.float64], mean: float, shape: float) -> NDArray[np.float64]:
    scale = mean / gamma(1.0 + 1.0 / shape)
    return np.maximum(scale * (-np.log1p(-quantile)) ** (1.0 / shape), _SHORTEST_LIFE)


def _triangular(
    quantile: NDArray[np.float64], low: float, middle: float, high: float
) -> NDArray[np.float64]:
    if high - low < 1e-12:
        return np.full_like(quantile, middle)
    turn = (middle - low) / (high - low)
    up = low + np.sqrt(quantile * (high - low) * (middle - low))
    down = high - np.sqrt((1.0 - quantile) * (high - low) * (high - middle))
    return np.where(quantile < turn, up, down)


def _lognormal(quantile: NDArray[np.float64], sd: float) -> NDArray[np.float64]:
    """Return draws of mean 1 and standard deviation `sd`."""
    spread = sqrt(np.log1p(sd * sd))
    return np.exp(spread * _normal(quantile) - 0.5 * spread**2)


_GRID = np.linspace(0.0005, 0.9995, 2000)
_NORMAL = np.array([NormalDist().inv_cdf(q) for q in _GRID])


def _normal(quantile: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return standard normal quantiles, held to those of 1 in 2,000 at either end."""
    return np.asarray(np.interp(quantile, _GRID, _NORMAL))
