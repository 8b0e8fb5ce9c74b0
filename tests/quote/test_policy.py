from __future__ import annotations

import pytest

from heatersel.errors import InputError
from heatersel.quote.policy import demo_policy, load_policy, policy_faults

LEAST = """\
title = "Test policy"
version = "1"
[wording]
company = "Test company"
"""


@pytest.fixture
def write(tmp_path):
    def write(text: str, head: str = LEAST):
        path = tmp_path / "policy.toml"
        path.write_text(head + text, encoding="utf-8")
        return path

    return write


def test_the_demo_policy_is_sound_and_says_that_it_is_invented():
    assert "invented" in demo_policy().name
    assert "invented" in demo_policy().wording.company


def test_a_short_policy_has_sensible_rules(write):
    policy = load_policy(write(""))
    assert policy.offers.number == 3
    assert policy.sizing.percentile == 0.99
    assert policy.heaters.classes is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[sizing]\npercentile = 99", r":6: sizing.percentile is 99; allowed: a number, 0.5 to"),
        ('[sizing]\nmargin = "-5 %"', r":6: sizing.margin is '-5 %'; allowed: 0 % to 100 %"),
        ("[sizing]\nmargin = 5", r":6: sizing.margin is 5; allowed: text with a number"),
        ("[heaters]\nclasses = []", r":6: heaters.classes is an empty list"),
        ('[heaters]\nclasses = ["gas"]', r":6: heaters.classes.1 is 'gas'; allowed: atmospheric"),
        ("[heaters]\nsetpoint_least = 120", r":6: heaters.setpoint_least is 120; .*\"120 degF\""),
        (
            '[heaters]\nsetpoint_least = "140 degF"\nsetpoint_most = "120 degF"',
            r":7: heaters.setpoint_most is 48.9 degC; allowed: setpoint_least, 60.0 degC",
        ),
        ('[[must_have]]\nitem = "pan"', r":6: must_have.1.item is 'pan'.*(drain_pan|own_)"),
        ('[[must_have]]\nwhen = "always"', r"must_have.1.item is missing"),
        ('[[must_have]]\nitem = "stand"\nwhen = "often"', r":7: must_have.1.when is 'often'"),
        ("[offers]\nnumber = 0", r":6: offers.number is 0; allowed:.*1 to 4"),
        ("[offers]\nchoose = []", r":6: offers.choose is an empty list"),
        ('[offers]\nchoose = ["best"]', r":6: offers.choose.1 is 'best'; allowed: lowest_cost"),
        ('[offers]\nrecommend = "longest_life"', r":6: offers.recommend is longest_life"),
        ('[offers]\nnear = "60 %"', r":6: offers.near is 60%; allowed: 0 % to 50 %"),
        ("[rounding]\nline = 0.005", r":6: rounding.line is 0.005; allowed: a number, 0.01 to 100"),
        ("[rounding]\nline = 0.015", r":6: rounding.line is 0.015; allowed: whole cents"),
        ('[rounding]\nhalf = "down"', r":6: rounding.half is 'down'; allowed: up or even"),
        ("[release]\nvalid_days = 0", r":6: release.valid_days is 0; allowed:.*1 to 365"),
        ("[release]\nreviewed_only = 1", r":6: release.reviewed_only is 1; allowed: true or false"),
        ("[second_opinion]\ntotal_above = -1", r":6: second_opinion.total_above is -1"),
        ('colour = "blue"', r":5: wording.colour is not a known key"),
        ('next_steps = [""]', r":5: wording.next_steps is .*allowed: texts of 1 to 400"),
        ('logo = "none.png"', r":5: wording.logo is 'none.png', missing"),
        ('logo = "../logo.png"', r":5: wording.logo is '../logo.png'; allowed: the name of a file"),
        ('logo = "logo.exe"', r"wording.logo is 'logo.exe'"),
    ],
)
def test_each_bad_value_is_named_with_its_line(write, text, said):
    with pytest.raises(InputError, match=said):
        load_policy(write(text))


def test_title_version_and_company_are_needed(write):
    faults = policy_faults(write('[wording]\ncontact = "here"\n', head=""))
    assert [fault.name for fault in faults] == ["title", "version", "wording.company"]


def test_all_faults_come_at_once(write):
    faults = policy_faults(write('[sizing]\npercentile = 2\nmargin = "x"\n[offers]\nnumber = 9\n'))
    assert len(faults) == 3


def test_a_file_that_is_no_toml_is_said_to_be_none(write):
    assert "not TOML" in policy_faults(write("= = ="))[0].sentence()


def test_a_logo_stands_beside_the_policy_and_counts_in_the_fingerprint(write, tmp_path):
    (tmp_path / "logo.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    with_logo = load_policy(write('logo = "logo.svg"'))
    assert with_logo.logo_bytes.startswith(b"<svg")
    (tmp_path / "logo.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg' width='9'/>")
    assert load_policy(write('logo = "logo.svg"')).digest != with_logo.digest


def test_a_logo_of_many_bytes_is_refused(write, tmp_path):
    (tmp_path / "logo.png").write_bytes(b"0" * 500_001)
    with pytest.raises(InputError, match="500,001 bytes"):
        load_policy(write('logo = "logo.png"'))


def test_fingerprint_ignores_comments_and_sees_every_rule(write):
    plain = load_policy(write("")).digest
    assert load_policy(write("\n# a word\n")).digest == plain
    assert load_policy(write("[release]\nvalid_days = 31")).digest != plain
