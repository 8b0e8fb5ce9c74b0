from __future__ import annotations

import datetime as dt
import io
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

import heatersel
from heatersel.errors import InputError
from heatersel.job.load import parse_job
from heatersel.job.write import to_toml
from heatersel.quote.document import Paper, quote_pdf, write_document
from heatersel.quote.letter import letter
from heatersel.quote.policy import demo_policy
from heatersel.quote.record import quote_record

ROOT = Path(heatersel.__file__).parents[1]
JOBS = ("cold-family", "warm-bungalow", "propane-well", "town-house-ca")
HOSTILE = '#eval("1") $x$ *b* _i_ <script>alert(1)</script> \\u{41} @ref `raw` =head ]]> &amp;'
POINTS = {Paper.LETTER: (612, 792), Paper.A4: (595.28, 841.89)}  # ANSI and ISO 216 sizes


@pytest.fixture(scope="module")
def pdf_of(quote_of):
    made = {}

    def make(name="", paper=Paper.LETTER):
        if (name, paper) not in made:
            made[name, paper] = quote_pdf(quote_of(name), paper)
        return made[name, paper]

    return make


def read(pdf):
    return PdfReader(io.BytesIO(pdf))


def text_of(page):
    return re.sub(r"\s+", " ", page.extract_text())


def picture(pdf, page=0, scale=1.5):
    """Grey values of a page, 0 black to 255 white, by a renderer that is not ours."""
    document = pypdfium2.PdfDocument(pdf)
    return np.asarray(document[page].render(scale=scale, grayscale=True).to_numpy()).squeeze()


def with_wording(**changes):
    policy = demo_policy()
    return policy.model_copy(update={"wording": policy.wording.model_copy(update=changes)})


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("paper", list(Paper))
def test_page_one_holds_offers_cautions_and_signature_in_both_sizes(quote_of, pdf_of, name, paper):
    reader = read(pdf_of(name, paper))
    first = text_of(reader.pages[0])
    page = letter(quote_of(name))
    for card in page.cards:
        assert card.price in first
    for caution in page.cautions:
        assert caution.text[:40] in first
    assert "Your name, signature and date" in first
    assert page.local_rules[:60] in first
    assert "The working" not in first
    assert "The working" in text_of(reader.pages[1])
    assert len(reader.pages) < 8


@pytest.mark.parametrize("paper", list(Paper))
def test_pages_have_the_size_asked_for(pdf_of, paper):
    for page in read(pdf_of(paper=paper)).pages:
        size = float(page.mediabox.width), float(page.mediabox.height)
        assert size == pytest.approx(POINTS[paper], abs=0.5)


def test_the_pdf_says_title_language_and_structure(quote_of, pdf_of):
    # What PDF/UA-1 (ISO 14289-1, from memory) asks of the catalogue and the metadata.
    reader = read(pdf_of())
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or root["/MarkInfo"]["/Marked"].value
    assert str(root["/Lang"]).startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title == letter(quote_of()).title
    assert b"pdfuaid" in root["/Metadata"].get_data()


def tags_of(reader):
    found = []

    def walk(node):
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for child in node:
                walk(child)
        elif isinstance(node, dict) and "/S" in node:
            found.append(node)
            if "/K" in node:
                walk(node["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return found


def test_headings_tables_and_pictures_are_tagged(pdf_of):
    tags = tags_of(read(pdf_of()))
    kinds = [str(tag["/S"]) for tag in tags]
    assert {"/H1", "/H2", "/Table", "/TR", "/TH", "/TD", "/Figure", "/L", "/LI"} <= set(kinds)
    assert kinds.index("/H1") < kinds.index("/H2")


def test_every_picture_has_words_for_those_who_cannot_see_it(pdf_of):
    figures = [tag for tag in tags_of(read(pdf_of())) if tag["/S"] == "/Figure"]
    assert len(figures) == 3
    assert all(len(str(figure["/Alt"])) > 20 for figure in figures)


def test_all_type_is_inside_the_file(pdf_of):
    for page in read(pdf_of()).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            font = font.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            assert any(key in inner["/FontDescriptor"] for key in ("/FontFile2", "/FontFile3"))


def test_every_total_and_row_of_the_record_is_printed(quote_of, pdf_of):
    record = quote_record(quote_of())
    text = " ".join(text_of(page) for page in read(pdf_of()).pages)
    for offer in record["offers"]:
        assert f"{offer['total']:,.2f}" in text
        for line in offer["lines"]:
            assert f"{line['amount']:,.2f} {line['row']}" in text
    assert record["policy"]["title"] in text


@pytest.mark.parametrize("name", JOBS)
def test_nothing_is_cut_off_at_the_edge(pdf_of, name):
    pdf = pdf_of(name)
    for page in range(len(read(pdf).pages)):
        grey = picture(pdf, page)
        margin = int(0.35 * 72 * 1.5)  # a third of an inch stays white
        frame = np.ones(grey.shape, bool)
        frame[margin:-margin, margin:-margin] = False
        assert grey[frame].min() > 250


def test_grey_paper_tells_the_parts_of_a_bar_apart(pdf_of):
    # Along a bar: dark heaters, striped energy (dark and light by turns), white upkeep.
    grey = picture(pdf_of(), 0, 4.0)
    middle = grey[int(grey.shape[0] * 0.4) : int(grey.shape[0] * 0.65)].astype(int)
    copper = (middle > 80) & (middle < 130)
    turns = np.abs(np.diff((middle < 150).astype(int), axis=1)).sum(axis=1)
    assert ((copper.sum(axis=1) > 300) & (turns > 60)).any()


def test_the_same_quote_gives_the_same_bytes(quote_of, pdf_of):
    assert quote_pdf(quote_of()) == pdf_of()


def test_another_process_gives_the_same_bytes(pdf_of, tmp_path, test_house):
    (tmp_path / "job.toml").write_text(to_toml(parse_job(test_house)))
    code = (
        "import datetime as dt\nfrom pathlib import Path\n"
        "from heatersel.heaters.catalogue import load_heaters\n"
        "from heatersel.job.load import load_job\n"
        "from heatersel.quote.document import write_document\n"
        "from heatersel.quote.policy import demo_policy\n"
        "from heatersel.quote.price_book import demo_price_book\n"
        "from heatersel.quote.quote import Request, quote_job\n"
        "request = Request(date=dt.date(2026, 11, 20), by='A. Plumber')\n"
        "quote = quote_job(load_job(Path('job.toml')), load_heaters(),\n"
        "    policy=demo_policy(), book=demo_price_book(), request=request)\n"
        "write_document(quote, Path('quote.pdf'))\n"
    )
    elsewhere = {"TZ": "Asia/Tokyo", "LANG": "C", "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT)}
    subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=os.environ | elsewhere, check=True
    )
    assert (tmp_path / "quote.pdf").read_bytes() == pdf_of()


def test_two_plumbers_print_the_same_page_apart_from_name_and_time(quote_of):
    texts = []
    for by, date in (("A. Plumber", dt.date(2026, 11, 20)), ("Z. Fitter", dt.date(2026, 11, 24))):
        quote = quote_of(by=by, date=date)
        page = letter(quote)
        reader = read(quote_pdf(quote))
        text = " ".join(text_of(page) for page in reader.pages)
        for own in (page.dated, page.valid, page.sign_company):
            assert own in text
            text = text.replace(own, "")
        texts.append(text)
    assert texts[0] == texts[1]


def test_hostile_words_are_printed_as_they_are(quote_of):
    policy = with_wording(company=HOSTILE[:80], greeting=HOSTILE, terms=(HOSTILE,))
    quote = quote_of(policy=policy, by=HOSTILE[:80])
    text = text_of(read(quote_pdf(quote)).pages[0])
    assert '#eval("1") $x$ *b* _i_ <script>alert(1)</script>' in text


@pytest.mark.parametrize("name", ["Łukasz Żółć", "Ελένη", "Ольга", "naïve façade", "O’Neil"])
def test_names_of_european_languages_have_type(quote_of, name):
    assert name in text_of(read(quote_pdf(quote_of(by=name))).pages[0])


def test_a_sign_without_type_is_named_with_a_way_out(quote_of):
    with pytest.raises(InputError, match=r"💧.*make the quote as .html"):
        quote_pdf(quote_of(by="Drop 💧"))


def test_a_long_text_still_leaves_one_page_one(quote_of):
    policy = with_wording(greeting="word " * 79, terms=("term " * 79,) * 8,
                          next_steps=("step " * 79,) * 5)  # fmt: skip
    reader = read(quote_pdf(quote_of(policy=policy)))
    first = text_of(reader.pages[0])
    assert "Your name, signature and date" in first
    assert "The working" in text_of(reader.pages[1])


def test_a_logo_stands_at_the_head_and_a_broken_one_is_refused(quote_of, tmp_path):
    square = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40"><rect width="40" '
    policy = with_wording(logo="logo.svg")
    policy._logo = (square + 'height="40"/></svg>').encode()
    with_logo = quote_pdf(quote_of(policy=policy))
    figures = [tag for tag in tags_of(read(with_logo)) if tag["/S"] == "/Figure"]
    assert str(figures[0]["/Alt"]) == policy.wording.company
    policy._logo = b"no picture"
    with pytest.raises(InputError, match=r"wording.logo is logo.svg; allowed: a readable picture"):
        quote_pdf(quote_of(policy=policy))


def test_paper_follows_the_units_of_the_job(quote_of, tmp_path):
    for name, paper in (("cold-family", Paper.LETTER), ("town-house-ca", Paper.A4)):
        write_document(quote_of(name), tmp_path / "q.pdf")
        width = float(PdfReader(tmp_path / "q.pdf").pages[0].mediabox.width)
        assert width == pytest.approx(POINTS[paper][0], abs=0.5)


@pytest.mark.parametrize("name", ["quote.doc", "quote", "quote.PNG"])
def test_another_ending_is_refused(quote_of, tmp_path, name):
    with pytest.raises(InputError, match=r"allowed: a file ending in .pdf or .html"):
        write_document(quote_of(), tmp_path / name)


def test_a_place_that_cannot_be_written_is_said(quote_of, tmp_path):
    with pytest.raises(InputError, match="a file that can be written"):
        write_document(quote_of(), tmp_path / "none" / "quote.html")
