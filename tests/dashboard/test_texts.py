"""All words in one catalogue, numbers as the reader's language writes them."""

from __future__ import annotations

from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.numbers import format_decimal

from dashboard.catalogue import POT, catalogue
from dashboard.texts import Texts


def test_the_catalogue_holds_every_text_of_the_pages() -> None:
    assert POT.read_bytes() == catalogue(), "run: python -m dashboard.catalogue"


def test_a_translation_is_used_and_english_stands_in(tmp_path: Path) -> None:
    folder = tmp_path / "fr" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    french = Catalog(locale="fr")
    french.add("Choices", "Vos choix")
    french.add(("{n} offer", "{n} offers"), ("{n} offre", "{n} offres"))
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
