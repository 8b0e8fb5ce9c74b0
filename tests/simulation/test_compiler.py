"""Where compiled code is kept, also in a read-only install without a home folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from heatersel.simulation import compiler

PACKAGE = Path(compiler.__file__).parents[1]

_PROBE = """
import sys; sys.path.insert(0, sys.argv[1])
from heatersel.simulation import compiler
print(compiler.__file__); print(compiler.cache_folder())
import heatersel.simulation.kernel
"""


@pytest.fixture
def fresh(monkeypatch):
    compiler.cache_folder.cache_clear()
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    yield monkeypatch
    compiler.cache_folder.cache_clear()


def test_a_folder_that_the_user_set_goes_first(fresh, tmp_path):
    fresh.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    assert compiler.cache_folder().parent == tmp_path


def test_the_folder_is_named_after_the_code(fresh):
    before = compiler.cache_folder().name
    compiler.cache_folder.cache_clear()
    fresh.setattr(compiler, "_SHAPING", ("kernel.py",))
    assert compiler.cache_folder().name != before


def test_a_home_without_access_leads_to_temporary_files(fresh, tmp_path):
    locked = tmp_path / "file"
    locked.write_text("not a folder")
    fresh.setattr(compiler, "_SOURCE", locked)
    fresh.setattr(compiler, "_fingerprint", lambda: "x")
    fresh.setenv("XDG_CACHE_HOME", str(locked))
    fresh.setenv("HOME", str(locked))
    fresh.setattr(compiler.tempfile, "gettempdir", lambda: str(tmp_path))
    assert compiler.cache_folder().is_relative_to(tmp_path)


def test_without_any_folder_there_is_no_cache(fresh, tmp_path):
    locked = tmp_path / "file"
    locked.write_text("not a folder")
    fresh.setattr(compiler, "_candidates", lambda: [locked])
    assert compiler.cache_folder() is None


def test_a_folder_that_others_may_write_is_not_trusted(fresh, tmp_path):
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o777)
    fresh.setattr(compiler, "_candidates", lambda: [shared])
    assert compiler.cache_folder() is None


def test_a_read_only_install_without_a_home_can_be_imported(tmp_path):
    # Folders without write permission do not stop a superuser, so the cache folder's place is
    # taken by a file.
    copy = tmp_path / "site" / "heatersel"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "simulation" / "__pycache__").write_text("taken")
    environment = {"PATH": os.environ["PATH"], "TMPDIR": str(tmp_path), "HOME": "/nowhere",
                   "PYTHONDONTWRITEBYTECODE": "1"}  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", _PROBE, str(tmp_path / "site")],
        env=environment, capture_output=True, text=True, timeout=120, cwd=tmp_path,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    source, folder = done.stdout.split()
    assert Path(source).is_relative_to(copy)
    assert Path(folder).is_relative_to(tmp_path)
