"""The report's section on energy, money and emissions: before, after, and how houses differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from heatersel.portfolio.page import energy, large_money, many, mass, section, signed, table
from heatersel.portfolio.pictures import pairs_svg, spread_svg
from heatersel.portfolio.summary import ENERGY, Group, Summary

__all__ = ["money"]

_SPREADS = {
    "installed": "price of the installation",
    "saving_per_year": "saved a year",
    "co2_saving_kg_per_year": "CO2 saved a year",
}


def money(summary: Summary) -> str:
    """Return the section of energy, cost and emissions before and after, and their spread."""
    compared = [(c, group) for c, group in sorted(summary.all.items()) if group.compared]
    parts: list[str] = []
    for currency, group in compared:
        mine = list(_money_of(group, currency))
        if len(compared) > 1:
            mine[0] = (
                f'<div class="together"><h3>{many(group.compared, "house")} that pay in '
                f"{currency}</h3>{mine[0]}</div>"
            )
        parts += mine
    if not parts:
        parts = ["<p>No present heater is known well enough to compare with.</p>"]
    regions = [_region_row(*item) for item in
               sorted(summary.by_region.items(), key=lambda item: item[0][1])]  # fmt: skip
    return section(
        "Money and emissions, before and after",
        "Energy of a year by source, now and with the recommended heaters; then how much single "
        "houses save. Left of zero they pay more.",
        *parts,
        table("By state and province",
              ("region", "houses", "cost a year now", "then", "CO2 a year now", "then",
               "price of all"), regions if len(regions) > 1 else [], file="regions"),
    )  # fmt: skip


def _money_of(group: Group, currency: str) -> Iterator[str]:
    kwh = {
        source: (group.total(f"before_{source}_kwh"), group.total(f"after_{source}_kwh"))
        for source in ENERGY
    }
    most = max(map(max, kwh.values()))
    used = [(source.replace("_", " "), *pair) for source, pair in kwh.items() if any(pair)]
    yield pairs_svg(
        [(name, before, after, energy(before, most), energy(after, most))
         for name, before, after in used], "Energy of a year by source, now and then",
    )  # fmt: skip
    rows = [
        _change_row(name, before, after, partial(energy, most_kwh=max(before, after)))
        for name, before, after in used
    ]
    cost, co2 = (
        (group.total(f"before_{column}"), group.total(f"after_{column}"))
        for column in ("per_year", "co2_kg_per_year")
    )
    rows.append(_change_row("cost", *cost, lambda amount: large_money(amount, currency)))
    rows.append(_change_row("CO2", *co2, lambda mass_kg: mass(mass_kg, currency)))
    picture = spread_svg(group.spreads["saving_per_year"], "What the houses save", f"{currency}/yr")
    yield f'<div class="low">{picture}</div>'
    yield table(f"A year of {many(group.compared, 'house')}", ("", "now", "then", "change"), rows,
                file="before_after")  # fmt: skip
    yield table(
        "How houses differ",
        ("", "1 in 10 below", "middle", "1 in 10 above"),
        [_spread_row(group, name, currency) for name in _SPREADS],
        file="spread",
    )


def _change_row(
    name: str, before: float, after: float, say: Callable[[float], str]
) -> tuple[str, ...]:
    share = f" ({(after - before) / before:+.0%})" if before else ""
    return name, say(before), say(after), f"{signed(say(after - before), after - before)}{share}"


def _spread_row(group: Group, name: str, currency: str) -> tuple[str, ...]:
    spread = group.spreads[name]
    shown = (spread.quantile(share) for share in (0.1, 0.5, 0.9))
    is_mass = name == "co2_saving_kg_per_year"
    say = mass if is_mass else large_money
    return (_SPREADS[name], *(say(value, currency) for value in shown))


def _region_row(key: tuple[str, str], group: Group) -> tuple[str, ...]:
    currency, region = key
    cost, co2 = (
        [group.total(f"{when}_{column}") for when in ("before", "after")]
        for column in ("per_year", "co2_kg_per_year")
    )
    return (
        region, f"{group.houses:,}", *(large_money(amount, currency) for amount in cost),
        *(mass(mass_kg, currency) for mass_kg in co2),
        large_money(group.total("installed"), currency),
    )  # fmt: skip
