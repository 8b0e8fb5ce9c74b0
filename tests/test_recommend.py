"""Ranking, exclusions and offers on small made-up sets of options."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from heatersel.cautions.caution import Caution, Severity, Status
from heatersel.heaters.catalogue import heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.recommend import (
    MOST_SHORT_DAYS,
    NEAR_FRAC,
    exclusions,
    rank_options,
    recommend,
    three_offers,
)
from heatersel.sizing.verdict import Sizing, Verdict

HEATERS = load_heaters().heaters
ALL_FUELS = tuple(EnergySource)


@dataclass(frozen=True)
class Cost:
    life_cycle: float
    installed: float
    total_per_year: float = 300.0
    life_years: float = 12.0


@dataclass(frozen=True)
class Served:
    short_days_per_year: float


@dataclass(frozen=True)
class Annual:
    delivery: Served | None = None


@dataclass(frozen=True)
class FakeOption:
    """The fields of an option that the ranking looks at."""

    heater: object
    cost: Cost | None
    sizing: Sizing
    annual: Annual = Annual()
    co2_kg_per_year: float = 1000.0
    cautions: tuple[Caution, ...] = ()
    excluded_because: tuple[str, ...] = ()
    rank: int | None = None

    @property
    def id(self) -> str:
        return self.heater.id


def sizing(verdict: Verdict = Verdict.ADEQUATE, margin_frac: float = 0.2) -> Sizing:
    return Sizing(
        measure="first_hour_delivery", required=100.0, available=100.0 * (1 + margin_frac),
        unit="L", margin_frac=margin_frac, verdict=verdict,
    )  # fmt: skip


def option(
    heater_id: str, life_cycle: float, installed: float = 2000.0, co2: float = 1000.0
) -> FakeOption:
    return FakeOption(
        heater=heater_by_id(HEATERS, heater_id), cost=Cost(life_cycle, installed),
        sizing=sizing(), co2_kg_per_year=co2,
    )  # fmt: skip


STOP = Caution(
    id="X1", subject="venting", jurisdiction="US", severity=Severity.STOP, message="no vent",
    trade_message="no vent", remedy="a vent", source="test", edition="", status=Status.SEEN,
)  # fmt: skip


def test_the_cheapest_to_own_comes_first() -> None:
    ranked = rank_options([option("gas-tank-50", 9000), option("gas-tank-40", 8000)])

    assert [(o.id, o.rank) for o in ranked] == [("gas-tank-40", 1), ("gas-tank-50", 2)]


def test_equal_cost_ranks_the_lower_first_cost_first() -> None:
    ranked = rank_options(
        [option("gas-tank-50", 9000, installed=2500), option("gas-tank-40", 9000, installed=2000)]
    )

    assert ranked[0].id == "gas-tank-40"


def test_the_order_of_the_list_changes_nothing() -> None:
    options = [option("gas-tank-50", 9000), option("gas-tank-40", 8000), option("oil-tank-30", 1)]

    assert rank_options(options) == rank_options(options[::-1])


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"cautions": (STOP,)}, "no vent"),
        ({"sizing": sizing(Verdict.SHORT, -0.12)}, "too small by 12%"),
        ({"annual": Annual(Served(MOST_SHORT_DAYS + 1.0))}, "cold on about 27 days"),
    ],
)
def test_each_reason_keeps_an_option_out(changed: dict[str, object], said: str) -> None:
    reasons = exclusions(replace(option("gas-tank-40", 8000), **changed), ALL_FUELS)

    assert said in " ".join(reasons)


def test_a_cold_day_in_two_weeks_is_the_most_that_is_offered() -> None:
    served = replace(option("gas-tank-40", 8000), annual=Annual(Served(MOST_SHORT_DAYS)))

    assert exclusions(served, ALL_FUELS) == ()


def test_a_fuel_that_the_house_lacks_keeps_an_option_out() -> None:
    reasons = exclusions(option("gas-tank-40", 8000), [EnergySource.ELECTRICITY])

    assert reasons == ("no natural gas in this house",)


def test_excluded_options_are_kept_and_never_ranked() -> None:
    out = replace(option("gas-tank-40", 1.0), excluded_because=("too small",))

    ranked = rank_options([out, option("gas-tank-50", 9000)])

    assert [(o.id, o.rank) for o in ranked] == [("gas-tank-50", 1), ("gas-tank-40", None)]


def test_three_offers_lead_in_their_respects() -> None:
    ranked = rank_options(
        [
            option("gas-tank-40", 8000, installed=2500, co2=1500),
            option("electric-tank-50", 9000, installed=1000, co2=2000),
            option("heat-pump-50", 9500, installed=4000, co2=500),
        ]
    )

    offers = {offer.basis: offer.option_id for offer in three_offers(ranked)}

    assert offers == {
        ("lowest_cost_to_own",): "gas-tank-40",
        ("lowest_first_cost",): "electric-tank-50",
        ("lowest_emissions",): "heat-pump-50",
    }


def test_emissions_below_zero_have_a_leader_too() -> None:
    """Where electricity is clean, a tank's heat saves more gas in the house than it causes."""
    ranked = rank_options(
        [option("gas-tank-40", 8000, co2=900), option("electric-tank-50", 9000, co2=-40)]
    )

    offers = {offer.basis: offer.option_id for offer in three_offers(ranked)}

    assert offers["lowest_emissions",] == "electric-tank-50"


def test_a_near_tie_is_no_choice_and_frees_an_offer_for_another_kind() -> None:
    near = 2000.0 * (1.0 - 0.9 * NEAR_FRAC)
    ranked = rank_options(
        [
            option("gas-tank-40", 8000, installed=2000, co2=1000),
            option("gas-tank-40-short", 8100, installed=near, co2=1000),
            option("heat-pump-50", 9500, installed=4000, co2=980),
        ]
    )

    offers = three_offers(ranked)

    assert offers[0].basis == ("lowest_cost_to_own", "lowest_first_cost", "lowest_emissions")
    assert offers[1].option_id == "heat-pump-50"
    assert offers[1].basis == ("another_kind",)


def test_the_runner_up_is_of_another_kind() -> None:
    ranked = rank_options(
        [option("gas-tank-40", 1), option("gas-tank-50", 2), option("heat-pump-50", 3)]
    )

    assert recommend(ranked).runner_up_id == "heat-pump-50"


def test_nothing_to_rank_gives_no_recommendation() -> None:
    assert recommend([]).option_id is None
    assert recommend([]).offers == ()
