from __future__ import annotations

from heatersel.cautions.caution import Severity
from heatersel.cautions.registry import rules
from heatersel.portfolio.outcome import ALWAYS
from heatersel.portfolio.site_work import WORK, field_words, work_words


def test_every_caution_that_asks_for_work_says_which() -> None:
    asking = [rule.id for rule in rules() if rule.severity is Severity.MUST and rule.id != ALWAYS]

    assert set(asking) <= set(WORK)
    assert work_words("descaling-valves") == "service valves for descaling"


def test_words_of_a_job_file_become_words_of_a_list() -> None:
    assert field_words("home.gas_pipe.length") == "gas pipe: length"
