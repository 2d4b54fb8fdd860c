"""Where on the plate could each text stand, and how well: every text against every place at once.

Dynamic programming over the plate's glyphs with all texts side by side in one flat array, so that a step is a
dozen numpy operations whatever their number. A cell holds the best score and where that alignment starts, packed
into one integer: `score [1/1000 nat] << BITS | start`; adding a packed cost leaves the start alone, and the
greater of two cells is the better one. Max-product; `posterior` widens for what the maximum leaves out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsdb.reading import channel
from partsdb.reading.channel import Plate

BITS = 10  # a place on the plate: channel.MOST_GLYPHS < 2**BITS
SCALE = 1000.0  # score units per nat
_LONGEST_SWALLOW = 16  # glyphs that one illegible stretch can take from a text
NEVER = -900.0  # [nat]; deep enough to lose, small enough for 32 bits

# A blank on the plate where the text has none, and the other way round, by what stands before the glyph
# (nothing, a blank, a new fragment) [nat].
_GAP_UNWRITTEN = (0.0, -1.6, -3.5)
_GAP_WRITTEN = (-0.25, 0.0, -1.2)

Packed = NDArray[np.int32]
Ints = NDArray[np.intp]


def pack(nats: float | NDArray[np.float64]) -> Packed:
    """A cost or score in nat as a packed one (start 0)."""
    return np.asarray(np.rint(np.asarray(nats) * SCALE).astype(np.int64) << BITS, dtype=np.int32)


def score(packed: Packed) -> NDArray[np.float32]:
    """The score of packed cells [nat]."""
    return np.asarray((packed >> BITS).astype(np.float32) / np.float32(SCALE))


def place(packed: Packed) -> Packed:
    """The place that packed cells carry."""
    return packed & ((1 << BITS) - 1)


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """Distinct texts as a tree of their beginnings, so that what texts share is scored once.

    The first three nodes are roots ("nothing written yet"), one per class of first glyph. Per node: codes
    (alphabet entry; channel.SIZE at roots), parent, gaps (packed cost per kind of gap before the glyph), lost
    (packed cost of the glyph leaving no trace). Per text: its last node, and the classes of its end glyphs.
    """

    codes: Ints
    parent: Ints
    gaps: tuple[Packed, Packed, Packed]
    lost: Packed
    end: Ints
    first: Ints
    last: Ints
    longest: int

    def __len__(self) -> int:
        return len(self.end)


_BLANK = 512  # added to an alphabet entry: the glyph has a blank before it


def _tokens(text: str) -> tuple[int, ...]:
    """Alphabet entries of a folded text; blanks are marks on the glyph behind them."""
    found: list[int] = []
    for word in text.split():
        marks = [channel.code(char) for char in word]
        marks[0] += _BLANK if found else 0
        found += marks
    return tuple(found)


def _loss(token: int, before: int | None) -> float:
    """Cost of a glyph leaving no trace: dots and degree signs often do, but not a decimal point."""
    char = channel.ALPHABET[token % _BLANK] if token % _BLANK < channel.OTHER else ""
    if not char or channel.glyph_class(char) < 2:
        return channel.DELETED
    if char in ".°":
        digit = before is not None and channel.entry_class(before % _BLANK) == 0
        return channel.DELETED if digit and char == "." else -0.5
    return -2.0


def _grow(texts: Sequence[tuple[int, ...]]) -> tuple[list[int], list[int], list[float], list[int]]:
    """(tokens, parents, losses) of the nodes, and each text's last node. Texts are taken in sorted order, so
    that only what a text doesn't share with the one before makes new nodes."""
    tokens, parent, lost = [channel.SIZE] * 3, [0, 1, 2], [NEVER] * 3
    end = [0] * len(texts)
    path: list[int] = []
    before: tuple[int, ...] = ()
    for k in sorted(range(len(texts)), key=texts.__getitem__):
        text = texts[k]
        shared, most = 0, min(len(before), len(text))
        while shared < most and before[shared] == text[shared]:
            shared += 1
        del path[shared:]
        for at in range(shared, len(text)):
            tokens.append(text[at])
            parent.append(path[-1] if path else channel.entry_class(text[0]))
            lost.append(_loss(text[at], text[at - 1] if at else None))
            path.append(len(tokens) - 1)
        end[k] = path[-1]
        before = text
    return tokens, parent, lost, end


def tree_of(texts: Sequence[str]) -> Tree:
    """Folded texts (blanks between words) as a tree. No text may be empty."""
    spelled = [_tokens(text) for text in texts]
    tokens, parents, lost, end = _grow(spelled)
    token, parent = np.array(tokens, dtype=np.intp), np.array(parents, dtype=np.intp)
    blank, begins = token >= _BLANK, parent < 3
    costs = [np.where(blank, w, u) for w, u in zip(_GAP_WRITTEN, _GAP_UNWRITTEN, strict=True)]
    gaps = [pack(np.where(begins, 0.0, cost)) for cost in costs]
    kinds = [np.array([channel.entry_class(t[k] % _BLANK) for t in spelled], dtype=np.intp) for k in (0, -1)]
    longest = max(len(t) for t in spelled)
    ends = np.array(end, dtype=np.intp)
    codes = token % _BLANK
    return Tree(
        codes, parent, (gaps[0], gaps[1], gaps[2]), pack(np.array(lost)), ends, kinds[0], kinds[1], longest
    )


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """A plate as the alignment walks it: packed emissions per glyph, inserted-glyph costs, gaps, runs."""

    emissions: Packed
    inserted: tuple[Packed, ...]
    gap: tuple[int, ...]
    run: tuple[bool, ...]
    edge: tuple[tuple[float, float, float], ...]  # cost of starting at i, by class of the text's first glyph

    def __len__(self) -> int:
        return len(self.run)


def _inserted(plate: Plate, i: int) -> float:
    seen = plate.visible(i)
    if not plate.glyphs[i].chars:
        return channel.INSERTED_ILLEGIBLE
    if seen and seen in ".°" and not (plate.visible(i - 1).isdigit() and plate.visible(i + 1).isdigit()):
        return -1.2
    return channel.INSERTED


def _edge(plate: Plate, i: int, step: int) -> tuple[float, float, float]:
    """Cost of a text that begins (step -1) or ends (step +1) beside glyph i: words are seldom torn apart."""
    near = plate.visible(i)
    if plate.glyphs[i].run:
        return (0.0, 0.0, 0.0)
    if not near:
        return (-0.7, -0.7, 0.0)
    kind = channel.glyph_class(near)
    if near == "." and plate.visible(i + step).isdigit():
        kind = 0
    # a number seldom stands close behind a letter, where step -1 looks; a unit often stands close behind its number
    return (-6.0 if kind == 0 else -1.2 if kind == 1 and step < 0 else 0.0, -6.0 if kind == 1 else 0.0, 0.0)


def steps_of(plate: Plate, *, backwards: bool = False) -> Steps:
    """The plate as steps, read forwards or backwards."""
    n = len(plate)
    order = range(n - 1, -1, -1) if backwards else range(n)
    emissions = np.full((n, channel.SIZE + 1), NEVER)
    emissions[:, : channel.SIZE] = plate.odds[list(order)]
    gap = tuple(plate.gap[n - i] if backwards else plate.gap[i] for i in range(n + 1))
    turn = 1 if backwards else -1
    edge = [(0.0, 0.0, 0.0)] * (n + 1)
    for i in range(1, n):
        if gap[i] == 0:
            edge[i] = _edge(plate, n - i if backwards else i - 1, turn)
    return Steps(
        pack(emissions),
        tuple(pack(_inserted(plate, i)) for i in order),
        gap,
        tuple(plate.glyphs[i].run for i in order),
        tuple(edge),
    )


def _swallow(cells: Packed, tree: Tree, first: float, further: float) -> Packed:
    """Cells after an illegible stretch that swallows one or more glyphs of the text."""
    opened = (cells + pack(first))[tree.parent]
    opened[:3] = pack(NEVER)
    go_on = pack(further)
    for _ in range(min(tree.longest, _LONGEST_SWALLOW) - 1):
        np.maximum(opened, (opened + go_on)[tree.parent], out=opened)
        opened[:3] = pack(NEVER)
    return opened


def _step(cells: Packed, tree: Tree, steps: Steps, i: int) -> Packed:
    """Cells after glyph i."""
    if steps.run[i]:
        swallowed = _swallow(cells, tree, channel.RUN_FIRST, channel.RUN_NEXT)
        return np.asarray(np.maximum(swallowed, cells + pack(channel.RUN_FIRST)), dtype=np.int32)
    after = cells[tree.parent]
    after += steps.emissions[i][tree.codes]
    after += tree.gaps[steps.gap[i]]
    np.maximum(after, cells + steps.inserted[i], out=after)
    after[:3] = pack(NEVER)
    return after


def align(tree: Tree, steps: Steps) -> Packed:
    """For every place i (0..n) and text: the packed best alignment that ends just before glyph i.

    A text begins at any place, for the cost of tearing a word apart there (`Steps.edge`).
    """
    n = len(steps)
    entry = pack(np.array(steps.edge)) + np.arange(n + 1, dtype=np.int32)[:, None]
    found = np.empty((n + 1, len(tree)), dtype=np.int32)
    cells = np.full(len(tree.codes), pack(NEVER), dtype=np.int32)
    for i in range(n + 1):
        cells[:3] = entry[i]
        if steps.gap[i] == 2:
            np.maximum(cells, _swallow(cells, tree, channel.CUT_FIRST, channel.CUT_NEXT), out=cells)
        else:
            for _ in range(2):
                np.maximum(cells, cells[tree.parent] + tree.lost, out=cells)
        found[i] = cells[tree.end]
        if i < n:
            cells = _step(cells, tree, steps, i)
    return found


def edges(steps: Steps) -> NDArray[np.float32]:
    """Cost of beginning at each place, one column per class of the first glyph [nat]."""
    return np.array(steps.edge, dtype=np.float32)
