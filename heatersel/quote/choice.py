"""Which options are offered: the policy's rules, one after another."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from heatersel.comparison import Option
from heatersel.cost.option_cost import OptionCost
from heatersel.quote.policy import OfferRule, OfferRules
from heatersel.quote.pricing import Price

__all__ = ["Candidate", "Chosen", "choose"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """An option with its price from the book.

    Parameters
    ----------
    option : Option
        At the company's price.
    cost : OptionCost
        Its cost; an option without one is no candidate.
    price : Price
        Where the installed price comes from.
    """

    option: Option
    cost: OptionCost
    price: Price


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A candidate that is offered and the rules that chose it."""

    candidate: Candidate
    basis: tuple[OfferRule, ...]


_Measure = Callable[[Candidate], float]
_LOWEST: dict[OfferRule, _Measure] = {
    OfferRule.LOWEST_COST_TO_OWN: lambda c: c.cost.life_cycle,
    OfferRule.LOWEST_FIRST_COST: lambda c: c.cost.installed,
    OfferRule.LOWEST_EMISSIONS: lambda c: c.option.co2_kg_per_year,
    OfferRule.LOWEST_RUNNING_COST: lambda c: c.cost.total_per_year,
    OfferRule.MOST_HOT_WATER: lambda c: 1.0 / (1.0 + c.option.sizing.margin_frac),
    OfferRule.LONGEST_LIFE: lambda c: 1.0 / c.cost.life_years,
}


def choose(
    candidates: Sequence[Candidate], rules: OfferRules, existing: Option | None
) -> tuple[Chosen, ...]:
    """Return the offers that the policy's rules choose.

    Parameters
    ----------
    candidates : sequence of Candidate
        Admitted options with complete prices.
    rules : OfferRules
        How to choose.
    existing : Option or None
        What stands there now, for like_for_like.

    Returns
    -------
    tuple of Chosen
        Different options in the order of the rules, as many as the policy wants or as there
        are. An option that several rules choose is offered once. A figure within `near` of the
        best counts as the best, and then the better rank is chosen. Places that are left go to
        the best-ranked options of classes not offered yet, then to those that differ from each
        offer by more than `near` in price or running cost; beyond that there is no real choice.
    """
    ranked = sorted(candidates, key=_rank)
    bases: dict[str, list[OfferRule]] = {}
    for rule in rules.choose:
        found = _pick(rule, ranked, bases, rules.near, existing)
        if found is not None and (found.option.id in bases or len(bases) < rules.number):
            bases.setdefault(found.option.id, []).append(rule)
    while len(bases) < rules.number:
        rule, other = OfferRule.ANOTHER_KIND, _another_kind(ranked, bases)
        if other is None:
            rule, other = OfferRule.ANOTHER_SIZE, _another_size(ranked, bases, rules.near)
        if other is None:
            break
        bases[other.option.id] = [rule]
    by_id = {candidate.option.id: candidate for candidate in ranked}
    return tuple(Chosen(candidate=by_id[id_], basis=tuple(basis)) for id_, basis in bases.items())


def _rank(candidate: Candidate) -> tuple[float, float, str]:
    return candidate.cost.life_cycle, candidate.cost.installed, candidate.option.id


def _pick(
    rule: OfferRule, ranked: Sequence[Candidate], taken: dict[str, list[OfferRule]], near: float,
    existing: Option | None,
) -> Candidate | None:  # fmt: skip
    if rule is OfferRule.ANOTHER_KIND:
        return _another_kind(ranked, taken)
    if rule is OfferRule.ANOTHER_SIZE:
        return _another_size(ranked, taken, near)
    if rule is OfferRule.LIKE_FOR_LIKE:
        return next(_alike(ranked, existing), None)
    measure = _LOWEST[rule]
    if not ranked:
        return None
    limit = min(map(measure, ranked)) * (1.0 + near)
    return next(candidate for candidate in ranked if measure(candidate) <= limit)


def _another_kind(
    ranked: Sequence[Candidate], taken: dict[str, list[OfferRule]]
) -> Candidate | None:
    shown = {c.option.heater.heater_class for c in ranked if c.option.id in taken}
    return next((c for c in ranked if c.option.heater.heater_class not in shown), None)


def _another_size(
    ranked: Sequence[Candidate], taken: dict[str, list[OfferRule]], near: float
) -> Candidate | None:
    """Return the best-ranked option that a customer could tell from each one offered."""
    offered = [c for c in ranked if c.option.id in taken]

    def differs(one: Candidate, other: Candidate) -> bool:
        figures = (
            (one.cost.installed, other.cost.installed),
            (one.cost.total_per_year, other.cost.total_per_year),
        )
        return any(abs(ours - theirs) > near * max(ours, theirs) for ours, theirs in figures)

    return next((c for c in ranked if all(differs(c, shown) for shown in offered)), None)


def _alike(ranked: Sequence[Candidate], existing: Option | None) -> Iterator[Candidate]:
    if existing is None:
        return
    now = existing.heater
    for candidate in ranked:
        heater = candidate.option.heater
        if heater.kind is now.kind and heater.energy_source is now.energy_source:
            yield candidate
