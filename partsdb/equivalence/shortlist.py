"""Many parts as columns: a part is dropped only on a proven breach, everything unknown passes.

Law: the shortlist never drops a part that the judge would accept. It asks less than the judge does: a part goes
only if, under every reading, some limit's every offered value lies outside both `accept` and `reach`. Life limits
drop nothing (a breach of one is never worse than temporary), shelf condition neither.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from partsdb.duty import Duty
from partsdb.family import Attribute, Family
from partsdb.intervals import Interval
from partsdb.model import KnownPart, Limit, Requirement, Verdict

from .checks import CLASS_KINDS, ROUNDING, widened
from .envelope import place
from .judge import judge_at
from .ranking import ranked

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]


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
        for v in family.complete(part.spec).values:
            key = (v.attribute, v.qualifier)
            if v.code is not None:
                known = words.setdefault(key, {})
                place_of = known.setdefault(v.code, len(known))
                if key not in codes:
                    codes[key] = np.zeros(size, dtype=np.uint64)
                # words past the 63rd share the last bit: such a column can't prove a breach (see _breach_codes)
                codes[key][row] |= np.uint64(1 << min(place_of, 63))
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


def shortlist(family: Family, requirements: Sequence[Requirement], columns: Columns) -> NDArray[np.intp]:
    """The rows of the parts that may do under at least one reading."""
    return np.flatnonzero(_kept(family, requirements, columns))


def _kept(family: Family, requirements: Sequence[Requirement], columns: Columns) -> Bools:
    cache: dict[Limit, Bools | None] = {}
    kept = np.zeros(columns.size, dtype=bool)
    for one in requirements:
        out: Bools | None = None
        for limit in one.limits:
            if limit not in cache:
                cache[limit] = breached(family, limit, columns)
            if (proof := cache[limit]) is not None:
                out = proof.copy() if out is None else np.logical_or(out, proof, out=out)
        if out is None:
            return np.ones(columns.size, dtype=bool)
        np.logical_or(kept, np.logical_not(out, out=out), out=kept)
    return kept


def breached(family: Family, limit: Limit, columns: Columns) -> Bools | None:
    """Rows on which the limit is proved broken beyond reach; None when it proves nothing on any."""
    if limit.weight == "life":
        return None
    attribute = family.attribute(limit.attribute)
    serving = [
        column
        for (name, qualifier), column in columns.of.items()
        if name == limit.attribute and family.qualifies(qualifier, limit.qualifier)
    ]
    if not serving:
        return None
    proofs = [_breach(attribute, limit, column) for column in serving]
    if len(proofs) == 1:
        return proofs[0][0]
    every = np.ones(columns.size, dtype=bool)
    some = np.zeros(columns.size, dtype=bool)
    for broken, absent in proofs:
        every &= broken | absent
        some |= broken
    return np.asarray(every & some)


def _breach(attribute: Attribute, limit: Limit, column: Column) -> tuple[Bools, Bools]:
    """(every offered value is proved out, nothing is offered) by row."""
    if limit.kind in CLASS_KINDS:
        return _breach_codes(limit, column)
    if column.low is None or column.high is None or column.codes is not None:
        # words where a number is wanted are unknown to the judge
        size = next(a for a in (column.low, column.codes) if a is not None).size
        return np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
    assert isinstance(limit.accept, Interval)
    wide = limit.reach if isinstance(limit.reach, Interval) else limit.accept
    if limit.kind == "covers":
        out = _uncovered(limit.accept, column.low, column.high) & _uncovered(wide, column.low, column.high)
        return out, np.isnan(column.low)
    tolerance = attribute.rel_tol if limit.kind == "equal" else ROUNDING
    hull = widened(limit.accept.hull(wide), tolerance)
    return _outside(hull, column.low, column.high), np.isnan(column.low)


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


def _breach_codes(limit: Limit, column: Column) -> tuple[Bools, Bools]:
    if column.codes is None or column.low is not None:
        size = next(a for a in (column.low, column.codes) if a is not None).size
        return np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
    good = set(column.words)
    if not isinstance(limit.accept, Interval):
        good = set(limit.accept).union(limit.reach if isinstance(limit.reach, tuple) else ())
    mask = 1 << 63 if len(column.words) > 63 else 0
    for place_of, code in enumerate(column.words[:63]):
        if code in good:
            mask |= 1 << place_of
    absent = np.asarray(column.codes == 0)
    return np.asarray(((column.codes & np.uint64(mask)) == 0) & ~absent), absent


# --------------------------------------------------------------------------- the best of many parts


def equivalents(
    family: Family,
    requirements: Sequence[Requirement],
    parts: Sequence[KnownPart],
    duty: Duty,
    *,
    safety_function: bool = False,
    most: int = 500,
    columns: Columns | None = None,
    beyond: Callable[[Verdict], tuple[Any, ...]] | None = None,
) -> tuple[Verdict, ...]:
    """Verdicts on the parts, best first; at most `most` parts are judged.

    Up to `most` parts are all judged, so that a drawer's traps are named with their reasons; of more, those the
    columns prove wrong are left out and the most promising are judged. `columns`: of these very parts, when
    the caller keeps them; `beyond` breaks ties (price, arrival).
    """
    at = place(family, requirements, duty, safety_function=safety_function)
    chosen = range(len(parts))
    if len(parts) > most and requirements:
        made = columns or columns_of(family, parts)
        chosen = promising(family, requirements, made, most)  # type: ignore[assignment]  # rows, as range is
    return ranked((judge_at(at, parts[i]) for i in chosen), beyond)


def promising(
    family: Family, requirements: Sequence[Requirement], columns: Columns, most: int
) -> NDArray[np.intp]:
    """The shortlist cut to `most` rows: those with the fewest limits not proved met, weighted over readings;
    among equals those with the greatest safety margin."""
    rows = shortlist(family, requirements, columns)
    if rows.size <= most:
        return rows
    doubt, spare = np.zeros(rows.size), np.full(rows.size, np.inf)
    for one in requirements:
        for limit in one.limits:
            doubt += one.weight * _doubt(family, limit, columns, rows)
            if limit.weight == "safety" and isinstance(limit.accept, Interval) and limit.kind != "covers":
                spare = np.fmin(spare, _margin(family, limit, limit.accept, columns, rows))
    best = np.lexsort((rows, -spare, doubt))
    return np.sort(rows[best[:most]])


def _margin(
    family: Family, limit: Limit, accept: Interval, columns: Columns, rows: NDArray[np.intp]
) -> Floats:
    """The greatest margin over the serving columns, as a ratio of the limit; NaN where nothing is offered."""
    best = np.full(rows.size, np.nan)
    for (name, qualifier), column in columns.of.items():
        if name != limit.attribute or column.low is None or column.high is None:
            continue
        if family.qualifies(qualifier, limit.qualifier):
            own = np.full(rows.size, np.inf)
            if accept.low:
                own = np.fmin(own, (column.low[rows] - accept.low) / abs(accept.low))
            if accept.high:
                own = np.fmin(own, (accept.high - column.high[rows]) / abs(accept.high))
            best = np.fmax(best, np.where(np.isnan(column.low[rows]), np.nan, own))
    return best


def _doubt(family: Family, limit: Limit, columns: Columns, rows: NDArray[np.intp]) -> Floats:
    """0 where `accept` is met by some value, 1 where nothing is known, 2 where `accept` is broken."""
    attribute = family.attribute(limit.attribute)
    least = np.ones(rows.size)
    seen = np.zeros(rows.size, dtype=bool)
    tight = Limit(limit.attribute, limit.kind, limit.accept, "fit", "", limit.source, "", limit.qualifier)
    for (name, qualifier), column in columns.of.items():
        if name != limit.attribute or not family.qualifies(qualifier, limit.qualifier):
            continue
        broken, absent = _breach(attribute, tight, column)
        here = ~absent[rows]
        level = np.where(broken[rows], 2.0, 0.0)
        least = np.where(here, np.where(seen, np.minimum(least, level), level), least)
        seen |= here
    return least
