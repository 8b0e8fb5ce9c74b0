"""Where compiled code is kept between runs.

numba stores compiled functions beside the source file. In a read-only install it looks for a
home folder instead, and raises at import if there is none. The folder is therefore chosen here:
below the source's `__pycache__` if that can be written, else in the user's cache folder, else in
a private folder for temporary files; if none will do, code is compiled anew in each process
(ten to twenty seconds).

numba also notices only a change of the file that it compiles. The folder is therefore named after
the contents of everything that shapes the code, so that a new release never meets old code.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import threading
from collections.abc import Callable
from functools import lru_cache, wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from numba.core import config

__all__ = ["cache_folder", "compiled", "inlined"]

_SOURCE = Path(__file__).parent
_SHAPING = ("kernel.py", "arrays.py", "tankless_kernel.py", "compiler.py")

_ONE_AT_A_TIME = threading.Lock()

_Function = TypeVar("_Function", bound=Callable[..., Any])


def compiled(*, parallel: bool) -> Callable[[_Function], _Function]:
    """Return a decorator that compiles an entry point and keeps the code between runs.

    Parameters
    ----------
    parallel : bool
        Whether its `prange` loops run on all cores.

    Returns
    -------
    callable
        Decorator. The function frees the interpreter while it runs.
    """

    def decorate(function: _Function) -> _Function:
        folder = cache_folder()
        before = config.CACHE_DIR  # type: ignore[attr-defined]  # set when numba loads
        if folder is not None:
            config.CACHE_DIR = str(folder)  # type: ignore[attr-defined]
        try:
            keep = numba.njit(
                cache=folder is not None, parallel=parallel, nogil=True, error_model="numpy"
            )
            compiled_function = keep(function)
        finally:
            config.CACHE_DIR = before  # type: ignore[attr-defined]
        return cast(_Function, _alone(compiled_function) if parallel else compiled_function)

    return decorate


def _alone(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function that only one thread of the interpreter runs at a time.

    The compiler's threads may not be called from two places at once; a server would crash.
    """

    @wraps(function)
    def alone(*arguments: Any) -> Any:
        with _ONE_AT_A_TIME:
            return function(*arguments)

    return alone


def inlined(function: _Function) -> _Function:
    """Return a function that is compiled into every compiled function that calls it."""
    return cast(_Function, numba.njit(forceinline=True, error_model="numpy")(function))


@lru_cache(maxsize=1)
def cache_folder() -> Path | None:
    """Return the folder for this release's compiled code, None if nothing can be written.

    Returns
    -------
    pathlib.Path or None
        A folder that the user sets in NUMBA_CACHE_DIR goes before all others.
    """
    name = f"heatersel-{_fingerprint()}"
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    if chosen:
        return Path(chosen) / name
    candidates = (folder / name for folder in _candidates())
    return next((folder for folder in candidates if _is_ours(folder)), None)


def _fingerprint() -> str:
    """Return a short name for the code that is compiled and the compiler."""
    digest = hashlib.sha256(numba.__version__.encode())
    for file in _SHAPING:
        digest.update((_SOURCE / file).read_bytes())
    return digest.hexdigest()[:12]


def _candidates() -> list[Path]:
    """Return the places to try: beside the source, the user's cache, temporary files."""
    found = [_SOURCE / "__pycache__"]
    user = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    home = os.path.expanduser("~")
    if user:
        found.append(Path(user))
    if os.path.isabs(home) and os.path.isdir(home):
        found.append(Path(home) / ".cache")
    who = os.getuid() if hasattr(os, "getuid") else "user"
    found.append(Path(tempfile.gettempdir()) / f"heatersel-{who}")
    return found


def _is_ours(folder: Path) -> bool:
    """Return whether the folder can be written, and nobody else could have put code into it."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with tempfile.TemporaryFile(dir=folder):
            pass
        status, above = folder.lstat(), folder.parent.lstat()
    except OSError:
        return False
    if not hasattr(os, "getuid"):
        return True
    mine = status.st_uid == above.st_uid == os.getuid()
    return mine and not (status.st_mode | above.st_mode) & 0o002
