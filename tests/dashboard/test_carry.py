"""Files through the server: the same TOML and the same figures as the command line."""

from __future__ import annotations

import json
import tomllib

import pytest
from flask.testing import FlaskClient
from typer.testing import CliRunner

from dashboard.carry import EXAMPLES
from heatersel.cli import app
from heatersel.reference import dataset_path


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_is_written_as_it_was_read(client: FlaskClient, name: str) -> None:
    text = dataset_path(f"jobs/{name}.toml").read_text(encoding="utf-8")

    tables = client.post("/job/read", json={"text": text, "name": name}).get_json()["tables"]
    written = client.post("/job/write", json={"tables": tables}).get_json()["text"]

    assert tomllib.loads(written) == tomllib.loads(text)
    assert client.post("/job/example", json={"name": name}).get_json()["tables"] == tables


def test_the_figures_are_those_of_the_command_line(client: FlaskClient) -> None:
    path = dataset_path("jobs/warm-bungalow.toml")
    text = path.read_text(encoding="utf-8")
    tables = client.post("/job/read", json={"text": text}).get_json()["tables"]

    ours = client.post("/job/compare", json={"tables": tables}).get_json()

    said = CliRunner().invoke(app, ["compare", str(path), "--json"])
    assert ours == json.loads(said.stdout)


@pytest.mark.parametrize("text", ["\x00", "a = [", "a = " + "[" * 5000, 7, None])
def test_what_is_no_toml_gets_a_message(client: FlaskClient, text: object) -> None:
    reply = client.post("/job/read", json={"text": text, "name": "my.toml"})

    assert reply.status_code == 200
    assert "not TOML" in reply.get_json()["message"]


def test_an_unknown_example_names_the_known_ones(client: FlaskClient) -> None:
    message = client.post("/job/example", json={"name": "../x"}).get_json()["message"]

    assert "cold-family" in message


def test_a_full_comparison_streams_how_far_it_is(client: FlaskClient) -> None:
    tables = {"household": {"occupants": 2}, "place": {"climate": "Miami, FL"}}

    reply = client.post("/job/answer", json={"tables": tables})

    lines = [json.loads(line) for line in reply.get_data(as_text=True).splitlines()]
    assert lines[-1] == {"ready": True}
    assert all(line["done"] <= line["of"] for line in lines[:-1])
