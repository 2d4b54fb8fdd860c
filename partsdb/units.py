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
    """A unit: SI value = number * factor + offset. spellings: how plates write it.

    beside: symbol of the unit a shop that works in inches wants to see beside it, "" for none.
    """

    symbol: str
    dimension: str
    factor: float
    offset: float
    spellings: tuple[str, ...]
    beside: str = ""

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
            row["beside"],
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


def spoken(low: float | None, high: float | None, symbol: str, beside: str = "") -> str:
    """An SI number or range as a person says it, with the same in a second unit behind it where one is named.

    >>> spoken(None, 440, "V"), spoken(380, 440, "V"), spoken(0.025, 0.025, "mm", "in")
    ('at most 440 V', '380 to 440 V', '25 mm (0.9843 in)')
    """
    if low is None and high is None:
        return "any"
    said = "at most " if low is None else "at least " if high is None else ""
    behind = f" ({_ends(low, high, beside)})" if beside else ""
    return f"{said}{_ends(low, high, symbol)}{behind}"


def _ends(low: float | None, high: float | None, symbol: str) -> str:
    ends = [x for x in (low, high) if x is not None]
    first, last = show(ends[0], symbol), show(ends[-1], symbol)
    return first if first == last else f"{first.removesuffix(symbol).strip()} to {last}"
