"""The candidates for combinations: which pieces can take part, and every group of them within the window.

Exact: every combination within the window of the limits is reached, as long as no more than BUDGET of one
kind and number of pieces need judging; beyond that the nearest to the target are judged. Pieces that can't take
their share at either end of the window are left out beforehand. This rests on what `Combination.share` promises:
what an element must withstand depends on itself and on the size of the whole, not on how the others divide the
rest - except that their tolerances move it, so numbers that miss their share by less than TOLERANCE stay in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, product

import numpy as np

from partsdb.family import Combination, Family
from partsdb.intervals import Interval
from partsdb.model import OUTCOMES, Check, KnownPart, Limit, Outcome, Spec, Value, Verdict

from .checks import CLASS_KINDS, ROUNDING, check, widened
from .envelope import Prepared
from .ruling import ACCEPTED, TRUSTED, Finding, rank, rule, untested
from .sums import nearest_first
from .whole import judge_combination, outcome_of

BUDGET = 1_000
TOLERANCE = 30.0  # percent of the share
SPREAD = 4  # candidates judged for every one returned, so that the ranking has a choice


@dataclass(frozen=True, slots=True)
class Kin:
    """Pieces that say the same and are in the same condition: one entry of the search. spec: completed."""

    spec: Spec
    pieces: tuple[KnownPart, ...]

    @property
    def quantity(self) -> int:
        """How many pieces there are."""
        return sum(p.quantity for p in self.pieces)

    def take(self, count: int) -> list[KnownPart]:
        """`count` pieces, a part once for every piece of it."""
        every = [p for p in self.pieces for _ in range(min(p.quantity, count))]
        return every[:count]


def kin_of(family: Family, shelf: Sequence[KnownPart]) -> tuple[Kin, ...]:
    """The shelf in groups of pieces that say the same, in a fixed order."""
    groups: dict[object, list[KnownPart]] = {}
    for part in sorted(shelf, key=lambda p: p.id):
        says = tuple((*v.key, v.source.status) for v in part.spec.values)
        groups.setdefault((part.condition, says), []).append(part)
    return tuple(Kin(family.complete(parts[0].spec), tuple(parts)) for parts in groups.values())


@dataclass(frozen=True, slots=True)
class Window:
    """What the sizes must add up to [unit of the key, or its inverse for a harmonic sum]."""

    low: float
    high: float
    target: float


def window(at: Prepared, combination: Combination) -> Window | None:
    """The union over all readings of what they allow on the key, aimed at the most probable one's middle.

    None when no reading limits the key: then nothing drives the search.
    """
    allowed: list[Interval] = []
    aims: list[Interval] = []
    for one in at.requirements:
        limits = [x for x in one.limits if x.attribute == combination.key and x.kind != "covers"]
        spans = [(x.accept, _widest(at.family, x)) for x in limits if isinstance(x.accept, Interval)]
        if not spans:
            return None
        wide = _meet_all(wide for _, wide in spans)
        if wide is not None:
            allowed.append(wide)
            aims.append(_meet_all(accept for accept, _ in spans) or wide)
    target = _aim(_common(aims)) if aims else None
    if target is None or target <= 0:
        return None
    low, high = min(s.lower for s in allowed), max(s.upper for s in allowed)
    if combination.combine == "harmonic":
        return Window(1 / high, 1 / low if low > 0 else float("inf"), 1 / target)
    return Window(low, high, target)


def _meet_all(spans: Iterable[Interval]) -> Interval | None:
    """The part of the positive numbers that lies in all of them."""
    common: Interval | None = Interval(0.0, None)
    for span in spans:
        common = common.meet(span) if common is not None else None
    return common


def _common(aims: Sequence[Interval]) -> Interval:
    """What as many readings as possible accept, the most probable ones first."""
    common = aims[0]
    for aim in aims[1:]:
        common = common.meet(aim) or common
    return common


def _widest(family: Family, limit: Limit) -> Interval:
    assert isinstance(limit.accept, Interval)
    wide = limit.accept.hull(limit.reach) if isinstance(limit.reach, Interval) else limit.accept
    ratio = family.attribute(limit.attribute).rel_tol if limit.kind == "equal" else ROUNDING
    return widened(wide, ratio)


def _aim(accept: Interval) -> float | None:
    if not accept.low or accept.high is None:
        return accept.high if accept.high is not None else accept.low
    return (accept.low + accept.high) / 2


def size_of(combination: Combination, spec: Spec) -> float | None:
    """The size the search adds up: the middle of the key's range, or of its inverse; None when not known."""
    value = spec.first(combination.key)
    if value is None or not value.low or not value.high or value.low <= 0:
        return None
    if combination.combine == "harmonic":
        return (1 / value.low + 1 / value.high) / 2
    return (value.low + value.high) / 2


@dataclass(frozen=True, slots=True)
class Search:
    """The search for one way of combining; `promise` is the best each of `kin` can come to."""

    at: Prepared
    combination: Combination
    window: Window
    kin: tuple[Kin, ...]
    promise: tuple[Outcome, ...]

    def best(self, count: int, bar: Outcome, most: int, *, careful: bool) -> list[Verdict]:
        """Combinations of `count` pieces that do better than `bar`, with sentences.

        careful: only pieces that may be accepted, and only accepted combinations; else also "can't say yet".
        """
        found: list[tuple[int, list[KnownPart]]] = []
        goal: Outcome = "fits with work" if careful else "can't say yet"
        enough = 0
        for judged, chosen in enumerate(self.candidates(count, careful=careful)):
            if judged >= BUDGET or enough >= most * SPREAD:
                break
            parts, specs = self._pieces(chosen)
            outcome = outcome_of(self.at, self.combination, parts, specs, bar)
            if rank(outcome) < rank(bar) and (outcome in ACCEPTED) == careful:
                found.append((rank(outcome), parts))
                enough += outcome == goal
        found.sort(key=lambda pair: pair[0])
        return [judge_combination(self.at, self.combination, parts) for _, parts in found[: most * SPREAD]]

    def _pieces(self, chosen: Sequence[int]) -> tuple[list[KnownPart], list[Spec]]:
        """The pieces behind the chosen kin, with the specification of each."""
        counts = Counter(chosen)
        parts = [p for k, n in counts.items() for p in self.kin[k].take(n)]
        return parts, [self.kin[k].spec for k, n in counts.items() for _ in range(n)]

    def candidates(self, count: int, *, careful: bool) -> Iterator[tuple[int, ...]]:
        """Groups of `count` kin (indices, one for every piece) within the window, nearest first."""
        worst = rank("temporary" if careful else "can't say yet")
        open_to = [k for k in range(len(self.kin)) if rank(self.promise[k]) <= worst]
        sizes: dict[float, list[int]] = {}
        for k in open_to:
            size = size_of(self.combination, self.kin[k].spec)
            if size is not None:
                sizes.setdefault(size, []).append(k)
        if not sizes:
            return
        ascending = np.array(sorted(sizes))
        members = [sizes[float(x)] for x in ascending]
        pieces = np.array([sum(self.kin[k].quantity for k in ks) for ks in members], dtype=np.intp)
        w = self.window
        for rows in nearest_first(ascending, pieces, count, w.low, w.high, w.target):
            for at in range(0, len(rows), 256):
                for row in rows[at : at + 256].tolist():
                    yield from self._spelled_out(row, members)

    def _spelled_out(self, row: Sequence[int], members: Sequence[Sequence[int]]) -> Iterator[tuple[int, ...]]:
        """Every choice of kin for a row of sizes, no kin asked for more pieces than it has."""
        ways = [
            [
                some
                for some in combinations_with_replacement(members[size], n)
                if all(used <= self.kin[k].quantity for k, used in Counter(some).items())
            ]
            for size, n in Counter(row).items()
        ]
        for chosen in product(*ways):
            yield tuple(k for some in chosen for k in some)


def search_for(at: Prepared, combination: Combination, kin: Sequence[Kin]) -> Search | None:
    """The search made ready; None when the key isn't limited or no piece can take part."""
    aim = window(at, combination)
    if aim is None:
        return None
    known: list[Kin] = []
    promise: list[Outcome] = []
    cache: dict[object, Outcome] = {}
    for one in kin:
        size = size_of(combination, one.spec)
        if size is None or size > aim.high:
            continue
        outcome = _promise(at, combination, aim, one, size, cache)
        if outcome != "don't fit":
            known.append(one)
            promise.append(outcome)
    return Search(at, combination, aim, tuple(known), tuple(promise)) if known else None


def _promise(
    at: Prepared,
    combination: Combination,
    aim: Window,
    kin: Kin,
    size: float,
    cache: dict[object, Outcome],
) -> Outcome:
    """The best a piece can come to inside a whole at either end of the window, under any reading."""
    rest = tuple((*v.key, v.source.status) for v in kin.spec.values if v.attribute != combination.key)
    best: Outcome = OUTCOMES[-1]
    for total in (aim.low, min(aim.high, combination.max_elements * max(size, aim.target))):
        partner = _partner(combination, kin.spec, max(total - size, 1e-9 * size))
        for one in at.requirements:
            limits = tuple(combination.share((kin.spec, partner), one.limits, at.duty)[0])
            on_key = any(x.attribute == combination.key for x in limits)
            key = (limits, rest, kin.pieces[0].condition, kin.spec.first(combination.key) if on_key else None)
            if key not in cache:
                cache[key] = _alone(at, kin, limits)
            best = min(best, cache[key], key=rank)
            if rank(best) == 0:
                return best
    return best


def _partner(combination: Combination, spec: Spec, size: float) -> Spec:
    """The rest of the whole as one ideal piece of exactly that size."""
    x = 1 / size if combination.combine == "harmonic" else size
    return Spec(spec.family, (*spec.without(combination.key).values, Value(combination.key, x, x)))


def _alone(at: Prepared, kin: Kin, limits: Sequence[Limit]) -> Outcome:
    found = []
    for limit in limits:
        made = check(at.family, limit, kin.spec, safety_function=at.safety_function, say=False)
        if _near_miss(made):
            continue
        finding = Finding(made, kin.spec)
        found.append(finding if kin.pieces[0].condition in TRUSTED else untested(finding))
    return rule(at.family, found, at.duty, safety_function=at.safety_function).outcome


def _near_miss(made: Check) -> bool:
    numeric = made.limit.kind not in CLASS_KINDS
    return made.status == "breach" and numeric and made.margin is not None and made.margin > -TOLERANCE
