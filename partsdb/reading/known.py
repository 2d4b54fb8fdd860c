"""Known parts (catalogue, shelf, earlier records) as hypotheses: an index built once, and its scores.

A part is scored by what its fields' rows score on the plate (looked up, nothing is aligned again) and by its
number, other numbers and maker (aligned once per distinct text). The best are then scored again with no glyph
used twice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isclose

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, Field, Row
from partsdb.model import KnownPart, Spec, Value
from partsdb.reading.align import Tree, tree_of
from partsdb.reading.fragments import fold_text
from partsdb.reading.instruments import as_value, number_of

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
NOT_STATED, OFF_GRID = -1, -2  # row numbers of a field the part says nothing of, or says what no row has
_ODD = -8.0  # a recorded part whose values contradict one another altogether [nat]
_SAME = 2e-3  # numbers this close are one number on a plate [-]


@dataclass(frozen=True, eq=False)
class Texts:
    """Distinct texts (numbers, makers) and which part carries which."""

    texts: tuple[str, ...]
    text: Ints
    part: Ints

    @cached_property
    def tree(self) -> Tree:
        """The texts laid out for the alignment."""
        return tree_of(self.texts)


@dataclass(frozen=True, slots=True, eq=False)
class FamilyIndex:
    """One family's known parts. rows: (part, field) -> row of the field, NOT_STATED or OFF_GRID;
    contents: per field and part what it says, for the off-grid ones; agreement: how well a part's own values
    agree by the family's factors, <= 0 [nat]."""

    family: Family
    parts: tuple[KnownPart, ...]
    rows: Ints
    contents: tuple[tuple[tuple[object, ...], ...], ...]
    numbers: Texts
    makers: Texts
    agreement: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Index:
    """Known parts by family, ready for `identify`."""

    by_family: Mapping[str, FamilyIndex]

    def __len__(self) -> int:
        return sum(len(one.parts) for one in self.by_family.values())


def stated(spec: Spec, field: Field) -> tuple[object, ...]:
    """What a specification says for each attribute of a field: number, (low, high), code word or None."""
    found: list[object] = []
    for name in field.attributes:
        want = as_value(name, 0.0)
        value = next((v for v in spec.all(want.attribute) if _same_place(v, want)), None)
        found.append(None if value is None else _content(value))
    return tuple(found)


def _same_place(value: Value, want: Value) -> bool:
    return value.qualifier == want.qualifier and value.variant == want.variant


def _content(value: Value) -> object:
    if value.code is not None:
        return value.code
    if value.low is None or value.high is None:
        return None
    return value.low if value.low == value.high else (value.low, value.high)


def agrees(a: object, b: object) -> bool | None:
    """Whether two contents say the same; None when one of them says nothing."""
    if a is None or b is None:
        return None
    if isinstance(a, str) or isinstance(b, str):
        return a == b
    pairs = zip(number_of(a), number_of(b), strict=True)
    return all(isclose(x, y, rel_tol=_SAME) for x, y in pairs)


def row_of(field: Field, contents: tuple[object, ...], rows: Sequence[Row] | None = None) -> int:
    """The field's row that says these contents (most agreements, no contradiction), NOT_STATED or OFF_GRID."""
    if all(c is None for c in contents):
        return NOT_STATED
    best, most = OFF_GRID, 0
    for number, row in enumerate(field.rows if rows is None else rows):
        verdicts = [agrees(a, b) for a, b in zip(row.values, contents, strict=True)]
        if False not in verdicts and verdicts.count(True) > most:
            best, most = number, verdicts.count(True)
    if (
        best == OFF_GRID
        and field.default
        and any(agrees(a, b) for a, b in zip(field.default, contents, strict=True))
    ):
        return NOT_STATED
    return best


def _texts(per_part: Sequence[Sequence[str]]) -> Texts:
    known: dict[str, int] = {}
    pairs = [
        (known.setdefault(folded, len(known)), part)
        for part, texts in enumerate(per_part)
        for folded in dict.fromkeys(fold_text(t) for t in texts)
        if len(folded.replace(" ", "")) >= 2
    ]
    text, part = (np.array([p[k] for p in pairs], dtype=np.intp) for k in (0, 1))
    return Texts(tuple(known), text, part)


def _column(family: Family, name: str, parts: Sequence[KnownPart]) -> NDArray[np.generic]:
    """What the parts say of one attribute: floats with NaN, or code words with None."""
    want = as_value(name, 0.0)
    said = [next((v for v in p.spec.all(want.attribute) if _same_place(v, want)), None) for p in parts]
    if family.attribute(name).unit is None:
        return np.array([v.code if v is not None else None for v in said], dtype=object)
    middle = [v.middle if v is not None and v.code is None else None for v in said]
    return np.array([np.nan if x is None else x for x in middle])


def _agreement(family: Family, parts: Sequence[KnownPart]) -> Floats:
    """The family's consistency factors over the parts, at least _ODD: a record is seldom wrong."""
    total = np.zeros(len(parts))
    for factor in family.consistency:
        arrays = [_column(family, name, parts) for name in factor.attributes]
        with np.errstate(all="ignore"):
            found = np.asarray(factor.log_factor(*arrays), dtype=float)
        total += np.nan_to_num(np.broadcast_to(found, total.shape), nan=0.0, neginf=_ODD)
    return np.clip(total, _ODD, 0.0)


def _family_index(family: Family, parts: Sequence[KnownPart]) -> FamilyIndex:
    rows = np.full((len(parts), len(family.fields)), NOT_STATED, dtype=np.intp)
    contents = []
    for k, field in enumerate(family.fields):
        said = tuple(stated(part.spec, field) for part in parts)
        exact: dict[tuple[object, ...], int] = {row.values: number for number, row in enumerate(field.rows)}
        found = {c: exact.get(c, OFF_GRID) for c in dict.fromkeys(said)}
        found = {c: row if row >= 0 else row_of(field, c) for c, row in found.items()}
        rows[:, k] = [found[c] for c in said]
        contents.append(said)
    numbers = _texts([(part.designation, *part.aliases) for part in parts])
    makers = _texts([(part.maker,) for part in parts])
    agreement = _agreement(family, parts)
    return FamilyIndex(family, tuple(parts), rows, tuple(contents), numbers, makers, agreement)


def build_index(known: Sequence[KnownPart], families: Mapping[str, Family]) -> Index:
    """Known parts laid out for identification. Parts of families that aren't given are left out."""
    groups: dict[str, list[KnownPart]] = {}
    for part in known:
        if part.spec.family in families:
            groups.setdefault(part.spec.family, []).append(part)
    return Index({name: _family_index(families[name], parts) for name, parts in groups.items()})
