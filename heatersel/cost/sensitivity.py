"""Which unknown moves the choice most: the difference between two options, input by input.

One at a time: each input goes from its low to its high end, one future in ten beyond either, while
all others stay in the middle. Variance-based: the share of the scatter of the difference that an
input explains alone (first order) and with all its interactions (total).

References
----------
.. [1] A. Saltelli et al., "Variance based sensitivity analysis of model output. Design and
   estimator for the total sensitivity index", Computer Physics Communications 181, 2010, table 2:
   first-order estimator (b), total-order estimator (f). (from memory)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.life_cycle import StudyTerms
from heatersel.cost.uncertainty import (
    INPUTS,
    Future,
    Ranges,
    Uncertain,
    futures_of,
    life_cycle_costs,
)
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, HeaterClass

__all__ = ["Influence", "Share", "influences", "shares_of_variance", "variance_shares"]

CLASS_NAMES = {
    HeaterClass.ATMOSPHERIC_STORAGE: "chimney-vented gas tank",
    HeaterClass.POWER_VENTED_STORAGE: "fan-vented gas tank",
    HeaterClass.CONDENSING_STORAGE: "condensing gas tank",
    HeaterClass.OIL_STORAGE: "oil tank heater",
    HeaterClass.ELECTRIC_STORAGE: "plain electric tank",
    HeaterClass.HEAT_PUMP_240V: "heat pump tank",
    HeaterClass.HEAT_PUMP_120V: "plug-in heat pump tank",
    HeaterClass.HEAT_PUMP_SPLIT: "split heat pump tank",
    HeaterClass.TANKLESS_NON_CONDENSING: "gas tankless heater",
    HeaterClass.TANKLESS_CONDENSING: "condensing gas tankless heater",
    HeaterClass.TANKLESS_ELECTRIC: "whole-house electric tankless heater",
}
"""What a customer calls each construction class."""

Uniform = NDArray[np.float64]
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9
_SAMPLES = 4096


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """What one input does to the lead of an option over its rival.

    Parameters
    ----------
    input : str
        Name of the input, in words.
    low, high : float
        Its values at the two ends; factors and fractions, rates a year, lives in years.
    span : str
        The same in words: "7 to 20 years".
    lead_low, lead_high : float
        Life-cycle cost of the rival less that of the option at either end.
    """

    input: str
    low: float
    high: float
    span: str
    lead_low: float
    lead_high: float

    @property
    def swing(self) -> float:
        """How far the lead moves from end to end."""
        return abs(self.lead_high - self.lead_low)

    @property
    def turns_the_choice(self) -> bool:
        """Whether the rival becomes the cheaper one at either end alone."""
        return min(self.lead_low, self.lead_high) < 0

    def as_dict(self) -> dict[str, float | str | bool]:
        """Return it as plain fields."""
        return {**asdict(self), "swing": self.swing, "turns_the_choice": self.turns_the_choice}


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """Share of the variance of the lead that one input explains."""

    input: str
    first_order: float
    total: float


def influences(
    option: Uncertain, rival: Uncertain, terms: StudyTerms, ranges: Ranges | None = None
) -> tuple[Influence, ...]:
    """Return what each input does to the lead of `option` over `rival`, the strongest first.

    Inputs that touch neither option are left out.
    """
    ranges = ranges or Ranges()
    lead = _lead(option, rival, terms, ranges)
    wanted = _inputs(option, rival)
    ends = np.full((2 * len(wanted), len(INPUTS)), _MIDDLE)
    for row, name in enumerate(wanted):
        ends[2 * row, INPUTS.index(name)] = _LOW
        ends[2 * row + 1, INPUTS.index(name)] = _HIGH
    leads, future = lead(ends), futures_of(ends, terms, ranges)
    found = []
    for row, name in enumerate(wanted):
        low, high = (_value(name, future, 2 * row + end, option, rival) for end in (0, 1))
        found.append(
            Influence(
                input=_words(name), low=low, high=high, span=_span(name, low, high),
                lead_low=float(leads[2 * row]), lead_high=float(leads[2 * row + 1]),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda item: (-item.swing, item.input)))


def shares_of_variance(
    option: Uncertain,
    rival: Uncertain,
    terms: StudyTerms,
    ranges: Ranges | None = None,
    *,
    n_samples: int = _SAMPLES,
    seed: int = 1,
) -> tuple[Share, ...]:
    """Return how much of the scatter of the lead each input explains, the most first."""
    ranges = ranges or Ranges()
    wanted = _inputs(option, rival)
    columns = [INPUTS.index(name) for name in wanted]
    lead = _lead(option, rival, terms, ranges)

    def of_wanted(uniform: Uniform) -> Uniform:
        full = np.full((len(uniform), len(INPUTS)), _MIDDLE)
        full[:, columns] = uniform
        return lead(full)

    first, total = variance_shares(of_wanted, len(wanted), n_samples=n_samples, seed=seed)
    shares = [
        Share(input=_words(name), first_order=float(first[k]), total=float(total[k]))
        for k, name in enumerate(wanted)
    ]
    return tuple(sorted(shares, key=lambda share: (-share.total, share.input)))


def variance_shares(
    function: Callable[[Uniform], Uniform],
    n_inputs: int,
    *,
    n_samples: int = _SAMPLES,
    seed: int = 1,
) -> tuple[Uniform, Uniform]:
    """Return first-order and total shares of variance of a function of uniform inputs.

    Parameters
    ----------
    function : callable
        Takes an array of shape (n, n_inputs), each column uniform on 0 to 1, and returns (n,).
    n_inputs : int
        Number of inputs, at least 1.
    n_samples : int
        Samples of each of the n_inputs + 2 designs, 64 to 1,000,000; the error falls with its
        root, about 0.02 at 4,096.
    seed : int
        Same seed, same answer.

    Returns
    -------
    first, total : arrays of shape (n_inputs,)
        Zero for a function that does not vary.

    Raises
    ------
    OutOfRangeError
        If a count lies outside the range stated above.
    """
    if n_inputs < 1 or not 64 <= n_samples <= 1_000_000:
        raise OutOfRangeError.of(
            "n_samples", value=n_samples, allowed="64 to 1,000,000, with at least one input",
            fix="an example is 4096",
        )  # fmt: skip
    generator = np.random.Generator(np.random.PCG64(seed))
    first_design, second_design = generator.random((2, n_samples, n_inputs))
    at_first, at_second = function(first_design), function(second_design)
    variance = np.var(np.concatenate((at_first, at_second)))
    if variance <= 0:
        return np.zeros(n_inputs), np.zeros(n_inputs)
    centre = np.mean(at_first)
    alone, total = np.empty(n_inputs), np.empty(n_inputs)
    for k in range(n_inputs):
        mixed = first_design.copy()
        mixed[:, k] = second_design[:, k]
        at_mixed = function(mixed)
        alone[k] = np.mean((at_second - centre) * (at_mixed - at_first)) / variance
        total[k] = 0.5 * np.mean((at_first - at_mixed) ** 2) / variance
    return alone, total


def _lead(
    option: Uncertain, rival: Uncertain, terms: StudyTerms, ranges: Ranges
) -> Callable[[Uniform], Uniform]:
    def lead(uniform: Uniform) -> Uniform:
        costs = life_cycle_costs((option, rival), terms, futures_of(uniform, terms, ranges))
        return np.asarray(costs[:, 1] - costs[:, 0])

    return lead


def _inputs(option: Uncertain, rival: Uncertain) -> list[str]:
    """Return the inputs that touch either option."""
    sources = {*option.curves, *rival.curves}
    classes = {option.heater_class, rival.heater_class}
    return [
        name
        for name in INPUTS
        if (what := name.partition(":")[2]) == "" or what in sources or what in classes
    ]


def _words(name: str) -> str:
    what, _, of = name.partition(":")
    if what in ("price", "growth"):
        fuel = of.replace("_", " ")
        return f"today's price of {fuel}" if what == "price" else f"how {fuel} grows dearer"
    if of:
        heater = CLASS_NAMES[HeaterClass(of)]
        return {
            "installed": f"what a {heater} costs to put in",
            "life": f"how long a {heater} lasts",
            "field": f"how far a {heater} falls short of its rating",
        }[what]
    return {
        "demand": "how much hot water you use",
        "discount_rate": "how much less later money counts (the discount rate)",
        "installed_market": "what plumbing work costs in general",
    }[what]


def _span(name: str, low: float, high: float) -> str:
    """Return the two ends of an input as a customer would say them."""
    what = name.partition(":")[0]
    if what == "life":
        return f"{low:.0f} to {high:.0f} years"
    if what == "field":
        return f"{low:.0%} to {high:.0%}"
    if what == "growth":
        return f"{100 * low:+.1f} % to {100 * high:+.1f} % a year"
    if what == "discount_rate":
        return f"{100 * low:.1f} % to {100 * high:.1f} % a year"
    return f"{low - 1.0:+.0%} to {high - 1.0:+.0%}"


def _value(name: str, future: Future, row: int, option: Uncertain, rival: Uncertain) -> float:
    what, _, of = name.partition(":")
    if what in ("life", "field"):
        cls = HeaterClass(of)
        own = option if option.heater_class is cls else rival
        return float(own.life_years(future)[row] if what == "life" else own.shortfall(future)[row])
    if what in ("price", "growth"):
        return float(getattr(future, what)[EnergySource(of)][row])
    if what == "installed":
        return float(future.installed[HeaterClass(of)][row])
    return float(getattr(future, "market" if what == "installed_market" else what)[row])
