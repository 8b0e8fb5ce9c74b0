"""An audit of all stored quotes: replays, spread between plumbers, what customers take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from typing import Any

from heatersel.heaters.catalogue import HeaterList
from heatersel.quote.audit import Replay, replay
from heatersel.quote.policy import Policy
from heatersel.quote.price_book import PriceBook
from heatersel.quote.register_rows import Entry
from heatersel.quote.standards import Acceptance, LikeHouses, acceptance, like_houses

__all__ = ["AuditReport", "audit"]

_FEW = 8  # so many quotes are replayed before another process is worth its start


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditReport:
    """What an audit found.

    Parameters
    ----------
    policy, price_book : str
        Names of what was audited.
    replays : tuple of Replay
        Every stored quote, the oldest first.
    like_houses : tuple of LikeHouses
        Groups of like houses that several plumbers quoted.
    acceptance : tuple of Acceptance
        What customers took.
    """

    policy: str
    price_book: str
    replays: tuple[Replay, ...]
    like_houses: tuple[LikeHouses, ...]
    acceptance: tuple[Acceptance, ...]

    @property
    def changed(self) -> tuple[Replay, ...]:
        """Quotes that would change, the largest difference first."""
        found = [item for item in self.replays if item.changes]
        return tuple(sorted(found, key=lambda item: (-abs(item.difference or 0.0), item.quote_id)))

    @property
    def causes(self) -> tuple[tuple[str, int], ...]:
        """What changes quotes, and how many of them, the most frequent first."""
        counts: Counter[str] = Counter()
        for item in self.changed:
            counts.update(set(_causes(item)))
        return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))

    def as_dict(self) -> dict[str, Any]:
        """Return the report as plain fields, for JSON."""
        return {
            "schema": "heatersel.audit/1",
            "policy": self.policy,
            "price_book": self.price_book,
            "quotes": len(self.replays),
            "changed": [asdict(item) | {"difference": item.difference} for item in self.changed],
            "causes": dict(self.causes),
            "like_houses": [asdict(group) for group in self.like_houses],
            "acceptance": [asdict(item) | {"share": item.share} for item in self.acceptance],
        }


def audit(
    entries: Iterable[Entry], heaters: HeaterList, policy: Policy,
    book: Callable[[str], PriceBook], *, book_name: str, workers: int = 1,
) -> AuditReport:  # fmt: skip
    """Replay every stored quote that was not replaced, and look at them together.

    Parameters
    ----------
    entries : iterable of Entry
        Stored quotes.
    heaters : HeaterList
        The list to choose from.
    policy : Policy
        Rules under audit.
    book : callable
        Price book under audit for a currency; a function that other processes can load.
    book_name : str
        What the report calls it.
    workers : int
        Processes that share the work.

    Returns
    -------
    AuditReport
        The same for any number of workers.
    """
    known = tuple(entries)
    wanted = [entry for entry in known if entry.state != "replaced"]
    return AuditReport(
        policy=policy.name, price_book=book_name,
        replays=_replays(wanted, heaters, policy, book, workers),
        like_houses=like_houses(known), acceptance=acceptance(known),
    )  # fmt: skip


def _replays(
    entries: Sequence[Entry], heaters: HeaterList, policy: Policy,
    book: Callable[[str], PriceBook], workers: int,
) -> tuple[Replay, ...]:  # fmt: skip
    if workers < 2 or len(entries) <= _FEW:
        return tuple(replay(entry, heaters, policy, book) for entry in entries)
    n = len(entries)
    # Started afresh: a copy of a process whose threads hold locks may never come alive.
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        found = pool.map(replay, entries, [heaters] * n, [policy] * n, [book] * n, chunksize=4)
        return tuple(found)


def _causes(item: Replay) -> Iterable[str]:
    """Yield in a few words what changes a quote."""
    if item.trouble:
        yield "cannot be made again"
    if item.recommended_before != item.recommended_after and not item.trouble:
        yield "another heater is recommended"
    if item.inputs_changed:
        yield "program, tables or heater list are newer"
    for offer in item.offers:
        if offer.after is None or offer.before is None:
            yield "other offers"
        for line in offer.lines:
            if line.before is None:
                yield f"new line: {line.text}"
            elif line.after is None:
                yield f"line gone: {line.text}"
            else:
                yield f"other amount: {line.text}"
    for rule in item.new_departures:
        yield f"departs from: {rule}"
    if item.new_opinions:
        yield "a second look is asked for"
