"""Hypotheses before they are weighed: values with their sources, evidence, and a log score."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from partsdb.family import Family
from partsdb.model import Evidence, Measured, Reading, Spec, Value
from partsdb.quantities import show
from partsdb.reading.beam import Combos, nothing_read
from partsdb.reading.channel import Plate
from partsdb.reading.instruments import as_value, bare, how_measured, log_odds, nearest, number_of, row_ends
from partsdb.reading.options import DEFAULT, Options
from partsdb.source import judgement, measured
from partsdb.source import plate as on_plate

_MOST_SPECS = 400  # combinations of one family that are written out
_OPEN = judgement("what is usual when the plate says nothing")


@dataclass(frozen=True, slots=True)
class Draft:
    """A hypothesis with its log score [nat]. covered: glyphs it explains."""

    family: Family
    spec: Spec
    score: float
    evidence: tuple[Evidence, ...] = ()
    covered: frozenset[int] = frozenset()
    part_id: str | None = None


def says(family: Family, value: Value) -> str:
    """A value as a person reads it."""
    if value.code is not None:
        return value.code
    unit = family.attribute(value.attribute).unit or ""
    if value.low is None or value.high is None or value.low == value.high:
        return show(value.middle or 0.0, unit)
    return f"{show(value.low, unit).removesuffix(unit).strip()}-{show(value.high, unit)}"


def typed(reading: Reading, plate: Plate, start: int, end: int) -> tuple[tuple[int, int, int], str]:
    """((fragment, start, end) as typed, the text there) of glyphs [start, end); a text that runs into the next
    fragment is shown where it begins, with all of its words."""
    first = plate.where[start]
    pieces: dict[int, tuple[int, int]] = {}
    for fragment, begin, stop in plate.where[start:end]:
        pieces[fragment] = (min(begin, pieces.get(fragment, (begin, 0))[0]), stop)
    text = " ".join(reading.fragments[f].text[a:b] for f, (a, b) in pieces.items())
    return (first[0], first[1], pieces[first[0]][1]), text


def read_values(
    family: Family, reading: Reading, plate: Plate, one: Options, k: int
) -> tuple[list[Value], list[Evidence]]:
    """What option k of a field says, with its evidence."""
    row, start, end = int(one.row[k]), int(one.start[k]), int(one.end[k])
    contents = one.rows[row].values if row >= 0 else one.field.default if row == DEFAULT else None
    if contents is None:
        return [], []
    values = [as_value(n, v) for n, v in zip(one.field.attributes, contents, strict=True) if v is not None]
    if end > start:
        where, text = typed(reading, plate, start, end)
        values = [replace(v, source=on_plate(text), as_written=text) for v in values]
        note = "a number no standard row has" if row >= len(one.field.rows) else ""
        return values, [
            Evidence(v.attribute, says(family, v), where, float(one.gain[k]), note) for v in values
        ]
    if row == DEFAULT:
        values = [replace(v, source=_OPEN) for v in values]
        return values, [Evidence(v.attribute, says(family, v), None, 0.0, "assumed: usual") for v in values]
    source = judgement("the only standard size near what was measured")
    return [replace(v, source=source) for v in values], []


def _covered(
    options: Sequence[Options], pick: np.ndarray[tuple[int, ...], np.dtype[np.intp]]
) -> frozenset[int]:
    return frozenset(
        i for one, k in zip(options, pick, strict=True) for i in range(int(one.start[k]), int(one.end[k]))
    )


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
            value = Value(
                one.attribute, one.value, one.value, source=measured(one.tool), as_written=one.as_written
            )
            draft = replace(draft, spec=draft.spec.plus([value]))
            continue
        ends = np.array([number_of((full.low, full.high) if full.low != full.high else full.low)])
        odds = float(log_odds(nearest(ends, one.value), one, how_measured(family, one.attribute))[0])
        unit = family.attribute(one.attribute).unit or ""
        note = f"measured {show(one.value, unit)} with {one.tool}"
        added = Evidence(one.attribute, says(family, full), None, odds, note)
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


def drafts_of(
    family: Family, reading: Reading, plate: Plate, options: Sequence[Options], combos: Combos
) -> list[Draft]:
    """The best combinations written out; those that say the same are added up."""
    merged: dict[object, Draft] = {}
    counted = counted_by_fields(family, options, reading.measurements)
    for score, pick in zip(combos.score[:_MOST_SPECS], combos.pick[:_MOST_SPECS], strict=True):
        if nothing_read(options, pick) and not reading.measurements:
            continue
        values: list[Value] = []
        evidence: list[Evidence] = []
        for one, k in zip(options, pick, strict=True):
            more, why = read_values(family, reading, plate, one, int(k))
            values += more
            evidence += why
        draft = Draft(
            family, Spec(family.name, tuple(values)), float(score), tuple(evidence), _covered(options, pick)
        )
        known = merged.get(draft.spec.key)
        if known is not None:
            draft = replace(known, score=float(np.logaddexp(known.score, draft.score)))
        merged[draft.spec.key] = draft
    drafts = [with_measurements(family, d, reading.measurements, counted) for d in merged.values()]
    return sorted(drafts, key=lambda d: -d.score)


def identity_key(family: Family, spec: Spec) -> tuple[object, ...]:
    """What the specification says the part is: its identity attributes, numbers to within their tolerance."""
    parts: list[tuple[object, ...]] = []
    for value in spec.values:
        if family.attribute(value.attribute).identity:
            ends = tuple(None if x is None else float(f"{x:.4g}") for x in (value.low, value.high))
            parts.append((bare(value.attribute), value.qualifier, value.variant, ends, value.code))
    return (family.name, *sorted(parts, key=repr))


def unread_of(reading: Reading, plate: Plate, covered: frozenset[int]) -> tuple[str, ...]:
    """Stretches of the plate that the best hypothesis doesn't explain, as typed."""
    stretches: list[list[int]] = []
    for i, glyph in enumerate(plate.glyphs):
        if i in covered or not glyph.chars:
            continue
        new = not stretches or stretches[-1][-1] != i - 1 or plate.gap[i] > 0
        if new:
            stretches.append([i])
        else:
            stretches[-1].append(i)
    found: Mapping[str, None] = {
        typed(reading, plate, s[0], s[-1] + 1)[1]: None
        for s in stretches
        if len(s) > 1 or plate.visible(s[0]).isalnum()
    }
    return tuple(found)
