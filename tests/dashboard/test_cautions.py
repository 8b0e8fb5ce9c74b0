"""What a page says of cautions."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import Any

from dashboard.controls import tree_of
from dashboard.parts.cautions import caution_list, first_things
from dashboard.texts import Texts
from heatersel.cautions.caution import Caution, Severity, Status


def caution(id_: str, subject: str, severity: Severity) -> Caution:
    return Caution(
        id=id_, subject=subject, jurisdiction="US (MN)", severity=severity, message=f"<{id_}>",
        trade_message="", remedy="", source="", edition="", status=Status.SEEN,
    )  # fmt: skip


CAUTIONS = (
    caution("air", "combustion air", Severity.MUST),
    caution("hard", "scale", Severity.NOTE),
    caution("permit", "permit", Severity.MUST),
    caution("scald", "scald", Severity.MUST),
    caution("cool", "growth", Severity.NOTE),
)


def order_of(parts: Any) -> list[str]:
    text = json.dumps(tree_of(parts))
    return sorted((c.id for c in CAUTIONS if c.message in text), key=lambda i: text.index(f"<{i}>"))


def test_the_gravest_is_told_first_and_the_permit_last() -> None:
    option: Any = SimpleNamespace(cautions=CAUTIONS)
    view: Any = SimpleNamespace(t=Texts(), comparison=SimpleNamespace(recommended=option))

    assert order_of(caution_list(view, option)) == ["scald", "air", "permit", "cool", "hard"]
    assert order_of(first_things(view)) == ["scald", "air"]
