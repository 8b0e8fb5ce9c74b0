"""Every installation is permitted, inspected and done by a licensed person."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.registry import Ask, Finding, Where, rule


@rule(
    "permit", "permit", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True, trigger="always",
    source="UPC 2018 chapter 5 (no water heater is installed, removed or replaced without a "
    "permit); provincial and local licensing rules", edition="2018", status=Status.SEEN,
)  # fmt: skip
def _permit(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="Changing a water heater needs a permit and an inspection, and a licensed person "
        "does the work. That protects you if something goes wrong later.",
        trade=f"Permit, licensed installer and inspection before concealment; rules shown here: "
        f"{case.place.name}. Check the adopted edition and local amendments.",
        remedy="Take out the permit and have the work inspected.",
        remedy_ids=("permit",),
    )
