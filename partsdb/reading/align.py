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
class Strip:
    """Texts laid end to end, each with one slot before it for "nothing written yet".

    codes: alphabet entry per slot (channel.SIZE at start slots); starts, ends: slots per text; gaps: packed
    cost per kind of gap and slot; lost: packed cost of a glyph without trace; first, last: classes of each
    text's end glyphs.
    """

    codes: Ints
    starts: Ints
    ends: Ints
    gaps: tuple[Packed, Packed, Packed]
    lost: Packed
    first: Ints
    last: Ints
    longest: int

    def __len__(self) -> int:
        return len(self.starts)


def _loss(text: str, k: int) -> float:
    """Cost of the k-th glyph leaving no trace: dots and degree signs often do, but not a decimal point."""
    if channel.glyph_class(text[k]) < 2:
        return channel.DELETED
    inside = 0 < k < len(text) - 1 and text[k - 1].isdigit() and text[k + 1].isdigit()
    return channel.DELETED if inside else -0.5 if text[k] in ".°" else -2.0


def strip_of(texts: Sequence[str]) -> Strip:
    """Folded texts (blanks between words) as a strip. No text may be empty."""
    codes: list[int] = []
    blanks: list[bool] = []
    lost: list[float] = []
    starts: list[int] = []
    first: list[bool] = []
    longest = 1
    for text in texts:
        bare = text.replace(" ", "")
        starts.append(len(codes))
        codes.append(channel.SIZE)
        blanks.append(False)
        lost.append(NEVER)
        first.append(False)
        longest = max(longest, len(bare))
        blank = False
        k = 0
        for char in text:
            if char == " ":
                blank = True
                continue
            codes.append(channel.code(char))
            blanks.append(blank and k > 0)
            lost.append(_loss(bare, k))
            first.append(k == 0)
            blank = False
            k += 1
    ends = [*(s - 1 for s in starts[1:]), len(codes) - 1]
    blank_at, first_at = np.array(blanks, dtype=bool), np.array(first, dtype=bool)
    costs = [np.where(blank_at, w, u) for w, u in zip(_GAP_WRITTEN, _GAP_UNWRITTEN, strict=True)]
    gaps = tuple(pack(np.where(first_at, 0.0, cost)) for cost in costs)
    index = [np.array(x, dtype=np.intp) for x in (codes, starts, ends)]
    kinds = [np.array([channel.glyph_class(t[k]) for t in texts], dtype=np.intp) for k in (0, -1)]
    return Strip(
        index[0],
        index[1],
        index[2],
        (gaps[0], gaps[1], gaps[2]),
        pack(np.array(lost)),
        kinds[0],
        kinds[1],
        longest,
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
    return (-4.0 if kind == 0 else 0.0, -4.0 if kind == 1 else 0.0, 0.0)


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


def _swallow(cells: Packed, strip: Strip, first: float, further: float) -> Packed:
    """Cells after an illegible stretch that swallows one or more glyphs of the text."""
    begin, go_on = pack(first), np.full(len(cells), pack(further), dtype=np.int32)
    go_on[strip.starts] = pack(NEVER)
    opened = cells + begin
    opened[1:] = opened[:-1].copy()
    opened[strip.starts] = pack(NEVER)
    for _ in range(min(strip.longest, _LONGEST_SWALLOW) - 1):
        np.maximum(opened[1:], opened[:-1] + go_on[1:], out=opened[1:])
    return opened


def _step(cells: Packed, strip: Strip, steps: Steps, i: int) -> Packed:
    """Cells after glyph i."""
    if steps.run[i]:
        swallowed = _swallow(cells, strip, channel.RUN_FIRST, channel.RUN_NEXT)
        return np.asarray(np.maximum(swallowed, cells + pack(channel.RUN_FIRST)), dtype=np.int32)
    after = np.empty_like(cells)
    np.add(cells[:-1], steps.emissions[i][strip.codes[1:]], out=after[1:])
    after[1:] += strip.gaps[steps.gap[i]][1:]
    after[0] = pack(NEVER)
    np.maximum(after, cells + steps.inserted[i], out=after)
    return after


def align(strip: Strip, steps: Steps) -> Packed:
    """For every place i (0..n) and text: the packed best alignment that ends just before glyph i.

    A text begins at any place, for the cost of tearing a word apart there (`Steps.edge`).
    """
    n = len(steps)
    entry = pack(np.array(steps.edge)) + np.arange(n + 1, dtype=np.int32)[:, None]
    found = np.empty((n + 1, len(strip)), dtype=np.int32)
    cells = np.full(len(strip.codes), pack(NEVER), dtype=np.int32)
    for i in range(n + 1):
        cells[strip.starts] = entry[i][strip.first]
        if steps.gap[i] == 2:
            np.maximum(cells, _swallow(cells, strip, channel.CUT_FIRST, channel.CUT_NEXT), out=cells)
        else:
            for _ in range(2):
                np.maximum(cells[1:], cells[:-1] + strip.lost[1:], out=cells[1:])
        found[i] = cells[strip.ends]
        if i < n:
            cells = _step(cells, strip, steps, i)
    return found


def edges(steps: Steps) -> NDArray[np.float32]:
    """Cost of beginning at each place, one column per class of the first glyph [nat]."""
    return np.array(steps.edge, dtype=np.float32)
