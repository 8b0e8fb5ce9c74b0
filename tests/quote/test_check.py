from __future__ import annotations

import pytest

from heatersel.quote.check import check_company_file, check_policy
from heatersel.reference import dataset_path

POLICY = 'title = "T"\nversion = "1"\n[wording]\ncompany = "C"\n'


def write(tmp_path, text, name="policy.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "name", ["policy/demo.toml", "price_book/demo_us.csv", "price_book/demo_canada.csv"]
)
def test_the_files_that_ship_are_in_order(name):
    assert check_company_file(dataset_path(name)) == ()


@pytest.mark.parametrize(
    "name", ["jobs/cold-family.toml", "heaters/generic.csv", "costs/upkeep.csv"]
)
def test_other_files_are_none_of_ours(name):
    assert check_company_file(dataset_path(name)) is None


def test_a_policy_that_admits_no_heater_for_any_demo_job_is_a_fault(tmp_path):
    path = write(tmp_path, POLICY + '[heaters]\nclasses = ["oil_storage"]\n')
    (fault,) = check_policy(path)
    assert "no heater is admitted for any demo job" in fault.sentence()
    assert "does not list the class" in fault.sentence()


def test_a_policy_that_admits_one_heater_somewhere_is_in_order(tmp_path):
    path = write(tmp_path, POLICY + '[heaters]\nclasses = ["electric_storage"]\n')
    assert check_policy(path) == ()


def test_faults_of_the_file_come_first(tmp_path):
    (fault,) = check_policy(write(tmp_path, POLICY + "[offers]\nnumber = 9\n"))
    assert fault.name == "offers.number"


def test_a_price_book_is_known_by_its_headings(write_book):
    assert check_company_file(write_book("W9,wrok,,,,,,,,,,,,"))[0].line == 10


def test_a_broken_toml_file_is_left_to_the_reader_of_jobs(tmp_path):
    assert check_company_file(write(tmp_path, "= =")) is None
