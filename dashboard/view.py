"""What a page is made from: the state, the answer, and how both are said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from dashboard.answers import Answers, Preparing
from dashboard.texts import Texts
from dashboard.told import Tables, Told
from heatersel import words
from heatersel.comparison import Comparison, Option
from heatersel.display import Display
from heatersel.errors import Fault, HeaterselError
from heatersel.explain import Step, explain
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job

__all__ = ["View", "lookup", "view_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """One state of the page with its answer.

    Parameters
    ----------
    t : Texts
        Words.
    told : Told
        What the browser sent.
    show : Display
        Numbers in the user's units.
    answers : Answers
        To ask for more.
    tables : dict
        The job that was answered, what is tried included.
    comparison : Comparison or None
        The answer; None while too little is told or something is wrong.
    before : Comparison or None
        The answer without what is tried; None if nothing is tried.
    faults : tuple of Fault
        What is wrong.
    is_preparing : bool
        Whether the answer waits for the models to be loaded or compiled.
    """

    t: Texts
    told: Told
    show: Display
    answers: Answers
    tables: Tables
    comparison: Comparison | None = None
    before: Comparison | None = None
    faults: tuple[Fault, ...] = ()
    is_preparing: bool = False
    options: dict[str, Option] = field(default_factory=dict)
    _steps: dict[str, tuple[Step, ...]] = field(default_factory=dict)

    @property
    def is_first_look(self) -> bool:
        """Whether the answer is of the likeliest heaters only, until the full one is there."""
        return self.comparison is not None and self.comparison.provenance["n_years"] == 1

    @property
    def job(self) -> Job | None:
        """The job that was answered."""
        return None if self.comparison is None else self.comparison.job

    def steps(self, option: Option) -> tuple[Step, ...]:
        """Return the working of an option, made once for all its numbers."""
        if self.comparison is None:
            return ()
        if option.id not in self._steps:
            self._steps[option.id] = explain(self.comparison, option.id)
        return self._steps[option.id]

    def name(self, heater: Heater) -> str:
        """Return a heater's name in the user's units."""
        return words.heater_name(heater, self.show)

    def money(self, amount: float, step: float = 1.0) -> str:
        """Return an amount of money."""
        return self.t.number(self.show.money(amount, step))

    def fault_at(self, path: str) -> str | None:
        """Return what is wrong with the answer to one question, None if nothing is."""
        found = [fault for fault in self.faults if fault.name == path]
        return " ".join(_mending(fault, self.t) for fault in found) or None

    def side_by_side(self) -> tuple[Option, ...]:
        """Return the options that are laid side by side: the chosen ones, else the offers."""
        if self.comparison is None:
            return ()
        offered = tuple(offer.option_id for offer in self.comparison.recommendation.offers)
        chosen = [id_ for id_ in self.told.chosen if id_ in self.options]
        return tuple(self.options[id_] for id_ in chosen or offered)

    def letter(self, option_id: str) -> str:
        """Return the letter of an offer, empty for another option."""
        offers = self.comparison.recommendation.offers if self.comparison else ()
        ids = [offer.option_id for offer in offers]
        return "ABC"[ids.index(option_id)] if option_id in ids[:3] else ""


def view_of(told: Told, answers: Answers, t: Texts) -> View:
    """Return the view of a state; faults of the job are in it, not raised."""
    tables = told.tables_tried
    system = "si" if tables.get("units") == "si" else "us"
    empty = View(t=t, told=told, show=Display(system), answers=answers, tables=tables)
    if not told.is_begun:
        return _with_faults(empty, _early_faults(tables, answers))
    try:
        comparison = answers.look(tables, told.keep)
        before = answers.look(told.tables, told.keep) if told.tried else None
    except HeaterselError as trouble:
        return _with_faults(empty, trouble.faults)
    except Preparing:
        return replace(empty, is_preparing=True)
    return View(
        t=t, told=told, show=words.display_for(comparison), answers=answers, tables=tables,
        comparison=comparison, before=before,
        options={option.id: option for option in comparison.options},
    )  # fmt: skip


def lookup(tables: Tables, path: str) -> Any:
    """Return the value at a dotted key, None if there is none."""
    value: Any = tables
    for name in path.split("."):
        value = value.get(name) if isinstance(value, dict) else None
    return value


def _with_faults(view: View, faults: tuple[Fault, ...]) -> View:
    return replace(view, faults=faults)


def _early_faults(tables: Tables, answers: Answers) -> tuple[Fault, ...]:
    """Return faults of what is told, those left out that say something is still missing."""
    if not tables:
        return ()
    try:
        answers.job(tables)
    except HeaterselError as trouble:
        return tuple(fault for fault in trouble.faults if fault.value != "missing")
    return ()


def _mending(fault: Fault, t: Texts) -> str:
    allowed = t("Allowed: {allowed}.", allowed=fault.allowed) if fault.allowed else ""
    fix = fault.fix[:1].upper() + fault.fix[1:]
    end = "?" if fault.fix.startswith("did you mean") else "."
    return f"{allowed} {fix.rstrip('.')}{end}".strip() if fix else allowed


@lru_cache(maxsize=1)
def regions() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the places of the climate table by state or province."""
    return tuple(_regions())


def _regions() -> Iterator[tuple[str, tuple[str, ...]]]:
    from heatersel.climate import climates

    by_region: dict[str, list[str]] = {}
    for here in climates():
        by_region.setdefault(here.region, []).append(here.place)
    for region in by_region:
        yield region, tuple(by_region[region])
