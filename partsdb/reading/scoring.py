"""What each field of each family could say on this plate: rows, places and scores."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Field, Row
from partsdb.reading import align
from partsdb.reading.align import NEVER, Ints, Packed, Steps, pack, place, score
from partsdb.reading.channel import Plate
from partsdb.reading.fragments import fold_text
from partsdb.reading.instruments import number_of
from partsdb.reading.lexicon import Columns, Ends, Lexicon, Slot, columns_of, variable_spellings
from partsdb.reading.numerals import in_si, numbers_in
from partsdb.reading.templates import Flat, Variable

Floats = NDArray[np.float64]
_ACROSS = -1.0  # a label in one fragment, its number in the next [nat]
WINDOW = 13.0  # places this much worse than the field's best are dropped [nat]
MOST_PLACES = 80  # of one field
_ODD_DIGIT = (
    -1.5
)  # an off-grid number's digits after the first: any of ten, though round ones are likelier [nat]
_BEYOND = 2.5  # off-grid numbers lie at most this factor outside the standard rows


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where a field could stand: per entry the row (>= number of rows: an off-grid one), the glyphs [start,
    end), and log odds of the text alone [nat]. best: per row the best log odds anywhere. extra: off-grid rows.
    """

    slot: Slot
    row: Ints
    start: Ints
    end: Ints
    gain: Floats
    best: Floats
    extra: tuple[Row, ...]


def _labels(ends: Ends, steps: Steps) -> Packed:
    """Per place and group: the packed best prefix that ends there (NEVER for groups without prefixes)."""
    best = np.full((len(steps) + 1, len(ends.bare)), pack(NEVER / 2), dtype=np.int32)
    if len(ends.text):
        ways = align.align(ends.strip, steps)[:, ends.text] + pack(ends.logp)
        offsets = np.flatnonzero(np.diff(ends.group, prepend=-1))
        across = pack(np.where([g == 2 for g in steps.gap], _ACROSS, 0.0))
        best[:, ends.group[offsets]] = np.maximum.reduceat(ways, offsets, axis=1) + across[:, None]
    return best


@dataclass(frozen=True, slots=True, eq=False)
class Margins:
    """The plate as steps, and what it says before and behind a core at each place: packed best prefix that ends
    there, packed best suffix that begins there (it carries its end), cost of tearing a word there."""

    steps: Steps
    before: Packed
    behind: Packed
    torn: NDArray[np.float32]


def margins_of(lexicon: Lexicon, plate: Plate) -> Margins:
    """Prefixes and suffixes of every writing, scored once for all rows."""
    steps, back = align.steps_of(plate), align.steps_of(plate, backwards=True)
    behind = _labels(lexicon.suffixes, back)[::-1]
    behind = (behind >> align.BITS << align.BITS) | (len(plate) - place(behind))
    return Margins(steps, _labels(lexicon.prefixes, steps), behind, align.edges(back)[::-1])


@dataclass(frozen=True, slots=True, eq=False)
class Scores:
    """Per place i and column: total log odds; and where those alignments begin and end, with the prefix or the
    suffix that they take."""

    total: NDArray[np.float32]
    core: Packed
    columns: Columns
    before: Packed | None
    behind: Packed | None

    def at(self, i: Ints, column: Ints) -> tuple[Ints, Ints]:
        """(start, end) of those alignments."""
        group = self.columns.group[column]
        start = place(self.core[i, self.columns.text[column]])
        if self.before is not None:
            start = place(self.before[start, group])
        end = i if self.behind is None else place(self.behind[i, group])
        return start.astype(np.intp), end.astype(np.intp)


def score_columns(columns: Columns, margins: Margins, lexicon: Lexicon) -> list[Scores]:
    """Every core text, with and without the best prefix before it and suffix behind it: a label that this text
    would take may belong to another field."""
    core = align.align(columns.strip, margins.steps)
    own, group = score(core)[:, columns.text], columns.group
    own += columns.logp.astype(np.float32)
    bare = [_bare(ends)[group] for ends in (lexicon.prefixes, lexicon.suffixes)]
    begin = place(core)[:, columns.text]
    before = [(None, bare[0]), (margins.before, score(margins.before)[begin, group])]
    torn = margins.torn[:, columns.strip.last][:, columns.text]
    behind = [(None, torn + bare[1]), (margins.behind, score(margins.behind)[:, group])]
    return [
        Scores(own + head + tail, core, columns, first, last)
        for first, head in before
        for last, tail in behind
    ]


def _bare(ends: Ends) -> NDArray[np.float32]:
    """Per group the log prior of having no prefix (suffix), NEVER where it must have one."""
    return np.where(np.isfinite(ends.bare), ends.bare, NEVER / 2).astype(np.float32)


def _number_windows(plate: Plate, count: int) -> list[tuple[float, ...]]:
    """Every run of `count` neighbouring legible numbers on the plate."""
    line = ""
    for i, glyph in enumerate(plate.glyphs):
        line += (" " if plate.gap[i] else "") + (glyph.chars if len(glyph.chars) == 1 else "?")
    numbers = numbers_in(line)
    windows: list[tuple[tuple[float, ...], int]] = [((x,), end) for _, end, x in numbers]
    for _ in range(count - 1):
        windows = [
            ((*seen, x), end2) for seen, end in windows for begin, end2, x in numbers if 0 < begin - end <= 3
        ]
    return list(dict.fromkeys(seen for seen, _ in windows))


def _core_rows(lexicon: Lexicon, slot: Slot, flat: Flat, plate: Plate) -> list[tuple[Row, str]]:
    """Off-grid rows that this core and the plate's numbers make, each with its text."""
    family, field = lexicon.families[slot.family], slot.field
    names = [part.attribute for part in flat if isinstance(part, Variable)]
    units = []
    for part in flat:
        if isinstance(part, Variable):
            attribute = family.attribute(part.attribute)
            units.append(part.unit if part.unit is not None else attribute.unit)
    numeric = [u for u in units if u is not None]
    if not names or len(numeric) < len(units) or len(set(names)) < len(names):
        return []
    rows = []
    for numbers in _number_windows(plate, len(names)):
        values = dict(zip(names, (in_si(x, u) for x, u in zip(numbers, numeric, strict=True)), strict=True))
        texts = [
            p
            if isinstance(p, str)
            else next(iter(variable_spellings(family, p, values[p.attribute])), ("", 0.0))[0]
            for p in flat
        ]
        if all(texts) and all(_plausible(field, name, x) for name, x in values.items()):
            rows.append((Row(tuple(values.get(name) for name in field.attributes)), "".join(texts)))
    return rows


def _plausible(field: Field, name: str, x: float) -> bool:
    """Whether a number lies in or near the range of the field's rows."""
    k = field.attributes.index(name)
    known = [end for row in field.rows for end in number_of(row.values[k]) if end == end]
    return bool(known) and min(known) / _BEYOND <= x <= max(known) * _BEYOND


def _on_grid(row: Row, rows: Sequence[Row]) -> bool:
    """Whether a row of the field already says these numbers."""

    def same(a: object, b: object) -> bool:
        if b is None:
            return True
        return isinstance(a, float | int) and isinstance(b, float) and abs(a - b) <= 2e-3 * abs(b)

    return any(all(same(a, b) for a, b in zip(known.values, row.values, strict=True)) for known in rows)


def off_grid(lexicon: Lexicon, plate: Plate) -> tuple[Columns, tuple[tuple[Row, ...], ...]]:
    """Columns for the legible numbers that no row has, and the rows they stand for, per slot."""
    texts: list[str] = []
    parts: list[tuple[int, int, int, float]] = []
    extra: list[tuple[Row, ...]] = []
    for n, slot in enumerate(lexicon.slots):
        new: dict[tuple[object, ...], Row] = {}
        for form, group in slot.shapes if slot.field.off_grid is not None else ():
            for flat, p in form.cores:
                for row, text in _core_rows(lexicon, slot, flat, plate):
                    if row.values not in new and _on_grid(row, slot.field.rows):
                        continue
                    new.setdefault(row.values, row)
                    odd = _ODD_DIGIT * (sum(c.isdigit() for c in text) - 1)
                    texts.append(fold_text(text))
                    parts.append((n, len(slot.field.rows) + list(new).index(row.values), group, p + odd))
        extra.append(tuple(new.values()))
    index = [np.array([part[k] for part in parts], dtype=np.intp) for k in range(3)]
    return columns_of(texts, index[0], index[1], index[2], np.array([p[3] for p in parts])), tuple(extra)


def _peak(variants: Sequence[Scores]) -> NDArray[np.float32]:
    """Each column's best total anywhere, in any variant."""
    return np.asarray(np.max([scores.total.max(axis=0) for scores in variants], axis=0))


def _row_best(slot: Slot, columns: Columns, peak: NDArray[np.float32], rows: int, own: slice) -> Floats:
    best = np.full(rows, NEVER)
    np.maximum.at(best, columns.row[own], peak[own])
    return best


def _unique(row: Ints, start: Ints, end: Ints, gain: Floats) -> Ints:
    """Indices of the best entry of each (row, start, end), best first, at most MOST_PLACES."""
    order = np.argsort(-gain, kind="stable")
    seen: set[tuple[int, int, int]] = set()
    kept = []
    for k in order:
        key = (int(row[k]), int(start[k]), int(end[k]))
        if key not in seen:
            seen.add(key)
            kept.append(k)
            if len(kept) == MOST_PLACES:
                break
    return np.array(kept, dtype=np.intp)


def _gather(
    columns: Columns,
    variants: Sequence[Scores],
    peak: NDArray[np.float32],
    own: slice,
    bias: Floats,
    floor: float,
) -> list[NDArray[np.float64]]:
    """Entries (row, start, end, gain, ranking) of a slice of columns that beat the floor."""
    if own.start == own.stop:
        return [np.empty(0)] * 5
    rows = columns.row[own]
    prior = bias[rows].astype(np.float32)
    least = max(floor, float((peak[own] + prior).max()) - WINDOW)
    found = []
    for scores in variants:
        total = scores.total[:, own]
        i, column = np.nonzero(total > least - prior)
        ranked = total[i, column] + prior[column]
        if len(i) > 8 * MOST_PLACES:
            top = np.argpartition(-ranked, 8 * MOST_PLACES)[: 8 * MOST_PLACES]
            i, column, ranked = i[top], column[top], ranked[top]
        start, end = scores.at(i, column + own.start)
        keep = end > start
        parts = (rows[column], start, end, total[i, column], ranked)
        found.append([np.asarray(part[keep], dtype=np.float64) for part in parts])
    return [np.concatenate(part) for part in zip(*found, strict=True)]


def places_of(
    lexicon: Lexicon, plate: Plate, margins: Margins, priors: Sequence[Floats], floors: Sequence[float]
) -> list[Places]:
    """For every slot the places where it could stand. priors: log prior per row; floors: log odds with prior
    below which a place isn't worth keeping."""
    scores = score_columns(lexicon.columns, margins, lexicon)
    peak = _peak(scores)
    more, extra = off_grid(lexicon, plate)
    more_scores = score_columns(more, margins, lexicon) if len(more.text) else []
    found = []
    for n, slot in enumerate(lexicon.slots):
        rows, own = len(slot.field.rows), slice(slot.begin, slot.end)
        penalty = slot.field.off_grid if slot.field.off_grid is not None else 0.0
        bias = np.concatenate([priors[n], np.full(len(extra[n]), penalty)])
        entries = _gather(lexicon.columns, scores, peak, own, bias, floors[n])
        best = _row_best(slot, lexicon.columns, peak, rows + len(extra[n]), own)
        if more_scores and extra[n]:
            mine = np.flatnonzero(more.field == n)
            theirs = slice(int(mine[0]), int(mine[-1]) + 1)
            added = _gather(more, more_scores, _peak(more_scores), theirs, bias, floors[n])
            entries = [np.concatenate(pair) for pair in zip(entries, added, strict=True)]
            np.maximum.at(best, more.row[theirs], _peak(more_scores)[theirs])
        row, start, end = (part.astype(np.intp) for part in entries[:3])
        top = _unique(row, start, end, entries[4])
        found.append(Places(slot, row[top], start[top], end[top], entries[3][top], best, extra[n]))
    return found
