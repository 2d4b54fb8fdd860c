"""Closed intervals on the real line: what a rating covers, what a limit accepts.

None as an end means unbounded on that side. All numbers are in SI units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """All x with low <= x <= high; an end that is None doesn't bind.

    Raises ValueError when low > high or an end is not a number.
    """

    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        for end in (self.low, self.high):
            if end is not None and math.isnan(end):
                raise ValueError("an interval's end is not a number")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"empty interval: {self.low} > {self.high}")

    @property
    def lower(self) -> float:
        """The low end as a float, -inf when unbounded."""
        return -math.inf if self.low is None else self.low

    @property
    def upper(self) -> float:
        """The high end as a float, +inf when unbounded."""
        return math.inf if self.high is None else self.high

    def __contains__(self, x: float) -> bool:
        return self.lower <= x <= self.upper

    def within(self, other: Interval) -> bool:
        """Every point of self lies in other.

        >>> Interval(2, 3).within(Interval(None, 3))
        True
        """
        return other.lower <= self.lower and self.upper <= other.upper

    def meet(self, other: Interval) -> Interval | None:
        """The common part, or None when there is none.

        >>> Interval(1, 4).meet(Interval(3, None))
        Interval(low=3, high=4)
        """
        low, high = max(self.lower, other.lower), min(self.upper, other.upper)
        return _from_floats(low, high) if low <= high else None

    def hull(self, other: Interval) -> Interval:
        """The smallest interval that holds both.

        >>> Interval(1, 2).hull(Interval(5, 6))
        Interval(low=1, high=6)
        """
        return _from_floats(min(self.lower, other.lower), max(self.upper, other.upper))

    def margin(self, offered: Interval) -> float:
        """How far inside (positive) or outside (negative) the worst point of `offered` lies, in the unit.

        >>> Interval(440, None).margin(Interval(450, 450))
        10
        >>> Interval(9, 11).margin(Interval(8.5, 8.5))
        -0.5
        """
        return min(offered.lower - self.lower, self.upper - offered.upper)


def _from_floats(low: float, high: float) -> Interval:
    return Interval(None if low == -math.inf else low, None if high == math.inf else high)


def point(x: float) -> Interval:
    """The interval of one number."""
    return Interval(x, x)


def around(x: float, minus: float, plus: float | None = None) -> Interval:
    """x - minus·|x| to x + plus·|x|; `minus` and `plus` are ratios [-].

    >>> around(10, 0.05)
    Interval(low=9.5, high=10.5)
    """
    up = minus if plus is None else plus
    return Interval(x - minus * abs(x), x + up * abs(x))
