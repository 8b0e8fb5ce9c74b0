"""Money to the cent: exact decimals while a price is found, whole cents once it is a line."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum

from heatersel.errors import OutOfRangeError

__all__ = ["HalfCent", "amount_of", "cents", "decimal_of", "money_text", "rounded"]

_CENT = Decimal("0.01")
_SIGNS = {"USD": "$", "CAD": "C$"}


class HalfCent(StrEnum):
    """Where exactly half a step goes."""

    UP = "up"  # away from zero, as sales-tax rules have it
    EVEN = "even"  # to the even neighbour, so that many roundings cancel


def decimal_of(text: str) -> Decimal | None:
    """Return the plain decimal number written in `text`, None if it is not one.

    Exponents, thousands separators, infinities and digits of other scripts are refused: in a
    price they are slips.

    Examples
    --------
    >>> decimal_of("1250.50"), decimal_of("1,250"), decimal_of("1e3")
    (Decimal('1250.50'), None, None)
    """
    plain = text.strip()
    if not plain.isascii() or not plain.lstrip("-").replace(".", "", 1).isdigit():
        return None
    try:
        return Decimal(plain)
    except InvalidOperation:
        return None


def rounded(amount: Decimal, step: Decimal = _CENT, half: HalfCent = HalfCent.UP) -> Decimal:
    """Return an amount rounded to a multiple of `step`.

    Parameters
    ----------
    amount : Decimal
        Exact amount.
    step : Decimal
        One cent or more.
    half : HalfCent
        Where exactly half a step goes.

    Returns
    -------
    Decimal
        With two decimals.

    Raises
    ------
    OutOfRangeError
        If the step is not a multiple of one cent above zero.

    Notes
    -----
    Rounding the exact tax half up is the rule of the Streamlined Sales and Use Tax Agreement
    [1]_: carried to the third decimal, up to the next cent where that digit is above four.

    References
    ----------
    .. [1] Streamlined Sales and Use Tax Agreement, section 324, as enacted in N.D. Century Code
       57-39.4-25 (seen).

    Examples
    --------
    >>> rounded(Decimal("1.235")), rounded(Decimal("102.5"), Decimal("5"))
    (Decimal('1.24'), Decimal('105.00'))
    """
    if step < _CENT or step % _CENT:
        raise OutOfRangeError.of(
            "rounding step", value=step, allowed="whole cents, 0.01 or more", fix="an example is 1"
        )
    mode = ROUND_HALF_UP if half is HalfCent.UP else ROUND_HALF_EVEN
    return ((amount / step).quantize(Decimal(1), mode) * step).quantize(_CENT)


def cents(amount: Decimal) -> int:
    """Return an amount of whole cents as a number of cents."""
    return int(amount.scaleb(2).to_integral_exact())


def amount_of(whole_cents: int) -> float:
    """Return cents as an amount, for JSON: the nearest double, which prints as two decimals."""
    return whole_cents / 100


def money_text(whole_cents: int, currency: str) -> str:
    """Return cents as a customer reads them.

    Examples
    --------
    >>> money_text(123450, "USD"), money_text(-5, "CAD")
    ('$1,234.50', '-C$0.05')
    """
    sign = "-" if whole_cents < 0 else ""
    units, rest = divmod(abs(whole_cents), 100)
    return f"{sign}{_SIGNS.get(currency, currency + ' ')}{units:,}.{rest:02d}"
