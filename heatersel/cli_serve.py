"""Serve the dashboard, on this computer only."""

from __future__ import annotations

import gc
import os
import signal
import socket
import sys
import tempfile
import threading
from importlib import import_module
from pathlib import Path
from typing import Any

from heatersel.errors import InputError

__all__ = ["run"]

_LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
_THREADS = 6
_QUEUE = 64


def run(host: str = "127.0.0.1", port: int = 8100, open_browser: bool = True) -> None:
    """Serve the dashboard until it is stopped.

    Parameters
    ----------
    host : str
        This computer's own address to answer at; the caller has refused any other.
    port : int
        Port; 0 takes a free one.
    open_browser : bool
        Whether to show it in the browser.

    Raises
    ------
    InputError
        If the address cannot be used, or the dashboard's libraries are not installed.
    """
    # Each process takes its share of the cores, or they would wait for each other's threads.
    share = max(1, (os.cpu_count() or 1) // _workers())
    os.environ.setdefault("NUMBA_NUM_THREADS", str(share))
    with tempfile.TemporaryDirectory(prefix="heatersel-") as shelf:
        app, listener = _app(host, Path(shelf)), _listener(host, port)
        # Loaded once for all processes; nothing is run yet, since a copy has no threads.
        import_module("heatersel.simulation.morning")
        _run(app, listener, host, open_browser)


def _run(app: Any, listener: socket.socket, host: str, open_browser: bool) -> None:
    shown = "localhost" if host in ("127.0.0.1", "::1") else host
    address = f"http://{shown}:{listener.getsockname()[1]}/"
    print(f"The dashboard is at {address} (stop it with Ctrl+C)", flush=True)
    others = _fork(_workers() - 1)
    threading.Thread(target=_warm, args=(app,), daemon=True).start()
    if others is None:
        _serve(app, listener, [])
        os._exit(0)  # what the first process set up is the first process's to clear away
    if open_browser:
        import webbrowser

        threading.Timer(0.5, webbrowser.open, [address]).start()
    _serve(app, listener, others)


def _warm(app: Any) -> None:
    """Load models and tables while the reader is still answering the first question."""
    app.server.extensions["answers"].prepare()
    gc.collect()
    gc.freeze()  # what stays for good is not looked through again with every answer


def _app(host: str, shelf: Path) -> Any:
    try:
        from dashboard.app import create_app
        from dashboard.settings import Settings
    except ModuleNotFoundError as missing:
        raise InputError.of(
            "the dashboard", value=f"without {missing.name}", allowed="its libraries installed",
            fix="install heatersel again with: pip install heatersel",
        ) from None  # fmt: skip
    return create_app(Settings(hosts=(*_LOOPBACK, host), shelf=shelf))


def _listener(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except (OSError, OverflowError) as trouble:
        listener.close()
        raise InputError.of(
            "the address", value=f"{host}:{port}", allowed="an address and a port that are free",
            fix=f"try another with --port; the system says: {trouble}",
        ) from None  # fmt: skip
    listener.listen(_QUEUE)
    return listener


def _workers() -> int:
    """Return how many processes share the work: one per core, four at most."""
    return min(4, os.cpu_count() or 1) if hasattr(os, "fork") else 1


def _fork(n: int) -> list[int] | None:
    """Start `n` copies that answer at the same socket; return None in a copy."""
    children = []
    for _ in range(n):
        child = os.fork()
        if child == 0:
            return None
        children.append(child)
    return children


def _serve(app: Any, listener: socket.socket, others: list[int]) -> None:
    import waitress  # type: ignore[import-untyped]  # it ships no types

    def stop(*_: object) -> None:
        raise SystemExit(0)

    signal.signal(signal.SIGTERM, stop)
    try:
        waitress.serve(
            app.server, sockets=[listener], threads=_THREADS, ident=None, _quiet=True,
            max_request_body_size=2_000_000, channel_timeout=120, connection_limit=200,
        )  # fmt: skip
    except KeyboardInterrupt:
        pass
    finally:
        for child in others:
            try:
                os.kill(child, signal.SIGTERM)
                os.waitpid(child, 0)
            except (ProcessLookupError, ChildProcessError):
                continue
        sys.stdout.flush()
