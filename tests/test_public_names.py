"""The public face: what is listed can be had, and having the package costs nothing."""

from __future__ import annotations

import importlib.util
import subprocess
import sys

import pytest

import heatersel
from heatersel import api


@pytest.mark.parametrize("name", heatersel.__all__)
def test_each_public_name_is_there_and_documented(name: str) -> None:
    assert getattr(heatersel, name).__doc__


def test_the_list_is_sorted_and_complete() -> None:
    assert heatersel.__all__ == sorted(heatersel.__all__)
    wanted = {name for name in api.__all__ if name[0].islower()}
    assert wanted <= set(heatersel.__all__)


def test_an_unknown_name_is_refused_as_usual() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        _ = heatersel.nonsense


def test_the_bare_import_loads_no_library() -> None:
    code = (
        "import heatersel, sys; "
        "print([m for m in ('numpy', 'pint', 'pydantic') if m in sys.modules])"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_no_public_name_is_also_a_module() -> None:
    """A function hidden behind a module of its name could not be imported."""
    for name in heatersel.__all__:
        assert importlib.util.find_spec(f"heatersel.{name}") is None
