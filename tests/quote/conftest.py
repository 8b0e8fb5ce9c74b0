"""Books and policies of a quote's tests: small, invented, and written as a company would."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

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
def quote_of() -> Callable[..., Quote]:
    """Return a maker of quotes of the demo jobs; the keywords go to the request.

    A job under the same policy is compared once: a comparison depends on nothing else.
    """
    compared: dict[str, Comparison] = {}

    def make(
        name: str = "cold-family",
        *,
        policy: Policy | None = None,
        book: PriceBook | None = None,
        changes: dict[str, dict[str, Any]] | None = None,
        **request: Any,
    ) -> Quote:
        policy = policy or demo_policy()
        tables = read_toml(dataset_path(f"jobs/{name}.toml"))
        for table, values in (changes or {}).items():
            tables[table] = tables.get(table, {}) | values
        job = under_policy(parse_job(tables), policy)
        key = canonical_json(job)
        if key not in compared:
            compared[key] = compare(job)
        return make_quote(
            compared[key],
            load_heaters(),
            policy=policy,
            book=book or demo_price_book(job.prices.currency),
            request=Request(**({"date": dt.date(2026, 11, 20), "by": "A. Plumber"} | request)),
        )

    return make
