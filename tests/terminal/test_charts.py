"""Charts made of characters."""

from __future__ import annotations

from heatersel.terminal.charts import bar_lines, column_lines


def test_the_longest_bar_fills_the_room_and_half_of_it_is_half() -> None:
    full, half = bar_lines(["a", "b"], [2.0, 1.0], ["2", "1"], 40)

    assert full.count("█") == 2 * half.count("█")
    assert len(full) <= 40


def test_nothing_draws_no_bar() -> None:
    assert "█" not in bar_lines(["a"], [0.0], ["0"], 40)[0]


def test_columns_reach_the_top_only_for_the_highest() -> None:
    lines = column_lines([1.0, 4.0, 2.0], height=4, column=2)

    assert lines[0].strip() == "█"
    assert len(lines) == 4
    assert lines[-1].split() == ["█", "█", "█"]
