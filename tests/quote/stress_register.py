"""Run by the register's tests in a process of its own, which may fork: kills and crowds of writers.

    python stress_register.py kill PLACE TRIALS
    python stress_register.py crowd PLACE WRITERS QUOTES

Prints one JSON object with the ids that were reported as stored.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import signal
import sys
import time

from heatersel.quote.register import Register

SMALL = {
    "schema": "heatersel.quote/1", "title": "stress", "place": "Duluth, MN", "by": "A. Plumber",
    "date": "2026-11-20", "valid_until": "2026-12-20", "currency": "USD", "recommended": "a",
    "offers": [{"letter": "A", "option": "a", "total": 12.34, "lines": ["line"] * 50}],
    "policy": {"title": "P", "version": "1"}, "price_book": {"title": "B", "version": "1"},
    "content_digest": "0" * 64,
}  # fmt: skip


def write_quotes(place: str, pipe: int, count: int, name: str) -> None:
    """Store quotes and report each id only after the register said that it is kept."""
    with Register.open(place) as register:
        for number in range(count):
            record = SMALL | {"title": f"{name} {number}"}
            quote_id = register.add(record, at=dt.datetime.now(dt.UTC), by=name)
            os.write(pipe, f"{quote_id}\n".encode())


def start(place: str, count: int, name: str) -> tuple[int, int]:
    """Fork a writer and return its process id and the pipe that it reports to."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        status = 1
        try:
            write_quotes(place, writer, count, name)
            status = 0
        finally:
            os._exit(status)
    os.close(writer)
    return child, reader


def reported(reader: int) -> list[str]:
    """Return the ids that arrived whole."""
    content = b""
    while chunk := os.read(reader, 65536):
        content += chunk
    os.close(reader)
    return [line for line in content.decode().split("\n")[:-1] if line]


def kill(place: str, trials: int) -> list[str]:
    """Kill writers without warning after random times, one after another."""
    chance = random.Random(2026)
    ids = []
    for trial in range(trials):
        child, reader = start(place, 10_000, f"trial {trial}")
        time.sleep(chance.uniform(0.0, 0.08))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        ids += reported(reader)
    return ids


def crowd(place: str, writers: int, quotes: int) -> list[str]:
    """Let many writers store quotes at the same time."""
    started = [start(place, quotes, f"writer {number}") for number in range(writers)]
    ids = [quote_id for _, reader in started for quote_id in reported(reader)]
    for child, _ in started:
        _, status = os.waitpid(child, 0)
        assert status == 0
    return ids


def main() -> None:
    """Run what the arguments ask for."""
    what, place, *numbers = sys.argv[1:]
    Register.open(place).engine.dispose()  # the driver is loaded once, before anybody forks
    run = {"kill": kill, "crowd": crowd}[what]
    json.dump(run(place, *map(int, numbers)), sys.stdout)


if __name__ == "__main__":
    main()
