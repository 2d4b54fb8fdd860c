"""What each field of each family could say on this plate: rows, places and scores."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, Row
from partsdb.reading import align, channel
from partsdb.reading.align import NEVER, Ints, Packed, Steps, Tree, pack, place, score
from partsdb.reading.channel import Plate
from partsdb.reading.fragments import fold_text
from partsdb.reading.lexicon import CoreTexts, Ends, Lexicon, Slot
from partsdb.reading.unlisted import off_grid
from partsdb.tables import load

Floats = NDArray[np.float64]
_ACROSS = -1.0  # a label in one fragment, its number in the next [nat]
_CLAIMED = 15.0  # a number is taken from a label that says what else it is [nat]
WINDOW = 13.0  # places this much worse than the field's best are dropped [nat]
MOST_COLUMNS = 1500  # texts of one field that are looked at closely
MOST_PLACES = 80  # of one field
_WORD = (
    8.0  # a given common word is one of many; what is left lets a family that fits read a value from it [nat]
)


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
        ways = align.align(ends.tree, steps)[:, ends.text] + pack(ends.logp)
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
    columns: CoreTexts
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


@dataclass(frozen=True, slots=True, eq=False)
class Scored:
    """The columns that can matter on this plate, with their prior, in four variants: with and without the best
    prefix before and suffix behind, because a label that this text would take may belong to another field."""

    columns: CoreTexts
    prior: NDArray[np.float32]
    variants: tuple[Scores, ...]
    peak: NDArray[np.float32]

    def of(self, slot: int) -> slice:
        """The columns of a slot."""
        ends = np.searchsorted(self.columns.field, [slot, slot + 1])
        return slice(int(ends[0]), int(ends[1]))


def _promising(
    columns: CoreTexts, reach: NDArray[np.float32], prior: NDArray[np.float32], floors: Floats
) -> Ints:
    """Columns whose greatest possible score beats their slot's floor; of a large slot only the best."""
    bound = reach + prior
    kept = np.flatnonzero(bound > floors[columns.field])
    counts = np.bincount(columns.field[kept], minlength=len(floors))
    for slot in np.flatnonzero(counts > MOST_COLUMNS):
        mine = kept[columns.field[kept] == slot]
        worst = np.argpartition(-bound[mine], MOST_COLUMNS)[MOST_COLUMNS:]
        kept = np.setdiff1d(kept, mine[worst], assume_unique=True)
    return kept


def score_columns(
    columns: CoreTexts, margins: Margins, lexicon: Lexicon, prior: NDArray[np.float32], floors: Floats
) -> Scored:
    """Every core text that can matter, at every place."""
    core = align.align(columns.tree, margins.steps)
    bare = [_bare(ends) for ends in (lexicon.prefixes, lexicon.suffixes)]
    before, behind = score(margins.before), score(margins.behind)
    least = [np.maximum(b, channel.CUT_LABEL) for b in bare]
    most = np.maximum(before.max(axis=0), least[0]) + np.maximum(behind.max(axis=0), least[1])
    reach = score(core.max(axis=0))[columns.text] + columns.logp.astype(np.float32) + most[columns.group]
    kept = _promising(columns, reach, prior, floors)
    columns, prior = columns.only(kept), prior[kept]
    own, group = score(core)[:, columns.text], columns.group
    own += columns.logp.astype(np.float32)
    begin = place(core)[:, columns.text]
    # a label alone is no evidence for a value: of what it labels at least one glyph must have been there
    own[begin == np.arange(len(own))[:, None]] = NEVER
    edge = np.array([g == 2 for g in margins.steps.gap])
    lost = [np.maximum(b, channel.CUT_LABEL)[group] for b in bare]
    alone = np.where(edge[begin], lost[0], bare[0][group])
    heads = [(None, alone), (margins.before, before[begin, group])]
    torn = margins.torn[:, columns.tree.last[columns.text]]
    tails = [
        (None, torn + np.where(edge[:, None], lost[1], bare[1][group])),
        (margins.behind, behind[:, group]),
    ]
    variants = [
        Scores(own + head + tail, core, columns, first, last) for first, head in heads for last, tail in tails
    ]
    peak = np.max([scores.total.max(axis=0) for scores in variants], axis=0)
    return Scored(columns, prior, tuple(variants), np.asarray(peak))


def _bare(ends: Ends) -> NDArray[np.float32]:
    """Per group the log prior of having no prefix (suffix), NEVER where it must have one."""
    return np.where(np.isfinite(ends.bare), ends.bare, NEVER / 2).astype(np.float32)


def _unique(row: Ints, start: Ints, end: Ints, gain: Floats) -> Ints:
    """Indices of the best entry of each (row, start, end), best first, at most MOST_PLACES."""
    order = np.argsort(-gain, kind="stable")
    seen: set[tuple[int, int, int]] = set()
    kept = []
    for k, key in zip(
        order, zip(row[order].tolist(), start[order].tolist(), end[order].tolist(), strict=True), strict=True
    ):
        if key not in seen:
            seen.add(key)
            kept.append(k)
            if len(kept) == MOST_PLACES:
                break
    return np.array(kept, dtype=np.intp)


def _gather(scored: Scored, slot: int, floor: float) -> list[NDArray[np.float64]]:
    """Entries (row, start, end, gain, ranking) of a slot's columns that beat the floor."""
    own = scored.of(slot)
    if own.start == own.stop:
        return [np.empty(0)] * 5
    rows, prior = scored.columns.row[own], scored.prior[own]
    least = max(floor, float((scored.peak[own] + prior).max()) - WINDOW)
    able = np.flatnonzero(scored.peak[own] + prior > least)
    found = []
    for scores in scored.variants:
        total = scores.total[:, own.start + able]
        i, at = np.nonzero(total > least - prior[able])
        column = able[at]
        ranked = total[i, at] + prior[column]
        if len(i) > 8 * MOST_PLACES:
            top = np.argpartition(-ranked, 8 * MOST_PLACES)[: 8 * MOST_PLACES]
            i, at, column, ranked = i[top], at[top], column[top], ranked[top]
        start, end = scores.at(i, column + own.start)
        keep = end > start
        parts = (rows[column], start, end, total[i, at], ranked)
        found.append([np.asarray(part[keep], dtype=np.float64) for part in parts])
    return [np.concatenate(part) for part in zip(*found, strict=True)]


@cache
def _anyones_words(own: frozenset[str]) -> Tree:
    words = [fold_text(row["word"]) for row in load("plate_words").rows]
    return align.tree_of([*words, *_other_words(own)])


def _other_words(own: frozenset[str]) -> list[str]:
    """Words that name kinds of part nobody here knows: a family that is here claims its own back."""
    return [word for row in load("other_kinds").rows if (word := fold_text(row["word"])) not in own]


def names_of(families: Iterable[Family]) -> frozenset[str]:
    """What these families are called on plates and by people, folded."""
    called = ((family.title, *family.words, *_label_texts(family)) for family in families)
    return frozenset(fold_text(name.upper()) for names in called for name in names)


def _label_texts(family: Family) -> list[str]:
    return [writing.template for field in family.fields if not field.attributes for writing in field.writings]


def _common(margins: Margins, glyphs: int, own: frozenset[str]) -> Floats:
    """Per glyph: what words that any plate carries, or that name other kinds, explain of it [nat]. A field that
    reads its value from such a word gets only what is left, or every "MADE IN ..." would name a kind of part."""
    tree, share = _anyones_words(own), np.zeros(glyphs)
    found = align.align(tree, margins.steps)
    gain = score(found) + margins.torn[:, tree.last] - _WORD
    for i, word in zip(*np.nonzero(gain > 0), strict=True):
        start = int(place(found[i, word]))
        if start < i:
            share[start:i] = np.maximum(share[start:i], gain[i, word] / (i - start))
    return share


@cache
def _other_kinds(own: frozenset[str]) -> Tree:
    return align.tree_of(_other_words(own))


def names_another_kind(margins: Margins, own: frozenset[str]) -> float:
    """How much better than chance the plate is explained by a word that names a kind of part nobody here knows
    [nat], 0 when there is none: the word is one of many, and stands somewhere on the plate."""
    tree = _other_kinds(own)
    found = align.align(tree, margins.steps)
    gain = score(found) + margins.torn[:, tree.last]
    heads = np.array([g == 2 for g in margins.steps.gap])  # a name stands at the head of a line
    best = float(np.where(heads[place(found)], gain, NEVER).max())
    return max(0.0, best - float(np.log(len(tree) * max(1, heads.sum()))))


def _prior_of(columns: CoreTexts, priors: Sequence[Floats]) -> NDArray[np.float32]:
    """Each column's row prior [nat]."""
    offsets = np.cumsum([0, *(len(p) for p in priors)])
    return np.concatenate([*priors, np.zeros(1)])[offsets[columns.field] + columns.row].astype(np.float32)


def _claimed(start: Ints, end: Ints, claims: Sequence[tuple[range, range]]) -> Floats:
    """What it costs each place to take a number from the label it belongs to [nat]."""
    cost = np.zeros(len(start))
    for label, number in claims:
        takes = (start < number.stop) & (end > number.start)
        cost[takes & ~((start <= label.start) & (end >= label.stop))] = _CLAIMED
    return cost


def places_of(
    lexicon: Lexicon,
    plate: Plate,
    margins: Margins,
    priors: Sequence[Floats],
    floors: Sequence[float],
    claims: Sequence[Sequence[tuple[range, range]]],
) -> list[Places]:
    """For every slot the places where it could stand. priors: log prior per row; floors: log odds with prior
    below which a place isn't worth keeping; claims: per family the labels that explain their numbers away
    (`labels.claims`)."""
    least = np.array(floors)
    scored = [score_columns(lexicon.columns, margins, lexicon, _prior_of(lexicon.columns, priors), least)]
    more, extra = off_grid(lexicon, plate)
    if len(more.text):
        penalty = np.array([s.field.off_grid for s in lexicon.slots], dtype=np.float32)
        scored.append(score_columns(more, margins, lexicon, penalty[more.field], least))
    explained = np.concatenate([[0.0], np.cumsum(_common(margins, len(plate), names_of(lexicon.families)))])
    found = []
    for n, slot in enumerate(lexicon.slots):
        best = np.full(len(slot.field.rows) + len(extra[n]), NEVER)
        for one in scored:
            np.maximum.at(best, one.columns.row[one.of(n)], one.peak[one.of(n)])
        gathered = [_gather(one, n, floors[n]) for one in scored]
        entries = [np.concatenate(part) for part in zip(*gathered, strict=True)]
        row, start, end = (part.astype(np.intp) for part in entries[:3])
        common = explained[end] - explained[start] + _claimed(start, end, claims[slot.family])
        top = _unique(row, start, end, entries[4] - common)
        found.append(Places(slot, row[top], start[top], end[top], (entries[3] - common)[top], best, extra[n]))
    return found
