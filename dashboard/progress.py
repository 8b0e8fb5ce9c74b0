"""The full comparison as a stream: how far it is, then that it is done; closing it stops the work.

Each line is one JSON object: {"done": 12, "of": 52}, {"ready": true}, {"busy": true} where others
wait already, or {"message": "..."} where the job is at fault.
"""

from __future__ import annotations

import json
import queue
import threading
from collections.abc import Iterator
from typing import Any

from flask import Flask, Response, request

from dashboard.answers import Answers, Busy, Stopped
from dashboard.texts import Texts
from dashboard.told import Tables, told_of
from heatersel.errors import HeaterselError

__all__ = ["add_progress", "steps"]

Step = dict[str, Any]


def add_progress(server: Flask, answers: Answers, t: Texts) -> None:
    """Add the route that works out a full comparison and tells how far it is."""

    def progress() -> Response:
        try:
            tables = told_of(request.get_json(silent=True)).tables_tried
        except HeaterselError as trouble:
            lines: Iterator[Step] = iter([{"message": str(trouble)}])
        else:
            lines = steps(answers, tables, t)
        return Response(
            (json.dumps(line) + "\n" for line in lines), mimetype="application/x-ndjson"
        )

    server.add_url_rule("/job/answer", "answer", progress, methods=["POST"])


def steps(answers: Answers, tables: Tables, t: Texts) -> Iterator[Step]:
    """Yield the steps of a full comparison; the work ends when nobody takes them any more."""
    told: queue.Queue[Step | None] = queue.Queue()
    stop = threading.Event()

    def watch(done: int, of: int) -> None:
        if stop.is_set():
            raise Stopped
        told.put({"done": done, "of": of})

    def work() -> None:
        try:
            answers.work_out(tables, watch)
            told.put({"ready": True})
        except Busy:
            told.put({"busy": True})
        except HeaterselError as trouble:
            told.put({"message": str(trouble)})
        except Stopped:
            pass
        except Exception:
            told.put({"message": t("That went wrong here, not with you. Try again.")})
            raise
        finally:
            told.put(None)

    threading.Thread(target=work, daemon=True).start()
    try:
        while (step := told.get()) is not None:
            yield step
    finally:
        stop.set()
