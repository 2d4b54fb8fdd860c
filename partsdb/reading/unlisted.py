"""Numbers that are legible and that no row of a field has: they compete as those numbers, for a price.

A field's rows are what is usual, never a fence. Every number and every range whose digits are all legible is put into
each of the field's writings that take a number, with each set of code words that its rows know. It costs the field's
`off_grid`, each digit beyond the first, and how far it lies outside the rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, product
from math import log2

import numpy as np

from partsdb.family import Family, Row
from partsdb.quantities import to_si
from partsdb.reading.channel import Plate
from partsdb.reading.fragments import fold_text
from partsdb.reading.lexicon import CoreTexts, Lexicon, Slot, columns_of, variable_spellings
from partsdb.reading.numerals import Legible, legible_numbers
from partsdb.reading.rowsets import Cell, form_of
from partsdb.reading.templates import Flat, Variable

_DIGIT = (
    -1.5
)  # each digit after the first and before closing noughts: any of ten, though round ones are likelier [nat]
_OCTAVE = -1.0  # each doubling beyond the rows [nat]
_MOST_OCTAVES = 5.0  # further outside it is no such number
_RANGE = -1.5  # a range where no row is one [nat]
_RANGED = frozenset(
    ("V", "kV", "Hz")
)  # units in which a stroke between two numbers may mean from one to the other
_CLOSED = re.compile(r"\.\d*0(?!\d)")  # a usual number in an unusual writing: with noughts behind (".150")
_PIECE = re.compile(r"\d+(?:\.\d+)?|[A-Z]+|[^\sA-Z0-9]")
_LONGEST_NAME = 5  # pieces of an open name
_BY_SLASH = -4.0  # a range where no row is one, joined by a stroke, which mostly joins two ratings [nat]
_MOST_SPELLINGS = 6  # of the code words beside a number


def off_grid(lexicon: Lexicon, plate: Plate) -> tuple[CoreTexts, tuple[tuple[Row, ...], ...]]:
    """Columns for the legible numbers that no row has, and the rows they stand for, per slot."""
    texts: list[str] = []
    parts: list[tuple[int, int, int, float]] = []
    extra: list[tuple[Row, ...]] = []
    line = _Line(plate)
    for n, slot in enumerate(lexicon.slots):
        new: dict[tuple[object, ...], int] = {}
        for form, group in slot.shapes:
            for flat, p in form.cores:
                for row, text, cost in _made(lexicon, slot, flat, line):
                    known = -1 if row.values in new else slot.sets.row_of(row.values)
                    if known >= 0 and not _CLOSED.search(text):
                        continue
                    if known < 0:
                        known = len(slot.field.rows) + new.setdefault(row.values, len(new))
                    texts.append(fold_text(text))
                    parts.append((n, known, group, p + cost))
        extra.append(tuple(Row(values) for values in new))  # type: ignore[arg-type]  # the values of rows
    index = [np.array([part[k] for part in parts], dtype=np.intp) for k in range(3)]
    return columns_of(texts, index[0], index[1], index[2], np.array([p[3] for p in parts])), tuple(extra)


class _Line:
    """What the plate says in a line: its numbers, and the pieces that have a form."""

    def __init__(self, plate: Plate) -> None:
        marks = ("", " ", " | ")  # a new fragment starts behind a bar; what isn't certain is a question mark
        text = "".join(
            marks[plate.gap[i]] + (glyph.chars if len(glyph.chars) == 1 else "?")
            for i, glyph in enumerate(plate.glyphs)
        )
        self.numbers = legible_numbers(text)
        pieces = list(_PIECE.finditer(text))
        self._pieces: dict[str, list[Legible]] = {}
        for k, first in enumerate(pieces):
            for last in pieces[k : k + _LONGEST_NAME]:
                name = text[first.start() : last.end()]
                if "|" in name or "?" in name:
                    break
                digits = sum(char.isdigit() for char in name)
                found = Legible(first.start(), last.end(), name, 0.0, 0.0, max(1, digits))
                self._pieces.setdefault(form_of(name.replace(" ", "")), []).append(found)

    def named(self, forms: frozenset[str]) -> list[Legible]:
        """The pieces of one of the forms."""
        return [one for form in sorted(forms) for one in self._pieces.get(form, ())]


def _made(lexicon: Lexicon, slot: Slot, flat: Flat, line: _Line) -> Iterator[tuple[Row, str, float]]:
    """Rows that this core and the plate's numbers make, each with its text and cost [nat]."""
    family, field = lexicon.families[slot.family], slot.field
    variables = [part for part in flat if isinstance(part, Variable)]
    names = [v.attribute for v in variables]
    open_ = [v for v in variables if slot.sets.is_open(v.attribute)]
    if not open_ or len(set(names)) < len(names):
        return
    forms = [
        slot.sets.forms(v.attribute) if family.attribute(v.attribute).unit is None else None for v in open_
    ]
    runs = list(_runs([line.numbers if form is None else line.named(form) for form in forms]))
    for words in slot.sets.words(tuple(names)) if runs else ():
        ways = {v: variable_spellings(family, v, words[v.attribute]) for v in variables if v not in open_}
        if not all(ways.values()):
            continue
        for run in runs:
            made = _filled(slot, family, dict(zip(open_, run, strict=True)))
            if made is None:
                continue
            values, cost = made
            typed = {v: number.text for v, number in zip(open_, run, strict=True)}
            row = Row(tuple({**words, **values}.get(name) for name in field.attributes))
            for spelt in islice(product(*(ways[v] for v in ways)), _MOST_SPELLINGS):
                said = typed | {v: text for v, (text, _) in zip(ways, spelt, strict=True)}
                yield row, "".join(p if isinstance(p, str) else said[p] for p in flat), cost


def _filled(
    slot: Slot, family: Family, run: Mapping[Variable, Legible]
) -> tuple[dict[str, Cell], float] | None:
    """The values that the variables take, and what they cost together [nat]; None where one is out of all reason."""
    values: dict[str, Cell] = {}
    cost = 0.0
    for variable, found in run.items():
        unit = variable.unit or family.attribute(variable.attribute).unit
        if unit is None:
            values[variable.attribute] = found.text.replace(" ", "")
            cost += _DIGIT * (found.digits - 1)
        elif found.low == found.high or unit in _RANGED or not found.by_slash:
            value = _in_si(found, unit)
            values[variable.attribute] = value
            cost += _cost(slot, variable.attribute, value, found, unit)
        else:
            return None
    return (values, cost) if cost > -np.inf else None


def _runs(choices: Sequence[Sequence[Legible]]) -> list[tuple[Legible, ...]]:
    """Every run of neighbours, one of each choice in order."""
    runs: list[tuple[Legible, ...]] = [(one,) for one in choices[0]]
    for more in choices[1:]:
        runs = [(*run, one) for run in runs for one in more if 0 < one.start - run[-1].end <= 3]
    return runs


def _in_si(number: Legible, unit: str) -> float | tuple[float, float]:
    return (
        to_si(number.low, unit)
        if number.low == number.high
        else (to_si(number.low, unit), to_si(number.high, unit))
    )


def _cost(slot: Slot, name: str, value: object, number: Legible, unit: str) -> float:
    """Log prior of the number against the field's usual ones [nat]; -inf far outside them."""
    if name not in slot.spans:
        return -np.inf
    low, high = slot.spans[name]
    ends = value if isinstance(value, tuple) else (value, value)
    if min(ends) <= 0 or low <= 0 or (not unit and name in slot.counts and not float(ends[0]).is_integer()):
        return -np.inf
    octaves = max(log2(low / ends[0]), log2(ends[1] / high), 0.0)
    if octaves > _MOST_OCTAVES:
        return -np.inf
    # an inch size in sixty-fourths is as likely as one of two digits
    digits = min(number.digits, 2) if unit == "in" and (64 * number.low).is_integer() else number.digits
    wide = 0.0 if number.low == number.high else _BY_SLASH if number.by_slash else _RANGE
    return _DIGIT * (digits - 1) + _OCTAVE * octaves + wide
