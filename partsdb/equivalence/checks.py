"""One limit held against one offered specification: pass, breach or unknown, with what is to spare.

Rules (judgement where no source is named):
- numeric kinds pass when the whole offered interval lies in `accept`, breach when it lies wholly outside, and
  are unknown in between or when nothing is offered; "covers" turns it round: the offered range must contain
  `accept`, and an end the maker leaves open is unknown, not unlimited;
- "equal" means equal to within the attribute's rel_tol; every other comparison allows for rounding in the last
  places (a ratio of 1e-9) and nothing more;
- class kinds pass when the offered code is listed;
- of several ratings whose qualifier serves the limit the best counts;
- a rating that is only worked out (Source status derived, common practice, from memory, judgement) may prove a
  breach, but never proves a pass on a safety limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.attributes import Attribute
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.model import Check, Limit, Spec, Status, Value
from partsdb.quantities import unit

from .wording import reason

ROUNDING = 1e-9
WORKED_OUT = frozenset({"derived", "common practice", "from memory", "judgement"})
CLASS_KINDS = frozenset({"same class or better", "one of"})
_ORDER: dict[Status, int] = {"breach": 0, "unknown": 1, "pass": 2}


@dataclass(frozen=True, slots=True)
class Held:
    """A limit held against one value: status, spare [SI or class steps], margin [% or steps], inside reach."""

    status: Status
    value: Value | None = None
    spare: float | None = None
    margin: float | None = None
    in_reach: bool = False

    @property
    def goodness(self) -> tuple[int, bool, bool, float]:
        """Larger is better for the part; stated before worked out among equals."""
        spare = -math.inf if self.spare is None else self.spare
        return _ORDER[self.status], self.in_reach, not worked_out(self.value), spare


def worked_out(value: Value | None) -> bool:
    """Whether the value is only worked out, not stated, measured or listed in a standard."""
    return value is not None and value.source.status in WORKED_OUT


def serving(family: Family, limit: Limit, spec: Spec) -> tuple[Value, ...]:
    """The offered values whose qualifier serves the limit's."""
    return tuple(
        v
        for v in spec.values
        if v.attribute == limit.attribute and family.qualifies(v.qualifier, limit.qualifier)
    )


def check(
    family: Family,
    limit: Limit,
    offered: Spec,
    *,
    same_thing: bool = False,
    safety_function: bool = False,
    say: bool = True,
) -> Check:
    """The limit held against the specification (already completed, one connection variant of it).

    same_thing: the offered part is the same specification as the one the limit follows from, so that a
    worked-out rating stands on both sides alike and proves nothing against it. say: with its sentence.
    """
    attribute = family.attribute(limit.attribute)
    best = best_of(attribute, limit, serving(family, limit, offered))
    doubted = (
        best.status == "pass"
        and worked_out(best.value)
        and (limit.weight == "safety" or safety_function)
        and not same_thing
    )
    status: Status = "unknown" if doubted else best.status
    said = (
        reason(attribute, limit, status, best.value, best.spare, best.margin, doubted=doubted) if say else ""
    )
    compared = () if best.value is None else (best.value,)
    spare, margin = (None, None) if status == "unknown" else (best.spare, best.margin)
    return Check(limit, compared, status, spare, margin, said, best.in_reach)


def best_of(attribute: Attribute, limit: Limit, values: Iterable[Value]) -> Held:
    """The most favourable of the offered values; unknown when there is none."""
    values = tuple(values)
    if len(values) == 1:
        return held(attribute, limit, values[0])
    return max((held(attribute, limit, v) for v in values), key=lambda h: h.goodness, default=Held("unknown"))


def held(attribute: Attribute, limit: Limit, value: Value) -> Held:
    """The limit held against one value."""
    if limit.kind in CLASS_KINDS:
        return _held_class(attribute, limit, value)
    offered = value.interval
    if offered is None or not isinstance(limit.accept, Interval):
        return Held("unknown", value)
    tolerance = attribute.rel_tol if limit.kind == "equal" else ROUNDING
    status = (
        _covers(limit.accept, offered) if limit.kind == "covers" else _lies(limit.accept, offered, tolerance)
    )
    spare, margin = _spare(attribute, limit, limit.accept, offered, status)
    return Held(status, value, spare, margin, status == "breach" and _reaches(limit, offered, tolerance))


def widened(interval: Interval, ratio: float) -> Interval:
    """The interval with each end moved outwards by `ratio` of itself [-]."""
    low, high = interval.low, interval.high
    return Interval(
        None if low is None else low - ratio * abs(low), None if high is None else high + ratio * abs(high)
    )


def _lies(accept: Interval, offered: Interval, tolerance: float) -> Status:
    wide = widened(accept, tolerance)
    if offered.within(wide):
        return "pass"
    return "breach" if wide.meet(offered) is None else "unknown"


def _covers(accept: Interval, offered: Interval) -> Status:
    """An end that `accept` leaves open asks for nothing; an end that the offer leaves open is not known."""
    open_end = False
    for wanted, given, sign in ((accept.low, offered.low, 1.0), (accept.high, offered.high, -1.0)):
        if wanted is None:
            continue
        if given is None:
            open_end = True
        elif sign * (given - wanted) > ROUNDING * abs(wanted):
            return "breach"
    return "unknown" if open_end else "pass"


def _reaches(limit: Limit, offered: Interval, tolerance: float) -> bool:
    if not isinstance(limit.reach, Interval):
        return False
    if limit.kind == "covers":
        return _covers(limit.reach, offered) == "pass"
    return _lies(limit.reach, offered, tolerance) == "pass"


def _spare(
    attribute: Attribute, limit: Limit, accept: Interval, offered: Interval, status: Status
) -> tuple[float | None, float | None]:
    """Distance of the worst end from its bound [SI], and in percent of that bound.

    None when unknown; nothing is "to spare" on an equality that holds; no percent of a bound at zero or of a
    temperature.
    """
    if status == "unknown" or (status == "pass" and limit.kind == "equal"):
        return None, None
    turned = -1.0 if limit.kind == "covers" else 1.0
    found = []
    if accept.low is not None:
        found.append((turned * (offered.lower - accept.low), accept.low))
    if accept.high is not None:
        found.append((turned * (accept.high - offered.upper), accept.high))
    if not found:
        return None, None
    spare, bound = min(found)
    if not math.isfinite(spare):
        return None, None
    if status == "pass":
        spare = max(0.0, spare)  # within rounding of the limit is on it
    scaled = bound != 0 and (not attribute.unit or unit(attribute.unit).offset == 0)
    return spare, 100 * spare / abs(bound) if scaled else None


def _held_class(attribute: Attribute, limit: Limit, value: Value) -> Held:
    if value.code is None or isinstance(limit.accept, Interval):
        return Held("unknown", value)
    steps = _steps(attribute, limit, limit.accept, value.code)
    if value.code in limit.accept:
        return Held("pass", value, steps, steps)
    reach = limit.reach if isinstance(limit.reach, tuple) else ()
    return Held("breach", value, steps, steps, value.code in reach)


def _steps(attribute: Attribute, limit: Limit, accept: tuple[str, ...], code: str) -> float | None:
    """Class steps above (+) or below (-) the lowest good enough class, None where there is no order."""
    if limit.kind == "one of" or not accept:
        return None
    ladder = attribute.ladder or accept
    if code in ladder and accept[0] in ladder:
        return float(ladder.index(code) - ladder.index(accept[0]))
    return None
