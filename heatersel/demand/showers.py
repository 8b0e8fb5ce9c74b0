"""Showers of a year: who, on which day, when, and one after the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.chance import (
    DAY_S,
    Chance,
    Draws,
    For,
    day_weight,
    stretched_to_volume,
    time_of_day_s,
    whole_number,
)
from heatersel.demand.draw_plan import DrawPlan
from heatersel.demand.draw_tables import END_USE, draw_table
from heatersel.demand.uses import ADULT_WEIGHT
from heatersel.job.models import Fixture

__all__ = ["shower_draws"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FOLLOWS = 0.5
_FOLLOW_GAP_S = (300.0, 1500.0)
_TURN_OVER_S = 60.0
_MOST_SLOTS_TAKEN = 0.8


def shower_draws(plan: DrawPlan, chance: Chance, liveliness: Floats) -> list[Draws]:
    """Return the showers of a year, and the body sprays that run with half of them.

    Parameters
    ----------
    plan : DrawPlan
        Volumes and people.
    chance : Chance
        Random numbers of the shower's year.
    liveliness : array of shape (365,)
        Factor by day. [-]

    Returns
    -------
    list of Draws
        Showers, then body sprays if there are any.
    """
    table, scale = draw_table(END_USE[Fixture.SHOWER]), plan.flow_scale[Fixture.SHOWER]
    n = whole_number(plan.year_l[Fixture.SHOWER] / (table.mean_draw_l * scale), chance)
    slots = _shower_slots(plan, n, chance, liveliness)
    n_slots = slots[-1] + 1 if slots.size else 0
    # Numbers belong to a person's day, not to the n-th shower: another person changes no other's.
    days, uniform = slots % 365, chance.uniform(For.TIME, n_slots)[slots]
    by_child = np.array(plan.is_child + (False,) * plan.guests)[_person(plan, slots)]
    hour_s = np.where(
        by_child, time_of_day_s("bath", days, uniform), time_of_day_s("shower", days, uniform)
    )
    start_s = _following(slots, np.asarray(days * float(DAY_S) + hour_s), chance)
    duration_s = chance.pick(For.DURATION, table.duration_s, n_slots)[slots]
    flow = chance.pick(For.FLOW, table.flow_l_per_min, n_slots)[slots] * scale
    duration_s = stretched_to_volume(duration_s, flow, plan.year_l[Fixture.SHOWER])
    spray_l = plan.year_l.get(Fixture.BODY_SPRAY, 0.0)
    has_spray = (chance.uniform(For.SPRAY, n_slots)[slots] < 0.5) & (spray_l > 0.0)
    if plan.n_shower_heads == 1:
        start_s = _queued(start_s, duration_s)
    draws = [Draws(Fixture.SHOWER, start_s, duration_s, flow)]
    if has_spray.any():
        spray_s = duration_s[has_spray]
        spray_flow = np.full(spray_s.size, spray_l * 60.0 / spray_s.sum())
        draws.append(Draws(Fixture.BODY_SPRAY, start_s[has_spray], spray_s, spray_flow))
    return draws


def _person(plan: DrawPlan, slots: Ints) -> Ints:
    """Return who takes the shower of each slot; guests come after the residents."""
    return (slots // 365) % (len(plan.person_weight) + plan.guests)


def _shower_slots(plan: DrawPlan, n: int, chance: Chance, liveliness: Floats) -> Ints:
    """Return n slots in rising order: (round x people + person) x 365 + day.

    A chance by weight without a second shower for the same person: the n smallest of uniform
    over weight. Where most slots would be taken, every person has two, three and so on.
    """
    person = np.array(plan.person_weight + (ADULT_WEIGHT,) * plan.guests)
    weight = np.outer(person, day_weight(plan, Fixture.SHOWER, liveliness))
    if plan.guests:
        weight[len(plan.person_weight) :, plan.present <= 1.0] = 0.0
    open_slots = np.count_nonzero(weight)
    if not open_slots:
        return np.zeros(0, dtype=np.int64)
    weight = np.tile(weight.ravel(), int(n / (_MOST_SLOTS_TAKEN * open_slots)) + 1)
    key = chance.uniform(For.DAY, weight.size) / np.maximum(weight, 1e-30)
    return np.asarray(np.sort(np.argpartition(key, n - 1)[:n]))


def _following(slots: Ints, start_s: Floats, chance: Chance) -> Floats:
    """Return starts of which some follow another shower of the day, in random order.

    Since the order is random, each shower keeps the hours of its end use.
    """
    if not slots.size:
        return start_s
    per_slot = slots[-1] + 1
    order = np.lexsort((chance.uniform(For.ORDER, per_slot)[slots], slots % 365))
    start, day = start_s[order], slots[order] % 365
    low, high = _FOLLOW_GAP_S
    gap = np.floor(low + (high - low) * chance.uniform(For.GAP, per_slot)[slots][order])
    follows = chance.uniform(For.FOLLOW, per_slot)[slots][order] < _FOLLOWS
    rank = np.arange(day.size) - np.searchsorted(day, day, "left")
    for r in range(1, int(rank.max()) + 1):
        here = np.flatnonzero(follows & (rank == r))
        start[here] = start[here - 1] + gap[here]
    result = np.empty_like(start)
    result[order] = np.minimum(start, (day + 1.0) * DAY_S - 1.0)
    return np.asarray(result)


def _queued(start_s: Floats, duration_s: Floats) -> Floats:
    """Return starts such that one shower head serves one person at a time."""
    order = np.argsort(start_s, kind="stable")
    start, length = start_s[order], np.ceil(duration_s[order]) + _TURN_OVER_S
    # Each start is at least the latest end before it: a running maximum of start less the time
    # used up, which is what a loop over the queue would give.
    used = np.concatenate([[0.0], np.cumsum(length)[:-1]])
    start = np.maximum.accumulate(start - used) + used
    result = np.empty_like(start)
    result[order] = start
    return np.asarray(result)
