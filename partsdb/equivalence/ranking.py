"""The order in which verdicts are shown: outcome, how surely, smallest safety margin, life, then what is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from partsdb.model import Verdict

from .checks import CLASS_KINDS
from .ruling import rank

Beyond = Callable[[Verdict], tuple[Any, ...]]


def ranked(verdicts: Iterable[Verdict], beyond: Beyond | None = None) -> tuple[Verdict, ...]:
    """Best first; `beyond` breaks ties before the title does (price and arrival, known to the caller)."""
    return tuple(sorted(verdicts, key=lambda v: order(v, beyond)))


def order(verdict: Verdict, beyond: Beyond | None = None) -> tuple[Any, ...]:
    """The sort key of a verdict: smaller is better, and no two different parts are equal."""
    return (
        rank(verdict.outcome),
        -round(verdict.holds, 3),
        _descending(smallest_safety_margin(verdict)),
        _descending(verdict.life.low if verdict.life else None),
        beyond(verdict) if beyond else (),
        len(verdict.parts),
        verdict.title,
        verdict.parts,
    )


def smallest_safety_margin(verdict: Verdict) -> float | None:
    """The smallest margin over the numeric safety checks [%]; None when none has one.

    Class steps are left out: being of the very class asked for is no narrow escape.
    """
    found = [
        c.margin
        for c in verdict.checks
        if c.limit.weight == "safety" and c.margin is not None and c.limit.kind not in CLASS_KINDS
    ]
    return min(found, default=None)


def _descending(x: float | None) -> tuple[bool, float]:
    return (x is None, 0.0 if x is None else -round(x, 9))
