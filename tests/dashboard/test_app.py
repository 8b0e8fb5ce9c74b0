"""The app as a server: its headers, its limits, and what each step of a job shows."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from dashboard.answers import Answers
from dashboard.controls import tree_of
from dashboard.pages import people
from dashboard.texts import Texts
from dashboard.told import STEPS, told_of
from dashboard.view import view_of
from heatersel import cli_serve

Answer = Callable[..., dict[str, str]]

SMALL = {"household": {"occupants": 3}, "place": {"climate": "Boise, ID"}}
HOSTILE = (
    None, 7, "x", [], {}, {"tables": []}, {"tables": {"household": None}},
    {"tables": {"a": {"toml": "import os"}}}, {"tables": {}, "tried": {"a": {}}},
    {"tables": {}, "chosen": ["../../etc/passwd"]}, {"tables": {}, "step": ["people"]},
)  # fmt: skip


def test_every_answer_carries_the_usual_headers(client: FlaskClient) -> None:
    for path in ("/", "/_dash-layout", "/assets/style.css", "/nowhere/at/all"):
        with client.get(path) as reply:
            headers = reply.headers

        policy = headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe-eval" not in policy
        assert "script-src 'self' 'sha256-" in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert headers["Referrer-Policy"] == "no-referrer"


def test_the_page_names_its_language_and_no_other_host(client: FlaskClient) -> None:
    page = client.get("/").get_data(as_text=True)

    assert '<html lang="en">' in page
    assert "http://" not in page
    assert "https://" not in page


def test_another_name_of_the_server_is_refused(client: FlaskClient) -> None:
    reply = client.get("/", headers={"Host": "elsewhere.example:8100"})

    assert reply.status_code == 403
    assert "elsewhere.example" in reply.get_json()["message"]


def test_at_another_address_of_this_computer_other_names_are_refused_too(tmp_path: Path) -> None:
    client = cli_serve._app("127.0.0.9", tmp_path).server.test_client()

    assert client.get("/", headers={"Host": "127.0.0.9:8100"}).status_code == 200
    assert client.get("/", headers={"Host": "kitchen.example"}).status_code == 403


def test_a_huge_request_is_refused_with_the_limit(client: FlaskClient) -> None:
    reply = client.post("/job/read", json={"text": "x" * 2_000_000})

    assert reply.status_code == 413
    assert "1500 kB" in reply.get_json()["message"]


@pytest.mark.parametrize("step", STEPS)
def test_each_step_stands_before_anything_is_told(answer: Answer, step: str) -> None:
    shown = answer({}, step=step)

    assert '"h1"' in shown["ask"]
    assert shown["trouble"] == '{"tree": []}'


@pytest.mark.parametrize("step", STEPS)
def test_each_step_answers_a_job(answer: Answer, step: str) -> None:
    shown = answer(SMALL, step=step)

    assert "$" in shown["strip"]
    assert len(shown["tell"]) > 2_000
    assert shown["trouble"] == '{"tree": []}'


@pytest.mark.parametrize("state", HOSTILE)
def test_a_state_of_the_wrong_shape_gets_words_and_no_traceback(
    client: FlaskClient, state: Any
) -> None:
    reply = client.post("/job/write", json=state if isinstance(state, dict) else {"tables": state})

    assert reply.status_code == 200
    assert "Traceback" not in reply.get_data(as_text=True)


def test_a_wrong_value_keeps_the_last_answer_and_says_how_to_mend_it(answer: Answer) -> None:
    shown = answer({**SMALL, "home": {"room_volume": "<script>"}})

    assert "<script>" in shown["trouble"]
    assert "6000 ft3" in shown["trouble"]
    assert shown["tell"] == "{}"


def test_what_is_tried_is_compared_with_what_was_told(answer: Answer) -> None:
    shown = answer(SMALL, step="choices", tried={"preferences.setpoint": "140 degF"})

    assert "140 °F" in shown["tried"]
    assert "data-action" in shown["tried"]


def test_while_the_models_are_prepared_the_page_says_so_and_asks_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hold = threading.Event()
    monkeypatch.setattr(Answers, "prepare", lambda _: hold.wait(60.0))
    told = told_of({"tables": SMALL})

    view = view_of(told, Answers(patience_s=0.01), Texts())
    shown = json.dumps(tree_of(people.tell(view)), default=str)

    assert view.is_preparing
    assert "half a minute" in shown
    assert '"progress"' in shown
    hold.set()
