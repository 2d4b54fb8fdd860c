"""Which few numbers of many add up to a wanted total: exact search over sorted sizes, nearest to the target first.

Pairs by two searches in the sorted sizes, triples by pairs beside each first, quadruples by meeting in the middle:
pairs that add up to what other pairs leave open. Every tuple is found once, as ascending indices; one index
may repeat as often as there are pieces of that size.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.intp]

SHELLS = (0.02, 0.1, 0.3, 1.0)  # shares of the window searched one after another, from the target outwards
CHUNK = 100_000
MIDDLE = 1_200  # sizes up to which all pair sums are held at once


def nearest_first(
    sizes: Floats, pieces: Indices, count: int, low: float, high: float, target: float
) -> Iterator[Indices]:
    """Index tuples (rows) of `count` sizes with low <= sum <= high, in shells around the target.

    sizes: ascending, positive and distinct; pieces: how many there are of each. Within one array the
    nearest come first.
    """
    low, high = max(low, count * float(sizes[0])), min(high, count * float(sizes[-1]))
    if low > high:
        return
    target = min(max(target, low), high)
    inner: tuple[float, float] | None = None
    for share in SHELLS:
        a, b = target - share * (target - low), target + share * (high - target)
        if share == SHELLS[-1]:
            a, b = low, high  # exactly, whatever rounding makes of the line above
        for rows in _within(sizes, count, a, b):
            sums = sizes[rows].sum(axis=1)
            fresh = (sums >= low) & (sums <= high)
            if inner is not None:
                fresh &= (sums < inner[0]) | (sums > inner[1])
            fresh &= _enough(rows, pieces)
            rows, sums = rows[fresh], sums[fresh]
            if rows.size:
                yield rows[np.argsort(np.abs(sums - target), kind="stable")]
        inner = (a, b)


def _enough(rows: Indices, pieces: Indices) -> NDArray[np.bool_]:
    """Rows that ask for no more pieces of one size than there are."""
    good = np.ones(len(rows), dtype=bool)
    for column in range(rows.shape[1]):
        good &= (rows == rows[:, column : column + 1]).sum(axis=1) <= pieces[rows[:, column]]
    return good


def _within(sizes: Floats, count: int, low: float, high: float) -> Iterator[Indices]:
    slack = 1e-12 * abs(high)  # sums are taken in another order later; the caller cuts exactly
    low, high = low - slack, high + slack
    if count == 1:
        rows = np.flatnonzero((sizes >= low) & (sizes <= high))
        if rows.size:
            yield rows[:, None]
    elif count == 2:
        yield from _pairs(sizes, 0, low, high)
    elif count == 4 and len(sizes) <= MIDDLE:
        yield from _meet(sizes, low, high)
    else:
        yield from _beside(sizes, count, low, high)


def _pairs(sizes: Floats, start: int, low: float, high: float) -> Iterator[Indices]:
    """Pairs i <= j with start <= i."""
    first = np.arange(start, len(sizes))
    begin = np.maximum(np.searchsorted(sizes, low - sizes[start:], "left"), first)
    end = np.searchsorted(sizes, high - sizes[start:], "right")
    for i, j in _expand(begin, end):
        yield np.column_stack((first[i], j))


def _beside(sizes: Floats, count: int, low: float, high: float) -> Iterator[Indices]:
    """One size and `count - 1` others not below it."""
    for i in range(len(sizes)):
        own, rest = float(sizes[i]), count - 1
        if own * count > high:
            return
        if own + rest * float(sizes[-1]) < low:
            continue
        if rest == 2:
            found = _pairs(sizes, i, low - own, high - own)
        else:
            found = (rows + i for rows in _beside(sizes[i:], rest, low - own, high - own))
        for rows in found:
            yield np.column_stack((np.full(len(rows), i), rows))


def _meet(sizes: Floats, low: float, high: float) -> Iterator[Indices]:
    """Quadruples i <= j <= k <= l as two pairs (i, j) and (k, l)."""
    i, j = np.triu_indices(len(sizes))
    sums = sizes[i] + sizes[j]
    order = np.argsort(sums, kind="stable")
    i, j, sums = i[order], j[order], sums[order]
    for at in range(0, len(sums), 2_000):
        part = sums[at : at + 2_000]
        begin = np.searchsorted(sums, low - part, "left")
        end = np.searchsorted(sums, high - part, "right")
        for a, b in _expand(begin, end):
            a = a + at
            ascending = j[a] <= i[b]
            if ascending.any():
                a, b = a[ascending], b[ascending]
                yield np.column_stack((i[a], j[a], i[b], j[b]))


def _expand(begin: Indices, end: Indices) -> Iterator[tuple[Indices, Indices]]:
    """Every (row, index) with begin[row] <= index < end[row], some CHUNK at a time."""
    counts = np.maximum(end - begin, 0)
    rows = np.flatnonzero(counts)
    if not rows.size:
        return
    ends = np.cumsum(counts[rows])
    cut = 0
    while cut < len(rows):
        done = int(ends[cut - 1]) if cut else 0
        stop = max(cut + 1, int(np.searchsorted(ends, done + CHUNK, "right")))
        some = rows[cut:stop]
        repeats = counts[some]
        owner = np.repeat(some, repeats)
        offsets = np.arange(len(owner)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
        yield owner, begin[owner] + offsets
        cut = stop
