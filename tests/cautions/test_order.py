"""The gravest caution comes first, wherever cautions are told."""

from __future__ import annotations

from heatersel.cautions.caution import Severity
from heatersel.cautions.order import SUBJECTS, gravest_first
from heatersel.cautions.registry import rules


def test_every_subject_of_the_rulebook_has_its_place():
    assert sorted(SUBJECTS) == sorted({rule.subject for rule in rules()})


def test_severity_then_danger_then_id(house):
    changes = {
        "home.static_pressure": "90 psi", "home.room_volume": "400 ft3",
        "preferences.setpoint": "140 degF", "home.site.point_of_use_valves": False,
        "home.ceiling_height": "4 ft",
    }  # fmt: skip
    told = sorted(house("gas-tank-50", changes).cautions, key=gravest_first)
    severities = [caution.severity for caution in told]
    assert severities[0] is Severity.STOP
    assert severities == sorted(severities, key=list(Severity).index)
    duties = [c.id for c in told if c.severity is Severity.MUST]
    # alphabetically the air of the room and the permit stand before the scald
    assert duties.index("scald-setpoint") < duties.index("air-room-volume")
    assert duties.index("air-room-volume") < duties.index("pressure-high")
    assert duties[-1] == "permit"
