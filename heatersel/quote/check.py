"""Check a company's files: the price book cell by cell, the policy against the demo jobs."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from heatersel.api import size
from heatersel.errors import Fault, InputError
from heatersel.job.load import load_job
from heatersel.quote.departures import refusals, under_policy
from heatersel.quote.policy import Policy, load_policy, policy_faults
from heatersel.quote.price_book import check_price_book
from heatersel.reference import datasets_folder
from heatersel.sizing.verdict import Verdict

__all__ = ["check_company_file", "check_policy", "is_policy", "is_price_book"]

_POLICY_TABLES = {"wording", "offers", "must_have", "second_opinion", "rounding", "release"}
_PRICE_HEADINGS = {"row", "kind", "item"}


def check_company_file(path: Path) -> tuple[Fault, ...] | None:
    """Return the faults of a price book or a policy; None if the file is neither.

    Parameters
    ----------
    path : pathlib.Path
        CSV, XLSX or TOML.
    """
    if is_price_book(path):
        return check_price_book(path)
    return check_policy(path) if is_policy(path) else None


def is_price_book(path: Path) -> bool:
    """Return whether a file looks like a price book: any workbook, or a CSV with its headings."""
    if path.suffix.lower() == ".xlsx":
        return True
    if path.suffix.lower() != ".csv":
        return False
    try:
        with path.open(encoding="utf-8-sig") as file:
            first = file.readline().lower()
    except (OSError, UnicodeDecodeError):
        return False
    names = {name.strip(' "\r\n') for name in first.replace(";", ",").replace("\t", ",").split(",")}
    return len(names & _PRICE_HEADINGS) >= 2


def is_policy(path: Path) -> bool:
    """Return whether a TOML file has tables that only a policy has."""
    if path.suffix.lower() != ".toml":
        return False
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        return False
    return bool(_POLICY_TABLES & set(tables)) and "household" not in tables


def check_policy(path: Path) -> tuple[Fault, ...]:
    """Return every fault of a policy, also that it admits no heater for any demo job.

    Parameters
    ----------
    path : pathlib.Path
        The TOML file.

    Returns
    -------
    tuple of Fault
        Empty if the policy can be used.
    """
    faults = policy_faults(path)
    if faults:
        return faults
    return tuple(_admits_nothing(load_policy(path), path))


def _admits_nothing(policy: Policy, path: Path) -> Iterator[Fault]:
    """Yield the fault of a policy under which no demo job gets an offer."""
    causes: Counter[str] = Counter()
    for job_file in sorted((datasets_folder() / "jobs").glob("*.toml")):
        job = under_policy(load_job(job_file), policy)
        try:
            options = size(job).options
        except InputError as trouble:  # a setpoint below the coldest inlet, say
            causes[trouble.faults[0].sentence()] += 1
            continue
        for option in options:
            if option.heater.energy_source not in job.fuels:
                continue
            if option.sizing.verdict is Verdict.SHORT:
                causes["too small on the coldest morning"] += 1
                continue
            own = refusals(option.heater, option.sizing.margin_frac, policy)
            if not own:
                return
            causes[own[0].partition(";")[0]] += 1
    most = "; ".join(f"{cause} ({count})" for cause, count in causes.most_common(3))
    yield Fault(
        name="heaters and sizing", value="no heater is admitted for any demo job",
        allowed="rules under which at least one demo job gets an offer", file=str(path),
        fix=f"what stands in the way most often: {most}",
    )  # fmt: skip
