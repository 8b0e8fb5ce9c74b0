"""A dashboard on a free loopback port and Debian's chromium; every page is watched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from dashboard.screenshots import SIZES, browser, served, settled
from heatersel import first_look, parse_job

NewPage = Callable[..., Any]


@pytest.fixture(scope="session")
def compiled() -> None:
    """Have the models compiled, which takes a minute after a change to them."""
    first_look(parse_job({"household": {"occupants": 2}, "place": {"climate": "Boise, ID"}}))


@pytest.fixture(scope="session")
def address(compiled: None) -> Iterator[str]:
    with served() as found:
        yield found


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


@pytest.fixture
def new_page(chromium: Any, address: str) -> Iterator[NewPage]:
    """Open pages of their own; fail if one asked outside or said an error on its console."""
    contexts: list[Any] = []
    troubles: list[str] = []

    def watch(page: Any) -> None:
        page.on("pageerror", lambda error: troubles.append(f"error: {error}"))
        page.on(
            "console",
            lambda said: said.type in ("error", "warning") and troubles.append(said.text),
        )
        page.on(
            "request",
            lambda request: (
                request.url.startswith((address, "blob:", "data:"))
                or troubles.append(f"asked outside: {request.url}")
            ),
        )

    def make(size: str = "laptop", **more: Any) -> Any:
        width, height = SIZES[size]
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            has_touch=size != "laptop",
            is_mobile=size == "phone",
            accept_downloads=True,
            **more,
        )
        context.set_default_timeout(30_000)
        contexts.append(context)
        page = context.new_page()
        watch(page)
        return page

    yield make

    for context in contexts:
        context.close()
    assert not troubles


@pytest.fixture
def show(new_page: NewPage, address: str) -> NewPage:
    """Open a step of the page, by default with the invented house of a cold town in it."""

    def at(
        step: str = "people", size: str = "laptop", example: str = "cold-family", **more: Any
    ) -> Any:
        page = new_page(size, **more)
        page.goto(address)
        page.wait_for_selector(".waiting")
        if example:
            page.click(f"[data-example={example}]")
            page.wait_for_selector(".answer")
        if step != "people":
            page.goto(f"{address}#/{step}")
            page.wait_for_selector(MARKS[step])
        if example:
            settled(page)
        return page

    return at


MARKS = {
    "people": ".answer",
    "house": "#picture-path",
    "choices": ".beside",
    "why": ".pictures",
    "next": ".step",
}
"""What stands on a step once its answer is there."""
