"""Books and policies of a quote's tests: small, invented, and written as a company would."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

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
