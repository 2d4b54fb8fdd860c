"""Every text that families can put on a plate, laid out for the alignment; built once per set of families."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import isnan

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, Field, Row
from partsdb.reading.align import Ints, Tree, tree_of
from partsdb.reading.fragments import fold_text
from partsdb.reading.instruments import number_of
from partsdb.reading.numerals import Spelling, range_spellings, spellings
from partsdb.reading.rowsets import RowSets
from partsdb.reading.templates import Flat, Shape, Variable, shape

Floats = NDArray[np.float64]
_MOST_SPELLINGS = 24  # of one row in one core


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """The prefixes or suffixes of all writings: distinct texts, and which of them each group may use.

    text, logp, group: one entry per (group, text); bare: per group, log prior of having none [nat].
    """

    tree: Tree
    text: Ints
    logp: Floats
    group: Ints
    bare: Floats


@dataclass(frozen=True, slots=True, eq=False)
class CoreTexts:
    """Core texts: the distinct ones as a tree, and per column which text it is, its field, row, group and log
    prior [nat]."""

    tree: Tree
    text: Ints
    field: Ints
    row: Ints
    group: Ints
    logp: Floats

    def only(self, kept: Ints) -> CoreTexts:
        """These columns, on the same tree."""
        return CoreTexts(
            self.tree, self.text[kept], self.field[kept], self.row[kept], self.group[kept], self.logp[kept]
        )


@dataclass(frozen=True, slots=True, eq=False)
class Slot:
    """A field of one of the families: which family, the field, its shapes with their groups; spans: the least
    and greatest number [SI] that its rows give each attribute; counts: those of which all are whole numbers;
    sets: its rows, to be asked."""

    family: int
    field: Field
    shapes: tuple[tuple[Shape, int], ...]
    spans: Mapping[str, tuple[float, float]]
    counts: frozenset[str]
    sets: RowSets


@dataclass(frozen=True, slots=True, eq=False)
class Lexicon:
    """All of it, for one tuple of families."""

    families: tuple[Family, ...]
    slots: tuple[Slot, ...]
    columns: CoreTexts
    prefixes: Ends
    suffixes: Ends


def variable_spellings(family: Family, part: Variable, value: object) -> tuple[Spelling, ...]:
    """How a plate writes one value of a row in place of a template's variable; () when it can't."""
    attribute = family.attribute(part.attribute)
    if isinstance(value, str):
        ways = attribute.spellings.get(value, (value,))
        return tuple((way, -0.3 * k) for k, way in enumerate(ways[:_MOST_SPELLINGS]))
    unit = part.unit if part.unit is not None else attribute.unit or ""
    if isinstance(value, tuple):
        return range_spellings(value[0], value[1], unit)
    if value is None:
        return ()
    return spellings(float(value), unit, part.decimals, part.fraction)  # type: ignore[arg-type]  # a row holds numbers


def core_texts(family: Family, field: Field, row: Row, flat: Flat) -> list[Spelling]:
    """Every text of a row in one core, with its log prior."""
    values = dict(zip(field.attributes, row.values, strict=True))
    ways = [
        ((part, 0.0),)
        if isinstance(part, str)
        else variable_spellings(family, part, values.get(part.attribute))
        for part in flat
    ]
    texts = [("".join(t for t, _ in way), sum(p for _, p in way)) for way in product(*ways)]
    return sorted(texts, key=lambda way: -way[1])[:_MOST_SPELLINGS]


@dataclass(slots=True)
class _Draft:
    """Core texts being gathered."""

    texts: list[str]
    field: list[int]
    row: list[int]
    group: list[int]
    logp: list[float]

    def add(self, family: Family, n: int, field: Field, row: tuple[int, Row], at: tuple[Shape, int]) -> None:
        best: dict[str, float] = {}
        for flat, core_p in at[0].cores:
            for text, p in core_texts(family, field, row[1], flat):
                folded = fold_text(text)
                if folded:
                    best[folded] = max(p + core_p, best.get(folded, -np.inf))
        self.texts += best
        self.logp += best.values()
        for column, value in ((self.field, n), (self.row, row[0]), (self.group, at[1])):
            column += [value] * len(best)


def columns_of(texts: Sequence[str], field: Ints, row: Ints, group: Ints, logp: Floats) -> CoreTexts:
    """Core texts from their parts."""
    known: dict[str, int] = {}
    text = np.array([known.setdefault(t, len(known)) for t in texts], dtype=np.intp)
    return CoreTexts(tree_of(tuple(known) or ("X",)), text, field, row, group, logp)


def _ends(groups: Sequence[tuple[tuple[str, float], ...]], *, backwards: bool) -> Ends:
    """The ends of all groups; suffixes are laid out backwards, to be met by a plate read backwards."""
    known: dict[str, int] = {}
    entries: list[tuple[int, int, float]] = []
    bare = np.full(len(groups), -np.inf)
    for g, ways in enumerate(groups):
        for text, p in ways:
            folded = fold_text(text)
            if not folded:
                bare[g] = max(bare[g], p)
                continue
            way = folded[::-1] if backwards else folded
            entries.append((known.setdefault(way, len(known)), g, p))
    texts = tuple(known) or ("X",)
    index = [np.array([e[k] for e in entries], dtype=np.intp) for k in (0, 1)]
    return Ends(tree_of(texts), index[0], np.array([e[2] for e in entries]), index[1], bare)


def _spans(field: Field) -> dict[str, tuple[float, float]]:
    found = {}
    for k, name in enumerate(field.attributes):
        known = [end for row in field.rows for end in number_of(row.values[k]) if not isnan(end)]
        if known:
            found[name] = (min(known), max(known))
    return found


def _counts(field: Field) -> frozenset[str]:
    return frozenset(
        name
        for k, name in enumerate(field.attributes)
        if all(end.is_integer() for row in field.rows for end in number_of(row.values[k]) if not isnan(end))
    )


def _build(families: tuple[Family, ...]) -> Lexicon:
    draft = _Draft([], [], [], [], [])
    groups: dict[tuple[object, object], int] = {}
    slots: list[Slot] = []
    for number, family in enumerate(families):
        for field in family.fields:
            shapes = []
            for writing in field.writings:
                form = shape(writing)
                group = groups.setdefault((form.prefixes, form.suffixes), len(groups))
                shapes.append((form, group))
                for row in enumerate(field.rows):
                    draft.add(family, len(slots), field, row, (form, group))
            slots.append(
                Slot(number, field, tuple(shapes), _spans(field), _counts(field), RowSets(family, field))
            )
    index = [np.array(x, dtype=np.intp) for x in (draft.field, draft.row, draft.group)]
    columns = columns_of(draft.texts, index[0], index[1], index[2], np.array(draft.logp))
    prefixes = _ends([key[0] for key in groups], backwards=False)  # type: ignore[misc]  # keys are ways
    suffixes = _ends([key[1] for key in groups], backwards=True)  # type: ignore[misc]  # keys are ways
    return Lexicon(families, tuple(slots), columns, prefixes, suffixes)


@dataclass(frozen=True, slots=True)
class _SameObjects:
    """Families compared by identity: they hold mappings, so they can't be hashed by content."""

    families: tuple[Family, ...]

    def __hash__(self) -> int:
        return hash(tuple(id(f) for f in self.families))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _SameObjects) or len(self.families) != len(other.families):
            return False
        return all(a is b for a, b in zip(self.families, other.families, strict=True))


@lru_cache(maxsize=16)
def _cached(key: _SameObjects) -> Lexicon:
    return _build(key.families)


def lexicon_of(families: Sequence[Family]) -> Lexicon:
    """The lexicon of these families, built at the first call and kept."""
    return _cached(_SameObjects(tuple(families)))
