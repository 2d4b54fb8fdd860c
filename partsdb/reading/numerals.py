"""How plates write numbers, and the numbers that legible digits say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from math import floor, gcd, isclose, log

from partsdb.quantities import from_si
from partsdb.tables import load

_DIGITS_KEPT = 4
_DENOMINATORS = tuple(int(row["denominator"]) for row in load("fraction_denominators").rows)
Spelling = tuple[str, float]  # (text, log prior [nat])


@cache
def _ways(habit: str, unit: str = "") -> tuple[Spelling, ...]:
    """(mark, log prior [nat]) of each way of a habit of table number_writings; () where the unit isn't met so."""
    rows = [row for row in load("number_writings").rows if row["habit"] == habit]
    return tuple(
        (row["mark"], log(float(row["share"])))
        for row in rows
        if not row["units"] or unit in row["units"].split()
    )


def _decimal(x: float) -> str:
    text = f"{x:.{_DIGITS_KEPT}g}"
    return f"{float(text):.0f}" if "e" in text and float(text) >= 1 else text


def _fraction(x: float) -> tuple[str, str] | None:
    """(whole, fraction in lowest terms) of a number in halves, thirds ... sixty-fourths; None when it is none."""
    whole = floor(x)
    for below in _DENOMINATORS:
        above = (x - whole) * below
        if isclose(above, round(above), abs_tol=1e-3 * below / 64) and round(above) % below:
            shared = gcd(round(above), below)
            return (str(whole) if whole else "", f"{round(above) // shared}/{below // shared}")
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
    mixed = _ways("mixed fraction", unit)
    parts = _fraction(value) if mixed else None
    exact = parts is not None or value.is_integer()
    odd = 0.0 if exact else sum(logp for _, logp in _ways("converted from millimetres", unit))
    if decimals is not None:
        fixed = f"{value:.{decimals}f}"
        ((_, logp),) = _ways("all with so many decimals")
        return tuple((text, odd + logp) for text in dict.fromkeys((fixed, fixed.removeprefix("0"))))
    if fraction:
        whole, part = parts or (plain, "")
        joined = [f"{whole}{mark}{part}" for mark, _ in mixed] if whole and part else [whole or part]
        return tuple((text, odd - log(len(joined))) for text in joined)
    ways: dict[str, float] = {}
    for text, logp in _free(value, plain, parts, unit):
        ways.setdefault(text, logp + (0.0 if ways else odd))
    return tuple(ways.items())


def _free(value: float, plain: str, parts: tuple[str, str] | None, unit: str) -> Iterator[Spelling]:
    """The ways to write a number on a plate that keeps no one way, the usual one first; some may be equal."""
    yield from ((plain, logp) for _, logp in _ways("plain"))
    if parts:
        whole, broken = parts
        for mark, logp in _ways("mixed fraction", unit):
            yield f"{whole}{mark}{broken}" if whole else broken, logp
    if plain.startswith("0."):
        yield from ((plain[1:], logp) for _, logp in _ways("zero dropped"))
    if "." not in plain and value < 100:
        yield from ((plain + ".0", logp) for _, logp in _ways("zero added to a whole number"))
    if len(plain.partition(".")[2]) == 1:
        yield from ((plain + "0", logp) for _, logp in _ways("zero added to a decimal"))
    for _, logp in _ways("thousandths", unit):
        yield f"{value:.3f}", logp
        yield f"{value:.3f}".removeprefix("0"), logp
    if value >= 1000 and "." not in plain:
        yield from ((f"{int(plain):,}".replace(",", mark), logp) for mark, logp in _ways("thousands"))


def range_spellings(low: float, high: float, unit: str) -> tuple[Spelling, ...]:
    """The ways a plate writes a range: 88-108, 220/240."""
    ends = [(spellings(x, unit) or (("", 0.0),))[0][0] for x in (low, high)]
    return tuple((mark.join(ends), logp) for mark, logp in _ways("range")) if all(ends) else ()


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


@dataclass(frozen=True, slots=True)
class Legible:
    """A number or range in a line: where it stands, its text, its ends (equal for a number), how many of its digits are
    free to be anything."""

    start: int
    end: int
    text: str
    low: float
    high: float
    digits: int

    @property
    def by_slash(self) -> bool:
        """Whether a stroke joins its ends: a range, or two ratings."""
        return "/" in self.text


_JOINED = re.compile(r"\s*(?:-|~|/|\.{2,}|\bTO\b|\bBIS\b|\bA\b)\s*")
_WIDEST = 6.0  # ends of a range further apart than this factor are two numbers


def legible_numbers(line: str) -> list[Legible]:
    """Every number in a line, and every range from a smaller to a greater one; a fraction counts as one number, as two,
    and as a range.

    >>> [n.text for n in legible_numbers("80-100 UF 1/2")]
    ['80', '80-100', '100', '1', '1/2', '1/2', '2']
    """
    found = [(m.start(), m.end(), value_of(m.group())) for m in _NUMBER.finditer(line)]
    found += [(m.start(), m.end(), float(m.group())) for m in re.finditer(r"\d*\.\d+|\d+", line)]
    singles = sorted({(a, b, x) for a, b, x in found if x is not None and b - a <= 9})
    numbers = [Legible(a, b, line[a:b], x, x, _free_digits(line[a:b])) for a, b, x in singles]
    ranges = []
    for one in numbers:
        joint = _JOINED.match(line, one.end)
        for other in numbers if joint else ():
            if joint and other.start == joint.end() and 0 < one.low < other.low <= _WIDEST * one.low:
                text, digits = line[one.start : other.end], one.digits + other.digits - 1
                ranges.append(Legible(one.start, other.end, text, one.low, other.low, digits))
    return sorted((*numbers, *ranges), key=lambda n: (n.start, n.end))


def _free_digits(text: str) -> int:
    """How many digits could be any: not the noughts that open or close it, nor what is below a fraction's bar."""
    above = text.partition("/")[0]
    return max(1, len("".join(c for c in above if c.isdigit()).strip("0")))
