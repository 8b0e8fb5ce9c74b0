"""Twenty-five people at once: everybody is answered, and with the answer to their own house.

How long it takes is measured in tests/benchmarks/bench_dashboard.py.
"""

from __future__ import annotations

import http.client
import json
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from urllib.parse import urlsplit

from dashboard_request import PATH, change

from dashboard.screenshots import served

USERS = 25
PLACES = ("Duluth, MN", "Boise, ID", "Miami, FL")


def house(user: int) -> dict[str, Any]:
    return {
        "household": {"occupants": 1 + user % 5},
        "place": {"climate": PLACES[user % 3]},
        "preferences": {"study_years": 5 + user},
    }


def asked(address: str, user: int) -> str:
    """Return what the choices show one user, waiting as the page does while models load."""
    body = json.dumps(change(house(user), step="choices"))
    link = http.client.HTTPConnection(urlsplit(address).netloc, timeout=300)
    while True:
        link.request("POST", PATH, body, {"Content-Type": "application/json"})
        reply = link.getresponse()
        said = reply.read().decode()
        assert reply.status == 200
        if '"again":true' not in said:
            link.close()
            return said
        time.sleep(0.5)


def test_everybody_gets_the_answer_to_their_own_house() -> None:
    with served() as address, ThreadPoolExecutor(USERS) as people:
        together = list(people.map(lambda user: asked(address, user), range(USERS)))

    for user, said in enumerate(together):
        assert f"Over {5 + user} years, all told" in said
        n = 1 + user % 5
        assert (f"{n} people" if n > 1 else "1 person") in said
