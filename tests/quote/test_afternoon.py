"""The afternoon that the guide to price book and policy promises, command by command."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from heatersel.cli import app
from heatersel.reference import dataset_path

GUIDE = Path(__file__).parents[2] / "docs" / "price-book-and-policy.md"
ASKS_OR_SERVES = ("heatersel new", "heatersel serve")
OFFICE = "postgresql://office@server/quotes"
SOME_ID = "3f2a"
COPIES = {
    "prices.csv": "price_book/demo_us.csv", "policy.toml": "policy/demo.toml",
    "new-prices.csv": "price_book/demo_us.csv", "new-policy.toml": "policy/demo.toml",
    "job.toml": "jobs/cold-family.toml",
}  # fmt: skip


def commands():
    """Yield the arguments of each command in the guide, in order, without its comment."""
    blocks = re.findall(r"^```\n(.*?)^```", GUIDE.read_text(encoding="utf-8"), re.M | re.S)
    for line in "\n".join(blocks).replace("\\\n", " ").splitlines():
        if line.startswith("heatersel ") and not line.startswith(ASKS_OR_SERVES):
            yield shlex.split(line, comments=True)[1:]


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """A folder with copies of the demo files, as the first steps of the guide leave it."""
    for name, source in COPIES.items():
        shutil.copy(dataset_path(source), tmp_path / name)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEATERSEL_REGISTER", "quotes.db")
    monkeypatch.setenv("HEATERSEL_PASSWORD", "copper kettle river moon")
    return tmp_path


def test_every_command_of_the_guide_works_in_its_order(desk):
    asked, stored = set(), SOME_ID
    for arguments in commands():
        told = [word.replace(OFFICE, "office.db") for word in arguments]
        done = CliRunner().invoke(app, [stored if word == SOME_ID else word for word in told])
        assert done.exit_code == 0, (arguments, done.output, done.exception)
        asked.add(arguments[0])
        found = re.search(r"Stored as +(\S+)", done.output)
        stored = found[1] if found and stored == SOME_ID else stored
    assert asked == {"check", "quote", "register", "audit", "accounts"}
    assert all((desk / name).exists() for name in ("quote.pdf", "backup.jsonl", "audit.html"))


def test_every_column_key_and_rule_of_the_guide_is_known():
    text = GUIDE.read_text(encoding="utf-8")
    policy = dataset_path("policy/demo.toml").read_text(encoding="utf-8")
    headings = dataset_path("price_book/demo_us.csv").read_text(encoding="utf-8").splitlines()[0]
    assert all(f"`{name}`" in text for name in headings.split(","))
    assert all(f"`{key}`" in text for key in re.findall(r"^(\w+) = ", policy, re.M))
