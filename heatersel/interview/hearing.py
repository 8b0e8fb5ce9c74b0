"""Understand an answer as people say it: a pick, a count, a room, a place, a price.

Each function returns what a job file would hold, or raises with what it could have understood.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Mapping

from heatersel import units
from heatersel.climate import climate, climates
from heatersel.errors import InputError, MissingUnitError, UnknownChoiceError

__all__ = ["hear_counts", "hear_pick", "hear_place", "hear_price", "hear_room"]

_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "no": 0, "none": 0,
}  # fmt: skip
_COUNT = re.compile(r"(?:(\d{1,3}|[a-z]+)\s+)?([a-z][a-z -]*)|(\d{1,3})\s*([a-z][a-z -]*)")
_BETWEEN = re.compile(r"\s*(?:,|;|\+|&|\band\b|(?<=[a-z])\s+(?=\d))\s*")
_TIMES = re.compile(r"\s*(?:x|×|\*|\bby\b)\s*")
_CENTS = re.compile(r"^([0-9.]+)\s*(?:¢|c|ct|cents?)\s*(/|per )")


def hear_pick(text: str, picks: Mapping[str, str]) -> str:
    """Return the value of the pick that an answer names by number, word or beginning.

    Parameters
    ----------
    text : str
        "2", "garage", "gas".
    picks : mapping of str to str
        Plain name of each pick, in the order shown, to its value.

    Raises
    ------
    UnknownChoiceError
        If no pick or more than one fits.

    Examples
    --------
    >>> hear_pick("gar", {"basement": "basement", "garage": "garage"})
    'garage'
    """
    plain = " ".join(text.lower().replace("_", " ").split())
    names = list(picks)
    if plain.isdigit() and 1 <= int(plain) <= len(names):
        return picks[names[int(plain) - 1]]
    for name, value in picks.items():
        if plain in (name.lower(), value.replace("_", " ")):
            return value
    fits = [name for name in names if plain and name.lower().startswith(plain)]
    if len(fits) == 1:
        return picks[fits[0]]
    near = fits or difflib.get_close_matches(plain, names, n=2, cutoff=0.5)
    raise UnknownChoiceError.of(
        "answer", value=text, allowed=f"1 to {len(names)}, or one of these words",
        fix=f"did you mean {' or '.join(near)}?" if near else f'an example is "{names[0]}"',
    )  # fmt: skip


def hear_counts(text: str, names: Mapping[str, str]) -> dict[str, int]:
    """Return how many of each thing an answer counts.

    Parameters
    ----------
    text : str
        "2 adults, 1 teenager and a child"; a thing without a number counts once.
    names : mapping of str to str
        Every name a thing goes by, in the singular, to its key.

    Raises
    ------
    UnknownChoiceError
        If a word is none of the names.

    Examples
    --------
    >>> hear_counts("2 showers and a tub", {"shower": "shower", "tub": "bathtub"})
    {'shower': 2, 'bathtub': 1}
    """
    counts: dict[str, int] = {}
    for part in filter(None, _BETWEEN.split(text.lower().strip(" ."))):
        number, thing = _number_and_thing(part)
        key = _key_of(thing, names) if thing else None
        if key is None or number is None:
            keys = list(dict.fromkeys(names.values()))
            near = difflib.get_close_matches(thing, names, n=1, cutoff=0.6)
            raise UnknownChoiceError.of(
                "answer", value=part, allowed=", ".join(keys).replace("_", " "),
                fix=f"did you mean {near[0]}?" if near else f'an example is "2 {keys[0]}"',
            )  # fmt: skip
        counts[key] = counts.get(key, 0) + number
    return counts


def _number_and_thing(part: str) -> tuple[int | None, str]:
    match = _COUNT.fullmatch(part)
    if match is None:
        return None, part
    if match[3]:
        return int(match[3]), match[4].strip()
    if match[1] is None or not (match[1].isdigit() or match[1] in _WORDS):
        return 1, part
    return int(match[1]) if match[1].isdigit() else _WORDS[match[1]], match[2].strip()


def _key_of(thing: str, names: Mapping[str, str]) -> str | None:
    plain = thing.replace("-", " ").replace("_", " ")
    shorter = (plain, plain.removesuffix("s"), plain.removesuffix("es"))
    return next((names[word] for word in shorter if word in names), None)


def hear_room(text: str) -> tuple[str, str]:
    """Return volume and ceiling height of a room, the height empty if only a volume is said.

    Raises
    ------
    MissingUnitError
        If sides are said without a unit, or not three of them.

    Examples
    --------
    >>> hear_room("30 x 25 x 7 ft")
    ('5250 ft3', '7 ft')
    >>> hear_room("6000 ft3")
    ('6000 ft3', '')
    """
    sides = _TIMES.split(text.strip())
    if len(sides) == 1:
        return text.strip(), ""
    unit = re.sub(r"^[0-9./\s-]+", "", sides[-1])
    if len(sides) != 3 or not unit:
        raise MissingUnitError.of(
            "answer", value=text, allowed="length x width x height with a unit, or a volume",
            fix='an example is "30 x 25 x 7 ft"',
        )  # fmt: skip
    unit = unit if unit.isalpha() else "ft"
    sides = [f"{side} {unit}" if re.fullmatch(r"[0-9./\s-]+", side) else side for side in sides]
    base = "m" if unit in ("m", "cm", "mm") else "ft"
    length, width, height = (units.parse(side, base) for side in sides)
    return f"{length * width * height:.6g} {base}3", sides[-1]


def hear_place(text: str) -> str:
    """Return the place of the climate table that an answer names; the city alone is enough.

    Raises
    ------
    UnknownChoiceError
        If there is none or more than one such place; names the nearest.

    Examples
    --------
    >>> hear_place("duluth")
    'Duluth, MN'
    """
    plain = re.sub(r"[\s,]+([a-z]{2})$", r", \1", text.lower().strip())
    try:
        return climate(plain).place
    except UnknownChoiceError as trouble:
        letters = _letters(text)
        cities = [c.place for c in climates() if _letters(c.place.rpartition(", ")[0]) == letters]
        begun = [c.place for c in climates() if letters and _letters(c.place).startswith(letters)]
        fits = cities or begun
        if len(fits) == 1:
            return fits[0]
        fault = trouble.faults[0]
        fix = f"did you mean {' or '.join(fits[:4])}?" if fits else fault.fix
        raise UnknownChoiceError.of("answer", value=text, allowed=fault.allowed, fix=fix) from None


def _letters(place: str) -> str:
    plain = unicodedata.normalize("NFKD", place.lower())
    return "".join(sign for sign in plain if sign.isascii() and sign.isalpha())


def hear_price(text: str, currency: str = "USD") -> str:
    """Return a price with dollars and cents as an amount in a currency.

    Examples
    --------
    >>> hear_price("14 cents per kWh"), hear_price("$1.10/therm", "CAD")
    ('0.14 USD/kWh', '1.10 CAD/therm')
    """
    plain = text.strip()
    cents = _CENTS.match(plain.lower())
    if cents:
        amount = units.parse(f"{cents[1]} percent", "")
        return f"{amount:.6g} {currency}/{plain[cents.end() :]}"
    if plain.startswith("$"):
        amount_text, slash, per = plain[1:].replace(" per ", "/").partition("/")
        return f"{amount_text.strip()} {currency}{slash}{per}"
    return plain


def one_of(trouble: InputError) -> str:
    """Return the first fault of an answer as a sentence to the one who gave it."""
    fault = trouble.faults[0]
    given = fault.value.strip("'")
    parts = (
        f'"{given}" does not fit' if given else "That does not fit",
        f"allowed: {fault.allowed}" if fault.allowed else "",
        fault.fix.rstrip("?."),
    )
    return "; ".join(filter(None, parts)) + ("?" if "did you mean" in fault.fix else ".")
