"""How alike the quotes of a company are, and which offers its customers take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import Any

from heatersel.quote.register_rows import Entry

__all__ = ["Acceptance", "LikeHouses", "acceptance", "like_houses", "wilson"]

_CONFIDENCE = 0.90
_PEOPLE = ((1, 2), (3, 4), (5, 99))
"""Households that count as alike: one or two people, three or four, five and more (a judgement)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LikeHouses:
    """Quotes for houses that are alike, and what was recommended in them.

    Parameters
    ----------
    house : str
        What they share: place, people, energy sources, what stood there.
    n_quotes, n_plumbers : int
        How many quotes, by how many people.
    by_plumber : mapping of str to mapping of str to int
        Construction classes recommended by each.
    agreement : float
        Share of the quotes that recommend the most usual class. [-]
    total_low, total_high : float or None
        Lowest and highest total of the recommended offers.
    """

    house: str
    n_quotes: int
    n_plumbers: int
    by_plumber: Mapping[str, Mapping[str, int]]
    agreement: float
    total_low: float | None
    total_high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """How often offers of one kind were taken.

    Parameters
    ----------
    by, value : str
        What is counted, such as "rule" and "lowest_cost_to_own".
    offered, accepted : int
        Offers in answered quotes; of them, those that were accepted.
    low, high : float
        Span of the share, 90 % by Wilson's interval. [-]
    """

    by: str
    value: str
    offered: int
    accepted: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Accepted over offered."""
        return self.accepted / self.offered


def like_houses(entries: Iterable[Entry]) -> tuple[LikeHouses, ...]:
    """Return groups of quotes for like houses by more than one plumber, the least agreed first.

    Parameters
    ----------
    entries : iterable of Entry
        Stored quotes; one that was replaced does not count.
    """
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        if entry.state != "replaced":
            groups.setdefault(_house(entry.record["inputs"]), []).append(entry)
    found = [
        _group(house, members)
        for house, members in groups.items()
        if len({entry.record["by"] for entry in members}) > 1
    ]
    return tuple(sorted(found, key=lambda group: (group.agreement, group.house)))


def acceptance(entries: Iterable[Entry]) -> tuple[Acceptance, ...]:
    """Return how often offers were taken, by letter, by rule, by class and recommended or not.

    Parameters
    ----------
    entries : iterable of Entry
        Stored quotes; those that were accepted or declined count.
    """
    offered: Counter[tuple[str, str]] = Counter()
    accepted: Counter[tuple[str, str]] = Counter()
    for entry in entries:
        if entry.state not in ("accepted", "declined"):
            continue
        taken = _taken(entry)
        for offer in entry.record["offers"]:
            for key in _kinds(offer):
                offered[key] += 1
                accepted[key] += offer["option"] == taken
    return tuple(_acceptance(key, offered[key], accepted[key]) for key in sorted(offered))


def wilson(successes: int, trials: int, confidence: float = _CONFIDENCE) -> tuple[float, float]:
    """Return the interval of a share by Wilson's score.

    Parameters
    ----------
    successes, trials : int
        Counts, trials above 0.
    confidence : float
        Two-sided, 0 to 1.

    References
    ----------
    .. [1] E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
       Journal of the American Statistical Association 22, 1927. (from memory)

    Examples
    --------
    >>> low, high = wilson(5, 10, 0.95)
    >>> round(low, 4), round(high, 4)
    (0.2366, 0.7634)
    """
    z = NormalDist().inv_cdf(0.5 + confidence / 2.0)
    share, square = successes / trials, z * z
    middle = (share + square / (2 * trials)) / (1 + square / trials)
    half = z / (1 + square / trials) * sqrt(
        share * (1 - share) / trials + square / (4 * trials * trials)
    )  # fmt: skip
    return max(0.0, middle - half), min(1.0, middle + half)


def _acceptance(key: tuple[str, str], offered: int, accepted: int) -> Acceptance:
    low, high = wilson(accepted, offered)
    return Acceptance(by=key[0], value=key[1], offered=offered, accepted=accepted, low=low,
                      high=high)  # fmt: skip


def _taken(entry: Entry) -> str:
    """Return the option that was accepted, empty if the quote was declined."""
    if entry.state != "accepted":
        return ""
    return next(event.option_id for event in reversed(entry.events) if event.state == "accepted")


def _kinds(offer: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "letter", offer["letter"]
    yield "class", offer["heater_class"]
    yield "recommended", "yes" if offer["recommended"] else "no"
    for rule in offer["basis"] or ["by_hand"]:
        yield "rule", rule


def _house(inputs: Mapping[str, Any]) -> str:
    """Return what makes a house like another one."""
    household, home = inputs["household"], inputs.get("home", {})
    occupants = household["occupants"]
    people = sum(occupants.values()) if isinstance(occupants, Mapping) else int(occupants)
    low, high = next(span for span in _PEOPLE if span[0] <= people <= span[1])
    size = f"{low} or more people" if high == 99 else f"{low} to {high} people"
    existing = inputs.get("existing", {})
    now = " ".join(filter(None, (existing.get("energy_source"), existing.get("kind"))))
    fuels = " and ".join(sorted(home.get("fuels", [])))
    parts = (inputs["place"]["climate"], size, fuels, f"now {now}" if now else "")
    return "; ".join(part.replace("_", " ") for part in parts if part)


def _group(house: str, members: Sequence[Entry]) -> LikeHouses:
    by_plumber: dict[str, Counter[str]] = {}
    totals = []
    for entry in members:
        best = _recommended(entry.record)
        by_plumber.setdefault(entry.record["by"], Counter())[best["heater_class"]] += 1
        if best["total"] is not None:
            totals.append(best["total"])
    classes = sum(by_plumber.values(), Counter())
    return LikeHouses(
        house=house, n_quotes=len(members), n_plumbers=len(by_plumber),
        by_plumber={name: dict(counts) for name, counts in sorted(by_plumber.items())},
        agreement=max(classes.values()) / len(members),
        total_low=min(totals, default=None), total_high=max(totals, default=None),
    )  # fmt: skip


def _recommended(record: Mapping[str, Any]) -> Mapping[str, Any]:
    best: Mapping[str, Any] = next(
        offer for offer in record["offers"] if offer["option"] == record["recommended"]
    )
    return best
