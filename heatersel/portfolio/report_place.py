"""The report's sections on the electric load, the map, the visits, and what all of it rests on."""

from __future__ import annotations

import json
from collections import Counter
from html import escape
from typing import Any

from heatersel.cautions.caution import LOCAL_RULES
from heatersel.display import Display
from heatersel.heaters.heater import HeaterClass
from heatersel.job.keys import key_at
from heatersel.job.texts import said as said_value
from heatersel.job.words import meaning
from heatersel.portfolio.load import GroupLoad, LoadStudy, hour_start, hour_words
from heatersel.portfolio.outcome import ALWAYS
from heatersel.portfolio.page import many, one_in, power, section, signed, table
from heatersel.portfolio.pictures import bars_svg, load_svg, map_svg
from heatersel.portfolio.site_work import field_words, work_words
from heatersel.portfolio.summary import Summary
from heatersel.portfolio.tables import class_name
from heatersel.portfolio.totals import Totals

__all__ = ["GROUPS", "assumed", "load", "map_of", "visits"]

GROUPS = {
    HeaterClass.ATMOSPHERIC_STORAGE: "fuel tank",
    HeaterClass.POWER_VENTED_STORAGE: "fuel tank",
    HeaterClass.CONDENSING_STORAGE: "fuel tank",
    HeaterClass.OIL_STORAGE: "fuel tank",
    HeaterClass.ELECTRIC_STORAGE: "electric tank",
    HeaterClass.HEAT_PUMP_240V: "heat pump",
    HeaterClass.HEAT_PUMP_120V: "heat pump",
    HeaterClass.HEAT_PUMP_SPLIT: "heat pump",
    HeaterClass.TANKLESS_NON_CONDENSING: "tankless",
    HeaterClass.TANKLESS_CONDENSING: "tankless",
    HeaterClass.TANKLESS_ELECTRIC: "tankless",
}
"""What a colour of the map stands for."""


def load(study: LoadStudy) -> str:
    """Return the section on the electric load, empty if no house has a load to compare."""
    if not study.groups:
        return ""
    whole = study.groups[0]
    return section(
        "The electric load",
        f"{_most_added(whole)} Every house has its own mornings, so the sum is what a grid would "
        "see, each place on its own clock.",
        load_svg(whole),
        table("By region and tariff, highest hour",
              ("region", "tariff", "now", "then", "change", "most added", "on"),
              [_peak_row(group) for group in study.groups], words=2, file="electric_peaks"),
        "<p>All months and hours: tables/electric_load.csv.</p>",
    )  # fmt: skip


def _most_added(group: GroupLoad) -> str:
    hour = int(group.added_kw.argmax())
    added_kw = float(group.added_kw[hour])
    if added_kw <= 0.0:
        return "In no hour of the year does the change add load."
    return (
        f"In the hour where it adds most, the change adds {power(added_kw)} ({hour_words(hour)})."
    )


def _peak_row(group: GroupLoad) -> tuple[str, ...]:
    before, after = (int(p.argmax()) for p in (group.before_kw, group.after_kw))
    change_kw = float(group.after_kw[after] - group.before_kw[before])
    added = int(group.added_kw.argmax())
    return (
        group.region, group.plan,
        power(float(group.before_kw[before])), power(float(group.after_kw[after])),
        signed(power(change_kw), change_kw),
        power(max(0.0, float(group.added_kw[added]))), hour_start(added),
    )  # fmt: skip


def map_of(summary: Summary) -> str:
    """Return the section with the map, empty if no house has a recommendation."""
    groups = {heater_class.value: group for heater_class, group in GROUPS.items()}
    sentence = (
        "A circle for the houses near it: its area by houses, its colour and letter by what most "
        "of them get."
    )
    picture = map_svg(summary.places, groups, sentence)
    if not picture:
        return ""
    kinds = tuple(dict.fromkeys(groups.values()))
    towns = sorted(summary.towns.items(), key=lambda item: (-item[1].total(), item[0]))
    rows = [
        (place, f"{classes.total():,}", *(f"{_of_kind(classes, kind):,}" for kind in kinds))
        for place, classes in towns
    ]
    return section(
        "Where",
        sentence,
        picture,
        table("Who gets what, by climate station", ("nearest station", "houses", *kinds), rows,
              file="towns"),
    )  # fmt: skip


def _of_kind(classes: Counter[str], kind: str) -> int:
    return sum(n for name, n in classes.items() if GROUPS[HeaterClass(name)] == kind)


def visits(summary: Summary) -> str:
    """Return the section on who should be visited first and what waits there."""
    soon = [
        (risk.house, risk.place, class_name(risk.before_class), f"{risk.age_years:.0f}",
         one_in(risk.chance_frac), risk.option_name or "nothing fits")
        for risk in summary.at_risk
    ]  # fmt: skip
    work = [
        (work_words(id_), float(houses), f"{houses:,}")
        for id_, houses in summary.words["must_cautions"].most_common()
        if id_ != ALWAYS
    ]
    unknown = [
        (f"{field_words(field)} ({meaning(field)})", f"{houses:,}")
        for field, houses in summary.words["to_measure"].most_common()
    ]
    return section(
        "Houses to visit first",
        "The heaters most likely to fail, what must be done before a new one may go in, and what "
        f"nobody has measured yet. {LOCAL_RULES}",
        table("Most likely to fail within a year",
              ("house", "place", "heater now", "years old", "chance", "recommended"), soon, words=6,
              file="at_risk"),
        _work_picture(work),
        table("Still to be measured", ("what", "houses"), unknown, file="to_measure"),
        "<p>Every house with its heater, its work and why: tables/houses.csv.</p>",
    )  # fmt: skip


def _work_picture(work: list[tuple[str, float, str]]) -> str:
    if not work:
        return ""
    picture = bars_svg(work[:12], "Houses by work to do first")
    return f'<div class="together"><h3>Work to do first, in houses</h3>{picture}</div>'


def assumed(totals: Totals, manifest: dict[str, Any]) -> str:
    """Return the section on defaults and settings."""
    rows = [
        (field_words(field), f"{houses:,}", _default_words(field, totals.assumed[field][0]),
         totals.assumed[field][1])
        for field, houses in totals.defaults.most_common()
    ]  # fmt: skip
    settings = json.dumps(manifest, indent=1)
    return section(
        "What this rests on",
        f"{many(totals.houses, 'house')} of {manifest.get('houses', 'a file')}, "
        f"heatersel {manifest.get('version', '')}. Where the file says nothing, the defaults "
        "below stand in. A heater's chance of failing is that of its kind and age alone.",
        "",
        table("What was assumed", ("fact", "houses", "value", "source"), rows, words=4,
              most=len(rows), file="defaults"),
        f"<details><summary>Settings of the run</summary><pre>{escape(settings)}</pre></details>",
    )  # fmt: skip


def _default_words(field: str, value: str) -> str:
    """Return a default as people write it in a job file."""
    key = key_at(field)
    if key is None or key.default in (None, ()):
        return value
    shown = said_value(key.default, key, Display().system)
    if isinstance(shown, float):
        return f"{shown:g}"
    return ", ".join(map(str, shown)) if isinstance(shown, list) else str(shown)
