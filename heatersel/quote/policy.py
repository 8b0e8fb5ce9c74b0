"""A company's policy: what may be offered, how the offers are chosen, and what a quote says.

A TOML file of the company's own; the demo policy under datasets/policy is invented.
docs/price-book-and-policy.md explains each key.
"""

from __future__ import annotations

import hashlib
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Self

from pydantic import Field, PrivateAttr, ValidationError, field_validator, model_validator
from pydantic_core import PydanticCustomError

from heatersel.errors import Fault, InputError
from heatersel.heaters.heater import HeaterClass
from heatersel.job.faults import faults_of
from heatersel.job.load import read_toml
from heatersel.job.money import Share
from heatersel.job.quantities import Fraction, Setpoint
from heatersel.job.table import InputTable
from heatersel.quote.fingerprint import fingerprint
from heatersel.quote.money import HalfCent
from heatersel.quote.toml_lines import line_of
from heatersel.quote.work import OWN_PREFIX, known_work
from heatersel.reference import dataset_path

__all__ = [
    "ByHand",
    "HeaterRules",
    "MustHave",
    "OfferRule",
    "OfferRules",
    "Policy",
    "Release",
    "Rounding",
    "SecondOpinion",
    "SizingRules",
    "TaxRounding",
    "When",
    "Wording",
    "demo_policy",
    "load_policy",
    "policy_faults",
]

_LOGO_KINDS = (".svg", ".png", ".jpg", ".jpeg")
_MOST_LOGO_BYTES = 500_000
_LONGEST = 400


class When(StrEnum):
    """When a must-have item is needed; a fact that nobody looked at counts as needed."""

    ALWAYS = "always"
    VULNERABLE_OCCUPANTS = "vulnerable_occupants"  # infants, elderly, reduced sensation
    CLOSED_SYSTEM = "closed_system"  # backflow preventer, check valve or pressure regulator
    LEAK_DAMAGES = "leak_damages"  # a leak would harm the house
    BURNS_FUEL = "burns_fuel"
    HEAT_PUMP = "heat_pump"
    TANKLESS = "tankless"
    STORAGE = "storage"


class OfferRule(StrEnum):
    """What an offer is chosen for."""

    LOWEST_COST_TO_OWN = "lowest_cost_to_own"
    LOWEST_FIRST_COST = "lowest_first_cost"
    LOWEST_EMISSIONS = "lowest_emissions"
    LOWEST_RUNNING_COST = "lowest_running_cost"
    LIKE_FOR_LIKE = "like_for_like"  # the kind and energy source that stand there now
    MOST_HOT_WATER = "most_hot_water"
    LONGEST_LIFE = "longest_life"
    ANOTHER_KIND = "another_kind"  # the best of a construction class not offered yet
    ANOTHER_SIZE = "another_size"  # the best that differs in price or running cost


class ByHand(StrEnum):
    """Whether offers may be named by hand instead of chosen by rule."""

    FREE = "free"  # recorded in the quote
    WITH_REASON = "with_reason"
    NEVER = "never"


class TaxRounding(StrEnum):
    """Where taxes are rounded to the cent."""

    TOTAL = "total"
    LINE = "line"


class SizingRules(InputTable):
    """How large a heater has to be."""

    percentile: Fraction = Field(default=0.99, ge=0.5, le=0.999)
    margin: Share = 0.0

    @field_validator("margin")
    @classmethod
    def _not_below_none(cls, margin: float) -> float:
        if not 0.0 <= margin <= 1.0:
            raise PydanticCustomError(
                "range", "out of range", {"allowed": "0 % to 100 %", "fix": "an example is 10 %"}
            )
        return margin


class HeaterRules(InputTable):
    """What may be put in."""

    classes: tuple[HeaterClass, ...] | None = None
    setpoint_least_c: Setpoint | None = Field(default=None, alias="setpoint_least")
    setpoint_most_c: Setpoint | None = Field(default=None, alias="setpoint_most")

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.classes is not None and not self.classes:
            raise _trouble("classes", "an empty list", "at least one construction class",
                           "leave the key out to allow every class")  # fmt: skip
        low, high = self.setpoint_least_c, self.setpoint_most_c
        if low is not None and high is not None and low > high:
            raise _trouble("setpoint_most", f"{high:.1f} degC",
                           f"setpoint_least, {low:.1f} degC, or more", "correct one of the two",
                           )  # fmt: skip
        return self


class MustHave(InputTable):
    """An item that goes into every quote it is needed in."""

    item: str
    when: When = When.ALWAYS
    classes: tuple[HeaterClass, ...] = ()
    why: str = Field(default="", max_length=_LONGEST)

    @field_validator("item")
    @classmethod
    def _known_work(cls, item: str) -> str:
        import difflib

        if item in known_work() or item.startswith(OWN_PREFIX):
            return item
        near = difflib.get_close_matches(item, known_work(), n=1)
        raise PydanticCustomError(
            "work", "unknown",
            {"allowed": "a remedy or piece of work, as the price book names it",
             "fix": f"did you mean {near[0]}?" if near else f"own work begins with {OWN_PREFIX}"},
        )  # fmt: skip


class OfferRules(InputTable):
    """How the offers are chosen."""

    number: int = Field(default=3, ge=1, le=4, strict=True)
    choose: tuple[OfferRule, ...] = (
        OfferRule.LOWEST_COST_TO_OWN, OfferRule.LOWEST_FIRST_COST, OfferRule.LOWEST_EMISSIONS,
        OfferRule.ANOTHER_KIND,
    )  # fmt: skip
    recommend: OfferRule = OfferRule.LOWEST_COST_TO_OWN
    near: Share = 0.05
    by_hand: ByHand = ByHand.WITH_REASON

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if not self.choose:
            raise _trouble("choose", "an empty list", ", ".join(OfferRule), "name a rule")
        if self.recommend not in self.choose:
            raise _trouble("recommend", self.recommend, "one of the rules under choose",
                           "add it to choose, or recommend another")  # fmt: skip
        if not 0.0 <= self.near <= 0.5:
            raise _trouble("near", f"{self.near:.0%}", "0 % to 50 %", "an example is 5 %")
        return self


class SecondOpinion(InputTable):
    """When somebody else looks at a quote before it leaves; money in the price book's currency."""

    total_above: float | None = Field(default=None, gt=0.0, lt=1.0e6)
    fuel_change: bool = Field(default=False, strict=True)
    tight_size: bool = Field(default=False, strict=True)
    departure: bool = Field(default=True, strict=True)
    to_measure_above: int | None = Field(default=None, ge=0, le=1000, strict=True)


class Rounding(InputTable):
    """How prices are rounded; money in the price book's currency."""

    line: float = Field(default=0.01, ge=0.01, le=100.0)
    half: HalfCent = HalfCent.UP
    tax: TaxRounding = TaxRounding.TOTAL

    @field_validator("line")
    @classmethod
    def _whole_cents(cls, line: float) -> float:
        if round(line * 100, 6) % 1:
            raise PydanticCustomError(
                "money", "no step", {"allowed": "whole cents, 0.01 to 100", "fix": "write 1.00"}
            )
        return line

    @property
    def step(self) -> Decimal:
        """The step that each line is rounded to."""
        return Decimal(f"{self.line:.2f}")


class Release(InputTable):
    """What has to happen before a quote leaves."""

    reviewed_only: bool = Field(default=False, strict=True)
    valid_days: int = Field(default=30, ge=1, le=365, strict=True)


class Wording(InputTable):
    """What the document says in the company's name."""

    company: str = Field(min_length=1, max_length=80)
    contact: str = Field(default="", max_length=160)
    licence: str = Field(default="", max_length=80)
    greeting: str = Field(default="", max_length=_LONGEST)
    included: tuple[str, ...] = Field(default=(), max_length=10)
    next_steps: tuple[str, ...] = Field(default=(), max_length=8)
    terms: tuple[str, ...] = Field(default=(), max_length=12)
    logo: str = ""

    @field_validator("included", "next_steps", "terms")
    @classmethod
    def _not_endless(cls, texts: tuple[str, ...]) -> tuple[str, ...]:
        for text in texts:
            if not 1 <= len(text.strip()) <= _LONGEST:
                raise PydanticCustomError(
                    "text", "a text that does not fit",
                    {"allowed": f"texts of 1 to {_LONGEST} characters", "fix": "shorten it"},
                )  # fmt: skip
        return texts


class Policy(InputTable):
    """One company's rules for every quote."""

    title: str = Field(min_length=1, max_length=120)
    version: str = Field(min_length=1, max_length=40)
    sizing: SizingRules = SizingRules()
    heaters: HeaterRules = HeaterRules()
    must_have: tuple[MustHave, ...] = ()
    offers: OfferRules = OfferRules()
    second_opinion: SecondOpinion = SecondOpinion()
    rounding: Rounding = Rounding()
    release: Release = Release()
    wording: Wording
    _logo: bytes = PrivateAttr(default=b"")

    @property
    def logo_bytes(self) -> bytes:
        """The picture that stands at the head of the document, empty if there is none."""
        return self._logo

    @property
    def digest(self) -> str:
        """Fingerprint of every rule, the wording and the logo."""
        return fingerprint({"policy": self, "logo": hashlib.sha256(self._logo).hexdigest()})

    @property
    def name(self) -> str:
        """Title and version, as a quote shows them."""
        return f"{self.title}, version {self.version}"


def load_policy(path: Path) -> Policy:
    """Return the policy of a TOML file.

    Parameters
    ----------
    path : pathlib.Path
        The file. A logo that it names stands beside it.

    Returns
    -------
    Policy

    Raises
    ------
    InputError
        With every fault: file, line, key, value, what is allowed and an example.
    """
    tables = read_toml(path)
    try:
        policy = Policy.model_validate(tables)
    except ValidationError as trouble:
        text = path.read_text(encoding="utf-8-sig")
        raise InputError(
            *(_with_line(fault, text) for fault in faults_of(trouble, Policy, str(path)))
        ) from None
    if policy.wording.logo:
        policy._logo = _logo(path, policy.wording.logo)
    return policy


def policy_faults(path: Path) -> tuple[Fault, ...]:
    """Return every fault of a policy file; empty if it can be used."""
    try:
        load_policy(path)
    except InputError as trouble:
        return trouble.faults
    return ()


@lru_cache(maxsize=1)
def demo_policy() -> Policy:
    """Return the invented policy that ships."""
    return load_policy(dataset_path("policy/demo.toml"))


def _with_line(fault: Fault, text: str) -> Fault:
    from dataclasses import replace

    return replace(fault, line=line_of(text, fault.name))


def _logo(path: Path, name: str) -> bytes:
    """Return the bytes of a logo beside the policy; raise InputError if it cannot be used."""

    def unusable(value: str, allowed: str, fix: str) -> InputError:
        line = line_of(path.read_text(encoding="utf-8-sig"), "wording.logo")
        return InputError.of("wording.logo", value=value, allowed=allowed, fix=fix,
                             file=str(path), line=line)  # fmt: skip

    if Path(name).name != name or Path(name).suffix.lower() not in _LOGO_KINDS:
        raise unusable(repr(name), "the name of a file beside the policy, "
                       + ", ".join(_LOGO_KINDS), "copy the picture beside the policy",
                       )  # fmt: skip
    try:
        content = (path.parent / name).read_bytes()
    except OSError:
        raise unusable(f"{name!r}, missing", "an existing file", "check the name") from None
    if len(content) > _MOST_LOGO_BYTES:
        raise unusable(f"{len(content):,} bytes", f"up to {_MOST_LOGO_BYTES:,} bytes",
                       "make the picture smaller")  # fmt: skip
    return content


def _trouble(field: str, value: object, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError(
        "rule", "not possible",
        {"field": field, "value": str(value), "allowed": allowed, "fix": fix},
    )  # fmt: skip
