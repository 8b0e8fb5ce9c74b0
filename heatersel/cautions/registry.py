"""The register of rules, and the one function that runs them over a heater in a house.

A rule is a function that takes a :class:`Case` and yields :class:`Finding` (a hazard or duty)
or :class:`Ask` (a fact to measure). The decorator :func:`rule` declares what it is about, where
it holds and where it comes from; the documentation's table is printed from the same
declaration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from heatersel.cautions.case import Case
from heatersel.cautions.caution import (
    Caution,
    CautionReport,
    Measure,
    Number,
    Severity,
    SiteFacts,
    Status,
)
from heatersel.cautions.jurisdiction import Country
from heatersel.cautions.walk import place_in_walk
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job
from heatersel.job.site import CodeFamily

__all__ = ["Ask", "Finding", "Rule", "Where", "cautions_for", "rule", "rules"]


class Where(StrEnum):
    """Where a rule holds."""

    EVERYWHERE = "US + Canada"
    US = "US"
    US_IPC = "US, IPC family"
    US_UPC = "US, UPC family"
    CANADA = "Canada"

    def holds(self, case: Case) -> bool:
        """Return whether the rule holds for this case's place."""
        place = case.place
        return {
            Where.EVERYWHERE: True,
            Where.US: place.country is Country.US,
            Where.US_IPC: CodeFamily.IPC in place.families,
            Where.US_UPC: CodeFamily.UPC in place.families,
            Where.CANADA: place.country is Country.CANADA,
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a rule found; the declaration of the rule supplies the rest of the caution.

    Parameters
    ----------
    says : str
        For the homeowner.
    trade : str
        For the trade.
    numbers : tuple of Number
        The figures.
    remedy : str
        What to do.
    remedy_ids : tuple of str
        Keys of the price table.
    lifts : str
        What would lift a stop.
    """

    says: str
    trade: str
    numbers: tuple[Number, ...] = ()
    remedy: str
    remedy_ids: tuple[str, ...] = ()
    lifts: str = ""


@dataclass(frozen=True, slots=True)
class Ask:
    """A fact that a rule lacks: the job-file key, and what depends on it."""

    field: str
    why: str


Check = Callable[[Case], Iterator[Finding | Ask]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A declared rule.

    Parameters
    ----------
    id, subject : str
        Short id, and the heading it stands under.
    where : Where
        Where it holds.
    severity : Severity
        Of all its findings.
    applies_to, trigger : str
        Which heaters, and what raises it, in words and numbers.
    source, edition : str
        Where it comes from.
    status : Status
        Whether that was read.
    when : callable
        Whether it applies to a case.
    check : callable
        The rule itself.
    """

    id: str
    subject: str
    where: Where
    severity: Severity
    applies_to: str
    trigger: str
    source: str
    edition: str
    status: Status
    when: Callable[[Case], bool]
    check: Check

    @property
    def subject_module(self) -> str:
        """Module of the rulebook that declares it."""
        return self.check.__module__.rpartition(".")[2]

    def run(self, case: Case) -> Iterator[Caution | Measure]:
        """Yield the rule's cautions and measurements for a case it holds for."""
        for said in self.check(case):
            yield self._measure(said, case) if isinstance(said, Ask) else self._caution(said, case)

    def _caution(self, found: Finding, case: Case) -> Caution:
        return Caution(
            id=self.id, subject=self.subject, jurisdiction=f"{self.where} ({case.place.name})",
            severity=self.severity, message=found.says, trade_message=found.trade,
            numbers=found.numbers, remedy=found.remedy, remedy_ids=found.remedy_ids,
            lifts=found.lifts, source=self.source, edition=self.edition, status=self.status,
        )  # fmt: skip

    def _measure(self, asked: Ask, case: Case) -> Measure:
        return Measure(
            field=asked.field, why=asked.why, matters_for=(case.heater.id,),
            order=place_in_walk(asked.field),
        )  # fmt: skip


_RULES: dict[str, Rule] = {}


def rule(
    id: str, subject: str, *, where: Where, severity: Severity, applies_to: str,
    when: Callable[[Case], bool], trigger: str, source: str, edition: str, status: Status,
) -> Callable[[Check], Check]:  # fmt: skip
    """Return a decorator that enters a rule in the register.

    Parameters
    ----------
    id, subject, where, severity, applies_to, when, trigger, source, edition, status
        As for :class:`Rule`.

    Raises
    ------
    ValueError
        If the id is taken.
    """

    def enter(check: Check) -> Check:
        if id in _RULES:
            raise ValueError(f"two rules are called {id}")
        _RULES[id] = Rule(
            id=id, subject=subject, where=where, severity=severity, applies_to=applies_to,
            when=when, trigger=trigger, source=source, edition=edition, status=status, check=check,
        )  # fmt: skip
        return check

    return enter


@cache
def rules() -> tuple[Rule, ...]:
    """Return every rule, in the order of the rulebook whatever was imported first."""
    from heatersel.cautions.rulebook import SUBJECTS, load

    load()
    # sorting is stable, so the rules of one subject stay as they are declared
    return tuple(sorted(_RULES.values(), key=lambda rule: SUBJECTS.index(rule.subject_module)))


_RANK = {Severity.STOP: 0, Severity.MUST: 1, Severity.NOTE: 2}


def cautions_for(job: Job, heater: Heater, facts: SiteFacts) -> CautionReport:
    """Return what every rule says about one heater in one house.

    Parameters
    ----------
    job : Job
        Household, house and wishes.
    heater : Heater
        The option.
    facts : SiteFacts
        Place, inlet and setpoint from the earlier stages.

    Returns
    -------
    CautionReport
        Cautions, stops first, and the measurements that rules lack, in walking order. A fact
        that is missing is asked for and never counted as fine.

    Raises
    ------
    UnknownChoiceError
        If the region is unknown.
    """
    case = Case.of(job, heater, facts)
    fuel_is_here = heater.energy_source in job.fuels
    places = {where for where in Where if where.holds(case)}
    cautions: list[Caution] = []
    asked: dict[str, Measure] = {}
    applying = (r for r in rules() if r.where in places and r.when(case))
    for found in (said for applies in applying for said in applies.run(case)):
        if isinstance(found, Caution):
            cautions.append(found)
        elif fuel_is_here:  # nobody measures for a heater whose fuel the house lacks
            asked.setdefault(found.field, found)
    return CautionReport(
        cautions=tuple(sorted(cautions, key=lambda caution: _RANK[caution.severity])),
        to_measure=tuple(sorted(asked.values(), key=lambda measure: measure.order)),
    )
