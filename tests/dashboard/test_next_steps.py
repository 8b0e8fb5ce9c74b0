"""What a page says of the next steps."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from dashboard.pages import next_steps
from dashboard.texts import Texts


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("Floor drain", "Floor drain."),
        ("Would a leak damage something?", "Would a leak damage something?"),
    ],
)
def test_a_question_keeps_its_own_mark(
    asked: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(next_steps, "question", lambda _: SimpleNamespace(question=asked))
    view: Any = SimpleNamespace(t=Texts())

    assert next_steps._question(view, "home.site.leak_damages") == said
