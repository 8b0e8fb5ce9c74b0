"""How one option behaves in daily use, on a terminal: plain words first, numbers after."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from rich.console import Console
from rich.text import Text

from heatersel import words
from heatersel.comparison import Comparison, Option
from heatersel.display import Display
from heatersel.in_service import InService, PipeInService
from heatersel.terminal.layout import print_hanging

__all__ = ["print_in_service"]

_FELT_K = 0.5  # nobody notices less
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def print_in_service(
    console: Console, comparison: Comparison, option: Option, found: InService
) -> None:
    """Print what a household will notice of an option."""
    show = words.display_for(comparison)
    console.print()
    console.print(Text("In daily use", style="bold"))
    lines = [
        *_tankless(found, show),
        *_scale(comparison, option, found, show),
        *_pipe(found.pipe, found.loop is not None, show),
        *_room(found, show),
        *_house(comparison, found, show),
    ]
    for plain, numbers in lines:
        print_hanging(console, "  ", plain)
        if numbers:
            print_hanging(console, "      ", numbers, style="dim")
    for note in found.notes:
        print_hanging(console, "  ", f"{note[0].upper()}{note[1:]}.")


def _tankless(found: InService, show: Display) -> Iterator[tuple[str, str]]:
    years = found.tankless
    if found.together:
        least, most = (
            pick(found.together, key=lambda one: one.hot_flow_l_per_min) for pick in (min, max)
        )
        low, high = (show.flow(one.hot_flow_l_per_min) for one in (least, most))
        months = (f"{low} all year" if low == high else
                  f"{low} in {_MONTHS[least.month]}, {high} in {_MONTHS[most.month]}")  # fmt: skip
        yield (
            f"What can run together: {found.together_in_words}.",
            f"hot water at the setpoint: {months}",
        )
    if years is None:
        return
    run_off_l = years.starts_per_year * years.waited_l_per_start
    yield (
        f"Each start takes {_seconds(years.waited_s_per_start)} until the water leaves it warm; "
        "the pipe adds to that.",
        f"{years.starts_per_year:,.0f} starts and {show.volume(run_off_l)} a year",
    )
    if years.slugs_per_year >= 1.0:
        yield (
            "A pause between two draws can send a short slug of cold water, "
            f"{_how_often(years.slugs_per_year)}.",
            f"{years.slugs_per_year:,.0f} slugs a year",
        )
    if years.unfired_per_year >= 1.0:
        yield (
            "A trickle does not fire it and stays cold.",
            f"{years.unfired_per_year:,.0f} draws and {show.volume(years.unfired_l_per_year)} "
            "a year",
        )


def _seconds(time_s: float) -> str:
    if time_s < 1.0:
        return "less than a second"
    return "about a second" if time_s < 1.5 else f"about {time_s:.0f} seconds"


def _how_often(times_per_year: float) -> str:
    a_day = round(times_per_year / 365.0)
    if a_day > 1:
        return f"about {a_day} times a day"
    return "about once a day" if a_day == 1 else "less than once a day"


def _scale(
    comparison: Comparison, option: Option, found: InService, show: Display
) -> Iterator[tuple[str, str]]:
    if not option.heater.is_tankless:
        return
    hardness = comparison.job.home.hardness_mg_per_l
    if found.descaling is None or hardness is None:
        yield (
            "How often it must be descaled depends on the hardness of the water, which is not "
            "known here: measure it.",
            "",
        )
        return
    yield (
        f"In water of {show.hardness(hardness)} it must be descaled about every "
        f"{found.descaling.interval_months:.0f} months; its manual governs.",
        f"about {show.money(found.descaling.per_year)} a year if a plumber does it, at an invented "
        f"price; it is part of the upkeep of {show.money(option.cost.maintenance_per_year)} above",
    )


def _pipe(pipe: PipeInService | None, loops: bool, show: Display) -> Iterator[tuple[str, str]]:
    if pipe is None:
        return
    size = f"{show.length(pipe.length_m)} of pipe hold {show.small_volume(pipe.volume_l)}"
    if loops and pipe.year.cold_starts == 0:
        yield "The loop keeps the pipe hot: nobody waits for it.", size
        return
    year = pipe.year
    yield (
        f"Through a cold pipe a shower waits about {pipe.full_wait_s:.0f} seconds for hot water.",
        f"{size}; {year.cold_starts:,} draws a year find it cold, {show.volume(year.wasted_l)} run "
        f"off while waiting, and the pipe loses {year.lost_kwh:,.0f} kWh to the house",
    )


def _room(found: InService, show: Display) -> Iterator[tuple[str, str]]:
    if not found.room_c:
        return
    changed = np.array(found.room_c) - np.array(found.room_alone_c)
    month = int(np.argmin(found.room_alone_c))
    if abs(changed[month]) < _FELT_K:
        return
    verb = "cools" if changed[month] < 0.0 else "warms"
    yield (
        f"It {verb} the air around it: {show.temperature(found.room_c[month])} in "
        f"{_MONTHS[month]} instead of {show.temperature(found.room_alone_c[month])}.",
        f"{show.rise(abs(float(changed.mean())), 1)} on the mean of the year",
    )
    if found.condensate_l >= 1.0:
        yield (
            "Its coil makes water that needs a drain.",
            f"{show.volume(found.condensate_l)} a year",
        )


def _house(comparison: Comparison, found: InService, show: Display) -> Iterator[tuple[str, str]]:
    if not comparison.job.preferences.count_space_heating:
        yield "What it does to the house's heating is left out, as the job asks.", ""
        return
    if not found.house_energy_kwh or round(found.house_per_year) == 0:
        return
    paid = found.house_per_year > 0.0
    heat = f"{abs(found.house_heat_kwh):,.0f} kWh of heat"
    more = ", ".join(
        f"{'+' if kwh >= 0.0 else '-'}{show.energy(abs(kwh), source.value)} "
        f"{source.value.replace('_', ' ')}"
        for source, kwh in found.house_energy_kwh.items()
        if abs(kwh) >= 1.0
    )
    money = show.money(abs(found.house_per_year))
    yield (
        f"The house pays for the heat it takes: {money} a year more for heating and cooling."
        if paid
        else f"Heating and cooling of the house cost {money} a year less on its account.",
        f"{heat} {'given to' if found.house_heat_kwh >= 0.0 else 'taken from'} the heated house in "
        f"the heating season; {more}; counted in the cost of a year",
    )
