"""A register that is killed, crowded or written to while it is copied loses nothing."""

from __future__ import annotations

import datetime as dt
import json
import subprocess
import sys
from pathlib import Path

import sqlalchemy as sa

from heatersel.quote.register import Register
from heatersel.quote.register_tables import EVENT, QUOTE

SCRIPT = Path(__file__).with_name("stress_register.py")
DAY = dt.date(2026, 11, 20)


def run(*arguments):
    done = subprocess.run([sys.executable, SCRIPT, *map(str, arguments)], check=True,
                          capture_output=True, text=True)  # fmt: skip
    return json.loads(done.stdout)


def stored(place):
    """Ids of quotes and of the quotes that events are about, and what does not match."""
    with Register.open(place) as register:
        with register.reading() as connection:
            quotes = set(connection.scalars(sa.select(QUOTE.c.id)))
            about = list(connection.scalars(sa.select(EVENT.c.quote_id)))
            if connection.dialect.name == "sqlite":
                assert connection.scalar(sa.text("pragma integrity_check")) == "ok"
        assert register.verify() == ()
    return quotes, about


def test_200_kills_lose_no_stored_quote_and_leave_none_half_written(place):
    Register.open(place).engine.dispose()
    reported = run("kill", place, 200)
    quotes, about = stored(place)
    assert len(reported) > 50  # a busy machine stores less between two kills, but not nothing
    assert set(reported) <= quotes
    # A quote and its first event come together; a kill between commit and report may leave one
    # more than was reported for each trial.
    assert sorted(about) == sorted(quotes)
    assert len(quotes) - len(reported) <= 200


def test_eight_writers_store_500_quotes_each(place):
    reported = run("crowd", place, 8, 500)
    quotes, about = stored(place)
    assert len(set(reported)) == 8 * 500
    assert quotes == set(reported) == set(about)


def test_a_server_that_is_killed_comes_back_with_every_quote(cluster_if_any, record_of):
    for cluster in cluster_if_any:
        place = cluster.new()
        now = dt.datetime(2026, 11, 20, tzinfo=dt.UTC)
        with Register.open(place) as register:
            ids = {register.add(record_of(f"n{n}"), at=now, by="") for n in range(20)}
        cluster.stop("immediate")
        cluster.start()
        assert stored(place)[0] == ids
