from __future__ import annotations

import hashlib

import pytest

from heatersel.api import compare
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import load_job, parse_job
from heatersel.quote.fingerprint import canonical_json, fingerprint, job_fingerprint, short
from heatersel.reference import dataset_path

TABLES = {"household": {"occupants": 2}, "place": {"climate": "Duluth, MN"}}


def test_order_of_keys_does_not_matter_and_values_do():
    assert fingerprint({"a": 1, "b": [1.5, None]}) == fingerprint({"b": (1.5, None), "a": 1})
    assert fingerprint({"a": 1}) != fingerprint({"a": 2})


def test_fingerprint_is_the_sha_256_of_the_canonical_text():
    content = {"é": True, "a": 0.1}
    assert canonical_json(content) == '{"a":0.1,"é":true}'
    assert fingerprint(content) == hashlib.sha256('{"a":0.1,"é":true}'.encode()).hexdigest()


def test_last_digits_of_a_float_do_not_count():
    assert fingerprint(0.1 + 0.2) == fingerprint(0.3)
    assert fingerprint(0.3) != fingerprint(0.300000003)


def test_infinities_cannot_be_stored():
    with pytest.raises(ValueError, match="Out of range"):
        canonical_json(float("inf"))


def test_a_job_has_the_same_fingerprint_however_it_was_made():
    heaters = load_heaters().heaters
    path = dataset_path("jobs/cold-family.toml")
    one, other = load_job(path), load_job(path)
    compare(one)
    assert job_fingerprint(one, heaters, {}) == job_fingerprint(other, heaters, {})


def test_any_change_of_job_list_or_edition_shows():
    job, heaters = parse_job(TABLES), load_heaters().heaters
    warmer = parse_job(TABLES | {"preferences": {"setpoint": "125 degF"}})
    prints = {
        job_fingerprint(job, heaters, {"version": "1"}),
        job_fingerprint(warmer, heaters, {"version": "1"}),
        job_fingerprint(job, heaters[1:], {"version": "1"}),
        job_fingerprint(job, heaters, {"version": "2"}),
    }
    assert len(prints) == 4


def test_the_short_form_is_easy_to_compare():
    assert short("0123456789abcdef") == "0123 4567 89ab"
