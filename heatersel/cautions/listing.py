"""The table of rules in the manual, printed from the rules themselves.

``python -m heatersel.cautions.listing`` prints docs/cautions.md; a test holds the file current.
"""

from __future__ import annotations

from collections import Counter
from itertools import groupby

from heatersel.cautions.caution import LOCAL_RULES
from heatersel.cautions.registry import Rule, rules

__all__ = ["rules_markdown"]

_HEAD = """# Cautions: every rule, its trigger and its source

This page is printed from the rules by `python -m heatersel.cautions.listing`; do not edit it by
hand.

{reminder}

A rule that lacks a measurement asks for it and never counts it as fine. *stop* excludes the
heater until something lifts it, *must* adds its remedy to the price, *note* is worth knowing.
Status: *seen* was read in a public copy; *memory* is quoted from memory and has to be read before
anyone relies on it; *computed* follows from stated physics; *common practice, no source* says so.

{count} rules: {severities}. By status: {statuses}.
"""


def rules_markdown() -> str:
    """Return the table of all rules as Markdown.

    Returns
    -------
    str
        One table per subject, in the order of the rulebook.
    """
    found = rules()
    parts = [
        _HEAD.format(
            reminder=LOCAL_RULES,
            count=len(found),
            severities=_counted(Counter(rule.severity.value for rule in found)),
            statuses=_counted(Counter(rule.status.value for rule in found)),
        )
    ]
    by_subject = sorted(found, key=lambda rule: rule.subject)
    for subject, group in groupby(by_subject, key=lambda rule: rule.subject):
        rows = "\n".join(_row(rule) for rule in group)
        parts.append(
            f"\n## {subject.capitalize()}\n\n"
            "| rule | where | severity | applies to | trigger | source | edition | status |\n"
            f"|---|---|---|---|---|---|---|---|\n{rows}\n"
        )
    return "".join(parts)


def _counted(counts: Counter[str]) -> str:
    return ", ".join(f"{number} {name}" for name, number in sorted(counts.items()))


def _row(rule: Rule) -> str:
    cells = (
        f"`{rule.id}`", rule.where.value, rule.severity.value, rule.applies_to, rule.trigger,
        rule.source, rule.edition, rule.status.value,
    )  # fmt: skip
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


if __name__ == "__main__":
    print(rules_markdown(), end="")
