"""Books and policies of a quote's tests: small, invented, and written as a company would."""

from __future__ import annotations

import datetime as dt
import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
import pytest

from heatersel.api import compare
from heatersel.comparison import Comparison
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import parse_job, read_toml
from heatersel.quote.departures import under_policy
from heatersel.quote.fingerprint import canonical_json
from heatersel.quote.policy import Policy, demo_policy
from heatersel.quote.price_book import PriceBook, demo_price_book
from heatersel.quote.quote import Quote, Request, make_quote
from heatersel.quote.record import quote_record
from heatersel.reference import dataset_path

HEADINGS = (
    "row,kind,item,where,text,cost [USD],price [USD],hours [h],trade,percent,on,taxed,from,until"
)
ROWS = """\
B1,book,version,,2027-1,,,,,,,,,
R1,rate,hour,,Plumber,,100,,,,,,,
M1,margin,equipment,,,,,,,25,,,,
T1,tax,sales_tax,,Sales tax,,,,,7,goods,,,
E1,equipment,gas-tank-40,,Gas tank,600,,,,,,,,
L1,labour,atmospheric_storage,,Put in,,,5,,,,,,
P1,fee,permit,,Permit,,90,,,,,,,
W1,work,expansion_tank,,Expansion tank,,150,,,,,,,
"""


TEST_HOUSE: dict[str, Any] = {
    "title": "Invented test house",
    "household": {
        "occupants": {"adults": 1, "children": 1},
        "simultaneous": {"shower": 1},
        "peak_hour": {"shower": 1, "lavatory": 1},
    },
    "place": {"climate": "Tampa, FL", "elevation": "30 ft"},
    "home": {
        "room_volume": "6000 ft3",
        "ceiling_height": "8 ft",
        "fuels": ["natural_gas", "electricity"],
        "vent": "masonry_chimney",
        "other_gas_input": "80000 Btu/h",
        "gas_pipe": {"size": "1 in", "length": "20 ft"},
        "panel": {"service": "200 A", "spare_poles": 8, "calculated_load": "60 A"},
        "backflow_preventer": True,
        "static_pressure": "65 psi",
        "floor_drain": True,
        "site": {"chimney_shared": True, "chimney_liner": False, "expansion_tank": False},
    },
    "existing": {
        "kind": "storage",
        "energy_source": "natural_gas",
        "volume": "40 gal",
        "input": "36000 Btu/h",
        "installed": 2009,
    },
    "prices": {"region": "FL"},
    "preferences": {"setpoint": "125 degF"},
}
"""A small house in which tanks of every kind are large enough; invented."""


@pytest.fixture
def headings() -> str:
    """Return the heading row of the small book."""
    return HEADINGS


@pytest.fixture
def write_book(tmp_path: Path) -> Callable[..., Path]:
    """Return a writer of price books: the small book, with rows added or taken out."""

    def write(added: str = "", without: str = "", headings: str = HEADINGS) -> Path:
        kept = [row for row in ROWS.splitlines() if not (without and row.startswith(without))]
        path = tmp_path / "prices.csv"
        path.write_text("\n".join([headings, *kept, *added.splitlines()]) + "\n", encoding="utf-8")
        return path

    return write


@pytest.fixture(scope="session")
def test_house() -> dict[str, Any]:
    """Return the tables of the test house."""
    return TEST_HOUSE


@pytest.fixture(scope="session")
def quote_of() -> Callable[..., Quote]:
    """Return a maker of quotes of the test house or a demo job; keywords go to the request.

    A job under the same policy is compared once: a comparison depends on nothing else.
    """
    compared: dict[str, Comparison] = {}

    def make(
        name: str = "",
        *,
        policy: Policy | None = None,
        book: PriceBook | None = None,
        changes: dict[str, dict[str, Any]] | None = None,
        **request: Any,
    ) -> Quote:
        policy = policy or demo_policy()
        tables = read_toml(dataset_path(f"jobs/{name}.toml")) if name else dict(TEST_HOUSE)
        for table, values in (changes or {}).items():
            tables[table] = tables.get(table, {}) | values
        told = parse_job(tables)
        job = under_policy(told, policy)
        key = canonical_json(job)
        if key not in compared:
            compared[key] = compare(job)
        return make_quote(
            told,
            compared[key],
            load_heaters(),
            policy=policy,
            book=book or demo_price_book(job.prices.currency),
            request=Request(**({"date": dt.date(2026, 11, 20), "by": "A. Plumber"} | request)),
        )

    return make


def _programs() -> Path | None:
    """Return the folder of PostgreSQL's own programs (Debian keeps them out of the path)."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    found = shutil.which("initdb")
    return next((f for f in folders if (f / "initdb").exists()), found and Path(found).parent)


KINDS = ("sqlite", "postgresql") if _programs() else ("sqlite",)
"""What this machine can test on; `apt-get install postgresql` adds the second."""


class PostgreSQL:
    """A cluster in a temporary folder that answers on the loopback address only."""

    def __init__(self, folder: Path, port: int) -> None:
        self.folder, self.port, self.count = folder, port, 0

    def _run(self, program: str, *arguments: str) -> None:
        # The server refuses to run as root; Debian's package brings the user postgres.
        user = "postgres" if os.getuid() == 0 else None
        subprocess.run(
            [str(_programs() / program), *arguments],
            check=True, user=user, cwd=self.folder, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, env={"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"},
        )  # fmt: skip

    def start(self) -> None:
        data = self.folder / "data"
        if not data.exists():
            self._run("initdb", "-D", str(data), "-A", "trust", "-U", "office", "--no-sync")
        options = (
            f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= "
            "-c fsync=off -c max_connections=60"
        )
        self._run("pg_ctl", "-D", str(data), "-o", options, "-w", "-l", "log", "start")

    def stop(self, mode: str = "fast") -> None:
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-w", "-m", mode, "stop")

    def new(self) -> str:
        """Return the URL of a new, empty schema, which costs less than a database of its own."""
        self.count += 1
        name = f"test_{self.count}"
        where = f"host=127.0.0.1 port={self.port} user=office dbname=postgres"
        with psycopg.connect(where, autocommit=True) as connection:
            connection.execute(f"create schema {name}")
        return f"postgresql://office@127.0.0.1:{self.port}/postgres?options=-csearch_path%3D{name}"


@contextmanager
def postgresql() -> Iterator[PostgreSQL]:
    """Yield a running cluster; it is stopped and removed at the end, or when this process dies."""
    with tempfile.TemporaryDirectory(prefix="heatersel-pg-") as name:
        folder = Path(name)
        if os.getuid() == 0:
            shutil.chown(folder, "postgres")
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        cluster = PostgreSQL(folder, port)
        with _watched(folder / "data"):
            cluster.start()
            try:
                yield cluster
            finally:
                cluster.stop("immediate")


@contextmanager
def _watched(data: Path) -> Iterator[None]:
    """Stop a cluster when this process ends without stopping it, even by a kill.

    A shell waits for the end of a pipe that only this process holds open.
    """
    stop = f'cat >/dev/null; "{_programs()}/pg_ctl" -D "{data}" -m immediate stop; rm -rf "{data}"'
    user = "postgres" if os.getuid() == 0 else None
    watcher = subprocess.Popen(
        ["sh", "-c", stop], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, user=user, cwd="/", start_new_session=True,
    )  # fmt: skip
    try:
        yield
    finally:
        watcher.communicate()


@pytest.fixture(scope="session")
def cluster() -> Iterator[PostgreSQL]:
    """Return a running PostgreSQL of this test run."""
    with postgresql() as running:
        yield running


@pytest.fixture
def cluster_if_any(request: pytest.FixtureRequest) -> list[PostgreSQL]:
    """Return the PostgreSQL of this test run, or nothing where the machine has none."""
    return [request.getfixturevalue("cluster")] if "postgresql" in KINDS else []


@pytest.fixture(params=KINDS)
def new_place(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Return a maker of places for registers, on each kind of database."""
    if request.param == "sqlite":
        names = (str(tmp_path / f"quotes-{number}.db") for number in range(100))
        return lambda: next(names)
    return request.getfixturevalue("cluster").new


@pytest.fixture
def place(new_place: Callable[[], str]) -> str:
    """Return the place of one empty register."""
    return new_place()


@pytest.fixture(scope="session")
def record_of(quote_of: Callable[..., Quote]) -> Callable[..., dict[str, Any]]:
    """Return a maker of records; `title` makes one job differ from the next."""
    made = quote_record(quote_of())

    def make(title: str = "A house", **changes: Any) -> dict[str, Any]:
        return made | {"title": title} | changes

    return make
