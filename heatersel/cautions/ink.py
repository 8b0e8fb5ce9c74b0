"""Colours and text of the drawings: paper and copper, water told by its temperature."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from enum import StrEnum
from html import escape

__all__ = ["DARK", "LIGHT", "Ink", "Theme", "styled", "text", "wrapped"]


_UNIT = re.compile(r"(\d) (°|gal|L\b|psi|kPa|kBtu|kW)")


class Theme(StrEnum):
    """Ground that a drawing is made for; auto follows the reader's setting."""

    LIGHT = "light"
    DARK = "dark"
    AUTO = "auto"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """One set of colours; each text colour is readable on its ground."""

    ground: str
    ink: str
    quiet: str
    line: str
    copper: str
    cold: str
    warm: str
    hot: str
    fine: str
    must: str
    stop: str


LIGHT = Ink(
    ground="#FAF6EF", ink="#12312F", quiet="#48605D", line="#8C7F6C", copper="#A8521F",
    cold="#2F6F86", warm="#C98538", hot="#A8362A", fine="#2F6B45", must="#8A5A00", stop="#9B2226",
)  # fmt: skip
DARK = Ink(
    ground="#14201F", ink="#F2EADD", quiet="#B5C4C1", line="#7F8E8B", copper="#D98A52",
    cold="#6FB3CC", warm="#E0A75E", hot="#E8806F", fine="#82C79D", must="#E3B54F", stop="#F08A86",
)  # fmt: skip


def styled(theme: Theme, drawing: str) -> str:
    """Return a drawing with its style: per colour a fill class and a line class.

    The rules hold inside their own group only, so that drawings of two themes can stand on one
    page. Classes are "hw-" and "hw-l-" with the colour's name.
    """
    group = f"hw-on-{theme.value}"
    rules = _rules(DARK if theme is Theme.DARK else LIGHT, group)
    if theme is Theme.AUTO:
        rules += f"@media (prefers-color-scheme: dark) {{{_rules(DARK, group)}}}"
    return f'<style>{rules}</style><g class="{group}">{drawing}</g>'


def _rules(ink: Ink, group: str) -> str:
    return "".join(
        f".{group} .hw-{name}{{fill:{colour}}}.{group} .hw-l-{name}{{stroke:{colour};fill:none}}"
        for name, colour in asdict(ink).items()
    )


def text(x: float, y: float, words: str, css: str, *, size: float = 13, bold: bool = False,
         anchor: str = "start") -> str:  # fmt: skip
    """Return a text element."""
    weight = ' font-weight="650"' if bold else ""
    turn = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" class="{css}"{weight}{turn}>'
        f"{escape(words)}</text>"
    )


def wrapped(words: str, columns: int) -> list[str]:
    """Return words broken into lines of `columns` characters; a unit stays by its number."""
    lines: list[str] = []
    for word in _UNIT.sub("\\1\u00a0\\2", words).split(" "):
        if lines and len(lines[-1]) + 1 + len(word) <= columns:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
