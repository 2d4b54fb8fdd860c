"""The marks a plate's ratings are made of: numbers, units, AC or DC, tolerances, range signs.

`tokens` only cuts the text up; what belongs together is quantities.py's business.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from partsdb.errors import BadText
from partsdb.numerals import Numeral, scan, scan_signed
from partsdb.units import Unit, unit, units

PHASES = Unit("", "phases", 1.0, 0.0, ("PH", "PHASE", "PHASES", "Ø"))
_HINTED = {  # one letter that means something else once the dimension is known
    ("f", "temperature"): "°F",
    ("m", "capacitance"): "µF",
    ("c", "frequency"): "Hz",
    ("k", "resistance"): "kΩ",
    ("m", "resistance"): "MΩ",
}
_NUMBER = r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_EVEN = re.compile(rf"(?:±|\+\s?/?\s?[-−]|-\s?/\s?\+)\s*{_NUMBER}\s*(%?)")
_ODD = re.compile(rf"([+\-−])\s*{_NUMBER}\s*%?\s*[/,]?\s*([+\-−])\s*{_NUMBER}\s*%?")
_ONE_SIDED = re.compile(rf"([+\-−])\s*{_NUMBER}\s*%")
_RANGE = re.compile(r"\.\.\.?|…|[-–—−÷]|to(?![a-z])", re.IGNORECASE)
_BESIDE = re.compile(r"[/x×*&,]|(?:or|and)(?![a-z])", re.IGNORECASE)
_KIND = re.compile(r"A\.?C\.?/D\.?C\.?|[AD]\.?C\.?|C\.?[AC]\.?|⎓", re.IGNORECASE)
_LETTER_AHEAD = r"(?![A-Za-zÀ-ÿ])"


@dataclass(frozen=True, slots=True)
class Token:
    """One mark and its place. A unit's own spelling may say AC or DC (VAC); a tolerance with a unit of its own
    is absolute, in that unit; without one it is a pair of ratios (minus, plus)."""

    what: Literal["number", "unit", "kind", "range", "beside", "tolerance"]
    start: int
    end: int
    numeral: Numeral | None = None
    unit: Unit | None = None
    kind: str = ""
    tolerance: tuple[float, float] | None = None


def tokens(text: str, dimension: str | None) -> Iterator[Token]:
    """The marks of a text in order; `dimension` settles what single letters mean.

    Raises BadText at the first thing that is neither number, unit nor sign.
    """
    before: Token | None = None
    at = 0
    while at < len(text):
        token = None if text[at].isspace() else _token(text, at, before, dimension)
        if token is not None:
            yield token
            before, at = token, token.end
        elif text[at].isspace() or text[at] in ".;:=,|@":
            at += 1
        else:
            end = at + 1
            while end < len(text) and text[end].isalpha():
                end += 1
            raise BadText("neither number nor unit", text, at, end, "Leave out what is not a rating")


def _token(text: str, at: int, before: Token | None, dimension: str | None) -> Token | None:
    """The token that starts at `at`, given the one before; None when none does."""
    after_value = before is not None and before.what in ("number", "unit", "kind", "tolerance")
    if after_value and (token := _tolerance(text, at, before)):
        return token
    if token := _sign_of_kind(text, at, before, dimension):
        return token
    match = _KIND.match(text, at)
    if match is not None and not text[match.end() : match.end() + 1].isalpha():
        letters = match[0].replace(".", "").upper()
        kind = {"CA": "AC", "CC": "DC", "⎓": "DC"}.get(letters, letters)
        return Token("kind", at, match.end(), kind=kind)
    if found := _unit_at(text, at, dimension):
        return Token("unit", at, found[1], unit=found[0], kind=_kind_within(text[at : found[1]], found[0]))
    numeral = scan(text, at) if after_value else scan_signed(text, at)
    if numeral is not None:
        return Token("number", at, numeral.end, numeral=numeral)
    if match := _RANGE.match(text, at):
        return Token("range", at, match.end())
    if match := _BESIDE.match(text, at):
        return Token("beside", at, match.end())
    return None


def _kind_within(spelling: str, of: Unit) -> str:
    """AC or DC when the unit's own spelling says it: VAC, VOLTS DC."""
    last = spelling.replace(".", "").upper()[-2:]
    return last if of.dimension == "voltage" and last in ("AC", "DC") else ""


def _sign_of_kind(text: str, at: int, before: Token | None, dimension: str | None) -> Token | None:
    """`~` and `=`: alternating or direct after a unit or in front; after a number cycles, or phases (3~)."""
    if text[at] not in "~∼=" or (text[at] == "=" and (before is None or before.what != "unit")):
        return None
    if before is None or before.numeral is None:
        return Token("kind", at, at + 1, kind="DC" if text[at] == "=" else "AC")
    phases = before.numeral.value in (1, 2, 3) and dimension != "frequency"
    return Token("unit", at, at + 1, unit=PHASES if phases else unit("Hz"))


def _tolerance(text: str, at: int, before: Token | None) -> Token | None:
    if match := _EVEN.match(text, at):
        size = _decimal(match[1])
        if not match[2] and (found := _unit_at(text, match.end(), None)):
            return Token("tolerance", at, found[1], unit=found[0], tolerance=(size, size))
        return Token("tolerance", at, match.end(), tolerance=_percent(text, at, match.end(), size, size))
    if (match := _ODD.match(text, at)) and "%" in match[0]:
        first, second = _decimal(match[2]), _decimal(match[4])
        if (match[1] == "+") == (match[3] == "+"):
            raise BadText("tolerance with one sign twice", text, at, match.end(), "Write -0 +20%")
        minus, plus = (second, first) if match[1] == "+" else (first, second)
        return Token("tolerance", at, match.end(), tolerance=_percent(text, at, match.end(), minus, plus))
    if before is not None and before.what in ("unit", "kind") and (match := _ONE_SIDED.match(text, at)):
        size = _decimal(match[2])
        minus, plus = (0.0, size) if match[1] == "+" else (size, 0.0)
        return Token("tolerance", at, match.end(), tolerance=_percent(text, at, match.end(), minus, plus))
    return None


def _decimal(digits: str) -> float:
    return float(digits.replace(",", "."))


def _percent(text: str, start: int, end: int, minus: float, plus: float) -> tuple[float, float]:
    if minus > 100 or plus > 1000:
        raise BadText("tolerance out of all proportion", text, start, end, "Check the digits")
    return minus / 100, plus / 100


def _folded(spelling: str) -> str:
    bare = spelling.replace(".", "").replace(" ", "").replace("µ", "μ").replace("\u2126", "Ω")
    return bare.casefold()


def _shape(spelling: str) -> str:
    """The pattern of one spelling: dots allowed after letters, blanks optional, either micro and ohm sign."""
    alike = {" ": r"\s*", "µ": "[µμ]", "μ": "[µμ]", "Ω": "[Ωω\u2126]"}
    body = "".join(
        alike.get(c) or re.escape(c) + (r"\.?" if c.isalpha() else "") for c in spelling if c != "."
    )
    return body + (_LETTER_AHEAD if spelling.rstrip(".")[-1].isalpha() else "")


@cache
def _spelled() -> tuple[re.Pattern[str], Mapping[str, tuple[Unit, ...]]]:
    """One pattern for every spelling, longest first, dots allowed after letters; and what each may mean."""
    meaning: dict[str, tuple[Unit, ...]] = {}
    shapes: dict[str, str] = {}
    for one in (*units().values(), PHASES):
        for spelling in filter(None, (one.symbol, *one.spellings)):
            key = _folded(spelling)
            if one not in meaning.get(key, ()):
                meaning[key] = (*meaning.get(key, ()), one)
            shapes[key] = shapes.get(key) or _shape(spelling)
    pattern = "|".join(shapes[key] for key in sorted(shapes, key=len, reverse=True))
    return re.compile(pattern, re.IGNORECASE), meaning


def _unit_at(text: str, at: int, dimension: str | None) -> tuple[Unit, int] | None:
    """The unit written at or after blanks at `at`, and where its spelling ends."""
    pattern, meaning = _spelled()
    while at < len(text) and text[at] == " ":
        at += 1
    match = pattern.match(text, at)
    if match is None:
        return None
    key = _folded(match[0])
    if hinted := _HINTED.get((key, dimension or "")):
        return unit(hinted), match.end()
    choices = meaning[key]
    best = next((u for u in choices if u.dimension == dimension), choices[0])
    if best.symbol in ("mV", "mW") and match[0][0] == "M":  # a plate in capitals: milli or mega?
        raise BadText("milli or mega", text, at, match.end(), f"Write {best.symbol}, or the number in full")
    return best, match.end()
