from __future__ import annotations

import pytest

from heatersel.quote.toml_lines import line_of

TEXT = """\
title = "x"
[sizing]
margin = "5 %"
[[must_have]]
item = "a"
[[must_have]]
item = "b"
when = "always"
[wording]
terms = [
  "one",
]
table = { inner = 1 }
"""


@pytest.mark.parametrize(
    ("dotted", "line"),
    [
        ("title", 1), ("sizing.margin", 3), ("must_have.1.item", 5), ("must_have.2.item", 7),
        ("must_have.2.when", 8), ("wording.terms", 10), ("wording.terms.1", 10),
        ("wording.table.inner", 13), ("sizing.percentile", 2), ("nothing", 0), ("must_have.7.x", 0),
    ],
)  # fmt: skip
def test_a_key_is_found_by_its_line(dotted, line):
    assert line_of(TEXT, dotted) == line
