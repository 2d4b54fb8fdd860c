"""A place that a part sits in: what was there, what it must do, each fact with where it comes from.

A family's rules take their facts from here, so that the order in which a duty, a measurement and a plate are
believed stands in one place, and so that "nobody knows" can't be passed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from partsdb.attributes import Attribute
from partsdb.duty import Duty, Term
from partsdb.intervals import Interval
from partsdb.model import Spec, Value
from partsdb.source import ON_RECORD, Source, said
from partsdb.supply import nominal, source

SUPPLY = "supply_voltage"


@dataclass(frozen=True, slots=True)
class Fact:
    """Something known: a number or range [SI] or a code word, what it follows from in words, and its source."""

    low: float | None
    high: float | None
    code: str | None
    origin: str
    source: Source

    @property
    def number(self) -> float | None:
        """The number, or the middle of a range; None for a code word."""
        if self.low is None or self.high is None:
            return self.high if self.low is None else self.low
        return (self.low + self.high) / 2

    @property
    def interval(self) -> Interval:
        """The number or range as an interval, open where an end isn't known."""
        return Interval(self.low, self.high)

    def to(
        self, low: float, high: float | None = None, because: str = "", source: Source | None = None
    ) -> Fact:
        """Another number that follows from this fact, with why behind its origin."""
        origin = f"{self.origin}, {because}" if because else self.origin
        top = low if high is None else high
        return replace(self, low=low, high=top, code=None, origin=origin, source=source or self.source)


def fact(x: float | str, origin: str, source: Source) -> Fact:
    """A fact worked out by a family: its value [SI or code word], what it follows from, its source."""
    return Fact(None, None, x, origin, source) if isinstance(x, str) else Fact(x, x, None, origin, source)


@dataclass(frozen=True, slots=True)
class Place:
    """What sat there, completed by what follows from it, and the duty it did."""

    attributes: Mapping[str, Attribute]
    terms: Mapping[str, Term]
    was: Spec
    duty: Duty

    def plate(self, name: str, at: str | None = None) -> Fact | None:
        """What the old part is known to be (measured, read or worked out), under the qualifier `at` when one is
        named; else what its silence is taken as; else None: nobody knows."""
        found = self.was.first(name, at)
        if found is not None:
            return of_value(found)
        silence = self.attributes[name].silence
        if silence is None or silence.kind != "taken" or silence.value is None:
            return None
        shown = self.attributes[name]
        what = silence.value if isinstance(silence.value, str) else shown.spoken(silence.value, silence.value)
        return fact(silence.value, f"taken as {what}: nothing on it says otherwise", silence.source)

    def term(self, name: str) -> Fact | None:
        """What the duty states, or None."""
        stated = self.duty.get(name)
        if stated is None:
            return None
        value = stated if isinstance(stated, str) else float(stated)
        return fact(value, f"duty: {self.terms[name].title}", said())

    def system(self) -> Fact | None:
        """The nominal volts of the supply, which ratings are stated for; None where the duty names none."""
        stated = self.term(SUPPLY)
        if stated is None or stated.number is None or (system := nominal(stated.number)) == stated.number:
            return stated
        origin = f"{stated.origin} {stated.number:g} V, a {system:g} V system"
        return fact(system, origin, source())

    def wanted(self, name: str, term: str = "", at: str | None = None) -> Fact | None:
        """What the duty states under `term`, else what the old part is; None: nobody knows."""
        return (self.term(term) if term else None) or self.plate(name, at)

    def number(self, term: str) -> float | None:
        """A numeric duty term [SI], or None."""
        value = self.duty.get(term)
        return None if value is None or isinstance(value, str) else float(value)

    def word(self, term: str) -> str | None:
        """A code word of the duty, or None."""
        value = self.duty.get(term)
        return value if isinstance(value, str) else None


def of_value(value: Value) -> Fact:
    """A value of the old part as a fact: measured, on record for its number, taken as usual, or read and what follows
    from that."""
    of = value.source
    told = of.status == "judgement" or of.citation.startswith(ON_RECORD)
    origin = "measured" if of.status == "measured" else of.citation if told else "plate"
    return Fact(value.low, value.high, value.code, origin, of)
