"""One dashboard for all tests of its pages, asked without a browser."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from dashboard_request import PARTS, PATH, change
from flask.testing import FlaskClient

from dashboard.app import create_app
from dashboard.settings import Settings


@pytest.fixture(scope="session")
def client() -> FlaskClient:
    return create_app(Settings(patience_s=600.0)).server.test_client()


@pytest.fixture
def answer(client: FlaskClient) -> Callable[..., dict[str, str]]:
    """Return what each part of the page holds for a state, as JSON text."""

    def ask(tables: Any, **state: Any) -> dict[str, str]:
        reply = client.post(PATH, json=change(tables, **state))
        assert reply.status_code == 200, reply.data
        found = reply.get_json()["response"]
        return {part: json.dumps(found.get(part, {}), ensure_ascii=False) for part in PARTS}

    return ask
