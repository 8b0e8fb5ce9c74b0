"""The quote as a document: a tagged PDF made with typst, or one self-contained HTML page.

The same quote gives the same bytes on every machine: the time stamp is the day of the quote and
only the typesetter's own fonts are used.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any

from heatersel.errors import InputError, ModelError
from heatersel.job.models import UnitsShown
from heatersel.quote.fingerprint import short
from heatersel.quote.letter import letter
from heatersel.quote.quote import Quote
from heatersel.quote.record import quote_record
from heatersel.quote.working import working

__all__ = ["Paper", "document_data", "pdf_of", "quote_pdf", "write_document"]

_TEMPLATE = Path(__file__).with_name("template.typ")
_KINDS = (".pdf", ".html")
_UNKNOWN_SIGN = re.compile(r"the text `(.+?)` could not be displayed")
_PICTURE_TROUBLE = re.compile(r"image|SVG|decode|format", re.IGNORECASE)


class Paper(StrEnum):
    """Size of the page."""

    LETTER = "letter"
    A4 = "a4"


_TYPST_PAPERS = {Paper.LETTER: "us-letter", Paper.A4: "a4"}


def quote_pdf(quote: Quote, paper: Paper | None = None) -> bytes:
    """Return the quote as a PDF; see :func:`pdf_of`."""
    return pdf_of(document_data(quote), paper)


def pdf_of(data: Mapping[str, Any], paper: Paper | None = None) -> bytes:
    """Return a document as a PDF that screen readers can follow.

    PDF/UA-1 is asked of the typesetter.

    Parameters
    ----------
    data : mapping
        From :func:`document_data`, or as the register kept it.
    paper : Paper or None
        Letter or A4; None takes Letter in US units and A4 in SI units.

    Returns
    -------
    bytes
        The same for the same data.

    Raises
    ------
    InputError
        If the company's logo is no picture, or a text has signs without type.
    ModelError
        If the typesetter is missing or refuses.
    """
    try:
        import typst
    except ImportError:
        raise ModelError.of(
            "document", value="no typesetter", allowed="the package typst",
            fix="pip install typst, or write the quote as .html",
        ) from None  # fmt: skip
    stamp = dt.datetime.combine(dt.date.fromisoformat(data["date"]), dt.time(12), dt.UTC)
    shown = {name: value for name, value in data.items() if name != "logo_content"}
    inputs = {"data": json.dumps(shown, ensure_ascii=False),
              "paper": _TYPST_PAPERS[paper or Paper(data["paper"])]}  # fmt: skip
    files = {"main": _template()}
    if data["logo"]:
        files[data["logo"]] = base64.b64decode(data["logo_content"])
    try:
        made = typst.compile(
            files,
            format="pdf",
            ignore_system_fonts=True,
            timestamp=stamp,
            pdf_standards=["ua-1"],
            sys_inputs=inputs,
        )  # type: ignore[call-overload]  # files by name work; the stubs do not say so
    except typst.TypstError as trouble:
        raise _refusal(str(trouble), str(data["logo"])) from None
    return bytes(made)


def document_data(quote: Quote) -> dict[str, Any]:
    """Return everything that the page shows, as plain data that can be kept."""
    record = quote_record(quote)
    logo, content = quote.policy.wording.logo, quote.policy.logo_bytes
    metric = quote.comparison.job.units is UnitsShown.SI
    return {
        "letter": asdict(letter(quote)),
        "working": asdict(working(quote)),
        "date": quote.request.date.isoformat(),
        "paper": (Paper.A4 if metric else Paper.LETTER).value,
        "fingerprint": short(record["content_digest"]),
        "region": "CA" if quote.book.currency == "CAD" else "US",
        "logo": f"logo{Path(logo).suffix.lower()}" if content else "",
        "logo_content": base64.b64encode(content).decode(),
    }


def write_document(quote: Quote, path: Path, paper: Paper | None = None) -> None:
    """Write the quote to a file, PDF or HTML by its ending.

    Parameters
    ----------
    quote : Quote
        The quote.
    path : pathlib.Path
        Where to.
    paper : Paper or None
        None takes Letter in US units and A4 in SI units.

    Raises
    ------
    InputError
        If the ending is another or the file cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in _KINDS:
        raise InputError.of("output", value=str(path), allowed="a file ending in .pdf or .html",
                            fix="an example is quote.pdf")  # fmt: skip
    if ending == ".html":
        from heatersel.quote.document_html import quote_html

        content = quote_html(quote).encode()
    else:
        content = quote_pdf(quote, paper)
    try:
        path.write_bytes(content)
    except OSError as trouble:
        raise InputError.of("output", value=str(path), allowed="a file that can be written",
                            fix=f"choose another place ({trouble.strerror})") from None  # fmt: skip


def _refusal(said: str, logo: str) -> InputError | ModelError:
    """Return why the typesetter refused, in words that help."""
    unknown = _UNKNOWN_SIGN.search(said)
    if unknown:
        return InputError.of(
            "document", value=unknown[1],
            allowed="letters of European languages, for which the document has type",
            fix="write it in those letters, or make the quote as .html",
        )  # fmt: skip
    if logo and _PICTURE_TROUBLE.search(said):
        return InputError.of(
            "wording.logo", value=logo, allowed="a readable picture",
            fix="save it again as PNG or SVG",
        )  # fmt: skip
    return ModelError.of("document", value=said[:200], allowed="a page that can be set",
                         fix="write the quote as .html instead")  # fmt: skip


@lru_cache(maxsize=1)
def _template() -> bytes:
    return _TEMPLATE.read_bytes()
