"""The manual's table of rules is printed from the rules and is current."""

from __future__ import annotations

from pathlib import Path

from heatersel.cautions import LOCAL_RULES, rules
from heatersel.cautions.listing import rules_markdown

MANUAL = Path(__file__).parents[2] / "docs" / "cautions.md"


def test_the_manual_is_current():
    assert MANUAL.read_text(encoding="utf-8") == rules_markdown(), (
        "print it again: python -m heatersel.cautions.listing > docs/cautions.md"
    )


def test_every_rule_stands_in_it_with_source_and_status():
    text = rules_markdown()
    for found in rules():
        row = next(line for line in text.splitlines() if line.startswith(f"| `{found.id}` |"))
        assert found.source in row
        assert row.endswith(f"| {found.status.value} |")
        assert row.count("|") == 9


def test_it_says_who_decides():
    assert LOCAL_RULES in rules_markdown()
