"""Units: SI factors, how plates spell them, and SI numbers as people read them.

The table of units is tables/units.csv; pint is the tests' oracle for its factors.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from partsdb.errors import BadInput
from partsdb.tables import load

_DIVISORS = {float(f"1e-{n}"): float(f"1e{n}") for n in range(1, 16)}


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number * factor + offset. spellings: how plates write it."""

    symbol: str
    dimension: str
    factor: float
    offset: float
    spellings: tuple[str, ...]

    def si(self, x: float) -> float:
        """`x` in this unit, as SI. Decimal sub-multiples divide, so that 25 µF is exactly 25e-6 F."""
        return (x / self._divisor if self._divisor else x * self.factor) + self.offset

    def back(self, si: float) -> float:
        """An SI number in this unit: the inverse of `si`."""
        return (si - self.offset) * self._divisor if self._divisor else (si - self.offset) / self.factor

    @property
    def _divisor(self) -> float:
        """1/factor when that is a power of ten above one, else 0."""
        return _DIVISORS.get(self.factor, 0.0)


@cache
def units() -> Mapping[str, Unit]:
    """Every unit by its symbol."""
    return {
        row["unit"]: Unit(
            row["unit"],
            row["dimension"],
            float(row["factor"]),
            float(row["offset"]),
            tuple(row["spellings"].split("|")),
        )
        for row in load("units").rows
    }


def unit(symbol: str) -> Unit:
    """The unit with that symbol. Raises BadInput with the known ones."""
    try:
        return units()[symbol]
    except KeyError:
        raise BadInput(
            f"{symbol!r} is not a unit this program knows", f"It knows: {' '.join(units())}"
        ) from None


def to_si(x: float, symbol: str) -> float:
    """A number in a unit, as SI. "" is a pure number.

    >>> to_si(25, "µF")
    2.5e-05
    >>> to_si(40, "°C")
    313.15
    """
    return unit(symbol).si(x) if symbol else x


def from_si(x: float, symbol: str) -> float:
    """An SI number in a unit: the inverse of `to_si`.

    >>> round(from_si(313.15, "°C"), 6)
    40.0
    """
    return unit(symbol).back(x) if symbol else x


def show(x: float, symbol: str, digits: int = 4) -> str:
    """An SI number as a person reads it: at most `digits` significant digits, no trailing zeros.

    >>> show(25e-6, "µF")
    '25 µF'
    """
    number = format(Decimal(f"{from_si(x, symbol):.{digits}g}"), "f")
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {symbol}".strip()
