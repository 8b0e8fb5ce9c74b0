"""A quote: offers with prices, the rules behind them, and fingerprints of all that went in."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from heatersel.api import compare
from heatersel.cautions.caution import Severity
from heatersel.comparison import Comparison, Option
from heatersel.cost.basis import CostBasis, cost_basis
from heatersel.cost.drawn import with_bands
from heatersel.cost.option_cost import OptionCost
from heatersel.errors import InputError, NoFeasibleHeaterError
from heatersel.heaters.catalogue import HeaterList
from heatersel.job.models import Job
from heatersel.quote.choice import Candidate, Chosen, choose
from heatersel.quote.departures import (
    Departure,
    explained,
    job_departures,
    offer_departures,
    refusals,
    under_policy,
)
from heatersel.quote.fingerprint import job_fingerprint
from heatersel.quote.needed import must_haves, work_needed
from heatersel.quote.opinion import second_opinion
from heatersel.quote.policy import OfferRule, Policy
from heatersel.quote.price_book import PriceBook
from heatersel.quote.pricing import MissingPrice, Price, Pricer
from heatersel.quote.recost import RunningRange, recosted, running_ranges

__all__ = ["Offer", "Quote", "Request", "Unpriced", "make_quote", "quote_job"]

_LETTERS = "ABCDEFGH"
_MOST_BY_HAND = 6
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What a plumber asks for when a quote is made.

    Parameters
    ----------
    date : datetime.date
        Day of the quote; prices of that day hold.
    by : str
        Who makes it, up to 80 characters.
    offers : tuple of str
        Options named by hand; empty to let the policy choose.
    without : tuple of str
        Must-have items to leave out.
    reasons : mapping of str to str
        Reasons for departures, by rule.
    """

    date: dt.date
    by: str = ""
    offers: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a name that fits no line and too many offers."""
        if len(self.by) > _LONGEST_NAME or not self.by.isprintable():
            raise InputError.of("by", value=repr(self.by[:40]), fix="an example is A. Plumber",
                                allowed=f"a name of up to {_LONGEST_NAME} characters",
                                )  # fmt: skip
        if len(set(self.offers)) != len(self.offers) or len(self.offers) > _MOST_BY_HAND:
            raise InputError.of("offers", value=", ".join(self.offers)[:80],
                                allowed=f"up to {_MOST_BY_HAND} different options",
                                fix="name each once")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One offer on the table.

    Parameters
    ----------
    letter : str
        A, B, C.
    option : Option
        At the company's price, where that is complete.
    price : Price
        Lines, taxes, and what is missing.
    basis : tuple of OfferRule
        The rules that chose it; empty if it was named by hand.
    running : RunningRange
        Range of its yearly running cost.
    recommended : bool
        Whether the company recommends it.
    """

    letter: str
    option: Option
    price: Price
    basis: tuple[OfferRule, ...]
    running: RunningRange
    recommended: bool

    @property
    def cost(self) -> OptionCost:
        """Its cost; an option without one is never offered."""
        if self.option.cost is None:
            raise InputError.of("offer", value=self.option.id, allowed="an option with a cost")
        return self.option.cost


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpriced:
    """An option that is admitted but cannot be priced from the book."""

    option_id: str
    name: str
    missing: tuple[MissingPrice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Everything that a quote says and rests on.

    Parameters
    ----------
    request : Request
        Who, when, and what was asked for.
    job : Job
        As written at the kitchen table.
    comparison : Comparison
        All options of the job under the policy.
    policy : Policy
        The company's rules.
    book : PriceBook
        The company's prices.
    basis : CostBasis
        Tariffs and terms of the job.
    offers : tuple of Offer
        In the order in which they are shown.
    departures : tuple of Departure
        From the policy, with reasons.
    second_opinion : tuple of str
        Why a colleague looks at it first; empty if nobody has to.
    unpriced : tuple of Unpriced
        Admitted options that the book cannot price.
    fingerprint : str
        Of job, heaters, program and tables.
    """

    request: Request
    job: Job
    comparison: Comparison
    policy: Policy
    book: PriceBook
    basis: CostBasis
    offers: tuple[Offer, ...]
    departures: tuple[Departure, ...]
    second_opinion: tuple[str, ...]
    unpriced: tuple[Unpriced, ...]
    fingerprint: str

    @property
    def valid_until(self) -> dt.date:
        """Last day on which the offers hold."""
        return self.request.date + dt.timedelta(days=self.policy.release.valid_days)

    @property
    def recommended(self) -> Offer:
        """The offer that the company recommends."""
        return next(offer for offer in self.offers if offer.recommended)


def quote_job(
    job: Job, heaters: HeaterList, *, policy: Policy, book: PriceBook, request: Request
) -> Quote:
    """Return the quote of a job under a policy.

    Parameters
    ----------
    job : Job
        As written at the kitchen table.
    heaters : HeaterList
        The list to choose from.
    policy, book, request
        Rules, prices, and what is asked for.

    Returns
    -------
    Quote

    Raises
    ------
    InputError, NoFeasibleHeaterError
        As :func:`make_quote`.
    """
    comparison = compare(under_policy(job, policy), heaters)
    return make_quote(job, comparison, heaters, policy=policy, book=book, request=request)


def make_quote(
    job: Job,
    comparison: Comparison, heaters: HeaterList, *, policy: Policy, book: PriceBook,
    request: Request,
) -> Quote:  # fmt: skip
    """Return the quote of a comparison that was made under the policy.

    Parameters
    ----------
    job : Job
        As written at the kitchen table.
    comparison : Comparison
        Of the job that :func:`heatersel.quote.departures.under_policy` makes of it.
    heaters : HeaterList
        What it was chosen from.
    policy, book, request
        Rules, prices, and what is asked for.

    Returns
    -------
    Quote

    Raises
    ------
    InputError
        If book and job have different currencies, an offer named by hand is unknown or may not
        stand in this house, an item left out is none of the policy's, or a departure lacks its
        reason.
    NoFeasibleHeaterError
        If the policy admits none of the options that fit this house.
    """
    maker = _Maker(comparison=comparison, policy=policy, book=book, request=request,
                   basis=cost_basis(comparison.job))  # fmt: skip
    maker.check()
    candidates = tuple(maker.candidates())
    departures = list(job_departures(comparison.job, policy, request.without))
    if request.offers:
        chosen = maker.by_hand()
        departures += offer_departures([item.candidate.option for item in chosen], policy)
    else:
        chosen = maker.by_rule(candidates)
    known = explained(departures, request.reasons)
    offers = maker.offers(chosen)
    return Quote(
        request=request, job=job, comparison=comparison, policy=policy, book=book,
        basis=maker.basis, offers=offers, departures=known,
        second_opinion=second_opinion(
            policy, [(o.letter, o.option, o.price) for o in offers], comparison.existing, known
        ),
        unpriced=tuple(
            Unpriced(option_id=c.option.id, name=c.option.heater.name, missing=c.price.missing)
            for c in candidates if c.price.missing
        ),
        fingerprint=job_fingerprint(job, heaters.heaters, comparison.provenance),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Maker:
    """The steps from a comparison to offers."""

    comparison: Comparison
    policy: Policy
    book: PriceBook
    request: Request
    basis: CostBasis

    def check(self) -> None:
        """Refuse a book in another currency and items that are not the policy's to leave out."""
        if self.book.currency != self.basis.currency:
            raise InputError.of(
                "price book", value=f"{self.book.file} in {self.book.currency}",
                allowed=f"prices in {self.basis.currency}, as the job's energy prices",
                fix="quote with a book in that currency",
            )  # fmt: skip
        job = self.comparison.job
        musts = {
            item.item
            for option in self.comparison.ranked
            for item in must_haves(job, option.heater, self.policy)
        }
        for item in self.request.without:
            if item not in musts:
                raise InputError.of(
                    "without", value=item, fix="leave it as it is",
                    allowed="a must-have item of the policy that this house would get: "
                    + (", ".join(sorted(musts)) or "there is none"),
                )  # fmt: skip

    def price(self, option: Option) -> Price:
        """Return the price of an option from the book."""
        region = self.comparison.job.place.climate.rpartition(", ")[2]
        pricer = Pricer(book=self.book, date=self.request.date, region=region,
                        rounding=self.policy.rounding)  # fmt: skip
        work = work_needed(self.comparison.job, option, self.basis, self.policy,
                           self.request.without)  # fmt: skip
        return pricer.price(option.heater, work)

    def candidate(self, option: Option) -> Candidate | None:
        """Return an option at the company's price, None if its energy has no price."""
        price = self.price(option)
        priced = recosted(option, self.basis, price)
        if priced.cost is None:
            return None
        return Candidate(option=priced, cost=priced.cost, price=price)

    def candidates(self) -> Iterator[Candidate]:
        """Yield the ranked options that the policy admits."""
        for option in self.comparison.ranked:
            if not refusals(option.heater, option.sizing.margin_frac, self.policy):
                candidate = self.candidate(option)
                if candidate is not None:
                    yield candidate

    def by_rule(self, candidates: Sequence[Candidate]) -> tuple[Chosen, ...]:
        """Return what the policy chooses; options without a complete price only if no other is."""
        if not candidates:
            raise self._nothing_admitted()
        complete = [candidate for candidate in candidates if not candidate.price.missing]
        return choose(complete or candidates, self.policy.offers, self.comparison.existing)

    def by_hand(self) -> tuple[Chosen, ...]:
        """Return the options that were named."""
        chosen = []
        for option_id in self.request.offers:
            option = self.comparison.option(option_id)
            candidate = None if self._may_not_stand(option) else self.candidate(option)
            if candidate is None:
                reasons = "; ".join(option.excluded_because) or "its energy has no price"
                raise InputError.of(
                    "offers", value=option_id, allowed="an option that may stand in this house",
                    fix=f"it may not: {reasons.rstrip('.')}",
                )  # fmt: skip
            chosen.append(Chosen(candidate=candidate, basis=()))
        return tuple(chosen)

    def _may_not_stand(self, option: Option) -> bool:
        """Return whether no reason could put an option into this house; a small one could."""
        stops = any(caution.severity is Severity.STOP for caution in option.cautions)
        return stops or option.heater.energy_source not in self.comparison.job.fuels

    def offers(self, chosen: Sequence[Chosen]) -> tuple[Offer, ...]:
        """Return the chosen options as offers, with the spread of their costs."""
        seed = self.comparison.job.preferences.seed
        pairs = tuple((item.candidate.option, item.candidate.cost) for item in chosen)
        banded = with_bands(self.basis, [(o.heater, c) for o, c in pairs], seed=seed)
        ranges = running_ranges(self.basis, pairs, seed)
        best = self._recommended(chosen)
        return tuple(
            Offer(
                letter=_LETTERS[place], basis=item.basis, running=running,
                option=replace(item.candidate.option, cost=cost) if not item.candidate.price.missing
                else item.candidate.option,
                price=item.candidate.price, recommended=item is best,
            )
            for place, (item, cost, running) in enumerate(zip(chosen, banded, ranges, strict=True))
        )  # fmt: skip

    def _recommended(self, chosen: Sequence[Chosen]) -> Chosen:
        rule = self.policy.offers.recommend
        by_rule = next((item for item in chosen if rule in item.basis), None)
        if by_rule is not None:
            return by_rule
        return min(chosen, key=lambda item: (bool(item.candidate.price.missing),
                                             item.candidate.cost.life_cycle))  # fmt: skip

    def _nothing_admitted(self) -> NoFeasibleHeaterError:
        causes: Counter[str] = Counter()
        for option in self.comparison.options:
            own = refusals(option.heater, option.sizing.margin_frac, self.policy)
            if option.rank is not None and own:
                causes[own[0].split(";")[0]] += 1
            elif option.excluded_because:
                causes[option.excluded_because[0]] += 1
        most = "; ".join(f"{cause} ({count} options)" for cause, count in causes.most_common(3))
        return NoFeasibleHeaterError.of(
            "policy", value=f"{self.policy.name}: no heater is admitted",
            allowed="at least one heater that fits this house",
            fix=f"what stands in the way: {most}",
        )  # fmt: skip
