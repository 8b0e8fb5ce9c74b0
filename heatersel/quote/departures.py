"""Where a job departs from the policy, and the reason that the quote then records."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from heatersel import units
from heatersel.comparison import Option
from heatersel.errors import Fault, InputError
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job
from heatersel.quote.policy import ByHand, Policy
from heatersel.quote.work import work_name

__all__ = [
    "Departure",
    "explained",
    "job_departures",
    "offer_departures",
    "refusals",
    "under_policy",
]

_SHORTEST_REASON = 8
_LONGEST_REASON = 300
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """One place where a quote departs from the policy.

    Parameters
    ----------
    rule : str
        Name of the rule, as the reason is given for it.
    policy_says, quote_has : str
        The rule, and what stands here instead.
    needs_reason : bool
        Whether the policy wants a reason.
    reason : str
        Why; empty where none is needed.
    """

    rule: str
    policy_says: str
    quote_has: str
    needs_reason: bool = True
    reason: str = ""


def under_policy(job: Job, policy: Policy) -> Job:
    """Return the job with what the policy sets where the job itself says nothing.

    Parameters
    ----------
    job : Job
        As written at the kitchen table.
    policy : Policy
        The company's.

    Returns
    -------
    Job
        Sizing percentile and setpoint of the policy, where the job tells none of its own; a
        setpoint that the job only assumes moves to the nearest one allowed.
    """
    told, preferences = job.preferences.model_fields_set, job.preferences
    changes: dict[str, float] = {}
    if "sizing_percentile" not in told and preferences.sizing_percentile != (
        policy.sizing.percentile
    ):
        changes["sizing_percentile"] = policy.sizing.percentile
    if "setpoint_c" not in told:
        low_c, high_c = policy.heaters.setpoint_least_c, policy.heaters.setpoint_most_c
        set_c = max(preferences.setpoint_c, low_c if low_c is not None else 0.0)
        set_c = min(set_c, high_c if high_c is not None else set_c)
        if abs(set_c - preferences.setpoint_c) > _CLOSE:
            changes["setpoint_c"] = set_c
    if not changes:
        return job
    return job.model_copy(update={"preferences": preferences.model_copy(update=changes)})


def job_departures(job: Job, policy: Policy, without: Iterable[str] = ()) -> Iterator[Departure]:
    """Yield where the job itself departs: setpoint, sizing percentile, items left out."""
    set_c, rules = job.preferences.setpoint_c, policy.heaters
    low_c, high_c = rules.setpoint_least_c, rules.setpoint_most_c
    if low_c is not None and set_c < low_c - 1e-6:
        yield Departure(rule="setpoint", policy_says=f"at least {_both(low_c)}",
                        quote_has=_both(set_c))  # fmt: skip
    if high_c is not None and set_c > high_c + 1e-6:
        yield Departure(rule="setpoint", policy_says=f"at most {_both(high_c)}",
                        quote_has=_both(set_c))  # fmt: skip
    percentile = job.preferences.sizing_percentile
    if percentile < policy.sizing.percentile - _CLOSE:
        yield Departure(rule="percentile", policy_says=f"{policy.sizing.percentile:.1%} of "
                        "mornings", quote_has=f"{percentile:.1%}")  # fmt: skip
    for item in dict.fromkeys(without):
        yield Departure(rule=f"must_have.{item}", policy_says=f"{work_name(item)} in every such "
                        "quote", quote_has="left out")  # fmt: skip


def offer_departures(options: Sequence[Option], policy: Policy) -> Iterator[Departure]:
    """Yield where offers named by hand depart: that they are, and heaters not admitted."""
    ids = ", ".join(option.id for option in options)
    by_hand = policy.offers.by_hand
    if by_hand is ByHand.NEVER:
        raise InputError.of(
            "offers", value=ids, allowed="offers chosen by the rules of the policy",
            fix="leave the names out; offers.by_hand of the policy is never",
        )  # fmt: skip
    yield Departure(
        rule="offers", policy_says="offers are chosen by rule", quote_has=f"named by hand: {ids}",
        needs_reason=by_hand is ByHand.WITH_REASON,
    )  # fmt: skip
    for option in options:
        own = refusals(option.heater, option.sizing.margin_frac, policy)
        against = "; ".join((*option.excluded_because, *own))
        if against:
            yield Departure(rule=f"heater.{option.id}", policy_says=f"not offered: {against}",
                            quote_has="offered by hand")  # fmt: skip


def refusals(heater: Heater, margin_frac: float, policy: Policy) -> tuple[str, ...]:
    """Return why a policy does not admit a heater of a size; empty if it does."""
    reasons = []
    classes = policy.heaters.classes
    if classes is not None and heater.heater_class not in classes:
        reasons.append(f"the policy does not list the class {heater.heater_class}")
    if margin_frac < policy.sizing.margin - _CLOSE:
        reasons.append(
            f"{margin_frac:.0%} spare on the coldest morning; the policy asks for "
            f"{policy.sizing.margin:.0%}"
        )
    return tuple(reasons)


def explained(departures: Iterable[Departure], reasons: Mapping[str, str]) -> tuple[Departure, ...]:
    """Return departures with their reasons.

    Parameters
    ----------
    departures : iterable of Departure
        Without reasons.
    reasons : mapping of str to str
        By rule.

    Returns
    -------
    tuple of Departure

    Raises
    ------
    InputError
        If a reason is missing, too short or long, or given for a rule that nothing departs
        from; every case is named.
    """
    found = tuple(departures)
    rules = dict.fromkeys(item.rule for item in found)
    faults = [_no_reason(item) for item in found if item.needs_reason and item.rule not in reasons]
    for rule, reason in reasons.items():
        if rule not in rules:
            faults.append(
                Fault(name=f"reason for {rule}", value=repr(reason[:40]),
                      allowed="a rule that this quote departs from: "
                      + (", ".join(rules) or "none"), fix="leave the reason out")
            )  # fmt: skip
        elif not _SHORTEST_REASON <= len(reason.strip()) <= _LONGEST_REASON:
            faults.append(
                Fault(name=f"reason for {rule}", value=repr(reason[:40]),
                      allowed=f"{_SHORTEST_REASON} to {_LONGEST_REASON} characters",
                      fix="say it so that somebody else understands it")
            )  # fmt: skip
    if faults:
        raise InputError(*faults)
    return tuple(
        Departure(rule=item.rule, policy_says=item.policy_says, quote_has=item.quote_has,
                  needs_reason=item.needs_reason, reason=reasons.get(item.rule, "").strip())
        for item in found
    )  # fmt: skip


def _no_reason(item: Departure) -> Fault:
    return Fault(
        name=f"departure from {item.rule}", value=item.quote_has, allowed=item.policy_says,
        fix=f'change it, or say why: --depart {item.rule}="the reason"',
    )  # fmt: skip


def _both(temp_c: float) -> str:
    return f"{units.convert(temp_c, 'degC', 'degF'):.0f} °F ({temp_c:.0f} °C)"
