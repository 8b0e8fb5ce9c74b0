"""Take screenshots of every page at phone, tablet and laptop size, light and dark.

``python -m dashboard.screenshots OUT [STEP ...]`` needs Debian's chromium and playwright.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from dashboard.app import create_app

__all__ = ["CHROMIUM", "FLAGS", "SIZES", "browser", "see_all", "served", "settled", "until"]

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "laptop": (1366, 768)}
_STEPS = ("people", "house", "choices", "why", "next")


@contextmanager
def served(port: int = 0) -> Iterator[str]:
    """Serve a dashboard on a loopback port, by default a free one; yield its address."""
    from waitress.server import create_server  # type: ignore[import-untyped]  # it ships no types

    server: Any = create_server(create_app().server, host="127.0.0.1", port=port, threads=6)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}/"
    finally:
        server.close()


@contextmanager
def browser() -> Iterator[Any]:
    """Start Debian's chromium; raise FileNotFoundError with the way to install it."""
    from playwright.sync_api import sync_playwright

    if not Path(CHROMIUM).exists():
        raise FileNotFoundError(f"{CHROMIUM} is missing: apt-get install -y chromium")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        try:
            yield started
        finally:
            started.close()


def see_all(page: Any) -> None:
    """Bring every picture into sight, wait until it is drawn, and return to the top."""
    for number in range(page.locator(".chart").count()):
        chart = f"document.querySelectorAll('.chart')[{number}]"
        page.evaluate(f"{chart}.scrollIntoView()")
        until(page, f"{chart}.dataset.drawn === 'yes'")
    page.evaluate("window.scrollTo(0, 0)")


def until(page: Any, script: str, seconds: float = 30.0) -> None:
    """Wait until a script is true; raise TimeoutError if it does not become so.

    The page's own policy forbids scripts that wait inside it.
    """
    end = time.monotonic() + seconds
    while not page.evaluate(script):
        if time.monotonic() > end:
            raise TimeoutError(f"never true in {seconds:g} s: {script}")
        page.wait_for_timeout(50)


def settled(page: Any) -> None:
    """Wait until the last change is answered in full."""
    page.wait_for_timeout(300)
    done = "!!document.querySelector('.look') && !document.querySelector('.look progress')"
    until(page, done, 60)


def main(out: Path, steps: tuple[str, ...] = _STEPS) -> None:
    """Write the screenshots of an invented house, and of the empty first page, to a folder."""
    out.mkdir(parents=True, exist_ok=True)
    with served() as address, browser() as chromium:
        for size, (width, height) in SIZES.items():
            for look in ("light", "dark"):
                page = chromium.new_page(
                    viewport={"width": width, "height": height}, color_scheme=look
                )
                page.goto(address)
                page.wait_for_selector(".waiting")
                page.screenshot(path=out / f"{size}-{look}-0-empty.png")
                page.click("[data-example=cold-family]")
                page.wait_for_selector(".answer")
                for number, step in enumerate(_STEPS, start=1):
                    if step not in steps:
                        continue
                    page.goto(f"{address}#/{step}")
                    until(page, f"document.documentElement.dataset.step === '{step}'")
                    page.wait_for_load_state("networkidle")
                    page.wait_for_timeout(400)
                    see_all(page)
                    page.screenshot(path=out / f"{size}-{look}-{number}-{step}.png")
                    page.screenshot(path=out / f"{size}-{look}-{number}-{step}-whole.png",
                                    full_page=True)  # fmt: skip
                page.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), tuple(sys.argv[2:]) or _STEPS)
