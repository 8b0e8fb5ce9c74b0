"""Drafts: answers kept whole, and a job file that never replaces another."""

from __future__ import annotations

import os

import pytest

from heatersel.errors import InputError
from heatersel.interview import draft
from heatersel.interview.draft import draft_path, load_draft, save_draft, write_job
from heatersel.interview.flow import Interview
from heatersel.job.load import load_job


def finished() -> Interview:
    interview = Interview()
    while interview.question is not None:
        interview = interview.answered("")
    return interview


def test_answers_come_back(tmp_path):
    file = tmp_path / "smith.toml"
    interview = Interview().answered("si").answered("3 adults").answered("yes").back()
    save_draft(file, interview)
    again = load_draft(file)

    assert again.answers == interview.answers
    assert again.offered == "yes"


def test_draft_stands_beside_the_file(tmp_path):
    assert draft_path(tmp_path / "smith.toml") == tmp_path / "smith.draft.toml"
    assert draft_path(tmp_path / "smith") == tmp_path / "smith.draft.toml"


def test_nothing_kept_is_a_new_interview(tmp_path):
    assert load_draft(tmp_path / "smith.toml") == Interview()


@pytest.mark.parametrize("text", ["not toml", "[answers]\nunits = 3", "answers = 3", "\x00"])
def test_spoilt_draft_is_a_new_interview(tmp_path, text):
    file = tmp_path / "smith.toml"
    draft_path(file).write_text(text, encoding="utf-8")

    assert load_draft(file).answers == ()


def test_any_letters_are_kept(tmp_path):
    file = tmp_path / "smith.toml"
    interview = finished().back().answered('"Öl" \\ \t\x7f 1')
    save_draft(file, interview)

    assert load_draft(file).tables["title"] == '"Öl" \\ \t\x7f 1'


def test_draft_is_replaced_whole_or_not_at_all(tmp_path, monkeypatch):
    file = tmp_path / "smith.toml"
    kept = Interview().answered("si")
    save_draft(file, kept)

    def fails(*paths):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(InputError, match="no space left on device"):
        save_draft(file, kept.answered("3 adults"))
    assert load_draft(file).answers == kept.answers
    assert [path.name for path in tmp_path.iterdir()] == ["smith.draft.toml"]


def test_job_file_is_written_and_the_draft_dropped(tmp_path):
    file = tmp_path / "smith.toml"
    save_draft(file, finished())
    write_job(file, finished())

    assert load_job(file).place.climate == "Duluth, MN"
    assert [path.name for path in tmp_path.iterdir()] == ["smith.toml"]


@pytest.mark.parametrize("links", [True, False])
def test_file_that_is_there_is_never_replaced(tmp_path, monkeypatch, links):
    file = tmp_path / "smith.toml"
    file.write_text("mine", encoding="utf-8")
    save_draft(file, finished())
    if not links:
        monkeypatch.setattr(draft.os, "link", _no_links)
    with pytest.raises(InputError, match=r"there already.*nothing is overwritten"):
        write_job(file, finished())

    assert file.read_text(encoding="utf-8") == "mine"
    assert draft_path(file).exists()


def test_disk_without_links_is_written_all_the_same(tmp_path, monkeypatch):
    monkeypatch.setattr(draft.os, "link", _no_links)
    write_job(tmp_path / "smith.toml", finished())

    assert load_job(tmp_path / "smith.toml").household.occupants.total == 2


def _no_links(*paths: object) -> None:
    raise PermissionError(1, "Operation not permitted")


def test_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(InputError, match="a folder that can be written to"):
        save_draft(tmp_path / "none" / "smith.toml", Interview())
