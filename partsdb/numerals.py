"""Numbers as plates write them: fractions, decimal commas, thousands, vulgar fraction signs.

    number   := sign? (mixed | fraction | decimal)
    mixed    := whole (" " | "-")? fraction      1 1/2   1-1/2   1½       whole < 100
    fraction := 1/2   3⁄4   ½                          proper, in lowest terms unless part of a mixed number
    decimal  := 25   .25   2,5   1,725   1.234,5   1'500   2.2e-05

A comma or point before exactly three digits separates thousands when it can ("1,725" but "0,125"; a single
point is always decimal: "1.725"). "220,440" may be a list or a thousands mark and is refused.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

from partsdb.errors import BadText
from partsdb.tables import load

HUGEST = 1e15  # nothing on a plate is larger; beyond it a number is a serial number or a slip
_SIGNS = {"+": 1.0, "-": -1.0, "−": -1.0}
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_FRACTION = re.compile(r"([0-9]{1,3})[/⁄]([0-9]{1,3})(?![0-9.,]?[0-9])")
_MIXED = re.compile(
    rf"([0-9]{{1,2}})(?:(?:[ \u00a0]+|-)([0-9]{{1,2}})[/⁄]([0-9]{{1,3}})(?![0-9.,]?[0-9])|[ -]?([{_VULGAR}]))"
)
_GROUPED = re.compile(
    r"[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+(?:\.[0-9]+)?|(?:\.[0-9]{3}){2,}(?:,[0-9]+)?"
    r"|\.[0-9]{3},[0-9]+|(?:['’\u00a0\u202f\u2009][0-9]{3})+(?:[.,][0-9]+)?)(?![0-9])"
)
_LIST_OR_THOUSANDS = re.compile(r"[1-9][0-9]{2},(?!000)[0-9]{3}(?![0-9.,])")
_DECIMAL = re.compile(r"(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_DENOMINATORS = frozenset(
    int(row["denominator"]) for row in load("fraction_denominators").rows if row["read"] == "yes"
)


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number and its place in the text. parts: (a, b) of a bare fraction a/b, which after all may be two
    numbers when the unit that follows says so; None otherwise. signed: a sign was written."""

    value: float
    start: int
    end: int
    parts: tuple[int, int] | None = None
    signed: bool = False


def scan(text: str, at: int = 0) -> Numeral | None:
    """The longest number that starts at `at`, without sign; None when none does.

    A bare a/b counts as a fraction when a < b, in lowest terms, and b is a denominator in use (table
    fraction_denominators; 1/b up to 1/100).

    >>> scan("1 1/2 HP").value, scan("2,5 A").value, scan("220/440 V").value
    (1.5, 2.5, 220.0)

    Raises BadText for a number beyond 10^15 and for "220,440".
    """
    found = _mixed(text, at) or _fraction(text, at) or _plain(text, at)
    if found is not None and not (math.isfinite(found.value) and abs(found.value) <= HUGEST):
        raise BadText("number out of all proportion", text, found.start, found.end, "Check the digits")
    return found


def scan_signed(text: str, at: int = 0) -> Numeral | None:
    """Like `scan`, but a sign may stand in front."""
    sign = _SIGNS.get(text[at : at + 1])
    if sign is None:
        return scan(text, at)
    start = at + 1 + (len(text[at + 1 :]) - len(text[at + 1 :].lstrip(" ")))
    found = scan(text, start)
    return found and Numeral(sign * found.value, at, found.end, None, signed=True)


def parse_number(text: str) -> float:
    """The one number a text consists of.

    >>> [parse_number(t) for t in ("3/4", "1-1/2", "½", "2,5", "1,725", ".25", "-20")]
    [0.75, 1.5, 0.5, 2.5, 1725.0, 0.25, -20.0]

    Raises BadText when it is empty, no number, or more than a number.
    """
    at = len(text) - len(text.lstrip())
    found = scan_signed(text, at)
    if found is None:
        raise BadText("no number", text, min(at, len(text)), len(text), "Write it like 25, 2.5 or 1 1/2")
    rest = text[found.end :]
    if rest.strip():
        first = found.end + len(rest) - len(rest.lstrip())
        raise BadText("not part of a number", text, first, len(text.rstrip()), "Write the number alone")
    return found.value


def _mixed(text: str, at: int) -> Numeral | None:
    match = _MIXED.match(text, at)
    if match is None:
        return None
    whole, top, bottom, vulgar = match.groups()
    if vulgar:
        return Numeral(int(whole) + unicodedata.numeric(vulgar), at, match.end())
    if not 0 < int(top) < int(bottom):
        return None
    return Numeral(int(whole) + int(top) / int(bottom), at, match.end())


def _fraction(text: str, at: int) -> Numeral | None:
    if text[at : at + 1] in _VULGAR and at < len(text):
        return Numeral(unicodedata.numeric(text[at]), at, at + 1)
    match = _FRACTION.match(text, at)
    if match is None:
        return None
    top, bottom = int(match[1]), int(match[2])
    usual = bottom in _DENOMINATORS or (top == 1 and bottom <= 100)
    if not (0 < top < bottom and usual and math.gcd(top, bottom) == 1):
        return None
    return Numeral(top / bottom, at, match.end(), (top, bottom))


def _plain(text: str, at: int) -> Numeral | None:
    if unclear := _LIST_OR_THOUSANDS.match(text, at):
        do = "Write two values with a stroke (220/440), thousands without a comma"
        raise BadText("two values or one with a thousands comma", text, at, unclear.end(), do)
    match = _GROUPED.match(text, at)
    if match is not None:
        return Numeral(_grouped(match[0]), at, match.end())
    match = _DECIMAL.match(text, at)
    if match is None:
        return None
    return Numeral(float(match[0].replace(",", ".")), at, match.end())


def _grouped(digits: str) -> float:
    """The value of a number with thousands separated: the last mark decides unless it separates too."""
    marks = [c for c in digits if not c.isdigit()]
    decimal = marks[-1] if len(set(marks)) > 1 else ""
    whole, _, tail = digits.rpartition(decimal) if decimal else (digits, "", "")
    return float("".join(c for c in whole if c.isdigit()) + "." + (tail or "0"))
