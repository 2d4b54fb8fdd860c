"""Hypotheses before they are weighed: values with their sources, evidence, and a log score."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import log
from typing import cast

import numpy as np

from partsdb.family import Family
from partsdb.model import Evidence, Faith, Measured, Reading, Spec, Value
from partsdb.reading.beam import Groups
from partsdb.reading.channel import MISREAD_MOST, Plate, misreading
from partsdb.reading.instruments import (
    as_value,
    bare,
    contradicts,
    how_measured,
    log_odds,
    nearest,
    number_of,
    row_ends,
)
from partsdb.reading.legible import faith
from partsdb.reading.options import DEFAULT, Options, usual_belief
from partsdb.source import judgement, measured
from partsdb.source import plate as on_plate

_USUAL = judgement("what is usual when the plate says nothing")
_SIZED = judgement("a standard size near what was measured")

_LOOSE = (
    0.004  # an attribute whose equals may differ by this much [-] is a rating that varies about its nominal
)
# weight of how clean the plate is on what a reading does to its legible glyphs, on a word that it changes, and on each
# piece that it leaves [-]; judgement
_UNFAITHFUL, _WORD, _LEFT = -2.0, -4.0, -0.7

Items = frozenset[tuple[object, ...]]
"""What a specification says the part is: (attribute, qualifier, variant, numbers, code word) of each value."""

Said = tuple[tuple[Value, ...], tuple[Evidence, ...]]


@dataclass(frozen=True, slots=True)
class Draft:
    """A hypothesis with its log score [nat]. covered: glyphs it explains. Of a known part: read, what of it stands on
    the plate; number, its number as typed where that stands there whole and legible."""

    family: Family
    spec: Spec
    score: float
    evidence: tuple[Evidence, ...] = ()
    covered: frozenset[int] = frozenset()
    part_id: str | None = None
    read: tuple[Value, ...] = ()
    number: str = ""
    idle: float = 0.0
    mixed: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Scribe:
    """Writes one family's options out as values with evidence; each option once."""

    family: Family
    reading: Reading
    plate: Plate
    written: dict[tuple[str, int], Said] = field(default_factory=dict)

    @property
    def words(self) -> frozenset[str]:
        """The attributes that are told in words."""
        return frozenset(a.name for a in self.family.attributes if a.unit is None)

    def said(self, one: Options, k: int) -> Said:
        """What option k of a field says, with its evidence."""
        key = (one.field.name, k)
        if key not in self.written:
            self.written[key] = self._said(one, k)
        return self.written[key]

    def charged(self, draft: Draft) -> Draft:
        """The draft with what it costs beyond the channel that it changes legible glyphs, reads what isn't stated,
        takes a part of a piece and leaves the rest, or leaves whole pieces: much on a clean plate, nothing on one
        where many others are lost. What is read of a part of a piece isn't what stands there."""
        pieces = self.plate.pieces()
        torn = [piece for piece in pieces if self._torn(piece, draft.covered)]
        unfaithful = {(e.where, self._is_word(e)) for e in draft.evidence if e.where and e.faith != "exact"}
        evidence = tuple(self._of_torn(e, torn) for e in draft.evidence)
        left = sum(draft.covered.isdisjoint(piece) and self._legible(piece) for piece in pieces)
        clean = log(MISREAD_MOST / misreading(self.plate.legible))
        idle = _LEFT * clean * left
        cost = sum(_WORD if word else _UNFAITHFUL for _, word in unfaithful) + _UNFAITHFUL * len(torn)
        return replace(draft, score=draft.score + cost * clean + idle, idle=idle, evidence=evidence)

    def _of_torn(self, e: Evidence, torn: Sequence[range]) -> Evidence:
        if e.where is None or e.faith == "changed":
            return e
        fragment, start, end = e.where
        for piece in torn:
            places = [self.plate.where[i] for i in piece]
            if any(f == fragment and start <= at < end for f, at, _ in places):
                return replace(e, faith="changed")
        return e

    def _is_word(self, e: Evidence) -> bool:
        return e.attribute in self.words

    def _legible(self, piece: Iterable[int]) -> bool:
        return any(self.plate.visible(i).isalnum() for i in piece)

    def _torn(self, piece: range, covered: frozenset[int]) -> bool:
        left = [i for i in piece if i not in covered]
        return 0 < len(left) < len(piece) and self._legible(left)

    def _said(self, one: Options, k: int) -> Said:
        contents = one.contents(k)
        if contents is None:
            return (), ()
        named = zip(one.field.attributes, contents, strict=True)
        values = [as_value(name, content) for name, content in named if content is not None]
        if one.end[k] > one.start[k]:
            where, text = typed(self.reading, self.plate, int(one.start[k]), int(one.end[k]))
            note = "not a usual value" if one.row[k] >= len(one.field.rows) else ""
            read = one.rows[int(one.row[k])]
            true = faith(self.family, one.field, read, self.plate, int(one.start[k]), int(one.end[k]))
            evidence = [
                Evidence(v.attribute, says(self.family, v), where, float(one.gain[k]), note, true)
                for v in values
            ]
            source = on_plate(text)
            return tuple(replace(v, source=source, as_written=text) for v in values), tuple(evidence)
        if one.row[k] == DEFAULT:
            note = "assumed: it is the usual one, and nothing says otherwise"
            usual = [Evidence(v.attribute, says(self.family, v), None, 0.0, note) for v in values]
            belief = usual_belief(self.plate)
            return tuple(replace(v, source=_USUAL, confidence=belief) for v in values), tuple(usual)
        return tuple(replace(v, source=_SIZED) for v in values), ()


def says(family: Family, value: Value) -> str:
    """A value as a person reads it."""
    if value.code is not None:
        return value.code
    return family.attribute(value.attribute).spoken(value.low, value.high)


def typed(reading: Reading, plate: Plate, start: int, end: int) -> tuple[tuple[int, int, int], str]:
    """((fragment, start, end) as typed, the text there) of glyphs [start, end); a text that runs into the next
    fragment is placed where it begins, with all of its words."""
    first = plate.where[start]
    pieces: dict[int, tuple[int, int]] = {}
    for fragment, begin, stop in plate.where[start:end]:
        pieces[fragment] = (min(begin, pieces.get(fragment, (begin, 0))[0]), stop)
    text = " ".join(reading.fragments[f].text[a:b] for f, (a, b) in pieces.items())
    return (first[0], first[1], pieces[first[0]][1]), text


def with_measurements(
    family: Family, draft: Draft, measurements: Sequence[Measured], counted: frozenset[str]
) -> Draft:
    """The draft with what was measured: evidence for what it already says (scored here unless a field counted
    it), a value of its own where nothing says it."""
    known = {a.name for a in family.attributes}
    for one in measurements:
        if one.attribute not in known or family.attribute(one.attribute).unit is None:
            continue
        full = family.complete(draft.spec).first(one.attribute)
        if full is None or full.code is not None:
            source = measured(one.tool)
            value = Value(one.attribute, one.value, one.value, source=source, as_written=one.as_written)
            draft = replace(draft, spec=draft.spec.plus([value]))
            continue
        ends = np.array([number_of((full.low, full.high))])
        odds = float(log_odds(nearest(ends, one.value), one, how_measured(family, one.attribute))[0])
        note = f"measured {family.attribute(one.attribute).spoken(one.value, one.value)} with {one.tool}"
        faith_: Faith = "contradicted" if contradicts(odds) else "exact"
        added = Evidence(one.attribute, says(family, full), None, odds, note, faith_)
        score = draft.score if one.attribute in counted else draft.score + odds
        draft = replace(draft, score=score, evidence=(*draft.evidence, added))
    return draft


def counted_by_fields(
    family: Family, options: Sequence[Options], measurements: Sequence[Measured]
) -> frozenset[str]:
    """Measured attributes that a field's own rows were already scored with."""
    return frozenset(
        m.attribute
        for m in measurements
        if any(row_ends(family, one.field, one.rows, m.attribute) is not None for one in options)
    )


def drafts_of(scribe: Scribe, options: Sequence[Options], groups: Groups, most: int) -> list[Draft]:
    """The best groups written out, measurements counted in."""
    measurements = scribe.reading.measurements
    counted = counted_by_fields(scribe.family, options, measurements)
    drafts = []
    for score, pick, share in zip(groups.score[:most], groups.pick, groups.share, strict=False):
        values: list[Value] = []
        evidence: list[Evidence] = []
        covered: set[int] = set()
        for one, k, belief in zip(options, pick, share, strict=True):
            more, why = scribe.said(one, int(k))
            values += (
                more
                if belief > 0.9999
                else [replace(v, confidence=v.confidence * float(belief)) for v in more]
            )
            evidence += why
            covered.update(range(int(one.start[k]), int(one.end[k])))
        spec = Spec(scribe.family.name, tuple(values))
        draft = Draft(scribe.family, spec, float(score), tuple(evidence), frozenset(covered))
        drafts.append(with_measurements(scribe.family, draft, measurements, counted))
    return drafts


def identity_items(family: Family, spec: Spec) -> Items:
    """What the specification says the part is: its identity attributes, numbers to four digits."""
    items: list[tuple[object, ...]] = []
    for value in spec.values:
        if family.attribute(value.attribute).identity:
            ends = tuple(None if x is None else float(f"{x:.4g}") for x in (value.low, value.high))
            items.append((bare(value.attribute), value.qualifier, value.variant, ends, value.code))
    return frozenset(items)


def without_loose_ends(family: Family, items: Items) -> Items:
    """The items, without the numbers that may differ a little and still be the same to the family."""
    return frozenset(
        (*item[:3], None, item[4]) if family.attribute(str(item[0])).rel_tol >= _LOOSE else item
        for item in items
    )


def same_items(family: Family, one: Items, other: Items) -> bool:
    """Whether two sets of items say the same, numbers within what the family takes for equal."""
    if one == other:
        return True
    if len(one) != len(other) or without_loose_ends(family, one) != without_loose_ends(family, other):
        return False
    ordered = (sorted(items, key=lambda item: repr((item[:3], item[4]))) for items in (one, other))
    return all(_near(family.attribute(str(a[0])).rel_tol, a[3], b[3]) for a, b in zip(*ordered, strict=True))


def _near(tolerance: float, one: object, other: object) -> bool:
    ends = zip(cast(tuple[float | None, ...], one), cast(tuple[float | None, ...], other), strict=True)
    return all(
        x == y or (x is not None and y is not None and abs(x - y) <= tolerance * max(abs(x), abs(y)))
        for x, y in ends
    )
