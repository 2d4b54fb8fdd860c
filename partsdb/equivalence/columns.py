"""Parts as numpy columns by attribute and qualifier, and which rows a limit proves wrong. NaN is unknown and passes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from partsdb.attributes import Attribute
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.model import KnownPart, Limit, Spec

from .checks import CLASS_KINDS, ROUNDING, widened

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]
LAST_BIT = 63


@dataclass(frozen=True, slots=True)
class Column:
    """What every part offers of one attribute under one qualifier.

    low, high: hull over all values and connections [SI], ±inf where open, NaN where nothing is offered.
    codes: bit k set = the part offers the word at place k of `words`, 0 = nothing known.
    """

    low: Floats | None = None
    high: Floats | None = None
    codes: NDArray[np.uint64] | None = None
    words: tuple[str, ...] = ()

    @property
    def size(self) -> int:
        """The number of rows."""
        return next(a.size for a in (self.low, self.codes) if a is not None)

    @property
    def absent(self) -> Bools:
        """Rows that offer nothing here."""
        nothing = np.ones(self.size, dtype=bool)
        if self.low is not None:
            nothing &= np.isnan(self.low)
        if self.codes is not None:
            nothing &= self.codes == 0
        return nothing

    def rows(self, start: int, stop: int) -> Column:
        """A slice of the rows, without copying."""
        return replace(
            self,
            low=None if self.low is None else self.low[start:stop],
            high=None if self.high is None else self.high[start:stop],
            codes=None if self.codes is None else self.codes[start:stop],
        )


@dataclass(frozen=True, slots=True)
class Columns:
    """The parts of one family as columns by (attribute, qualifier); `parts` gives the row's part."""

    parts: Sequence[KnownPart]
    size: int
    of: Mapping[tuple[str, str], Column]


def columns_of(family: Family, parts: Sequence[KnownPart]) -> Columns:
    """Columns over the parts' completed specifications, in the parts' order."""
    size = len(parts)
    low: dict[tuple[str, str], Floats] = {}
    high: dict[tuple[str, str], Floats] = {}
    words: dict[tuple[str, str], dict[str, int]] = {}
    codes: dict[tuple[str, str], NDArray[np.uint64]] = {}
    for row, part in enumerate(parts):
        full = family.complete(part.spec)
        lacking = _lacking(full)
        for v in full.values:
            key = (v.attribute, v.qualifier)
            if key in lacking:
                continue  # some connection doesn't say it, so it proves nothing of the part
            if v.code is not None:
                known = words.setdefault(key, {})
                place_of = known.setdefault(v.code, len(known))
                if key not in codes:
                    codes[key] = np.zeros(size, dtype=np.uint64)
                # words past the 63rd share the last bit, which never proves a breach
                codes[key][row] |= np.uint64(1 << min(place_of, LAST_BIT))
                continue
            if key not in low:
                low[key], high[key] = np.full(size, np.nan), np.full(size, np.nan)
            low[key][row] = np.fmin(low[key][row], -np.inf if v.low is None else v.low)
            high[key][row] = np.fmax(high[key][row], np.inf if v.high is None else v.high)
    return Columns(
        parts,
        size,
        {
            key: Column(low.get(key), high.get(key), codes.get(key), tuple(words.get(key, ())))
            for key in dict.fromkeys((*low, *codes))
        },
    )


def _lacking(full: Spec) -> frozenset[tuple[str, str]]:
    """What a part of several connections offers in some of them only."""
    connections = full.variants()
    if len(connections) == 1:
        return frozenset()
    said: dict[tuple[str, str], set[int]] = {}
    for v in full.values:
        said.setdefault((v.attribute, v.qualifier), set()).add(v.variant)
    return frozenset(key for key, of in said.items() if 0 not in of and len(of) < len(connections))


def serving(family: Family, limit: Limit, columns: Columns) -> tuple[Column, ...]:
    """The columns whose ratings serve the limit."""
    return tuple(
        column
        for (name, qualifier), column in columns.of.items()
        if name == limit.attribute and family.qualifies(qualifier, limit.qualifier)
    )


def breached(family: Family, limit: Limit, columns: Columns) -> Bools | None:
    """Rows on which the limit is proved broken beyond reach; None when it proves nothing on any."""
    if limit.weight == "life":
        return None
    return proved(family.attribute(limit.attribute), limit, serving(family, limit, columns))


def proved(attribute: Attribute, limit: Limit, among: Sequence[Column]) -> Bools | None:
    """Rows on which something is offered and all of it is proved out; None when no column serves."""
    if not among:
        return None
    if len(among) == 1:
        return broken(attribute, limit, among[0])
    every, some = np.ones(among[0].size, dtype=bool), np.zeros(among[0].size, dtype=bool)
    for column in among:
        out = broken(attribute, limit, column)
        every &= out | column.absent
        some |= out
    return np.asarray(every & some)


def broken(attribute: Attribute, limit: Limit, column: Column) -> Bools:
    """Rows whose every value in this column is proved outside `accept` and `reach`."""
    if limit.kind in CLASS_KINDS:
        return _other_words(limit, column)
    if column.low is None or column.high is None or column.codes is not None:
        return np.zeros(column.size, dtype=bool)  # words where a number is wanted are unknown to the judge
    assert isinstance(limit.accept, Interval)
    wide = limit.reach if isinstance(limit.reach, Interval) else limit.accept
    if limit.kind == "covers":
        return _uncovered(limit.accept, column.low, column.high) & _uncovered(wide, column.low, column.high)
    tolerance = attribute.rel_tol if limit.kind == "equal" else ROUNDING
    return _outside(widened(limit.accept.hull(wide), tolerance), column.low, column.high)


def _outside(hull: Interval, low: Floats, high: Floats) -> Bools:
    """Comparisons with NaN are false: what is not known passes. An open end costs no comparison."""
    if hull.low is None:
        return np.zeros(low.size, dtype=bool) if hull.high is None else np.asarray(low > hull.high)
    if hull.high is None:
        return np.asarray(high < hull.low)
    out = np.asarray(high < hull.low)
    return np.logical_or(out, low > hull.high, out=out)


def _uncovered(wanted: Interval, low: Floats, high: Floats) -> Bools:
    """A known end falls short. ±inf is an open end, which proves nothing."""
    out = np.zeros(low.size, dtype=bool)
    if wanted.low is not None:
        out |= low > wanted.low + ROUNDING * abs(wanted.low)
    if wanted.high is not None:
        out |= high < wanted.high - ROUNDING * abs(wanted.high)
    return out


def _other_words(limit: Limit, column: Column) -> Bools:
    if column.codes is None or column.low is not None or isinstance(limit.accept, Interval):
        return np.zeros(column.size, dtype=bool)
    good = set(limit.accept).union(limit.reach if isinstance(limit.reach, tuple) else ())
    mask = 1 << LAST_BIT if len(column.words) > LAST_BIT else 0
    for place_of, code in enumerate(column.words[:LAST_BIT]):
        if code in good:
            mask |= 1 << place_of
    return np.asarray(((column.codes & np.uint64(mask)) == 0) & (column.codes != 0))
