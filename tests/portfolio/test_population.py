from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import islice
from pathlib import Path
from typing import Any

import pytest

from heatersel.climate import climate, climates
from heatersel.errors import HeaterselError
from heatersel.job.load import parse_job
from heatersel.portfolio.columns import columns_of, tables_of
from heatersel.portfolio.population import HEADINGS, invented_houses, known_regions
from heatersel.portfolio.rows import HouseFile, write_houses
from heatersel.reference import records

N = 20_000
House = dict[str, Any]


def invented(n: int, **how: Any) -> list[House]:
    return [dict(zip(HEADINGS, row, strict=True)) for row in invented_houses(n, year=2026, **how)]


@pytest.fixture(scope="module")
def cold() -> list[House]:
    """Houses of states that lie in the survey's cold region alone."""
    return invented(N, regions=("MN", "WI", "MI", "NY", "OH"))


def share(houses: list[House], is_one: Callable[[House], bool]) -> float:
    return sum(map(is_one, houses)) / len(houses)


@pytest.mark.parametrize(
    ("source", "published"),
    [("natural_gas", 24.1 / 42.4), ("electricity", 14.7 / 42.4), ("propane", 2.2 / 42.4)],
)
def test_fuels_are_spread_as_the_energy_survey_found_them(
    cold: list[House], source: str, published: float
) -> None:
    """EIA, RECS 2015, table HC8.6, very cold and cold: million homes by fuel of 42.4 named."""
    found = share(cold, lambda house: house["existing.energy_source"] == source)

    assert found == pytest.approx(published, abs=0.012)  # three standard errors


def test_a_fifth_of_the_heaters_are_two_to_four_years_old_as_in_the_survey(
    cold: list[House],
) -> None:
    """EIA, RECS 2015, table HC8.6, very cold and cold: 8.0 of 42.5 million homes."""
    found = share(cold, lambda house: 2022 <= house["existing.installed"] <= 2024)

    assert found == pytest.approx(8.0 / 42.5, abs=0.01)


def test_the_mean_household_is_about_as_large_as_the_census_counts(cold: list[House]) -> None:
    """US Census Bureau: 2.51 people per household in 2023; seven stands for more here."""
    people = [
        house["household.occupants.adults"] + house["household.occupants.children"]
        for house in cold
    ]

    assert sum(people) / N == pytest.approx(2.51, abs=0.1)


def test_houses_are_shared_out_by_the_people_of_the_states() -> None:
    """2020 Census: 39,538,223 in California and 5,706,494 in Minnesota, second hand."""
    where = Counter(
        climate(house["place.climate"]).region for house in invented(N, regions=("CA", "MN"))
    )

    assert where["CA"] / N == pytest.approx(39_538_223 / (39_538_223 + 5_706_494), abs=0.01)


def test_states_stand_for_about_as_many_homes_as_the_survey_counts_in_each_region() -> None:
    """EIA, RECS 2015: 42.5, 33.5, 12.7, 22.8 and 6.7 of 118.2 million homes. A state belongs to
    one region here, while many lie in two, so the shares are only roughly the survey's."""
    people: Counter[str] = Counter()
    for row in records("population/regions", {"people": ""}):
        people[row["climate_region"]] += row["people"]
    del people[""]
    homes = {"cold": 42.5, "mixed_humid": 33.5, "dry": 12.7, "hot_humid": 22.8, "marine": 6.7}

    for region, millions in homes.items():
        assert people[region] / people.total() == pytest.approx(millions / 118.2, abs=0.1)


def test_quebec_heats_with_electricity() -> None:
    """Statistics Canada, 11-526-S, 2007, table 2: 77 % electricity and 9 % wood, 11 % oil."""
    houses = invented(4000, regions=("QC",))

    electric = share(houses, lambda house: house["existing.energy_source"] == "electricity")
    assert electric == pytest.approx(0.89, abs=0.02)


def test_every_invented_house_is_a_job_and_says_that_it_is_invented() -> None:
    columns = columns_of(HEADINGS)

    for row in invented_houses(400, year=2026):
        job = parse_job(tables_of(columns, row))
        assert job.existing is not None
        assert job.existing.energy_source in job.fuels
        assert row[HEADINGS.index("note")] == "invented"
        assert str(row[0]).startswith("invented-")


def test_the_same_seed_gives_the_same_houses_and_more_begin_with_them() -> None:
    few = list(invented_houses(50, year=2026, seed=5))

    assert few == list(islice(invented_houses(12_000, year=2026, seed=5), 50))
    assert few != list(invented_houses(50, year=2026, seed=6))


def test_every_climate_station_can_have_houses() -> None:
    assert set(known_regions()) == {here.region for here in climates()}


@pytest.mark.parametrize(
    ("how", "said"),
    [({"n": 0}, "houses 1 or more"), ({"n": 1, "seed": -1}, "seed 0 or more"),
     ({"n": 1, "regions": ("XX",)}, "--region is XX")],
)  # fmt: skip
def test_a_wrong_wish_is_refused(how: dict[str, Any], said: str) -> None:
    with pytest.raises(HeaterselError, match=said):
        next(invented_houses(**how, year=2026))


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_invented_houses_are_written_as_a_file_of_houses(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"houses.{ending}"
    write_houses(path, HEADINGS, invented_houses(30, year=2026))

    file = HouseFile(path)

    (only,) = file.slices(100)
    assert [column.heading for column in file.columns] == list(HEADINGS)
    for row, house in zip(only.rows, invented_houses(30, year=2026), strict=True):
        assert list(row) == [str(cell) for cell in house]  # type: ignore[arg-type]


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(HeaterselError, match="not writable"):
        write_houses(tmp_path / "none" / "houses.csv", HEADINGS, ())
    with pytest.raises(HeaterselError, match=r"ending in \.csv or \.parquet"):
        write_houses(tmp_path / "houses.txt", HEADINGS, ())
