"""The whole job in a real browser: from an empty page to three offers, kept and carried."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from dashboard.screenshots import SIZES, see_all, settled, until
from heatersel.cli import app
from heatersel.display import Display
from heatersel.reference import dataset_path

Show = Callable[..., Any]


def answer_the_questions(page: Any) -> None:
    page.select_option("#f-place-climate", "Duluth, MN")
    for _ in range(2):
        page.click("[aria-label='More: Adults']")
    page.click("[aria-label='More: Teenagers']")
    page.wait_for_selector(".answer")
    page.get_by_text("Gas tank", exact=True).first.click()
    page.get_by_role("radio", name="Two", exact=True).check()
    page.locator("#f-care-0").check()
    until(
        page,
        "!!document.querySelector('#f-existing-volume') && "
        "document.querySelectorAll('.offer').length === 3",
    )
    settled(page)


def saved(page: Any, folder: Path) -> Path:
    page.click("summary:has-text('Keep')")
    with page.expect_download() as download:
        page.click("[data-action=save]")
    path = folder / "job.toml"
    download.value.save_as(path)
    return path


@pytest.mark.parametrize("size", SIZES)
def test_five_questions_lead_to_the_offers_of_the_command_line(
    show: Show, size: str, tmp_path: Path
) -> None:
    page = show(size=size, example="")

    answer_the_questions(page)

    width = page.evaluate("document.documentElement.scrollWidth")
    assert width == SIZES[size][0]
    said = CliRunner().invoke(app, ["compare", str(saved(page, tmp_path)), "--json"])
    comparison = json.loads(said.stdout)
    us = Display("us")
    options = {option["id"]: option for option in comparison["options"]}
    for offer in comparison["recommendation"]["offers"]:
        option = options[offer["option"]]
        card = page.locator(f".offer[data-option='{offer['option']}']")
        shown = {name: card.locator(f"[data-figure={name}]").inner_text()
                 for name in ("installed", "month", "co2")}  # fmt: skip
        assert shown == {
            "installed": us.money(option["cost"]["installed"], 50),
            "month": us.money(option["cost"]["total_per_year"] / 12),
            "co2": us.weight(option["emissions"]["co2_kg_per_year"]),
        }
    recommended = page.locator(".advice").get_attribute("data-option")
    assert recommended == comparison["recommendation"]["option"]


def test_the_first_page_is_light(new_page: Callable[..., Any], address: str) -> None:
    page = new_page("phone")
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    sizes: list[float] = []
    session.on("Network.loadingFinished", lambda done: sizes.append(done["encodedDataLength"]))

    page.goto(address)
    page.wait_for_selector(".waiting")
    page.wait_for_load_state("networkidle")

    assert 50_000 < sum(sizes) < 1_000_000


def test_a_job_file_comes_back_as_it_went_in(show: Show, tmp_path: Path) -> None:
    page = show(example="")
    file = dataset_path("jobs/propane-well.toml")

    page.set_input_files("#file", file)
    page.wait_for_selector(".answer")

    assert tomllib.loads(saved(page, tmp_path).read_text()) == tomllib.loads(file.read_text())


@contextmanager
def program(port: int) -> Iterator[str]:
    """Run `heatersel serve` as its own program until the block ends."""
    run = f"from heatersel.cli_serve import run; run(port={port}, open_browser=False)"
    with subprocess.Popen([sys.executable, "-c", run], stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        try:
            yield re.search(r"http://\S+/", child.stdout.readline())[0]
        finally:
            child.terminate()


@pytest.mark.usefixtures("compiled")
def test_reload_and_restart_of_the_server_lose_nothing(chromium: Any) -> None:
    page = chromium.new_page()
    with program(0) as address:
        page.goto(address)
        page.click("[data-example=town-house-ca]")
        settled(page)
        advice = page.inner_text(".advice")

        page.reload()

        settled(page)
        assert page.inner_text(".advice") == advice
    with program(int(re.search(r":(\d+)/", address)[1])):
        page.select_option("#f-place-climate", "Ottawa, ON")
        settled(page)
        page.reload()
        page.wait_for_selector(".answer")
        assert page.input_value("#f-place-climate") == "Ottawa, ON"
        page.close()


def test_undo_goes_back_and_a_link_carries_everything(
    show: Show, new_page: Callable[..., Any], address: str
) -> None:
    page = show()
    before = page.input_value("#f-household-occupants-adults")
    page.click("[aria-label='More: Adults']")
    settled(page)
    page.click("[data-action=undo]")
    settled(page)
    assert page.input_value("#f-household-occupants-adults") == before

    page.click("summary:has-text('Keep')")
    page.click("[data-action=link]")
    until(page, "document.getElementById('link').value.includes('?job=')")
    other = new_page()
    other.goto(page.input_value("#link"))
    settled(other)

    assert other.inner_text(".advice") == page.inner_text(".advice")
    assert other.inner_text("#title") == page.inner_text("#title")


def test_trying_changes_the_answer_and_not_the_job(show: Show) -> None:
    page = show("choices")
    told = page.inner_text("#strip")

    page.locator("#try-people").focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.wait_for_selector("#tried:has-text('8 people')")
    settled(page)
    assert page.inner_text("#strip") != told

    page.click("[data-action=leave-off]")
    settled(page)
    assert page.inner_text("#strip") == told
    assert page.inner_text("#tried") == ""


def test_the_full_comparison_says_how_far_it_is_and_can_be_stopped(show: Show) -> None:
    page = show("choices")
    settled(page)
    assert "8 simulated years" in page.inner_text(".look")

    page.locator("#try-setpoint").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_selector(".look-words:has-text(' of ')")
    page.click(".look [data-action=stop]")
    page.wait_for_timeout(1_500)

    assert "Stopped" in page.inner_text(".look")
    assert page.locator(".offer").count() == 3


def test_options_are_added_and_taken_away(show: Show) -> None:
    page = show("choices")
    assert page.locator(".beside thead th").count() == 3

    page.select_option("#add-option", index=1)
    until(page, "document.querySelectorAll('.beside thead th').length === 4")
    page.click(".take-away >> nth=0")

    until(page, "document.querySelectorAll('.beside thead th').length === 3")


@pytest.mark.parametrize("size", SIZES)
def test_every_picture_is_drawn_with_its_sentence_and_its_figures(show: Show, size: str) -> None:
    page = show("why", size)

    see_all(page)

    found = page.evaluate(
        """() => [...document.querySelectorAll('.picture')].map((picture) => ({
             marks: picture.querySelectorAll('.main-svg path, .main-svg text').length,
             sentence: picture.querySelector('figcaption p').textContent.length,
             rows: picture.querySelectorAll('tbody tr').length,
             sideways: picture.scrollWidth > document.documentElement.clientWidth,
           }))"""
    )
    assert len(found) >= 6
    for picture in found:
        assert picture["marks"] > 10
        assert picture["sentence"] > 30
        assert picture["rows"] >= 3
        assert not picture["sideways"]


def test_a_phone_shows_the_way_of_the_water(show: Show) -> None:
    page = show("house", "phone")

    drawing = page.locator(".water-path svg")

    assert drawing.bounding_box()["width"] <= 390
    assert drawing.locator("text").count() > 8
    words = page.locator("#picture-path figcaption").bounding_box()
    first = page.locator(".water-path text:visible").first.bounding_box()
    assert first["y"] >= words["y"] + words["height"]


def test_units_follow_the_reader(show: Show) -> None:
    page = show("choices")

    page.click("summary:has-text('View')")
    page.click("[data-edit*='si']")
    page.wait_for_selector(".offer:has-text('kg')")

    assert "gal" not in page.inner_text(".offers")
    assert "°C" in page.inner_text(".what-if")


def test_the_last_step_gives_out_the_quote(show: Show, tmp_path: Path) -> None:
    page = show("next", example="warm-bungalow")

    with page.expect_download() as download:
        page.click("[data-action=quote]")

    download.value.save_as(tmp_path / "quote.pdf")
    assert (tmp_path / "quote.pdf").read_bytes().startswith(b"%PDF-")


def test_the_print_view_is_the_page_without_its_controls(show: Show) -> None:
    page = show("next")

    page.emulate_media(media="print")

    assert not page.is_visible(".strip")
    assert not page.is_visible(".stops")
    assert page.is_visible(".step")
