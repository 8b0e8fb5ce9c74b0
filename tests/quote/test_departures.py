from __future__ import annotations

import pytest

from heatersel.errors import InputError
from heatersel.job.load import parse_job
from heatersel.quote.departures import explained, job_departures, under_policy
from heatersel.quote.policy import ByHand, demo_policy

REASON = "The dishwasher has no heater of its own."


def job(**preferences):
    return parse_job(
        {
            "household": {"occupants": 2},
            "place": {"climate": "Duluth, MN"},
            "preferences": preferences,
        }
    )


def strict(**rules):
    policy = demo_policy()
    changes = {name: getattr(policy, name).model_copy(update=update)
               for name, update in rules.items()}  # fmt: skip
    return policy.model_copy(update=changes)


COOL = strict(heaters={"setpoint_most_c": 49.0})
"""A policy that the demo job's 125 °F departs from."""


def test_the_policy_fills_in_what_the_job_does_not_tell():
    policy = strict(sizing={"percentile": 0.95}, heaters={"setpoint_least_c": 60.0})
    preferences = under_policy(job(), policy).preferences
    assert preferences.sizing_percentile == 0.95
    assert preferences.setpoint_c == pytest.approx(60.0)


def test_what_the_job_tells_stays():
    policy = strict(sizing={"percentile": 0.95}, heaters={"setpoint_least_c": 60.0})
    told = job(setpoint="125 degF", sizing_percentile=0.9)
    assert under_policy(told, policy) == told


def test_a_job_inside_the_policy_is_left_as_it_is():
    told = job()
    assert under_policy(told, demo_policy()) is told


@pytest.mark.parametrize(
    ("preferences", "rule", "says"),
    [
        ({"setpoint": "115 degF"}, "setpoint", "at least 120 °F (49 °C)"),
        ({"setpoint": "150 degF"}, "setpoint", "at most 140 °F (60 °C)"),
        ({"sizing_percentile": 0.9}, "percentile", "99.0% of mornings"),
    ],
)
def test_a_job_outside_the_policy_departs(preferences, rule, says):
    (found,) = job_departures(job(**preferences), demo_policy())
    assert (found.rule, found.policy_says) == (rule, says)


def test_limits_themselves_are_inside():
    for setpoint in ("120 degF", "140 degF", "60 degC"):
        assert not list(job_departures(job(setpoint=setpoint), demo_policy()))


def test_a_departure_without_a_reason_is_refused_and_says_how_to_give_one(quote_of):
    with pytest.raises(InputError, match=r"--depart setpoint="):
        quote_of(policy=COOL)


def test_a_reason_is_recorded_in_the_quote(quote_of):
    quote = quote_of(policy=COOL, reasons={"setpoint": REASON})
    assert [(item.rule, item.reason) for item in quote.departures] == [("setpoint", REASON)]
    assert "it departs from the policy in setpoint" in quote.second_opinion


@pytest.mark.parametrize("reason", ["", "because", "x" * 301])
def test_a_reason_that_says_nothing_is_refused(quote_of, reason):
    with pytest.raises(InputError, match="8 to 300 characters"):
        quote_of(policy=COOL, reasons={"setpoint": reason})


def test_a_reason_for_nothing_is_refused():
    with pytest.raises(InputError, match=r"reason for setpoint.*departs from: none"):
        explained((), {"setpoint": REASON})


def test_every_missing_reason_is_named_at_once(quote_of):
    with pytest.raises(InputError) as refused:
        quote_of(policy=COOL, changes={"preferences": {"sizing_percentile": 0.6}})
    assert len(refused.value.faults) == 2


def test_an_item_left_out_needs_a_reason_and_leaves_the_price(quote_of):
    with pytest.raises(InputError, match=r"must_have.drain_pan"):
        quote_of(without=("drain_pan",))
    quote = quote_of(
        without=("drain_pan",), reasons={"must_have.drain_pan": "The floor drain is right below."}
    )
    assert all(line.item != "drain_pan" for offer in quote.offers for line in offer.price.lines)


def test_what_a_caution_calls_for_cannot_be_left_out(quote_of):
    quote = quote_of(
        without=("expansion_tank",), reasons={"must_have.expansion_tank": "He wants none of it."}
    )
    assert "expansion_tank" in {line.item for line in quote.offers[0].price.lines}


def test_only_must_haves_of_this_house_can_be_left_out(quote_of):
    with pytest.raises(InputError, match=r"without is leak_shutoff; allowed:.*drain_pan"):
        quote_of(without=("leak_shutoff",))


def test_offers_by_hand_are_recorded_and_under_a_strict_policy_explained(quote_of):
    free = quote_of(offers=("gas-tank-50",))
    assert [(d.rule, d.reason) for d in free.departures] == [("offers", "")]
    policy = strict(offers={"by_hand": ByHand.WITH_REASON})
    with pytest.raises(InputError, match="departure from offers"):
        quote_of(offers=("gas-tank-50",), policy=policy)
    with pytest.raises(InputError, match="by_hand of the policy is never"):
        quote_of(offers=("gas-tank-50",), policy=strict(offers={"by_hand": ByHand.NEVER}))


def test_a_heater_that_the_policy_does_not_admit_needs_a_reason(quote_of):
    policy = strict(sizing={"margin": 9.0})
    with pytest.raises(InputError, match=r"heater.gas-tank-40.*the policy asks for 900%"):
        quote_of(offers=("gas-tank-40",), policy=policy)
    reasons = {"heater.gas-tank-40": "Two of the five move out in May."}
    quote = quote_of(offers=("gas-tank-40",), policy=policy, reasons=reasons)
    assert quote.offers[0].option.id == "gas-tank-40"


def test_a_heater_that_is_too_small_can_be_offered_with_a_reason_only(quote_of):
    ids = quote_of("cold-family").comparison
    small = next(o.id for o in ids.excluded if "too small" in o.excluded_because[0]
                 and not any(c.severity == "stop" for c in o.cautions))  # fmt: skip
    with pytest.raises(
        InputError, match=rf"heater.{small}; .*too small|heater.{small} .*too small"
    ):
        quote_of("cold-family", offers=(small,))
    reasons = {f"heater.{small}": "The teenager moves out next month."}
    (departure,) = (
        d for d in quote_of("cold-family", offers=(small,), reasons=reasons).departures if d.reason
    )
    assert "too small" in departure.policy_says
