"""How fast the dashboard answers: first page, what-if changes, cold server, 25 users at once.

``python tests/benchmarks/bench_dashboard.py`` starts `heatersel serve` on a free loopback port and
prints the figures with the limits of the requirement beside them. On a busy machine look at the
processor time of a change, which waits for nobody.
"""

from __future__ import annotations

import gzip
import http.client
import json
import os
import random
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from dashboard.screenshots import browser

PARTS = {"ask": "tree", "tell": "tree", "strip": "tree", "tried": "tree", "trouble": "tree",
         "title": "children", "look": "data"}  # fmt: skip
PLACES = ("Duluth, MN", "Boise, ID", "Helena, MT", "Miami, FL", "Denver, CO")
AGAIN_S = 0.6  # as the page does while the models are prepared
USERS, CHANGES, THINKING_S = 25, 8, (2.0, 6.0)


@contextmanager
def server() -> Iterator[tuple[str, int, int]]:
    run = "from heatersel.cli_serve import run; run(port=0, open_browser=False)"
    with subprocess.Popen([sys.executable, "-c", run], stdout=subprocess.PIPE, text=True) as child:
        try:
            said = child.stdout.readline() if child.stdout else ""
            host, port = re.findall(r"//([^:]+):(\d+)/", said)[0]
            yield host, int(port), child.pid
        finally:
            child.terminate()


def ask(link: http.client.HTTPConnection, tables: dict[str, Any], **state: Any) -> float:
    """Send one change as the page does; return the seconds it took."""
    outputs = [{"id": part, "property": name} for part, name in PARTS.items()]
    body = json.dumps({
        "output": ".." + "...".join(f"{o['id']}.{o['property']}" for o in outputs) + "..",
        "outputs": outputs, "changedPropIds": ["job.data"],
        "inputs": [{"id": "job", "property": "data", "value": {"tables": tables, **state}}],
    })  # fmt: skip
    begin = time.perf_counter()
    while True:
        link.request("POST", "/_dash-update-component", body,
                     {"Content-Type": "application/json", "Accept-Encoding": "gzip"})  # fmt: skip
        reply = link.getresponse()
        said = gzip.decompress(reply.read())
        assert reply.status == 200
        if b'"again":true' not in said:
            return time.perf_counter() - begin
        time.sleep(AGAIN_S)


def spent_s(pid: int) -> float:
    """Return the processor time of a program and the copies it started, so far."""
    copies = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    ticks = 0
    for one in (str(pid), *copies):
        fields = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def job(people: int, place: str, showers: int = 2) -> dict[str, Any]:
    return {
        "household": {"occupants": people, "fixtures": {"shower": 3},
                      "simultaneous": {"shower": showers}},
        "place": {"climate": place}, "home": {"fuels": ["natural_gas", "electricity"]},
    }  # fmt: skip


def p95(times: list[float]) -> float:
    return sorted(times)[int(0.95 * (len(times) - 1))]


def what_if(host: str, port: int) -> list[float]:
    """Try 200 different values, one after the other."""
    link = http.client.HTTPConnection(host, port, timeout=120)
    told, draw = job(4, "Duluth, MN"), random.Random(1)
    ask(link, told, step="choices")
    times = []
    for n in range(200):
        tried = {
            "preferences.setpoint": f"{110 + n % 31} degF",
            "household.occupants": draw.randint(1, 9),
            "prices.electricity": f"{draw.uniform(0.08, 0.35):.4f} USD/kWh",
            "preferences.study_years": draw.randint(5, 30),
        }
        times.append(ask(link, told, step="choices", tried=tried))
    return times


def many_users(host: str, port: int) -> list[float]:
    """Let 25 users change something every few seconds, each in a house of their own."""
    times: list[float] = []

    def user(number: int) -> None:
        draw = random.Random(number)
        link = http.client.HTTPConnection(host, port, timeout=120)
        for n in range(CHANGES):
            time.sleep(draw.uniform(*THINKING_S))
            tables = job(1 + (number + n) % 8, PLACES[number % 5], 1 + n % 3)
            tables["title"] = f"user {number}"
            times.append(ask(link, tables, step="choices"))

    users = [threading.Thread(target=user, args=(number,)) for number in range(USERS)]
    for one in users:
        one.start()
    for one in users:
        one.join()
    return times


def first_page(address: str) -> tuple[float, float]:
    """Return kilobytes on the wire and seconds until the first page stands."""
    with browser() as chromium:
        page = chromium.new_page()
        session = page.context.new_cdp_session(page)
        session.send("Network.enable")
        sizes: list[float] = []
        session.on("Network.loadingFinished", lambda e: sizes.append(e["encodedDataLength"]))
        begin = time.perf_counter()
        page.goto(address)
        page.wait_for_selector(".waiting")
        ready = time.perf_counter() - begin
        page.wait_for_load_state("networkidle")
        return sum(sizes) / 1000.0, ready


def main() -> None:
    with server() as (host, port, pid):
        link = http.client.HTTPConnection(host, port, timeout=300)
        cold = ask(link, job(3, "Boise, ID"), step="people")
        print(f"cold server, first answer      {cold:7.2f} s   limit 2 s")
        weight, ready = first_page(f"http://{host}:{port}/")
        print(f"first page on the wire         {weight:7.0f} kB  limit 1000 kB")
        print(f"first page ready               {ready:7.2f} s   limit 1.2 s")
        before_s = spent_s(pid)
        times = what_if(host, port)
        print(f"what-if, processor time each   {(spent_s(pid) - before_s) / 200:7.3f} s")
        print(f"what-if, median of 200         {median(times):7.3f} s")
        print(f"what-if, p95 of 200            {p95(times):7.3f} s   limit 0.3 s")
        before_s = spent_s(pid)
        times = many_users(host, port)
        each_s = (spent_s(pid) - before_s) / len(times)
        print(f"{USERS} users, processor time each {each_s:7.3f} s")
        print(f"{USERS} users, median             {median(times):7.3f} s")
        print(f"{USERS} users, p95                {p95(times):7.3f} s   limit 1.5 s")


if __name__ == "__main__":
    main()
