"""The pictures of an audit: by how much quotes change, why, and which offers customers take."""

from __future__ import annotations

from itertools import pairwise

from heatersel.plots.figure import Figure, Panel, Series
from heatersel.quote.audit_report import AuditReport

__all__ = ["audit_figure"]

_MOST_BARS = 8
_STEPS = (-1000, -500, -200, -50, 0, 50, 200, 500, 1000)
_LONGEST_NAME = 36  # what fits beside a row


def audit_figure(report: AuditReport) -> Figure:
    """Return the pictures of an audit, those that have anything to show.

    Parameters
    ----------
    report : AuditReport
        The audit.
    """
    panels = [_differences(report), _causes(report), _acceptance(report), _agreement(report)]
    n, changed = len(report.replays), len(report.changed)
    return Figure(
        title="Audit of stored quotes",
        sentence=f"{changed} of {n} quotes would change under {report.policy} and "
        f"{report.price_book}.",
        panels=tuple(panel for panel in panels if panel is not None),
    )


def _differences(report: AuditReport) -> Panel | None:
    """Return how many quotes change by how much."""
    found = [item.difference for item in report.replays if item.difference is not None]
    if not found:
        return None
    edges = (float("-inf"), *_STEPS, float("inf"))
    names = [f"over {-_STEPS[0]:,} less"]
    names += [
        f"{-high:,} to {-low:,} less" if high <= 0 else f"{low:,} to {high:,} more"
        for low, high in pairwise(_STEPS)
    ]
    names.append(f"over {_STEPS[-1]:,} more")
    same = sum(value == 0 for value in found)
    counts = [
        sum(low <= value < high and value != 0 for value in found) for low, high in pairwise(edges)
    ]
    middle = len(counts) // 2
    names.insert(middle, "the same")
    counts.insert(middle, same)
    return _shares("By how much the recommended offer would change, in its currency", names,
                   counts, len(found))  # fmt: skip


def _causes(report: AuditReport) -> Panel | None:
    causes = report.causes[:_MOST_BARS]
    if not causes:
        return None
    return _shares("What changes them", [_short(name) for name, _ in causes],
                   [count for _, count in causes], len(report.replays))  # fmt: skip


def _shares(title: str, names: list[str], counts: list[int], of: int) -> Panel:
    """Return rows of shares, each with its name beside it."""
    shares = tuple(100.0 * count / of for count in counts)
    series = Series(name="share", values=shares, shape="span", low=(0.0,) * len(shares),
                    high=shares)  # fmt: skip
    return Panel(title=title, x=names, series=(series,), x_label=f"share of {of} quotes [%]")


def _acceptance(report: AuditReport) -> Panel | None:
    rules = [item for item in report.acceptance if item.by in ("rule", "recommended")]
    if not rules:
        return None
    names = [
        item.value.replace("_", " ") if item.by == "rule"
        else ("recommended" if item.value == "yes" else "not recommended")
        for item in rules
    ]  # fmt: skip
    return Panel(
        title="How often customers take an offer, with the span of 9 in 10", x=names,
        series=(
            Series(
                name="share", values=tuple(100 * item.share for item in rules), shape="span",
                low=tuple(100 * item.low for item in rules),
                high=tuple(100 * item.high for item in rules),
            ),
        ),
        x_label="share of offers taken [%]",
    )  # fmt: skip


def _agreement(report: AuditReport) -> Panel | None:
    groups = report.like_houses[:_MOST_BARS]
    if not groups:
        return None
    agreed = tuple(100.0 * group.agreement for group in groups)
    return Panel(
        title="How far plumbers agree on like houses, the least agreed first",
        x=[_short(group.house) for group in groups],
        series=(
            Series(name="agreement", values=agreed, shape="span", low=(0.0,) * len(agreed),
                   high=agreed),
        ),
        x_label="same class recommended [%]",
    )  # fmt: skip


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_NAME else text[: _LONGEST_NAME - 1] + "…"
