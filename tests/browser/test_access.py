"""Reached by keyboard, read aloud, seen in the dark: axe, keys, size of what is touched."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from dashboard.screenshots import see_all, settled, until
from dashboard.told import STEPS

Show = Callable[..., Any]


@pytest.mark.parametrize("step", STEPS)
def test_axe_finds_nothing_serious_in_light_and_dark(show: Show, step: str) -> None:
    page = show(step, "phone", color_scheme="light")
    see_all(page)
    page.click("summary:has-text('View')")
    page.click("[data-view='depth=full']")
    page.keyboard.press("Escape")

    for look in ("light", "dark"):
        page.emulate_media(color_scheme=look)
        see_all(page)
        found = Axe().run(page).response["violations"]

        grave = [
            (look, problem["id"], node["html"][:160])
            for problem in found
            if problem["impact"] in ("serious", "critical")
            for node in problem["nodes"]
        ]
        assert not grave


def test_the_keyboard_alone_reaches_an_answer(show: Show) -> None:
    page = show(example="")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the questions"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "f-place-climate"
    page.keyboard.type("Duluth")
    until(page, "JSON.parse(localStorage.getItem('heatersel.job')).tables.place !== undefined")
    page.wait_for_timeout(500)
    assert page.evaluate("document.activeElement.id") == "f-place-climate"
    page.keyboard.press("Tab")
    page.keyboard.type("3")

    page.wait_for_selector(".answer")
    settled(page)
    assert page.evaluate("document.activeElement.id") == "f-household-occupants-adults"

    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.className") == "onward":
            break
    page.keyboard.press("Enter")
    page.wait_for_selector("#picture-path")
    assert page.evaluate("document.activeElement.tagName") == "H1"


@pytest.mark.parametrize("step", STEPS)
def test_what_is_touched_is_large_enough(show: Show, step: str) -> None:
    page = show(step, "phone")

    small = page.evaluate(
        """() => [...document.querySelectorAll('button, select, summary, input:not([type=radio])'
                  + ':not([type=checkbox]), .choices label, .stops a, .onward')]
             .filter((one) => one.offsetParent && !one.closest('.beside'))
             .map((one) => [one.textContent.slice(0, 30), one.getBoundingClientRect().height])
             .filter(([, height]) => height < 43)"""
    )

    assert not small


def test_nothing_jumps_while_answers_arrive(show: Show) -> None:
    page = show("choices")
    page.evaluate(
        """() => { window.shift = 0;
             new PerformanceObserver((list) => { for (const entry of list.getEntries())
               if (!entry.hadRecentInput) window.shift += entry.value;
             }).observe({ type: 'layout-shift', buffered: false }); }"""
    )

    page.locator("#try-setpoint").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#tried:has-text('130')")
    page.wait_for_timeout(900)

    assert page.evaluate("window.shift") < 0.1  # the usual bound for a steady page


def test_an_answer_takes_away_neither_focus_nor_an_open_fold(show: Show) -> None:
    page = show("choices")
    page.click(".tell details:not([open]) > summary >> nth=0")
    opened = page.locator(".tell details[open]").count()
    page.locator("#try-setpoint").focus()

    for setting in ("130", "135"):
        page.keyboard.press("ArrowRight")
        page.wait_for_selector(f"#tried:has-text('{setting}')")
        settled(page)

    assert page.evaluate("document.activeElement.id") == "try-setpoint"
    assert page.locator(".tell details[open]").count() == opened
