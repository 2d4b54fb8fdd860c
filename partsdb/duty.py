"""The one vocabulary of duties: what a place asks of the part that sits in it.

A duty is a mapping from a term's name to a number in SI units (plain hours where the name says hours) or to a
code word. A term that is absent is unknown; families decide what an unknown means, never in favour of the part.
The terms, with what each can be at all, stand in tables/duty_terms.csv; a family may bring its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from partsdb.errors import BadInput
from partsdb.spelling import meant
from partsdb.tables import load
from partsdb.units import to_si

Duty = Mapping[str, float | str]


@dataclass(frozen=True, slots=True)
class Term:
    """One thing a place can ask.

    unit: display unit of a number ("" for a ratio or count); codes: the allowed words of a code term; least, most:
    what it can be at all, in `unit` (None: no bound); whole: a count; question: how a person is asked for it.
    """

    name: str
    title: str
    unit: str = ""
    codes: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    whole: bool = False
    question: str = ""

    def possible(self, value: float | str) -> float | str:
        """The value [SI or code word], when a place can ask it. Raises BadInput: 99 hours of a day, two and a half
        belts, a word the term doesn't know."""
        if bool(self.codes) != isinstance(value, str) or (self.codes and value not in self.codes):
            expected = " / ".join(self.codes) if self.codes else f"a number in {self.unit or 'plain units'}"
            raise BadInput(f"{self.title} can't be {value!r}", f"It takes {expected}")
        if isinstance(value, str):
            return value
        least, most = self.least, self.most
        low = value < to_si(least, self.unit) if least is not None else False
        if low or (most is not None and value > to_si(most, self.unit)):
            span = f"at least {least:g}" if most is None else f"from {least or 0:g} to {most:g}"
            raise BadInput(f"{self.title} can't be that", f"It takes a number {span} {self.unit}".rstrip())
        if self.whole and value != int(value):
            raise BadInput(f"{self.title} can't be that", "It takes a whole number")
        return value


def _number(text: str) -> float | None:
    return float(text) if text else None


TERMS: tuple[Term, ...] = tuple(
    Term(
        row["term"],
        row["title"],
        row["unit"],
        tuple(row["codes"].split("|")) if row["codes"] else (),
        _number(row["least"]),
        _number(row["most"]),
        row["whole"] == "yes",
        row["question"],
    )
    for row in load("duty_terms").rows
)
BY_NAME: Mapping[str, Term] = {term.name: term for term in TERMS}


def checked(duty: Mapping[str, float | str], terms: Mapping[str, Term] = BY_NAME) -> Duty:
    """The same duty when every term is in the vocabulary and can be what it says; else BadInput names the fault."""
    for name, value in duty.items():
        term = terms.get(name)
        if term is None:
            guess = meant(name, terms)
            raise BadInput(
                f"{name!r} is not a duty this program knows", f"{guess}See `partsdb words duty` for the list"
            )
        term.possible(value)
    return duty


def number(duty: Duty, name: str) -> float | None:
    """A numeric term in SI units, or None when it is unknown."""
    value = duty.get(name)
    return value if isinstance(value, int | float) else None


def word(duty: Duty, name: str) -> str | None:
    """A code term, or None when it is unknown."""
    value = duty.get(name)
    return value if isinstance(value, str) else None
