"""What is known of a part: values with their sources, and the specification they make."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from partsdb.intervals import Interval
from partsdb.source import UNSTATED, Source


@dataclass(frozen=True, slots=True)
class Value:
    """One attribute's value: a number (low == high), a range, or a code word.

    A range is what the rating covers (start capacitor 88-108 µF, coil 220-240 V) or what is left open.
    qualifier: the condition under which it holds ("AC-3@400V"); variant: 0 holds always, equal numbers
    tie values of one connection together (220 V with its 8.6 A); as_written: the text that says it;
    confidence: probability that the value is what the source says [-].
    """

    attribute: str
    low: float | None = None
    high: float | None = None
    code: str | None = None
    qualifier: str = ""
    variant: int = 0
    source: Source = UNSTATED
    confidence: float = 1.0
    as_written: str = ""

    @property
    def interval(self) -> Interval | None:
        """The number as an interval; None for a code word."""
        return None if self.code is not None else Interval(self.low, self.high)

    @property
    def middle(self) -> float | None:
        """The number, or the middle of a closed range; one end when the other is open; None for a code."""
        if self.code is not None:
            return None
        if self.low is None or self.high is None:
            return self.high if self.low is None else self.low
        return (self.low + self.high) / 2

    @property
    def key(self) -> tuple[str, str, int, float | None, float | None, str | None]:
        """What the value says, without where it came from."""
        return (self.attribute, self.qualifier, self.variant, self.low, self.high, self.code)


def number(
    attribute: str, x: float, source: Source = UNSTATED, *, qualifier: str = "", variant: int = 0
) -> Value:
    """A single number [SI] as a Value."""
    return Value(attribute, float(x), float(x), qualifier=qualifier, variant=variant, source=source)


def span(
    attribute: str, low: float | None, high: float | None, source: Source = UNSTATED, *, qualifier: str = ""
) -> Value:
    """A range [SI] as a Value; None leaves an end open."""
    return Value(attribute, low, high, qualifier=qualifier, source=source)


def word(attribute: str, code: str, source: Source = UNSTATED, *, variant: int = 0) -> Value:
    """A code word as a Value."""
    return Value(attribute, code=code, source=source, variant=variant)


@dataclass(frozen=True, slots=True)
class Spec:
    """A specification: a family's name and what is known of a part. Unknown = absent.

    Several Values of one attribute are dual ratings (variants) or a rating table (qualifiers).
    """

    family: str
    values: tuple[Value, ...] = ()

    def all(self, attribute: str) -> tuple[Value, ...]:
        """Every value of the attribute, in the order given."""
        return tuple(v for v in self.values if v.attribute == attribute)

    def first(self, attribute: str, qualifier: str | None = None) -> Value | None:
        """The first value of the attribute (with that qualifier, when one is named), or None."""
        for v in self.values:
            if v.attribute == attribute and (qualifier is None or v.qualifier == qualifier):
                return v
        return None

    def num(self, attribute: str, qualifier: str | None = None) -> float | None:
        """The middle of the first numeric value [SI], or None when unknown."""
        found = self.first(attribute, qualifier)
        return found.middle if found else None

    def code(self, attribute: str) -> str | None:
        """The first code word of the attribute, or None when unknown."""
        found = self.first(attribute)
        return found.code if found else None

    def has(self, attribute: str) -> bool:
        """Whether anything is known of the attribute."""
        return any(v.attribute == attribute for v in self.values)

    def plus(self, extra: Iterable[Value]) -> Spec:
        """This specification with more values behind its own."""
        return replace(self, values=self.values + tuple(extra))

    def without(self, *attributes: str) -> Spec:
        """This specification with those attributes forgotten."""
        return replace(self, values=tuple(v for v in self.values if v.attribute not in attributes))

    def variants(self) -> tuple[int, ...]:
        """The connection variants in it: (0,) or (1, 2, ...)."""
        found = tuple(sorted({v.variant for v in self.values if v.variant}))
        return found or (0,)

    def variant(self, n: int) -> Spec:
        """The specification in connection n: common values and those of variant n."""
        return replace(self, values=tuple(v for v in self.values if v.variant in (0, n)))

    @property
    def key(self) -> tuple[str, tuple[object, ...]]:
        """Equal for specifications that say the same, whatever the order and sources."""
        return self.family, tuple(sorted((v.key for v in self.values), key=repr))
