"""The accuracy report: every case beside its published or reference value.

Run as ``python -m heatersel.simulation.accuracy`` to write docs/accuracy.md of a checkout, with
``--print`` to write it to standard output. Nothing in the report is typed: it is computed afresh.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import numpy as np

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import DrawPattern, Heater
from heatersel.heaters.rated import DAILY_DRAW_L, standby_loss_w_per_k
from heatersel.simulation import kernel
from heatersel.simulation.accuracy_rows import AccuracyRow, accuracy_rows
from heatersel.simulation.arrays import AS_IT_COMES_C, PLACE, SPAN, TANK, TOTALS, Outputs, Scene
from heatersel.simulation.convergence import convergence
from heatersel.simulation.laboratory import (
    DEFAULT_GRAIN,
    PATTERNS,
    laboratory_draws,
    simulated_uefs,
)
from heatersel.simulation.pieces import Events, cut_events
from heatersel.simulation.rating_test import Rating, rate_all
from heatersel.simulation.tank import pack_pumps, uncalibrated

__all__ = ["accuracy_report", "tank_rows"]

_L_PER_GAL = 3.785411784
_CLOSED_FORM = "closed form"
_APPENDIX_E = "10 CFR 430 Subpart B Appendix E (from memory)"
_WATER_KJ = 4.13
_VOLUME_L, _INLET_C, _ROOM_C, _STORE_C = 200.0, 10.0, 20.0, 60.0


def accuracy_report() -> str:
    """Return the accuracy report as Markdown.

    Returns
    -------
    str
        Analytic cases, resolution, rating tests of every heater, and the published cases of heat
        pumps, tankless heaters, piping and water.
    """
    storage = tuple(heater for heater in load_heaters().heaters if not heater.is_tankless)
    return "\n".join([
        "# Accuracy",
        "",
        "Written by `python -m heatersel.simulation.accuracy`. The simulated tank has not been",
        "compared with measured tanks: no such data were available. It reproduces each label by",
        "calibration, so the tables of ratings show that the calibration works, not that the",
        "model is true.",
        "",
        "## The tank against closed forms and published volumes",
        "",
        *_case_table(tank_rows()),
        "",
        "## The default resolution against the finest",
        "",
        *_resolution_table(),
        "",
        "## Storage heaters: label and simulated rating tests",
        "",
        *_rating_table(storage, rate_all(storage)),
        "",
        "## Heat pumps, tankless heaters, piping and water",
        "",
        *_case_table(accuracy_rows()),
        "",
    ])  # fmt: skip


def tank_rows() -> tuple[AccuracyRow, ...]:
    """Return the cases of the simulated tank that a closed form or a published volume answers."""
    return (*_analytic_rows(), *_pattern_rows(), *_inversion_rows())


def _analytic_rows() -> Iterator[AccuracyRow]:
    decayed = _run(hours=48.0, loss_idle_kw_per_k=1e-3)
    tau_h = _VOLUME_L * _WATER_KJ / 1e-3 / 3600.0
    yield AccuracyRow(
        case="200 L at 60 °C in 20 °C air, 1 W/K, after 48 h", source=_CLOSED_FORM, unit="°C",
        reference=_ROOM_C + (_STORE_C - _ROOM_C) * math.exp(-48.0 / tau_h),
        ours=float(decayed.end_mean_c[0]),
    )  # fmt: skip
    drawn = _run(draw_l=240.0)
    yield AccuracyRow(
        case="plug flow, 240 L drawn from 200 L at 60 °C, inlet 10 °C", source=_CLOSED_FORM,
        unit="kJ", reference=_VOLUME_L * _WATER_KJ * (_STORE_C - _INLET_C),
        ours=float(drawn.totals["out_kj"][0, 0]),
    )  # fmt: skip
    stirred = _run(draw_l=240.0, mixing_l=40.0)
    left = math.exp(-(240.0 - 160.0) / 40.0)
    yield AccuracyRow(
        case="the same with the lowest 40 L stirred", source=_CLOSED_FORM, unit="kJ",
        reference=_WATER_KJ * (_STORE_C - _INLET_C) * (160.0 + 40.0 * (1.0 - left)),
        ours=float(stirred.totals["out_kj"][0, 0]),
    )  # fmt: skip
    held = _run(
        hours=240.0, loss_idle_kw_per_k=2e-3, loss_firing_kw_per_k=2e-3, main_kw=0.5,
        main_deadband_k=1e-3,
    )  # fmt: skip
    yield AccuracyRow(
        case="held at 60 °C for ten days, 2 W/K", source=_CLOSED_FORM, unit="kJ",
        reference=2e-3 * (_STORE_C - _ROOM_C) * 240.0 * 3600.0,
        ours=float(held.totals["heat_kj"][0, 0]),
    )  # fmt: skip


def _pattern_rows() -> Iterator[AccuracyRow]:
    years, pieces = laboratory_draws()
    for n, pattern in enumerate(PATTERNS):
        mine = pieces[years[n] : years[n + 1]]
        litres = (mine["end_s"] - mine["start_s"]) * mine["flow_l_per_s"][:, 0]
        yield AccuracyRow(
            case=f"draw pattern {_plain(pattern)}: volume of the day", source=_APPENDIX_E,
            unit="gal", reference=DAILY_DRAW_L[pattern] / _L_PER_GAL,
            ours=float(litres.sum()) / _L_PER_GAL,
        )  # fmt: skip


def _inversion_rows() -> Iterator[AccuracyRow]:
    for id_ in ("gas-tank-40", "gas-tank-75", "gas-condensing-50", "oil-tank-50",
                "electric-tank-50"):  # fmt: skip
        heater = next(heater for heater in load_heaters().heaters if heater.id == id_)
        yield AccuracyRow(
            case=f"{id_}: UEF, simulated with the loss of the closed form", source="its own rating",
            unit="", reference=heater.uef, ours=float(simulated_uefs([uncalibrated(heater)])[0]),
        )  # fmt: skip


def _run(*, hours: float = 24.0, draw_l: float = 0.0, **changes: float) -> Outputs:
    """Run a bare store of 200 L at 60 °C, drawn at 10 L/min from the start."""
    tank = np.zeros(1, TANK)
    for name, value in {
        "volume_l": _VOLUME_L, "water_kj_per_l_k": _WATER_KJ, "main_conversion": 1.0,
        "main_deadband_k": 1e6, "element_conversion": 1.0, "condenser_top_l": _VOLUME_L,
        "valve_c": 1e3, **changes,
    }.items():  # fmt: skip
        tank[name] = value
    draw = np.array([draw_l / 10.0 * 60.0] if draw_l else [])
    at = np.zeros_like(draw)
    first, pieces = cut_events([Events(at, draw, at + 10.0 / 60.0, at + AS_IT_COMES_C + 100.0)])
    span, place = np.zeros(1, SPAN), np.zeros((1, 1), PLACE)
    span["end_s"], span["inlet_c"] = 3600.0 * hours, _INLET_C
    place["room_c"], place["setpoint_c"] = _ROOM_C, _STORE_C
    scene = Scene(first, pieces if pieces.size else np.zeros(1, pieces.dtype), span, place,
                  pack_pumps([]), 0.0)  # fmt: skip
    outputs = Outputs(
        totals=np.zeros((1, 1), TOTALS), coldest_c=np.zeros(1), end_mean_c=np.zeros(1),
        short_s=np.zeros((1, 0, 2)), hourly_kj=np.zeros((1, 0)), supply_c=np.zeros((1, 0)),
        trace=np.zeros((1, 0, 3)),
    )  # fmt: skip
    kernel.run_years(tank, np.array([[0, 0, 0]]), DEFAULT_GRAIN, scene, outputs)
    return outputs


def _case_table(rows: Iterable[AccuracyRow]) -> Iterator[str]:
    yield from _table(("case", "source", "reference", "ours", "difference"), (
        (row.case, row.source, _number(row.reference, row.unit), _number(row.ours, row.unit),
         _signed(row.difference_frac))
        for row in rows
    ))  # fmt: skip


def _resolution_table() -> Iterator[str]:
    yield from _table(
        ("kind", "cases", "energy, worst", "energy, mean", "missed heat, worst", "of cases"),
        (
            (one.kind, str(one.n_cases), _percent(one.energy_worst_frac),
             _percent(one.energy_mean_frac), _percent(one.missed_worst_frac), str(one.n_missing))
            for one in convergence()
        ),
    )  # fmt: skip


def _rating_table(heaters: Iterable[Heater], ratings: Iterable[Rating]) -> Iterator[str]:
    yield from _table(
        ("heater", "pattern", "UEF rated", "simulated", "first hour rated, gal", "simulated",
         "loss, closed form, W/K", "simulated", "consistent"),
        (
            (rating.id, _plain(rating.draw_pattern), f"{rating.uef_rated:.2f}",
             f"{rating.uef_simulated:.3f}",
             f"{rating.first_hour_rating_rated_l / _L_PER_GAL:.0f}",
             f"{rating.first_hour_rating_simulated_l / _L_PER_GAL:.1f}",
             f"{standby_loss_w_per_k(heater):.2f}", f"{rating.standby_loss_w_per_k:.2f}",
             "yes" if rating.consistent else f"no: {rating.why_not}")
            for heater, rating in zip(heaters, ratings, strict=True)
        ),
    )  # fmt: skip


def _table(headings: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    for cells in (headings, ("---",) * len(headings), *rows):
        yield f"| {' | '.join(cells)} |"


def _plain(pattern: DrawPattern) -> str:
    return pattern.value.replace("_", " ")


def _number(value: float, unit: str) -> str:
    return f"{value:.5g} {unit}".rstrip()


def _signed(frac: float) -> str:
    text = f"{100.0 * frac:+.2f} %"
    return text if float(text[:-2]) else "0.00 %"


def _percent(frac: float) -> str:
    return f"{100.0 * frac:.2f} %"


def main(arguments: list[str], write: Callable[[str], object] = sys.stdout.write) -> int:
    """Write the report to docs/accuracy.md of the checkout, or print it."""
    report = accuracy_report()
    if "--print" in arguments:
        write(report)
    else:
        (Path(__file__).parents[2] / "docs" / "accuracy.md").write_text(report, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
