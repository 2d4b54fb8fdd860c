"""The few of many parts that may do: a part is dropped only on a proven breach, everything unknown passes.

Law: the shortlist never drops a part that the judge would accept. It asks less than the judge does: a part goes
only if, under every reading, some limit's every offered value lies outside both `accept` and `reach`. Life limits
drop nothing (a breach of one is never worse than temporary), shelf condition neither.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partsdb.attributes import Attribute
from partsdb.duty import Duty
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.model import KnownPart, Limit, Requirement, Verdict

from .columns import Bools, Column, Columns, Floats, broken, columns_of, proved, serving
from .envelope import prepared
from .judge import judge_at
from .ranking import ranked

BLOCK = 1 << 15  # rows looked at together: they stay in the processor's cache

Test = tuple[Attribute, Limit, tuple[Column, ...]]


def shortlist(family: Family, requirements: Sequence[Requirement], columns: Columns) -> NDArray[np.intp]:
    """The rows of the parts that may do under at least one reading."""
    known: dict[Limit, Test] = {}
    readings = [_tests(family, one, columns, known) for one in requirements]
    if not all(readings):
        return np.arange(columns.size if requirements else 0)
    kept = np.empty(columns.size, dtype=bool)
    for start in range(0, columns.size, BLOCK):
        stop = min(start + BLOCK, columns.size)
        kept[start:stop] = _kept(readings, start, stop)
    return np.flatnonzero(kept)


def _tests(family: Family, one: Requirement, columns: Columns, known: dict[Limit, Test]) -> list[Test]:
    """The limits of a reading that can prove anything, with the columns that serve them; equal ones are one."""
    found = []
    for limit in one.limits:
        if limit not in known:
            known[limit] = (family.attribute(limit.attribute), limit, serving(family, limit, columns))
        if known[limit][2] and limit.weight != "life":
            found.append(known[limit])
    return found


def _kept(readings: Sequence[Sequence[Test]], start: int, stop: int) -> Bools:
    cache: dict[int, Bools] = {}
    kept = np.zeros(stop - start, dtype=bool)
    for tests in readings:
        out = np.zeros(stop - start, dtype=bool)
        for test in tests:
            proof = cache.get(id(test))
            if proof is None:
                attribute, limit, among = test
                proof = proved(attribute, limit, [c.rows(start, stop) for c in among])
                assert proof is not None
                cache[id(test)] = proof
            out |= proof
        kept |= ~out
    return kept


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
    at = prepared(family, requirements, duty, safety_function=safety_function)
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
    for column in serving(family, limit, columns):
        if column.low is None or column.high is None:
            continue
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
    for column in serving(family, limit, columns):
        here = ~column.absent[rows]
        level = np.where(broken(attribute, tight, column)[rows], 2.0, 0.0)
        least = np.where(here, np.where(seen, np.minimum(least, level), level), least)
        seen |= here
    return least
