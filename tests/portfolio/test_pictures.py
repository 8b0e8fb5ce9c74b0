from __future__ import annotations

import re
from collections import Counter

import numpy as np
import pytest

from heatersel.portfolio.load import GroupLoad
from heatersel.portfolio.pictures import bars_svg, load_svg, map_svg, pairs_svg, spread_svg
from heatersel.portfolio.spread import Spread
from heatersel.portfolio.totals import HOURS

GROUPS = {"a": "fuel tank", "b": "heat pump"}


def lengths(svg: str) -> list[float]:
    return [float(width) for width in re.findall(r'<rect [^>]*width="([0-9.]+)"', svg)]


def circles(svg: str) -> list[tuple[float, float, float]]:
    found = re.findall(r'<circle cx="([0-9.]+)" cy="([0-9.]+)" r="([0-9.]+)" [^>]*><title>', svg)
    return [tuple(map(float, circle)) for circle in found]  # type: ignore[misc]


def test_bars_are_as_long_as_their_values() -> None:
    long, half = lengths(bars_svg([("a", 40.0, "40"), ("b", 20.0, "20")], "x"))

    assert half == pytest.approx(long / 2.0, rel=0.01)


def test_before_and_after_share_one_scale() -> None:
    found = lengths(pairs_svg([("a", 10.0, 40.0, "", ""), ("b", 20.0, 0.0, "", "")], "x"))

    assert found[0] == pytest.approx(found[1] / 4.0, rel=0.01)
    assert found[2] == pytest.approx(found[1] / 2.0, rel=0.01)


def test_a_picture_of_nothing_is_no_error() -> None:
    assert "<svg" in bars_svg([], "x")
    assert map_svg({}, GROUPS, "x") == ""


def test_the_load_is_drawn_for_its_highest_day() -> None:
    after = np.ones(HOURS)
    after[45 * 24 + 7] = 9.0
    group = GroupLoad(region="MN", plan="flat", before_kw=np.ones(HOURS), after_kw=after)

    svg = load_svg(group)

    assert "A mean day in February" in svg
    assert "The day of the peak, 15 Feb" in svg


def test_large_loads_are_said_in_megawatts() -> None:
    group = GroupLoad(region="MN", plan="flat", before_kw=np.ones(HOURS),
                      after_kw=np.full(HOURS, 2.0e4))  # fmt: skip

    assert ">MW" in load_svg(group)


@pytest.mark.parametrize("amounts", [[5.0], [0.0, 0.0], [-100.0, 3.0, 250.0]])
def test_a_spread_has_bars_for_any_amounts(amounts: list[float]) -> None:
    spread = Spread()
    spread.add(np.array(amounts))

    assert "<rect" in spread_svg(spread, "Savings", "USD/yr")


def test_a_circle_has_an_area_by_its_houses() -> None:
    places = {(46.0, -92.0, "A"): Counter(a=100), (45.0, -93.0, "B"): Counter(a=10, b=15)}

    large, small = circles(map_svg(places, GROUPS, "x"))

    assert small[2] == pytest.approx(large[2] * 0.5, rel=0.02)
    assert large[1] < small[1]  # north is up
    assert large[0] > small[0]  # east is right


def test_many_places_are_drawn_together() -> None:
    rng = np.random.default_rng(1)
    places = {
        (float(latitude), float(longitude), ""): Counter(a=1)
        for latitude, longitude in rng.uniform([40, -95], [50, -85], (3000, 2))
    }

    found = circles(map_svg(places, GROUPS, "x"))
    apart = [np.hypot(x - u, y - v) for i, (x, y, _) in enumerate(found) for u, v, _ in found[:i]]

    assert 50 < len(found) < 400
    assert min(apart) > 2.0 * max(radius for _, _, radius in found) - 0.5


def test_a_map_has_its_degrees_and_the_towns_that_people_know() -> None:
    svg = map_svg({(46.8, -92.1, ""): Counter(a=9), (44.9, -93.2, ""): Counter(b=5)}, GROUPS, "x")

    assert "46° N" in svg
    assert "93° W" in svg
    assert ">Duluth<" in svg


def test_what_is_added_is_drawn_by_hour_of_the_day() -> None:
    group = GroupLoad(region="MN", plan="flat", before_kw=np.ones(HOURS), after_kw=np.ones(HOURS))

    assert "Added in each hour of the day" in load_svg(group)


def test_the_key_names_each_colour_with_its_letter() -> None:
    svg = map_svg({(46.0, -92.0, "A"): Counter(b=1)}, GROUPS, "x")

    assert "heat pump (H)" in svg
