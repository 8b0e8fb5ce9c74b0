"""The [prices] table of a job file: flat prices, tariffs, files, one currency."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from heatersel.errors import JobError
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import load_job, parse_job
from heatersel.job.money import Money
from heatersel.job.prices import Prices

JOB = {"household": {"occupants": 3}, "place": {"climate": "Duluth, MN"}}


def prices(**values: Any) -> Prices:
    return parse_job({**JOB, "prices": values}).prices


def message(**values: Any) -> str:
    with pytest.raises(JobError) as trouble:
        prices(**values)
    return str(trouble.value)


def test_a_flat_price_is_money() -> None:
    price = prices(electricity="0.14 USD/kWh").price_of(EnergySource.ELECTRICITY)

    assert isinstance(price, Money)
    assert price.amount == pytest.approx(0.14)


def test_tariffs_come_as_tables_the_first_is_todays() -> None:
    found = prices(
        electricity=[{"name": "now", "energy": "0.14 USD/kWh"},
                     {"name": "other", "energy": "0.12 USD/kWh"}]
    ).price_of(EnergySource.ELECTRICITY)  # fmt: skip

    assert isinstance(found, tuple)
    assert [table.name for table in found] == ["now", "other"]


def test_a_single_tariff_may_stand_as_one_table() -> None:
    found = prices(natural_gas={"name": "gas", "energy": "1.1 USD/therm"}).natural_gas

    assert isinstance(found, tuple)
    assert len(found) == 1


def test_a_shipped_tariff_is_named() -> None:
    found = prices(electricity={"tariff": "cold-city"}).electricity

    assert isinstance(found, tuple)
    assert len(found) == 2


def test_a_tariff_file_is_looked_for_beside_the_job_file(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('[[electricity]]\nname = "m"\nenergy = "0.2 USD/kWh"\n')
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 2\n[place]\nclimate = "Duluth, MN"\n'
        '[prices]\nelectricity = { file = "mine.toml" }\n'
    )

    found = load_job(job).prices.electricity

    assert isinstance(found, tuple)
    assert found[0].name == "m"


UNDATED = {"name": "rebate", "amount": "1 USD", "eligibility": "all"}
REBATE = UNDATED | {"first": "2027-01-01", "last": "2027-02-01"}
BY_VOLUME = [
    {"blocks": [{"up_to": "600 gal/month", "price": "0.1 USD/kWh"}, {"price": "0.2 USD/kWh"}]}
]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"electricity": {"tariff": "moon"}}, "prices.electricity is .*moon.*cold-city"),
        ({"electricity": {"file": "none.toml"}}, "none.toml, which is missing"),
        ({"electricity": {"tariff": "cold-city", "file": "x"}}, "one of the two"),
        ({"propane": {"tariff": "cold-city"}}, r"without \[\[propane\]\]"),
        ({"electricity": []}, "at least one tariff"),
        ({"electricity": 0.14}, "text with a number and its unit, or tables"),
        ({"region": "ZZ"}, "a state or province code"),
        ({"other_use": {"electricity": ["1 kWh", "2 kWh"]}}, "one or twelve"),
        ({"bill_year": 1800}, "2000 to 2100"),
        ({"gas_altitude_factor": 0.2}, "0.6 to 1"),
        (
            {
                "gas_altitude_factor": 0.83,
                "natural_gas": [{"name": "g", "energy": "1 USD/ccf", "altitude_factor": 0.9}],
            },
            r"gas_altitude_factor is 0\.83 beside altitude_factor 0\.9 of the tariff g; .*one of",
        ),
        ({"solar": {"surplus": "none.csv"}}, "none.csv, which is missing"),
        ({"electricity": "0.14 USD/gal"}, "electricity is a price per volume; .*0.14 USD/kWh"),
        ({"electricity": [{"name": "t", "energy": BY_VOLUME}]}, "a price per volume"),
        (
            {"incentive": [REBATE | {"applies_to": ["heatpump"]}]},
            "is heatpump; .*heat_pump_storage",
        ),
        ({"incentive": [UNDATED]}, "first and last is missing; .*in this order"),
    ],
)
def test_a_bad_price_is_refused_in_words(values: dict[str, Any], words: str) -> None:
    assert re.search(words, message(**values)), message(**values)


def test_mixed_currencies_are_refused_and_both_places_named() -> None:
    text = message(electricity="0.14 USD/kWh", natural_gas="9 CAD/GJ")

    assert "USD in electricity" in text
    assert "CAD in natural_gas" in text
    assert "one currency" in text


def test_a_currency_deep_inside_a_tariff_is_seen() -> None:
    text = message(
        electricity=[{"name": "t", "energy": "0.14 USD/kWh", "fixed": "9 CAD/month"}],
    )

    assert "CAD in electricity.fixed" in text


def test_the_currency_is_that_of_the_prices_else_of_the_region() -> None:
    assert prices(region="ON", electricity="0.14 CAD/kWh").currency == "CAD"
    assert prices(region="ON").currency == "CAD"
    assert prices(region="MN").currency == "USD"
    assert prices().currency == "USD"


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"region": "ON", "electricity": "14 cents/kWh"}, "USD; allowed: CAD, the money of ON"),
        ({"region": "ON", "electricity": "$0.14/kWh"}, "USD; allowed: CAD, the money of ON"),
        ({"electricity": "0.14 CAD/kWh"}, "CAD; allowed: USD, the money of MN"),
        ({"region": "ON", "incentive": [{"name": "x", "amount": "500 USD", "eligibility": "any",
                                         "first": "2027-01-01", "last": "2027-12-31"}]},
         "incentive.amount is USD"),
    ],
)  # fmt: skip
def test_money_of_another_country_is_refused(values: dict[str, Any], told: str) -> None:
    assert told in message(**values)


def test_solar_surplus_is_a_column_of_8760_hours(tmp_path: Path) -> None:
    (tmp_path / "roof.csv").write_text("surplus [Wh]\n" + "500\n" * 8760)
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 2\n[place]\nclimate = "Duluth, MN"\n'
        '[prices]\n[prices.solar]\nsurplus = "roof.csv"\nexport_price = "0.05 USD/kWh"\n'
    )

    solar = load_job(job).prices.solar

    assert solar is not None
    assert sum(solar.surplus) == pytest.approx(0.5 * 8760)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("surplus [kWh]\n" + "1\n" * 10, "roof.csv, with 10 rows; .*8760 rows"),
        ("surplus [kWh]\n" + "1\n" * 8759 + "-1\n", "roof.csv, line 8761; .*none negative"),
        ("surplus [kWh]\n" + "x\n" * 8760, "roof.csv, line 2; .*8760 rows"),
        ("surplus\n" + "1\n" * 8760, "roof.csv, whose heading .*head the column"),
    ],
)
def test_a_solar_file_that_cannot_be_used_is_refused_and_the_place_named(
    tmp_path: Path, text: str, words: str
) -> None:
    (tmp_path / "roof.csv").write_text(text)
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 2\n[place]\nclimate = "Duluth, MN"\n'
        '[prices.solar]\nsurplus = "roof.csv"\n'
    )

    with pytest.raises(JobError, match=words):
        load_job(job)


def test_a_tariff_file_that_is_not_toml_is_named(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("[[electricity\n")
    job = tmp_path / "job.toml"
    job.write_text(
        '[household]\noccupants = 2\n[place]\nclimate = "Duluth, MN"\n'
        '[prices]\nelectricity = { file = "mine.toml" }\n'
    )

    with pytest.raises(JobError, match=r"mine\.toml, which is not TOML; .*the reader stopped"):
        load_job(job)


def test_an_unknown_key_of_a_tariff_names_the_nearest() -> None:
    text = message(electricity=[{"name": "t", "energy": "0.1 USD/kWh", "fixd": "1 USD/month"}])

    assert "fixd" in text
    assert "did you mean fixed" in text


def test_defaults_of_the_prices_are_listed_with_their_source() -> None:
    fields = {used.field for used in prices().defaults_used("prices")}

    assert {"prices.inflation", "prices.escalation.electricity"} <= fields
