"""Ordered classes and preferred-number series: what sizes a thing comes in.

E-series (IEC 60063): E6 to E24 are lists of the standard (tables/preferred_numbers.csv), E48 to
E192 are the rounded geometric series with the standard's one exception (9.20 in E192). R-series (ISO 3): the rounded
values of R5 to R40 (tables/renard_numbers.csv).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import cache

from partsdb.errors import BadInput
from partsdb.tables import load

_COMPUTED = (48, 96, 192)
_EXCEPTION = {("E192", 919): 920}  # IEC 60063: 9.19 by the formula, 9.20 in the standard


# --------------------------------------------------------------------------- ordered classes


def rank(ladder: Sequence[str], word: str) -> int:
    """The place of a class in its ladder, worst first = 0.

    >>> rank(("A", "E", "B", "F", "H"), "F")
    3

    Raises BadInput for a word that is not a class of the ladder.
    """
    try:
        return ladder.index(word)
    except ValueError:
        raise BadInput(f"{word!r} is not one of the classes", f"They are: {' '.join(ladder)}") from None


def at_least(ladder: Sequence[str], word: str) -> tuple[str, ...]:
    """The class and every better one, worst first: what "same class or better" accepts.

    >>> at_least(("A", "E", "B", "F", "H"), "B")
    ('B', 'F', 'H')
    """
    return tuple(ladder[rank(ladder, word) :])


def steps(ladder: Sequence[str], offered: str, needed: str) -> int:
    """How many classes `offered` lies above `needed`; negative when below."""
    return rank(ladder, offered) - rank(ladder, needed)


# --------------------------------------------------------------------------- preferred numbers


@cache
def decade(name: str) -> tuple[float, ...]:
    """The members of a series from 1 up to, not including, 10 [-].

    >>> decade("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)

    Raises BadInput for an unknown series.
    """
    known = _listed()
    if name in known:
        return known[name]
    size = next((n for n in _COMPUTED if name == f"E{n}"), None)
    if size is None:
        names = [*known, *(f"E{n}" for n in _COMPUTED)]
        raise BadInput(f"{name!r} is not a series of preferred numbers", f"There are: {' '.join(names)}")
    hundreds = (round(100 * 10 ** (i / size)) for i in range(size))
    return tuple(_EXCEPTION.get((name, n), n) / 100 for n in hundreds)


def series(name: str, low: float, high: float) -> tuple[float, ...]:
    """Every member of a series with low <= member <= high, in the unit of `low` and `high`.

    >>> series("E12", 10e-6, 20e-6)
    (1e-05, 1.2e-05, 1.5e-05, 1.8e-05)

    Raises BadInput unless 0 < low <= high < infinity.
    """
    if not (0 < low <= high and math.isfinite(high)):
        raise BadInput(f"no range from {low} to {high}", "Both ends must be above zero, the lower one first")
    mantissas = decade(name)
    found = []
    for exponent in range(math.floor(math.log10(low)) - 1, math.floor(math.log10(high)) + 2):
        for mantissa in mantissas:
            member = float(f"{mantissa!r}e{exponent}")
            if low * (1 - 1e-12) <= member <= high * (1 + 1e-12):
                found.append(member)
    return tuple(found)


def nearest(name: str, x: float) -> float:
    """The member nearest by ratio; the lower one on a tie.

    >>> nearest("E24", 4900)
    5100.0
    """
    around = series(name, x / 10, x * 10)
    return min(around, key=lambda member: (round(abs(math.log(member / x)), 12), member))


def next_up(name: str, x: float) -> float:
    """The smallest member that is not below x.

    >>> next_up("E96", 4900)
    4990.0
    """
    around = series(name, x / 10, x * 10)
    return around[bisect_left(around, x * (1 - 1e-12))]


@cache
def _listed() -> dict[str, tuple[float, ...]]:
    """The tabulated series, scaled to one decade from 1."""
    found = {}
    for table in ("preferred_numbers", "renard_numbers"):
        for row in load(table).rows:
            digits = [float(v) for v in row["values"].split("|")]
            found[row["series"]] = tuple(v / digits[0] for v in digits)
    return found
