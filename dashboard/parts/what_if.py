"""The what-if bar: sliders that try another value without changing what was told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from dash import html

from dashboard.controls import Field
from dashboard.view import View, lookup
from heatersel import units
from heatersel.heaters.heater import EnergySource
from heatersel.job.models import Job

__all__ = ["Trial", "trials", "what_if"]

_SETPOINTS_F = (110, 115, 120, 125, 130, 135, 140)
_SETPOINTS_C = (45, 48, 49, 50, 52, 55, 58, 60)
_YEARS = (5, 8, 10, 12, 15, 20, 25, 30)
_MOST_PEOPLE = 10
_LEVELS = (0.7, 0.85, 1.0, 1.15, 1.3, 1.5, 2.0)

Stop = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One slider.

    Parameters
    ----------
    name, label : str
        Its id and its words.
    stops : tuple of dict
        Places it can stand at: value, label and patch of the job's keys.
    now : int
        The place of what was told.
    at : int
        The place it stands at.
    """

    name: str
    label: str
    stops: tuple[Stop, ...]
    now: int
    at: int

    @property
    def is_moved(self) -> bool:
        """Whether something is tried with it."""
        return self.at != self.now

    @property
    def words(self) -> str:
        """What is tried, in words."""
        return f"{self.label}: {self.stops[self.at]['label']}"


def what_if(view: View) -> html.Section | None:
    """Return the bar, None while there is no answer to try things on."""
    found = trials(view)
    if not found:
        return None
    t = view.t
    fields = [
        Field(
            id=f"try-{trial.name}", kind="stops", label=trial.label, stops=list(trial.stops),
            value=trial.stops[trial.at]["value"], now=trial.now, tries=True,
            revision=view.told.revision,
        )
        for trial in found
    ]  # fmt: skip
    return html.Section(
        [html.H2(t("What if?")), html.Div(fields, className="trials")], className="what-if"
    )


def trials(view: View) -> tuple[Trial, ...]:
    """Return the sliders for a view, each where the page's state has it."""
    base = view.before or view.comparison
    if base is None:
        return ()
    job = base.job
    made = (
        _setpoint(view, job),
        _people(view, job),
        _showers(view, job),
        *_prices(view, job),
        _years(view, job),
    )
    return tuple(trial for trial in made if trial is not None)


def _trial(view: View, name: str, label: str, stops: Sequence[Stop], now: int) -> Trial:
    """Return a slider; it stands where its patch agrees with what is tried."""
    tried = view.told.tried
    at = next(
        (
            place
            for place, stop in enumerate(stops)
            if place != now and all(tried.get(key) == value for key, value in stop["patch"].items())
        ),
        now,
    )
    keys = {key for stop in stops for key in stop["patch"]}
    undone = [*stops]
    undone[now] = {**stops[now], "patch": dict.fromkeys(keys)}
    return Trial(name=name, label=label, stops=tuple(undone), now=now, at=at)


def _setpoint(view: View, job: Job) -> Trial:
    told_c = job.preferences.setpoint_c
    system = view.show.system
    unit, scale = ("degF", _SETPOINTS_F) if system == "us" else ("degC", _SETPOINTS_C)
    told = units.convert(told_c, "degC", unit)
    low = units.convert(job.household.use_temp_c, "degC", unit)
    values = sorted({told, *(value for value in scale if value >= low and abs(value - told) > 0.6)})
    stops = [
        {
            "value": f"{value:g}",
            "label": view.show.temperature(units.convert(value, unit, "degC")),
            "patch": {"preferences.setpoint": f"{value:g} {unit}"},
        }
        for value in values
    ]
    return _trial(view, "setpoint", view.t("Heater set to"), stops, values.index(told))


def _people(view: View, job: Job) -> Trial | None:
    t, path = view.t, "household.occupants"
    told = lookup(view.told.tables, path)
    total = job.household.occupants.total
    stops = []
    for n in sorted({total, *range(1, _MOST_PEOPLE + 1)}):
        if isinstance(told, int):
            patch = {path: n}
        else:
            adults = job.household.occupants.adults + n - total
            if adults < 0:
                continue
            patch = {f"{path}.adults": adults}
        label = t.plural("{n} person", "{n} people", n)
        stops.append({"value": str(n), "label": label, "patch": patch})
    now = next(place for place, stop in enumerate(stops) if stop["value"] == str(total))
    return _trial(view, "people", t("People"), stops, now)


def _showers(view: View, job: Job) -> Trial:
    t, household = view.t, job.household
    installed = household.fixtures.shower
    told = household.simultaneous.shower if household.simultaneous else None
    stops: list[Stop] = []
    if told is None:
        stops.append({"value": "open", "label": t("as usual for you"), "patch": {}})
    for n in range(1, 5):
        patch = {"household.simultaneous.shower": n}
        if n > installed:
            patch["household.fixtures.shower"] = n
        stops.append(
            {"value": str(n), "label": t.plural("{n} shower", "{n} showers", n), "patch": patch}
        )
    now = 0 if told is None else min(max(told, 1), 4) - 1
    return _trial(view, "showers", t("Running at once"), stops, now)


def _prices(view: View, job: Job) -> Iterator[Trial]:
    t = view.t
    labels = {
        EnergySource.ELECTRICITY: t("Price of electricity"),
        EnergySource.NATURAL_GAS: t("Price of gas"),
        EnergySource.PROPANE: t("Price of propane"),
        EnergySource.FUEL_OIL: t("Price of oil"),
    }
    for source, label in labels.items():
        today = _price_today(view, source)
        if source not in job.fuels or today is None:
            continue
        stops = [
            {"value": f"{level:g}", "label": _level(view, level),
             "patch": {} if level == 1.0 else {
                 f"prices.{source.value}": f"{today * level:.5f} {view.show.currency}/kWh"}}
            for level in _LEVELS
        ]  # fmt: skip
        yield _trial(view, source.value.replace("_", "-"), label, stops, _LEVELS.index(1.0))


def _level(view: View, level: float) -> str:
    t = view.t
    if level == 1.0:
        return t("as today")
    if level == 2.0:
        return t("twice today's")
    percent = f"{abs(level - 1.0) * 100:.0f}"
    return t("{n}% dearer", n=percent) if level > 1.0 else t("{n}% cheaper", n=percent)


def _price_today(view: View, source: EnergySource) -> float | None:
    """Return what a unit of energy costs on average in the answer without trials. [1/kWh]"""
    base = view.before or view.comparison
    options = (*base.ranked, *base.excluded) if base is not None else ()
    for option in options:
        used = option.annual.energy_kwh.get(source, 0.0)
        paid = option.cost.energy_per_year.get(source, 0.0) if option.cost else 0.0
        if used > 100.0 and paid > 0.0:
            return paid / used
    return None


def _years(view: View, job: Job) -> Trial:
    t, told = view.t, job.preferences.study_years
    values = sorted({told, *_YEARS})
    stops = [
        {"value": str(n), "label": t.plural("{n} year", "{n} years", n),
         "patch": {"preferences.study_years": n}}
        for n in values
    ]  # fmt: skip
    return _trial(view, "years", t("Counted over"), stops, values.index(told))
