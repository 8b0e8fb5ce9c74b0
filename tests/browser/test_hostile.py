"""Bad input in the browser: each gets a message that says what to do, and nothing breaks."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from dashboard.screenshots import until

Show = Callable[..., Any]

SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"


def test_a_script_in_a_field_is_shown_as_text(show: Show) -> None:
    page = show("house")

    page.fill("#f-home-room-volume", SCRIPT)
    page.keyboard.press("Tab")
    page.wait_for_selector("#trouble li")

    assert SCRIPT in page.inner_text("#trouble")
    assert page.locator("main script, main img").count() == 0
    assert "6000 ft3" in page.inner_text("#f-home-room-volume-error")
    page.click("#trouble [data-action=undo]")
    until(page, "document.querySelector('#trouble').textContent === ''")
    assert page.input_value("#f-home-room-volume") == "6000 ft3"


def test_a_script_as_title_is_shown_as_text(show: Show, tmp_path: Path) -> None:
    page = show()
    file = tmp_path / "job.toml"
    file.write_text(
        f"title = '{SCRIPT}'\n[household]\noccupants = 3\n[place]\nclimate = 'Boise, ID'\n"
    )

    page.set_input_files("#file", file)
    until(page, "document.querySelector('#title').textContent.startsWith('<img')")

    assert page.inner_text("#title") == SCRIPT


def test_files_that_are_no_job_change_nothing(show: Show, tmp_path: Path) -> None:
    page = show()
    advice = page.inner_text(".advice")
    bad = {
        "huge.toml": ("x = 1\n" * 400_000, "1 MB"),
        "not.toml": ("\x00\x01 = [[[", "not TOML"),
        "deep.toml": ("a = " + "[" * 2000 + "]" * 2000, "not TOML"),
        "path.toml": ("[prices]\nelectricity = { file = '/etc/passwd' }\n", "cannot reach"),
    }
    for name, (text, message) in bad.items():
        file = tmp_path / name
        file.write_text(text)
        page.set_input_files("#file", file)
        page.wait_for_selector(f"#said:has-text('{message}')")

    assert page.inner_text(".advice") == advice


def test_a_job_with_faults_is_opened_and_each_fault_is_named(show: Show, tmp_path: Path) -> None:
    page = show()
    file = tmp_path / "job.toml"
    file.write_text(
        "[household]\noccupants = 'many'\nbedrooms = -3\n[place]\nclimate = 'Duluth, MN'\n"
        "[home]\nfloor_drian = true\n"
    )

    page.set_input_files("#file", file)
    page.wait_for_selector("#trouble li")

    said = page.inner_text("#trouble")
    assert "many" in said
    assert "bedrooms" in said
    assert "floor_drain" in said or "floor drain" in said


def test_spoilt_memory_and_broken_links_start_afresh(
    new_page: Callable[..., Any], address: str
) -> None:
    page = new_page()
    page.add_init_script("localStorage.setItem('heatersel.job', '{\"tables\": [1, ')")

    page.goto(f"{address}#/people?job=bm90IGEgam9i")
    page.wait_for_selector("#said:has-text('damaged')")

    assert page.is_visible(".waiting")
    page.select_option("#f-place-climate", "Duluth, MN")
    page.click("[aria-label='More: Adults']")
    page.wait_for_selector(".answer")
