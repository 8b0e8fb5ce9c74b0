"""The built package runs the main job in a clean environment, away from the checkout."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[1]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, CHECKOUT],
        check=True,
        capture_output=True,
    )
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("environment")
    subprocess.run([sys.executable, "-m", "venv", folder], check=True)
    pip = [folder / "bin" / "python", "-m", "pip", "install", "--quiet", wheel]
    subprocess.run(pip, check=True, capture_output=True)
    return folder / "bin" / "heatersel"


def run(program: Path, *arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = {"PATH": os.environ["PATH"], "HOME": str(folder)}
    return subprocess.run(
        [program, *arguments], cwd=folder, env=environment, capture_output=True, text=True
    )


def test_the_wheel_carries_package_dashboard_and_tables(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()

    assert "heatersel/cli.py" in names
    assert "dashboard/__init__.py" in names
    tables = {p.name for p in (CHECKOUT / "datasets").rglob("*.csv")}
    assert tables == {Path(n).name for n in names if n.startswith("heatersel/datasets/")} & tables


def test_the_main_job_runs_from_another_folder(installed: Path, tmp_path: Path) -> None:
    done = run(installed, "compare", "--json", folder=tmp_path)

    assert done.returncode == 0, done.stderr
    comparison = json.loads(done.stdout)
    assert comparison["schema"] == "heatersel.comparison/1"
    assert comparison["recommendation"]["option"] is not None


def test_it_imports_from_a_read_only_install_without_a_home(
    installed: Path, tmp_path: Path
) -> None:
    """A kernel cache that cannot be written must not stop the program."""
    environment = {"PATH": os.environ["PATH"], "HOME": "/nonexistent"}

    done = subprocess.run(
        [installed, "compare"], cwd=tmp_path, env=environment, capture_output=True, text=True
    )

    assert done.returncode == 0, done.stderr
