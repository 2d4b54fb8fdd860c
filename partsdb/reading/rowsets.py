"""What a field's rows say taken together, asked thousands of times for one plate: each answer is worked out once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product
from math import floor, log

from partsdb.family import Family, Field

Cell = float | str | tuple[float, float] | None
_CLOSE = 2e-3  # numbers nearer than this [-] are one
_MOST_WORDS = 24  # sets of code words that a number is tried with


class RowSets:
    """The rows of a family's field, to be asked."""

    def __init__(self, family: Family, field: Field) -> None:
        self._family, self._field = family, field
        self._said: dict[tuple[int, ...], dict[tuple[object, ...], int]] = {}
        self._words: dict[tuple[str, ...], list[dict[str, Cell]]] = {}
        self._forms: dict[str, frozenset[str]] = {}

    def row_of(self, values: Sequence[object]) -> int:
        """The first row that says these values, -1 when none does; None leaves an attribute open."""
        places = tuple(k for k, value in enumerate(values) if value is not None)
        known = self._said.get(places)
        if known is None:
            known = {}
            for n, row in enumerate(self._field.rows):
                known.setdefault(tuple(_step(row.values[k]) for k in places), n)
            self._said[places] = known
        found = (known[key] for key in product(*(_near(values[k]) for k in places)) if key in known)
        return next(found, -1)

    def is_open(self, name: str) -> bool:
        """Whether an attribute takes more than its listed words: a number, or a name that no list closes."""
        attribute = self._family.attribute(name)
        return attribute.unit is not None or not attribute.codes

    def forms(self, name: str) -> frozenset[str]:
        """The forms that an open name takes in the rows."""
        if name not in self._forms:
            k = self._field.attributes.index(name)
            texts = (row.values[k] for row in self._field.rows)
            self._forms[name] = frozenset(form_of(text) for text in texts if isinstance(text, str))
        return self._forms[name]

    def words(self, written: tuple[str, ...]) -> list[dict[str, Cell]]:
        """The sets of listed words that the rows have, numbers and open names left open; so is a word that isn't
        written and that the written ones don't decide. Of a single written word every listed one counts."""
        if written not in self._words:
            self._words[written] = self._word_sets(written)[:_MOST_WORDS]
        return self._words[written]

    def _word_sets(self, written: tuple[str, ...]) -> list[dict[str, Cell]]:
        names = self._field.attributes
        closed = [k for k, name in enumerate(names) if not self.is_open(name)]
        own = [names[k] for k in closed if names[k] in written]
        sets: dict[tuple[Cell, ...], dict[str, set[Cell]]] = {}
        for row in self._field.rows:
            key = tuple(row.values[k] for k in closed if names[k] in written)
            for k in closed:
                sets.setdefault(key, {}).setdefault(names[k], set()).add(row.values[k])
            sets.setdefault(key, {})
        told: list[dict[str, Cell]] = [
            {name: next(iter(values)) if len(values) == 1 else None for name, values in one.items()}
            for one in sets.values()
        ]
        if len(own) == 1:
            listed = {one[own[0]] for one in told}
            nothing = dict.fromkeys(names[k] for k in closed)
            codes = self._family.attribute(own[0]).codes
            told += [{**nothing, own[0]: code} for code in codes if code not in listed]
        return told


@cache
def form_of(text: str) -> str:
    """A name with its numbers left open.

    >>> form_of("13X1330")
    '#X#'
    """
    return re.sub(r"\d+(?:\.\d+)?", "#", text.upper())


def _step(value: object) -> object:
    """A value as it is looked up: numbers by the step of a logarithmic ladder on which they stand."""
    if isinstance(value, tuple):
        return tuple(map(_step, value))
    if isinstance(value, int | float) and value > 0:
        return floor(log(value) / _CLOSE)
    return value


def _near(value: object) -> Iterator[object]:
    """The steps of a value and its neighbours."""
    if isinstance(value, tuple):
        yield from product(*(tuple(_near(end)) for end in value))
        return
    step = _step(value)
    yield step
    if isinstance(step, int) and isinstance(value, int | float) and value > 0:
        yield step - 1
        yield step + 1
