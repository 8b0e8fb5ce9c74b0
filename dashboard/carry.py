"""Files in and out: a job as the TOML of the command line, its comparison as JSON, examples."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from flask import Flask, request

from dashboard.answers import Answers
from dashboard.texts import Texts
from dashboard.told import Tables, checked_tables, from_browser, to_browser
from heatersel.errors import HeaterselError
from heatersel.job.load import parse_toml
from heatersel.job.write import job_toml
from heatersel.reference import dataset_path

__all__ = ["EXAMPLES", "add_routes"]

EXAMPLES = ("cold-family", "propane-well", "town-house-ca", "warm-bungalow")

Reply = dict[str, Any] | tuple[dict[str, Any], int]


def add_routes(server: Flask, answers: Answers, t: Texts) -> None:
    """Add the routes that read and write files."""

    def route(path: str, work: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
        @wraps(work)
        def reply() -> Reply:
            given = request.get_json(silent=True)
            try:
                return work(given if isinstance(given, dict) else {})
            except HeaterselError as trouble:
                return {
                    "message": str(trouble),
                    "faults": [f.as_dict() for f in trouble.faults],
                }, 400

        server.add_url_rule(path, endpoint=path, view_func=reply, methods=["POST"])

    def read(given: dict[str, Any]) -> dict[str, Any]:
        text = given.get("text")
        tables = parse_toml(
            text if isinstance(text, str) else "?", str(given.get("name", "file"))[:80]
        )
        return {"tables": to_browser(checked_tables(tables))}

    def write(given: dict[str, Any]) -> dict[str, Any]:
        tables = _tables(given)
        return {"text": job_toml(tables, "si" if tables.get("units") == "si" else "us")}

    def compare(given: dict[str, Any]) -> dict[str, Any]:
        return answers.comparison(_tables(given)).as_dict()

    def example(given: dict[str, Any]) -> dict[str, Any]:
        name = given.get("name")
        if name not in EXAMPLES:
            name = EXAMPLES[0]
        text = dataset_path(f"jobs/{name}.toml").read_text(encoding="utf-8")
        return {"tables": to_browser(parse_toml(text, f"{name}.toml"))}

    for path, work in (
        ("read", read),
        ("write", write),
        ("compare", compare),
        ("example", example),
    ):
        route(f"/job/{path}", work)


def _tables(given: dict[str, Any]) -> Tables:
    return checked_tables(from_browser(given.get("tables")))
