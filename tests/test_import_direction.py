"""Imports run one way: household -> demand -> ... -> quote, faces last."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "heatersel"

GROUND = {"__version__", "errors", "units", "reference", "water", "display", "climate"}
# A stage may import the ground floor, itself and the stages before it. `heaters.heater` holds the
# words of the trade (kinds, energy sources) that job files use, so it stands before `job`;
# `words` holds the sentences that terminal, documents and dashboard share.
ORDER = (
    "heaters.heater",
    "job",
    "demand",
    "heaters",
    "sizing",
    "simulation",
    "rating",
    "cost",
    "cautions",
    "recommend",
    "comparison",
    "explain",
    "words",
    "sized_job",
    "chain",
    "in_service",
    "api",
    "quote",
)
HEAVY = {"pandas", "scipy", "plotly", "dash", "CoolProp", "sqlalchemy", "typst"}
FACES = {"cli", "portfolio"}


def stage_of(module: str) -> str:
    parts = module.split(".")
    inner = ".".join(parts[1:3])
    if inner == "heaters.heater":
        return inner
    return parts[1] if len(parts) > 1 else ""


def _running_nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Yield all nodes but those under `if TYPE_CHECKING`, which never run."""
    for node in ast.iter_child_nodes(tree):
        if not (isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)):
            yield node
            yield from _running_nodes(node)


def imports_of(path: Path) -> set[str]:
    found = set()
    for node in _running_nodes(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            if node.module == "heatersel":
                found |= {f"heatersel.{alias.name}" for alias in node.names}
    return found


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)


SOURCES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", SOURCES, ids=module_of)
def test_no_import_runs_against_the_flow(path: Path) -> None:
    own = stage_of(module_of(path))
    if own in GROUND:
        allowed = GROUND
    elif own in ORDER:
        allowed = GROUND | set(ORDER[: ORDER.index(own) + 1])
    else:
        return  # faces and builders may use every stage; nothing imports them (next test)

    wrong = {
        name
        for name in imports_of(path)
        if name.startswith("heatersel.") and stage_of(name) not in allowed
    }

    assert not wrong


def test_no_stage_imports_a_face() -> None:
    for path in SOURCES:
        if stage_of(module_of(path)) in {*ORDER, *GROUND}:
            stages = {stage_of(name) for name in imports_of(path) if name.startswith("heatersel.")}
            assert not any(
                s in FACES or (s.startswith("cli") and s != "climate") for s in stages
            ), path


def test_the_core_never_imports_the_dashboard() -> None:
    for path in SOURCES:
        if not stage_of(module_of(path)).startswith("cli"):
            assert not any(name.split(".")[0] == "dashboard" for name in imports_of(path)), path


def test_pint_stays_at_the_boundary() -> None:
    users = {module_of(path) for path in SOURCES if "pint" in imports_of(path)}

    assert users == {"heatersel.units"}
