"""All words in one catalogue, numbers as the reader's language writes them."""

from __future__ import annotations

import ast
import io
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal

import dashboard
from dashboard.catalogue import POT, catalogue
from dashboard.texts import Texts


def messages(pot: bytes) -> dict[str, tuple[str, ...]]:
    """Return the texts of a catalogue with the places they stand in."""
    read = read_po(io.BytesIO(pot))
    return {
        text.id if isinstance(text.id, str) else text.id[0]: tuple(f for f, _ in text.locations)
        for text in read
        if text.id
    }


def test_the_catalogue_holds_every_text_of_the_pages() -> None:
    kept, wanted = messages(POT.read_bytes()), messages(catalogue())

    missing = {
        text
        for text, places in wanted.items()
        if text not in kept and any(not place.startswith("heatersel/") for place in places)
    }
    assert not missing, "run: python -m dashboard.catalogue"


def test_no_text_is_hidden_from_translators() -> None:
    """The extractor of some versions of Python does not look into formatted strings."""
    kept = messages(POT.read_bytes())
    calls = [
        node
        for file in Path(dashboard.__file__).parent.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "t"
    ]
    said = {call.args[0].value for call in calls if isinstance(call.args[0], ast.Constant)}

    assert len(said) > 100
    assert not said - set(kept)


def test_the_words_that_pages_take_from_the_core_are_there_to_be_translated() -> None:
    wanted = messages(catalogue())

    for text in ("Shower", "masonry chimney", "Electrical panel", "cheapest in 9 of 10 futures"):
        assert text in wanted
    t = Texts()
    for text, places in wanted.items():
        if all(place.startswith("heatersel/") for place in places):
            assert t(text) == text  # no sign in it stands for a value


def test_a_translation_is_used_and_english_stands_in(tmp_path: Path) -> None:
    folder = tmp_path / "fr" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    french = Catalog(locale="fr")
    french.add("Choices", "Vos choix")
    # how many forms French has differs between editions of the locale data
    forms = ("{n} offre", *["{n} offres"] * (french.num_plurals - 1))
    french.add(("{n} offer", "{n} offers"), forms)
    with (folder / "dashboard.mo").open("wb") as file:
        write_mo(file, french)

    t = Texts("fr", tmp_path)

    assert t("Choices") == "Vos choix"
    assert t.plural("{n} offer", "{n} offers", 3) == "3 offres"
    assert t("Why") == "Why"


@pytest.mark.parametrize("language", ["fr", "fr_CA", "es", "de", "en_CA"])
def test_numbers_are_written_as_the_locale_data_have_them(language: str) -> None:
    # Unicode CLDR, through the general-purpose library Babel.
    assert Texts(language).number("1,234.5") == format_decimal("1234.5", locale=language)
