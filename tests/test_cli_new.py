"""heatersel new: asks on the terminal, takes piped answers, and loses none."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from rich.console import Console

from heatersel.cli_new import run
from heatersel.errors import InputError
from heatersel.interview.draft import draft_path, load_draft
from heatersel.interview.flow import Interview
from heatersel.interview.questions import QUESTIONS
from heatersel.job.load import load_job

ENTERS = "\n" * 40
ALL = "\n" * Interview().place[1]  # one for each question if all goes as usual


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "smith.toml"


@pytest.fixture
def hold(monkeypatch, capsys, file):
    """Hold an interview with piped answers; returns exit status, output and error."""

    def held(answers: str, width: int = 80) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
        console = Console(file=sys.stdout, width=width, color_system=None, soft_wrap=True)
        status = run(file, console)
        said = capsys.readouterr()
        return status, said.out, said.err

    return held


def test_enter_throughout_writes_a_job_that_check_accepts(hold, file):
    status, out, err = hold(ENTERS)

    assert (status, err) == (0, "")
    assert load_job(file).household.occupants.total == 2
    assert not draft_path(file).exists()
    assert f"Next: heatersel compare {file}" in out.replace("\n", " ")


def test_each_question_stands_with_its_reason_and_what_enter_gives(hold):
    _, out, _ = hold(ENTERS)

    for question in QUESTIONS:
        if question.id in ("home.vent", "existing", "place.climate", "preferences.setpoint"):
            assert f"\n{question.text}  (" in out
            assert question.why in out
    assert "[Duluth, MN] > " in out
    assert "[the region's average] > " in out
    assert "1 gas tank   2 propane tank" in out


def test_no_line_is_wider_than_the_terminal(hold):
    _, out, _ = hold("?\n" + "9" * 3 + "\n" + ENTERS)

    assert max(len(line) for line in out.splitlines() if ".toml" not in line) <= 80


def test_output_is_plain(hold):
    _, out, _ = hold(ENTERS)

    assert "\x1b" not in out


def test_refused_answer_gives_one_message_and_the_question_stays(hold, file):
    status, out, _ = hold("us\n2 adults\nyes\nthree\n3\n" + ENTERS)

    assert status == 0
    assert out.count('"three" does not fit') == 1
    assert out.count("How many bedrooms?") == 1
    assert load_job(file).household.bedrooms == 3


def test_question_mark_explains_more(hold):
    _, out, _ = hold("\n?\n" + ENTERS)

    assert "Count who sleeps here most nights." in out


def test_answer_that_meant_more_than_was_typed_is_echoed(hold):
    _, out, _ = hold("us\n2 adults 2 kids\n\n\n2 showers\n" + ENTERS)

    assert "= 2 adults, 2 children" in out
    assert "= 2 showers, 1 bathtub, 2 lavatories, 1 kitchen sink" in out


@pytest.mark.parametrize("back", ["b", "<", "B"])
def test_back_asks_the_question_before_again(hold, file, back):
    _, out, _ = hold(f"us\n3 adults\n{back}\n5 adults\n" + ENTERS)

    assert "[3 adults] > " in out
    assert load_job(file).household.occupants.total == 5


def test_back_from_the_end_reaches_the_last_question(hold, file):
    hold(ALL + "b\nAnother name\n\n")

    assert load_job(file).title == "Another name"


def test_odd_answer_at_the_end_explains_and_does_not_write_yet(hold, file):
    _, out, _ = hold(ALL + "?\nno\n\n")

    assert out.count("Enter writes the file") == 2
    assert file.exists()


def test_end_of_answers_keeps_them_and_the_same_command_goes_on(hold, file):
    status, _, err = hold("si\n3 adults\n")

    assert status == 2
    assert f"to go on: heatersel new {file}" in err
    assert not file.exists()

    status, out, _ = hold("yes\n" + ENTERS)
    assert status == 0
    assert "2 answers are kept from last time" in out.replace("\n", " ")
    assert load_job(file).household.occupants.adults == 3
    assert load_job(file).home.vulnerable_occupants is True


def test_end_of_answers_after_the_last_question_writes(hold, file):

    assert hold(ALL)[0] == 0
    assert file.exists()


def test_q_stops_for_now(hold, file):
    status, _, err = hold("us\n4\nq\n")

    assert status == 0
    assert "Stopped at question 3 of" in err
    assert [text for _, text in load_draft(file).answers] == ["us", "4"]


def test_script_that_is_refused_again_and_again_ends(hold, file):
    status, out, _ = hold("nonsense\n" * 500)

    assert status == 2
    assert out.count("does not fit") == 10
    assert not file.exists()


def test_every_answer_is_kept_at_once(hold, file, monkeypatch):
    kept = []

    def answer(prompt: str) -> str:
        kept.append(len(load_draft(file).answers))
        if len(kept) == 6:
            raise KeyboardInterrupt
        return ""

    monkeypatch.setattr("builtins.input", answer)
    status, _, err = hold("")

    assert status == 130
    assert kept == [0, 1, 2, 3, 4, 5]
    assert "The answers are kept in" in err


def test_file_that_is_there_is_refused_before_any_question(hold, file):
    file.write_text("mine", encoding="utf-8")

    with pytest.raises(InputError, match="there already"):
        hold(ENTERS)
    assert file.read_text(encoding="utf-8") == "mine"


def test_folder_that_cannot_be_written_to_is_told_before_any_question(tmp_path):
    with pytest.raises(InputError, match="a folder that can be written to"):
        run(tmp_path / "none" / "smith.toml")


def test_letters_that_cannot_be_read_are_asked_for_again(hold, file, monkeypatch):
    given = iter([UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid start byte")])

    def answer(prompt: str) -> str:
        for trouble in given:
            raise trouble
        return ""

    monkeypatch.setattr("builtins.input", answer)
    status, out, _ = hold("")

    assert status == 0
    assert "does not fit" in out


def test_interrupt_from_the_keyboard_keeps_the_answers(file):
    command = [sys.executable, "-c", "from heatersel.cli import main; main()", "new", str(file)]
    process = subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        text=True, cwd=Path(__file__).parents[1], env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert process.stdin is not None
    process.stdin.write("us\n3 adults\n")
    process.stdin.flush()
    while len(load_draft(file).answers) < 2 and process.poll() is None:
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    _, err = process.communicate()

    assert process.returncode == 130
    assert "Traceback" not in err
    assert [text for _, text in load_draft(file).answers] == ["us", "3 adults"]
