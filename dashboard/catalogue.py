"""Gather every text of the pages into one catalogue, for translators.

``python -m dashboard.catalogue`` writes locale/dashboard.pot. For a language, make
locale/<language>/LC_MESSAGES/dashboard.po from it with any gettext editor and compile it
(``pybabel compile -D dashboard -d dashboard/locale``).
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

from dashboard.forms import name_of, word_of
from dashboard.texts import FOLDER
from heatersel.cautions.walk import questions
from heatersel.cost.uncertainty import in_words
from heatersel.job.keys import Key, keys_of
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.words import meaning

__all__ = ["POT", "catalogue"]

POT = FOLDER / "dashboard.pot"
_KEYWORDS = {"t": None, "plural": (1, 2)}


def catalogue() -> bytes:
    """Return the catalogue of all texts, with the files they stand in."""
    from babel.messages.catalog import Catalog
    from babel.messages.extract import extract_from_dir
    from babel.messages.pofile import write_po

    texts = Catalog(project="heatersel", version="", charset="utf-8")
    root = Path(__file__).parent
    found = extract_from_dir(str(root), [("**.py", "python")], keywords=_KEYWORDS)
    for file, _, message, comments, context in sorted(found, key=lambda text: (text[0], text[1])):
        texts.add(message, locations=[(file, 0)], auto_comments=comments, context=context)
    for message, place in sorted(_words_of_the_core()):
        texts.add(message, locations=[(place, 0)])
    written = io.BytesIO()
    write_po(written, texts, width=100, omit_header=True, sort_by_file=True, include_lineno=False)
    return written.getvalue()


def _words_of_the_core() -> Iterator[tuple[str, str]]:
    """Yield the short texts that pages take from the core: questions, names, choices, chances."""
    for asked in questions():
        yield asked.question, "heatersel/cautions/walk"
        yield asked.station[:1].upper() + asked.station[1:], "heatersel/cautions/walk"
    for path, key in _keys(Job, ""):
        yield name_of(path), "heatersel/job"
        if meaning(path):
            yield meaning(path), "heatersel/job"
        for word in key.choices:
            yield word_of(word), "heatersel/job"
    for percent in range(101):
        yield in_words(percent / 100.0), "heatersel/cost/uncertainty"


def _keys(table: type[InputTable], above: str) -> Iterator[tuple[str, Key]]:
    for key in keys_of(table):
        path = f"{above}{key.name}"
        yield path, key
        if key.table is not None:
            yield from _keys(key.table, f"{path}.")


if __name__ == "__main__":
    POT.parent.mkdir(exist_ok=True)
    POT.write_bytes(catalogue())
