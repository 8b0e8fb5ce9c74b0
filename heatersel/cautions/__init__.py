"""What would stop a heater in this house, what must be added, and what to know before choosing.

Each rule looks at one hazard and says what it found with its numbers, its remedy and its source;
a rule that lacks a measurement asks for it. Local codes, the heater's listing and a licensed
person decide.
"""

from __future__ import annotations

from heatersel.cautions.altitude import altitude_derate_frac
from heatersel.cautions.caution import (
    LOCAL_RULES,
    Caution,
    CautionReport,
    Measure,
    Severity,
    SiteFacts,
    Status,
)
from heatersel.cautions.jurisdiction import Country, Jurisdiction, jurisdiction
from heatersel.cautions.registry import Rule, Where, cautions_for, rules

__all__ = [
    "LOCAL_RULES",
    "Caution",
    "CautionReport",
    "Country",
    "Jurisdiction",
    "Measure",
    "Rule",
    "Severity",
    "SiteFacts",
    "Status",
    "Where",
    "altitude_derate_frac",
    "cautions_for",
    "jurisdiction",
    "rules",
]
