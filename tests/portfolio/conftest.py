"""One small run that the tests of summary, tables and report share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from portfolio.workers import HerePool

from heatersel.api import Method
from heatersel.heaters.catalogue import load_heaters
from heatersel.portfolio.run import Outcome, only_options, run_portfolio
from heatersel.portfolio.task import Settings

HEAD = (
    "house,latitude,longitude,household.occupants,place.climate,home.fuels,"
    "existing.energy_source,existing.installed,prices.electricity.tariff\n"
)
OPTIONS = ("gas-tank-50", "heat-pump-65", "electric-tank-50", "gas-tankless-condensing-199")


def house_lines(n: int) -> str:
    """Return rows of a small town in two countries, the last one with a fuel of its own."""
    places = ("Duluth, MN", "Boston, MA", "Toronto, ON")
    rows = [
        f"h{i},{'' if i % 2 else 45 + i / 100},{'' if i % 2 else -90 - i / 100},{1 + i % 5},"
        f'"{places[i % 3]}",natural_gas;electricity,{"natural_gas" if i % 2 else "electricity"},'
        f"{2000 + i},{'ontario-2025' if i % 3 == 2 else ''}\n"
        for i in range(n)
    ]
    return "".join(rows) + f'h{n},,,2,"Duluth, MN",propane,propane,,\n'


@pytest.fixture(scope="session")
def town(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Outcome]:
    """Nine houses computed, one of which nothing fits, and one row that failed."""
    folder = tmp_path_factory.mktemp("town")
    return town_in(folder, folder / "out", partition_rows=4)


def town_in(folder: Path, out: Path, **how: Any) -> Outcome:
    """Compute the town into a folder."""
    path = folder / "houses.csv"
    path.write_text(HEAD + house_lines(8) + 'bad,,,0,"Duluth, MN",,electricity,,\n')
    heaters = only_options(load_heaters(), OPTIONS)
    settings = Settings(headings=(), year=2026, heaters=heaters, method=Method.BALANCE)
    return run_portfolio(path, out, settings, HerePool(), **how)
