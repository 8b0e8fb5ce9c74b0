"""When somebody else looks at a quote before it leaves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatersel.comparison import Option
from heatersel.display import Display
from heatersel.quote.departures import Departure
from heatersel.quote.policy import Policy
from heatersel.quote.pricing import Price
from heatersel.sizing.verdict import Verdict

__all__ = ["second_opinion"]

_CENTS = 100


def second_opinion(
    policy: Policy, offers: Sequence[tuple[str, Option, Price]], existing: Option | None,
    departures: Sequence[Departure],
) -> tuple[str, ...]:  # fmt: skip
    """Return why the policy wants a second opinion on a quote.

    Parameters
    ----------
    policy : Policy
        Its rules.
    offers : sequence of (str, Option, Price)
        All offers of the quote, each with its letter.
    existing : Option or None
        What stands there now.
    departures : sequence of Departure
        From the policy.

    Returns
    -------
    tuple of str
        One reason each; empty if nobody has to look. A price that is missing always is one.
    """
    return tuple(dict.fromkeys(_reasons(policy, offers, existing, departures)))


def _reasons(
    policy: Policy, offers: Sequence[tuple[str, Option, Price]], existing: Option | None,
    departures: Sequence[Departure],
) -> Iterator[str]:  # fmt: skip
    rules = policy.second_opinion
    if rules.departure:
        for departure in departures:
            if departure.needs_reason:
                yield f"it departs from the policy in {departure.rule}"
    for letter, option, price in offers:
        name, total = f"offer {letter}", price.total_cents
        if total is None:
            yield f"{name} has no complete price"
        elif rules.total_above is not None and total > rules.total_above * _CENTS:
            ceiling = Display(currency=option.cost.currency).money(rules.total_above)
            yield f"{name} costs more than {ceiling}"
        if (
            rules.fuel_change
            and existing is not None
            and (option.heater.energy_source is not existing.heater.energy_source)
        ):
            yield f"{name} runs on another energy source"
        if rules.tight_size and option.sizing.verdict is Verdict.TIGHT:
            yield f"{name} has a tight size"
        limit = rules.to_measure_above
        if limit is not None and len(option.to_measure) > limit:
            yield f"{name} leaves {len(option.to_measure)} things to measure"
