"""Files in and out: a job as the TOML of the command line, its comparison as JSON, examples."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from flask import Flask, Response, request

from dashboard.answers import Answers
from dashboard.told import Tables, checked_tables, from_browser, to_browser
from heatersel.errors import HeaterselError, UnknownChoiceError
from heatersel.job.load import parse_toml
from heatersel.job.write import job_toml
from heatersel.reference import dataset_path

__all__ = ["EXAMPLES", "add_routes"]

EXAMPLES = ("cold-family", "propane-well", "town-house-ca", "warm-bungalow")

Given = dict[str, Any]


def add_routes(server: Flask, answers: Answers) -> None:
    """Add the routes that read and write files.

    What the reader can mend is answered with its message, not with a fault of the server.
    """
    works: dict[str, Callable[[Given], Given]] = {
        "read": _read,
        "write": _write,
        "compare": lambda given: answers.work_out(_tables(given), lambda _, __: None).as_dict(),
        "example": _example,
    }
    for name, work in works.items():
        server.add_url_rule(f"/job/{name}", name, _reply(work), methods=["POST"])


def _reply(work: Callable[[Given], Given]) -> Callable[[], Response]:
    def reply() -> Response:
        given = request.get_json(silent=True)
        try:
            said = work(given if isinstance(given, dict) else {})
        except HeaterselError as trouble:
            faults = [fault.as_dict() for fault in trouble.faults]
            said = {"message": str(trouble), "faults": faults}
        # Dates are written as the command line writes them, not as the web does.
        return Response(json.dumps(said, default=str), mimetype="application/json")

    return reply


def _read(given: Given) -> Given:
    text, name = given.get("text"), str(given.get("name", "file"))[:80]
    tables = parse_toml(text if isinstance(text, str) else "?", name)
    return {"tables": to_browser(checked_tables(tables))}


def _write(given: Given) -> Given:
    tables = _tables(given)
    return {"text": job_toml(tables, "si" if tables.get("units") == "si" else "us")}


def _example(given: Given) -> Given:
    name = given.get("name")
    if name not in EXAMPLES:
        raise UnknownChoiceError.of(
            "example", value=str(name)[:80], allowed=", ".join(EXAMPLES), fix="use one of these"
        )
    text = dataset_path(f"jobs/{name}.toml").read_text(encoding="utf-8")
    return {"tables": to_browser(parse_toml(text, f"{name}.toml"))}


def _tables(given: dict[str, Any]) -> Tables:
    return checked_tables(from_browser(given.get("tables")))
