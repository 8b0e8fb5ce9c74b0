"""The documents say what the program does: outputs are current, commands and words exist."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from typer.main import get_command

from heatersel.cli import app
from heatersel.docs import refreshed

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCES = "\n".join(
    path.read_text(encoding="utf-8") for path in sorted((ROOT / "heatersel").rglob("*.py"))
)
COMMANDS = get_command(app).commands


@pytest.mark.parametrize(
    "document", ["README.md", *(f"docs/{p.name}" for p in sorted((ROOT / "docs").glob("*.md")))]
)
def test_quoted_output_is_what_the_program_prints(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")

    assert refreshed(text) == text, "run: make docs"


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_each_command_is_in_the_readme_and_explains_itself(command: str) -> None:
    assert f"heatersel {command}" in README
    assert COMMANDS[command].help
    for parameter in COMMANDS[command].params:
        if parameter.param_type_name == "option":
            assert parameter.help, f"{command} {parameter.name}"


def test_each_option_named_in_the_readme_exists() -> None:
    known = {o for c in COMMANDS.values() for p in c.params for o in p.opts}
    known |= {"--install-completion"}

    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", README))

    assert named <= known


def test_each_symbol_of_the_glossary_stands_in_the_code() -> None:
    rows = [
        line for line in DEVELOPERS.splitlines() if line.startswith("| ") and line.count("|") == 5
    ]
    symbols = [s.strip(".") for row in rows for s in re.findall(r"`([^`]+)`", row.split("|")[2])]

    assert symbols
    assert [symbol for symbol in symbols if symbol not in SOURCES] == []


def test_each_folder_named_for_contributors_exists() -> None:
    for name in re.findall(r"`([a-z_]+)/`", DEVELOPERS):
        assert (ROOT / "heatersel" / name).is_dir() or (ROOT / name).is_dir(), name


def test_the_project_speaks_of_itself_alone() -> None:
    """No machine paths and no registry hosts in any tracked file."""
    tracked = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split("\0")
    banned = re.compile(r"/wo" + r"rk/|pypi\.or" + r"g|pythonhoste" + r"d|registry\.npm" + r"js")
    for name in filter(None, tracked):
        path = ROOT / name
        if path.suffix in (".py", ".md", ".toml", ".csv", ".css", ".html", ".typ", ""):
            assert not banned.search(path.read_text(encoding="utf-8", errors="ignore")), name
