from __future__ import annotations

import datetime as dt
from html.parser import HTMLParser

import pytest

from heatersel.quote.document_html import quote_html
from heatersel.quote.letter import letter
from heatersel.quote.policy import demo_policy

VOID = {"meta", "br", "img", "path", "rect"}
JOBS = ("cold-family", "warm-bungalow", "propane-well", "town-house-ca")


class Page(HTMLParser):
    """Collects tags, attributes and text of a page, and checks that what opens also closes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


@pytest.fixture(scope="module")
def page_of(quote_of):
    return lambda *args, **keywords: Page(quote_html(quote_of(*args, **keywords)))


@pytest.mark.parametrize("name", JOBS)
def test_page_is_well_formed_and_says_what_the_paper_says(quote_of, page_of, name):
    page = page_of(name)
    assert page.open == []
    told = letter(quote_of(name))
    for card in told.cards:
        for text in (card.name, card.price, card.running, card.warm, card.life, card.compared):
            assert text in page.text
    assert told.house in page.text
    assert told.local_rules in page.text


def test_page_asks_nothing_of_the_outside(page_of):
    for tag, attributes in page_of().tags:
        assert tag not in {"script", "link", "iframe", "object", "form"}
        assert not {"src", "href"} & set(attributes)
        assert not any(name.startswith("on") for name in attributes)


def test_language_title_headings_and_row_headings_are_there(page_of):
    page = page_of()
    assert ("html", {"lang": "en-US"}) in page.tags
    names = [tag for tag, _ in page.tags]
    assert names.count("main") == names.count("title") == 1
    assert names.index("h1") < names.index("h2") < names.index("h3")
    assert {attributes.get("scope") for tag, attributes in page.tags if tag == "th"} == {
        "row", "col",
    }  # fmt: skip


def test_every_picture_has_a_name(page_of):
    pictures = [attributes for tag, attributes in page_of().tags if tag == "svg"]
    assert len(pictures) == 4  # the first one also for a phone
    assert all(len(a["aria-label"]) > 20 and a["role"] == "img" for a in pictures)


def test_hostile_words_stay_words(quote_of):
    hostile = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'&"
    policy = demo_policy()
    wording = policy.wording.model_copy(
        update={"company": hostile, "greeting": hostile, "terms": (hostile,)}
    )
    quote = quote_of(policy=policy.model_copy(update={"wording": wording}), by=hostile)
    page = Page(quote_html(quote))
    assert page.open == []
    assert all(tag not in {"script", "img"} for tag, _ in page.tags)
    assert page.text.count(hostile) >= 4


def test_a_logo_is_inside_the_page(quote_of):
    policy = demo_policy().model_copy()
    policy = policy.model_copy(
        update={"wording": policy.wording.model_copy(update={"logo": "logo.svg"})}
    )
    policy._logo = b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>"
    page = Page(quote_html(quote_of(policy=policy)))
    (image,) = [attributes for tag, attributes in page.tags if tag == "img"]
    assert image["src"].startswith("data:image/svg+xml;base64,")


def test_two_plumbers_write_the_same_bytes_apart_from_name_and_time(quote_of):
    pages = []
    for by, date in (("A. Plumber", dt.date(2026, 11, 20)), ("Z. Fitter", dt.date(2026, 11, 24))):
        quote = quote_of(by=by, date=date)
        page, told = quote_html(quote), letter(quote)
        for own in (told.dated, told.valid, told.sign_company):
            assert page.count(own) == 1
            page = page.replace(own, "")
        pages.append(page.encode())
    assert pages[0] == pages[1]
