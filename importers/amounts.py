"""Amounts as lists write them: decimal comma or point, thousands, currency before or behind."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from partsdb.importers.words import understood

_CURRENCY = re.compile("|".join(("[A-Za-z]{3}", *map(re.escape, understood("currency")))))
_BLANKS = str.maketrans("", "", " \u00a0\u202f\u2009'’")


def split_currency(text: str) -> tuple[str, str]:
    """The digits and the currency code ("" when none stands there).

    >>> split_currency("12.50 eur"), split_currency("£9"), split_currency("12.50")
    (('12.50', 'EUR'), ('9', 'GBP'), ('12.50', ''))
    """
    found = _CURRENCY.search(text)
    if found is None:
        return text, ""
    rest = (text[: found.start()] + text[found.end() :]).strip()
    return rest, understood("currency").get(found[0], found[0].upper())


def decimal_of(text: str, mark: str = "") -> Decimal | None:
    """The number, None when the text is none or could be two.

    mark: the list's decimal mark, "" when unknown: then a comma before exactly three digits is refused, because
    it may be either; a point there is decimal.

    >>> decimal_of("1,234.50"), decimal_of("1.234,50"), decimal_of("12,5"), decimal_of("1,250")
    (Decimal('1234.50'), Decimal('1234.50'), Decimal('12.5'), None)
    """
    digits = text.translate(_BLANKS)
    comma, point = digits.count(","), digits.count(".")
    if comma == 0 and (point == 0 or (point == 1 and mark != ",")):
        return _exact(digits)
    decimal = _decimal_mark(digits, mark)
    if decimal is None:
        return None
    thousands = "," if decimal == "." else "."
    whole, _, part = digits.partition(decimal)
    groups = whole.split(thousands)
    if thousands in part or decimal in part or any(len(group) != 3 for group in groups[1:]):
        return None
    return _exact(f"{''.join(groups)}.{part}" if part else "".join(groups))


def _decimal_mark(digits: str, mark: str) -> str | None:
    comma, point = digits.count(","), digits.count(".")
    if comma and point:
        return max(",.", key=digits.rindex)
    mine = "," if comma else "."
    other = "." if comma else ","
    if comma + point > 1:
        return other
    if len(digits.rpartition(mine)[2]) != 3:
        return mine
    return mark or None


def _exact(digits: str) -> Decimal | None:
    try:
        number = Decimal(digits)
    except InvalidOperation:
        return None
    return number if number.is_finite() else None
