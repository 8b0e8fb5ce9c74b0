"""What the quick commands load: a cold answer at the kitchen table in about a second."""

from __future__ import annotations

import subprocess
import sys

import pytest

# pint imports the bare name scipy where it is installed (3 ms); what costs time are its parts.
HEAVY = ("pandas", "scipy.optimize", "scipy.stats", "scipy.interpolate", "plotly", "dash",
         "CoolProp", "sqlalchemy", "pyarrow", "typst")  # fmt: skip


def modules_loaded_by(*arguments: str) -> set[str]:
    code = (
        "import sys; sys.argv = ['heatersel', *sys.argv[1:]]\n"
        "from heatersel.cli import main\n"
        "try:\n    main()\nexcept SystemExit as done:\n    assert not done.code, done.code\n"
        "print('\\n'.join(sorted(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True
    )
    return set(done.stderr.split())


@pytest.mark.parametrize("command", ["compare", "size"])
def test_no_heavy_library_is_loaded(command: str) -> None:
    loaded = modules_loaded_by(command)

    assert "numpy" in loaded
    assert not loaded & set(HEAVY)


def test_help_loads_no_numbers_at_all() -> None:
    loaded = modules_loaded_by("--help")

    assert not loaded & {*HEAVY, "numpy", "numba", "pint", "pydantic", "rich"}
