"""How plates write numbers, and the numbers that legible digits say."""

from __future__ import annotations

import re
from functools import lru_cache
from math import floor, isclose, log

from partsdb.quantities import from_si, to_si

_FRACTIONAL = {"in", "hp", "ft", "PS"}  # written as 3/4 or 1 1/2 where the number allows it
_DIGITS_KEPT = 4
_CONVERTED = -2.5  # a size in millimetres that a plate gives in inches: 1.969 for 50 mm [nat]
Spelling = tuple[str, float]  # (text, log prior [nat])


def _decimal(x: float) -> str:
    text = f"{x:.{_DIGITS_KEPT}g}"
    return f"{float(text):.0f}" if "e" in text and float(text) >= 1 else text


def _fraction(x: float) -> tuple[str, str] | None:
    """(whole, fraction) of a number in halves, thirds ... sixty-fourths; None when it is none."""
    whole = floor(x)
    for below in (2, 3, 4, 6, 8, 12, 16, 20, 32, 64):
        above = (x - whole) * below
        if isclose(above, round(above), abs_tol=1e-3 * below / 64) and round(above) % below:
            return (str(whole) if whole else "", f"{round(above)}/{below}")
    return None


@lru_cache(maxsize=20_000)
def spellings(
    x: float, unit: str, decimals: int | None = None, fraction: bool = False
) -> tuple[Spelling, ...]:
    """The ways a plate writes an SI number in a unit, the usual one first; () when it can't be written.

    decimals: the plate writes all its numbers with so many; fraction: as fractions, where they have one.

    >>> [text for text, _ in spellings(0.0381, "in")]
    ['1.5', '1 1/2', '1-1/2', '1.50', '1.500']
    """
    value = from_si(x, unit)
    plain = _decimal(value)
    if "e" in plain or not isclose(float(plain), value, rel_tol=2e-3, abs_tol=1e-12):
        return ()
    parts = _fraction(value) if unit in _FRACTIONAL else None
    odd = _CONVERTED if unit == "in" and parts is None and not value.is_integer() else 0.0
    if decimals is not None:
        fixed = f"{value:.{decimals}f}"
        return tuple((text, odd + log(0.5)) for text in dict.fromkeys((fixed, fixed.removeprefix("0"))))
    if fraction:
        whole, part = parts or (plain, "")
        joined_ways = [f"{whole}{mark}{part}" for mark in " -"] if whole and part else [whole or part]
        return tuple((text, odd - log(len(joined_ways))) for text in joined_ways)
    ways: dict[str, float] = {plain: odd + log(0.9)}
    if parts:
        whole, broken = parts
        joined = (f"{whole} {broken}", f"{whole}-{broken}") if whole else (broken,)
        for text in joined:
            ways.setdefault(text, log(0.4))
    if plain.startswith("0."):
        ways.setdefault(plain[1:], log(0.3))
    if "." not in plain and value < 100:
        ways.setdefault(plain + ".0", log(0.06))
    if "." in plain and len(plain.partition(".")[2]) == 1:
        ways.setdefault(plain + "0", log(0.06))
    if unit == "in":
        thousandths = f"{value:.3f}"
        ways.setdefault(thousandths, log(0.2))
        ways.setdefault(thousandths.removeprefix("0"), log(0.2))
    if value >= 1000 and "." not in plain:
        ways.setdefault(f"{int(plain):,}", log(0.1))
    return tuple(ways.items())


def range_spellings(low: float, high: float, unit: str) -> tuple[Spelling, ...]:
    """The ways a plate writes a range: 88-108, 220/240."""
    ends = [(spellings(x, unit) or (("", 0.0),))[0][0] for x in (low, high)]
    if not all(ends):
        return ()
    return tuple((sep.join(ends), p) for sep, p in (("-", log(0.6)), ("/", log(0.25)), (" TO ", log(0.15))))


_NUMBER = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)|\d*\.\d+|\d+")


def value_of(text: str) -> float | None:
    """The number that legible digits say (decimal or fraction), or None.

    >>> value_of("1-1/2"), value_of("2.5"), value_of("5/0")
    (1.5, 2.5, None)
    """
    found = _NUMBER.fullmatch(text)
    if not found:
        return None
    whole, above, below = found.groups()
    if above is None:
        return float(text)
    return int(whole or 0) + int(above) / int(below) if 0 < int(above) < int(below) <= 64 else None


def numbers_in(line: str) -> list[tuple[int, int, float]]:
    """(start, end, number) of every number in a line; a fraction counts as one number and as two."""
    found = [(m.start(), m.end(), value_of(m.group())) for m in _NUMBER.finditer(line)]
    found += [(m.start(), m.end(), float(m.group())) for m in re.finditer(r"\d*\.\d+|\d+", line)]
    return sorted({(a, b, x) for a, b, x in found if x is not None and b - a <= 9})


def in_si(x: float, unit: str) -> float:
    """A number off the plate as SI."""
    return to_si(x, unit)
