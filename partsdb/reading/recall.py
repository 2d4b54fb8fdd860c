"""Known parts against one plate: a quick score for all, an exact one for the best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from partsdb.model import Evidence, KnownPart, Reading, Value
from partsdb.reading import align
from partsdb.reading.channel import Plate
from partsdb.reading.drafts import Draft, Scribe, typed, with_measurements
from partsdb.reading.fragments import fold_text
from partsdb.reading.instruments import row_odds
from partsdb.reading.known import NOT_STATED, OFF_GRID, FamilyIndex, Texts, row_of
from partsdb.reading.options import DEFAULT, Options, lost
from partsdb.reading.scoring import Places

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_NUMBERED = 0.5  # P(a plate carries the part's number) [-]
_MADE = 0.4  # P(a plate carries the maker's name as we write it) [-]
_SAID_MAKER = 2.5  # the person named the maker, and it is this one [nat]
_COMMON = 0.7  # weight of the commonness of what a known part says: records are no census [-]
_BEHIND = 14.0  # parts this much worse than the best at first sight aren't scored exactly [nat]
RERANKED = 120  # parts scored exactly


@dataclass(frozen=True, slots=True, eq=False)
class Matches:
    """Each distinct text's best place on the plate: gain over chance [nat], and where."""

    gain: Floats
    start: Ints
    end: Ints


def match_texts(texts: Texts, steps: align.Steps, back: align.Steps) -> Matches:
    """Every text at its best place. Texts must be whole words there: torn edges are paid for."""
    if not texts.texts:
        return Matches(np.empty(0), np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp))
    found = align.align(texts.tree, steps)
    total = align.score(found) + align.edges(back)[::-1][:, texts.tree.last]
    end = total.argmax(axis=0)
    column = np.arange(len(texts.texts))
    start = align.place(found[end, column]).astype(np.intp)
    return Matches(total[end, column].astype(float), start, end.astype(np.intp))


def _per_part(texts: Texts, gain: Floats, parts: int) -> tuple[Floats, Ints]:
    """(best gain, its text or -1) per part."""
    best, which = np.full(parts, -np.inf), np.full(parts, -1, dtype=np.intp)
    order = np.argsort(gain[texts.text], kind="stable")
    best[texts.part[order]] = gain[texts.text][order]
    which[texts.part[order]] = texts.text[order]
    return best, which


def _present(gain: Floats, p: float) -> Floats:
    """Log factor of a text that stands on the plate with probability p, given its gain where it would."""
    return np.logaddexp(log(1 - p), log(p) + gain)


@dataclass(frozen=True, slots=True)
class _Item:
    """Something of a part that may stand on the plate: gain in score when it does, and where."""

    gain: float
    start: int
    end: int
    field: int  # -1: number or maker
    option: int
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Query:
    """One plate's scores, as the known parts need them."""

    reading: Reading
    plate: Plate
    places: Sequence[Places]
    options: Sequence[Options]
    steps: align.Steps
    back: align.Steps
    items: list[dict[int, list[_Item]]]
    priors: Sequence[Floats]


def _rows_now(index: FamilyIndex, k: int, places: Places) -> Ints:
    """Rows of field k with this plate's off-grid rows counted in."""
    rows = index.rows[:, k]
    if not places.extra or not (rows == OFF_GRID).any():
        return rows
    rows = rows.copy()
    for part in np.flatnonzero(rows == OFF_GRID):
        found = row_of(places.slot.field, index.contents[k][part], places.extra)
        rows[part] = len(places.slot.field.rows) + found if found >= 0 else OFF_GRID
    return rows


def _field_scores(index: FamilyIndex, query: Query) -> tuple[Floats, Ints]:
    """(log score of all fields per part, rows per part and field)."""
    total, columns = np.zeros(len(index.parts)), []
    for k, (places, options) in enumerate(zip(query.places, query.options, strict=True)):
        p_absent = _p_absent(options, query.plate)
        rows = _rows_now(index, k, places)
        odds = row_odds(index.family, options.field, options.rows, query.reading.measurements)
        shown = np.maximum(log(1 - p_absent) + places.best, log(p_absent)) + (0.0 if odds is None else odds)
        open_ = float(options.score[0]) - _unsaid(options)
        lookup = np.append(shown, [log(p_absent), open_])  # OFF_GRID, NOT_STATED
        total += lookup[rows]
        columns.append(rows)
    return total, np.stack(columns, axis=1)


def commonness(index: FamilyIndex, priors: Sequence[Floats]) -> Floats:
    """Log share of each known part among what comes to the bench [nat]; sums to one.

    A list carries rare and common things once each, but a failed part is more often a common one: every part is
    weighed by how common what it says is, and by how well its values agree, both softened by _COMMON.
    """
    total = index.agreement.copy()
    for k, (field, prior) in enumerate(zip(index.family.fields, priors, strict=True)):
        if not len(prior):
            continue
        shown = prior + (log(1 - field.p_absent) if field.default else 0.0)
        unsaid = log(field.p_absent) if field.default else -_surprise(prior)
        total += np.append(shown, [field.off_grid, unsaid])[index.rows[:, k]]  # OFF_GRID, NOT_STATED
    weight = _COMMON * total
    return np.asarray(weight - np.logaddexp.reduce(weight))


def _surprise(prior: Floats) -> float:
    """The mean of -log p over the rows: what a row that isn't told costs on average [nat]."""
    return float(-(np.exp(prior) * prior).sum())


def _p_absent(options: Options, plate: Plate) -> float:
    """P(nothing is read of a field | the part has a row of it): what is out of the usual is always marked, and
    can only be lost."""
    return lost(plate) if options.field.default else options.p_absent


def _unsaid(options: Options) -> float:
    """Log share of parts of which a usual field says nothing; it is no surprise for a part that is the usual."""
    return log(options.p_absent) if options.field.default else 0.0


def recalled(index: FamilyIndex, query: Query, scribe: Scribe) -> list[Draft]:
    """The best known parts as drafts, scored like constructed specifications (without the share of records)."""
    common = commonness(index, query.priors)
    fields, rows = _field_scores(index, query)
    numbers = match_texts(index.numbers, query.steps, query.back)
    makers = match_texts(index.makers, query.steps, query.back)
    number, which = _per_part(index.numbers, numbers.gain, len(index.parts))
    maker, whose = _per_part(index.makers, makers.gain, len(index.parts))
    quick = fields + common + _present(number, _NUMBERED) + _present(maker, _MADE)
    best = np.argsort(-quick, kind="stable")[:RERANKED]
    best = best[quick[best] > quick[best[0]] - _BEHIND]
    found = []
    for k in best:
        extra = [(numbers, which[k], _NUMBERED, "number"), (makers, whose[k], _MADE, "maker")]
        draft = _exact(index.parts[k], rows[k], query, extra, scribe)
        found.append(replace(draft, score=draft.score + float(common[k])))
    return found


def _items(rows: Ints, query: Query, extra: Sequence[tuple[Matches, int, float, str]]) -> list[_Item]:
    """All places where this part's fields, number and maker could stand, best first."""
    items = []
    for matches, text, p, note in extra:
        if text >= 0 and matches.gain[text] > 0:
            gain = float(matches.gain[text] + log(p) - log(1 - p))
            items.append(_Item(gain, int(matches.start[text]), int(matches.end[text]), -1, -1, note))
    for own, row in zip(query.items, rows.tolist(), strict=True):
        items += own.get(row, ())
    return sorted(items, key=lambda item: -item.gain)


def items_of(options: Sequence[Options], plate: Plate) -> list[dict[int, list[_Item]]]:
    """Per field: row -> its best places. NOT_STATED may be any row, for its prior."""
    found = []
    for k, one in enumerate(options):
        items: dict[int, list[_Item]] = {}
        p_absent = _p_absent(one, plate)
        present, absent = log(1 - p_absent), log(p_absent)
        for o in np.flatnonzero(one.end > one.start).tolist():
            start, end = int(one.start[o]), int(one.end[o])
            as_row = float(one.gain[o]) + present - absent
            as_any = float(one.score[o]) - log(one.p_absent)
            for row, gain in ((int(one.row[o]), as_row), (NOT_STATED, as_any)):
                own = items.setdefault(row, [])
                if gain > 0 and len(own) < 6:
                    own.append(_Item(gain, start, end, k, o))
        found.append(items)
    return found


def _exact(
    part: KnownPart,
    rows: Ints,
    query: Query,
    extra: Sequence[tuple[Matches, int, float, str]],
    scribe: Scribe,
) -> Draft:
    """One part scored with no glyph used twice; a field that stands inside its number counts as said."""
    used: set[int] = set()
    done: set[int] = set()
    absent = [
        log(o.p_absent) - _unsaid(o) if row == NOT_STATED else log(_p_absent(o, query.plate))
        for o, row in zip(query.options, rows, strict=True)
    ]
    score = sum(absent) + sum(log(1 - p) for *_, p, _ in extra)
    values: list[Value] = []
    read: list[Value] = []
    evidence: list[Evidence] = []
    legible = ""
    inside: set[int] = set()
    for item in _items(rows, query, extra):
        places = {i for i in range(item.start, item.end) if not query.plate.glyphs[i].run}
        if item.field in done and item.field >= 0:
            continue
        if used & places:
            if item.field >= 0 and places <= inside:
                score -= absent[item.field]
                done.add(item.field)
            continue
        used |= places
        score += item.gain
        done.add(item.field)
        if item.field < 0:
            inside |= places
            where, text = typed(query.reading, query.plate, item.start, item.end)
            evidence.append(Evidence(item.note, text, where, item.gain, f"{item.note} of a known part"))
            if item.note == "number" and _stands_whole(part, query.plate, item.start, item.end):
                legible = text
            continue
        more, why = scribe.said(query.options[item.field], item.option)
        evidence += why
        read += more
        if rows[item.field] == NOT_STATED:
            values += more
    for k, one in enumerate(query.options):
        if rows[k] == NOT_STATED and k not in done and DEFAULT in one.row:
            values += scribe.said(one, int(np.flatnonzero(one.row == DEFAULT)[0]))[0]
    if query.reading.context.maker and query.reading.context.maker.casefold() == part.maker.casefold():
        score += _SAID_MAKER
    spec = part.spec.plus(values)
    draft = Draft(scribe.family, spec, score, tuple(evidence), frozenset(used), part.id, tuple(read), legible)
    return with_measurements(scribe.family, draft, query.reading.measurements, frozenset())


def _stands_whole(part: KnownPart, plate: Plate, start: int, end: int) -> bool:
    """Whether one of the part's numbers is what stands there, sign for sign, with nothing joined to it."""
    seen = "".join(plate.visible(i) for i in range(start, end))
    numbers = {"".join(fold_text(number).split()) for number in (part.designation, *part.aliases)}
    apart = plate.gap[start] > 0 and plate.gap[end] > 0
    return apart and len(seen) == end - start and seen in numbers
