"""Numbers as people say them, in both systems."""

from __future__ import annotations

import pytest

from heatersel.display import Display

US, SI = Display("us"), Display("si", "CAD")


@pytest.mark.parametrize(
    ("said", "us", "si"),
    [
        ("temperature", "120 °F", "49 °C"),
        ("volume", "13 gal", "49 L"),
        ("flow", "12.9 gal/min", "48.9 L/min"),
        ("heat_rate", "166,800 Btu/h", "48.9 kW"),
        ("length", "160 ft", "48.9 m"),
        ("weight", "108 lb", "49 kg"),
    ],
)
def test_a_value_in_both_systems(said: str, us: str, si: str) -> None:
    assert getattr(US, said)(48.889) == us
    assert getattr(SI, said)(48.889) == si


def test_a_rise_has_no_offset() -> None:
    assert US.rise(50.0) == "90 °F"
    assert SI.rise(50.0) == "50 °C"


def test_money_is_rounded_to_the_step_and_signed() -> None:
    assert US.money(1234.5, 50) == "$1,250"
    assert US.money(-3.4) == "-$3"
    assert US.money(-0.2) == "$0"
    assert SI.money(1234.4) == "C$1,234"
    assert US.money(1.237, 0.01) == "$1.24"


def test_gas_is_said_in_therms_where_they_bill_it_so() -> None:
    """1 therm = 29.3071 kWh: NIST SP 811 (2008), from memory, sure."""
    assert US.energy(29307.1, "natural_gas") == "1,000 therm"
    assert SI.energy(29307.1, "natural_gas") == "29,307 kWh"


def test_an_unknown_unit_is_said_as_it_is() -> None:
    assert US.measure(2.5, "kg/kWh") == "2.5 kg/kWh"


def test_a_loss_is_said_in_the_users_own_unit() -> None:
    # 1 W/K = 3.412142 Btu/h over 1.8 °F (definitions of the units).
    assert US.loss(1.0) == "1.90 Btu/h per °F"
    assert Display("si").loss(1.0) == "1.00 W/K"
