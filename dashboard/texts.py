"""The words of the pages in the reader's language, and numbers as that language writes them.

Every text of the pages passes through a :class:`Texts`, written in English in place. The command
``python -m dashboard.catalogue`` gathers them into locale/dashboard.pot, from which a translation
is made (locale/<language>/LC_MESSAGES/dashboard.mo); what a translation lacks stays English.
"""

from __future__ import annotations

import gettext
import re
from pathlib import Path

__all__ = ["FOLDER", "Texts"]

FOLDER = Path(__file__).parent / "locale"

_NUMBER = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+\.\d+")


class Texts:
    """Texts of one language.

    Parameters
    ----------
    language : str
        Such as "en", "fr" or "fr_CA".
    folder : pathlib.Path
        Where the translations lie.

    Examples
    --------
    >>> t = Texts("en")
    >>> t("about {amount} a month", amount="$38")
    'about $38 a month'
    >>> t.plural("{n} thing", "{n} things", 2)
    '2 things'
    """

    def __init__(self, language: str = "en", folder: Path = FOLDER) -> None:
        """Load the translation, if there is one."""
        self.language = language
        self._found = gettext.translation("dashboard", folder, [language], fallback=True)
        self._signs = _signs_of(language)

    def __call__(self, message: str, **values: object) -> str:
        """Return a text with its values filled in."""
        return self._found.gettext(message).format(**values)

    def plural(self, one: str, many: str, n: int, **values: object) -> str:
        """Return the text for a number of things; `n` is filled in too."""
        return self._found.ngettext(one, many, n).format(n=n, **values)

    def number(self, text: str) -> str:
        """Return a text whose numbers are written with the signs of the language.

        Examples
        --------
        >>> Texts("de").number("$1,234.50")
        '$1.234,50'
        """
        if self._signs == (",", "."):
            return text
        group, point = self._signs
        swap = str.maketrans({",": group, ".": point})
        return _NUMBER.sub(lambda found: found[0].translate(swap), text)


def _signs_of(language: str) -> tuple[str, str]:
    """Return the signs between thousands and before decimals."""
    if language.partition("_")[0] == "en":
        return ",", "."
    from babel import Locale
    from babel.numbers import get_decimal_symbol, get_group_symbol

    locale = Locale.parse(language)
    return get_group_symbol(locale), get_decimal_symbol(locale)
