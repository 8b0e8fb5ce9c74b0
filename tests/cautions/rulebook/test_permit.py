"""The permit that always is needed, named last."""

from __future__ import annotations

from heatersel.cautions import Severity


def test_every_heater_needs_a_permit_and_prints_whose_rules(house, heaters):
    for heater in heaters:
        permit = next(c for c in house(heater).cautions if c.id == "permit")
        assert permit.remedy_ids == ("permit",)
        assert "MN, US (UPC 2021)" in permit.trade_message


def test_hazards_are_named_before_the_permit(house):
    report = house("gas-tank-50", {"home.backflow_preventer": True})
    musts = [c.id for c in report.cautions if c.severity is Severity.MUST]
    assert musts == ["closed-system", "permit"]
