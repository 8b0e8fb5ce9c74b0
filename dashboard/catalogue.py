"""Gather every text of the pages into one catalogue, for translators.

``python -m dashboard.catalogue`` writes locale/dashboard.pot. For a language, make
locale/<language>/LC_MESSAGES/dashboard.po from it with any gettext editor and compile it
(``pybabel compile -D dashboard -d dashboard/locale``).
"""

from __future__ import annotations

import io
from pathlib import Path

from dashboard.texts import FOLDER

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
    written = io.BytesIO()
    write_po(written, texts, width=100, omit_header=True, sort_by_file=True, include_lineno=False)
    return written.getvalue()


if __name__ == "__main__":
    POT.parent.mkdir(exist_ok=True)
    POT.write_bytes(catalogue())
