"""The cheapest plan for a target, the surest one, the one of least total: found, then proved where it can be.

Finding: the marginal MILP, its log budget loosened by halves with an exact test of each answer, and changes of
one need at a time. Proving: on small problems every plan that bounds can't rule out is listed and tested
exactly, best first; on large ones the Hölder MILP gives a bound.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from partsdb.planning.factors import Floats
from partsdb.planning.greedy import best_step_first
from partsdb.planning.listing import Listed, levels_of, plans
from partsdb.planning.milp import Solution
from partsdb.planning.search import Choice, Search, late_weights

TIGHTENINGS = 5
MOST_TESTED = 3_000  # listed plans tested exactly before the proof is given up
LARGE_GAP = 2e-3  # relative gap at which the solver may stop on large problems [-]
MIDDLING = 3_000  # columns up to which a large problem's plan is polished need by need
QUICK_GAP = 5e-3  # ... and where no proof is asked
WHOLE = 1e-9  # a probability this little below the target has reached it
HAIR = 0.5  # half a minor unit: no two plans' costs lie closer


def surest(search: Search) -> Choice | None:
    """The most probable plan (within the budget, if there is one); of two equal ones the cheaper."""
    answer = search.program.solve("probability", gap=0.0 if search.small else 1e-4)
    if answer is None or not search.allowed(answer.chosen):
        return None
    found = search.choice(answer.chosen)
    marginal = sum(column.log_p for column in search.columns(found.places))
    search.slack = max(0.0, math.log(max(found.probability, 1e-300)) - marginal)
    if not search.small:
        return found
    found = improved(search, found, _by_probability)
    least, most = math.log(max(found.probability, 1e-12)) - WHOLE, _budget(search)
    listed = plans(
        search.world, search.table, (0,), lambda _, outlay, logs: (outlay <= most) & (logs[:, 0] > least)
    )
    if listed is None:
        return found
    best, proved = _first(search, listed, -listed.logs[:, 0], found, _by_probability, _log_worth)
    return replace(best, proved=proved)


def _log_worth(choice: Choice) -> float:
    return -math.log(max(choice.probability, 1e-12)) + 1e-12


def _by_probability(choice: Choice) -> tuple[float, float]:
    return (-round(choice.probability, 12), choice.money.cost)


def cheapest(search: Search, target: float) -> Choice | None:
    """The cheapest plan found whose exact probability reaches the target, with a proved bound on cost.

    None when none is found: on small problems, then, there is none.
    """
    found = _passing(
        search, search.program.solve("cost", marginal=math.log(target), gap=_gap(search)), target
    )
    found = _tightened(search, target, found, steps=1 if search.small else TIGHTENINGS)
    if not search.small:
        found = _polished(search, target, found)
        answer = search.program.solve("cost", bound=math.log(target), gap=_gap(search))
        return found and replace(found, bound=answer.bound if answer else None)
    if found is None:
        sure = surest(search)
        if sure is None or sure.probability < target - WHOLE:
            return None
        found = sure
    return _proved_cheapest(search, target, improved(search, found, _by_cost(target)))


def _polished(search: Search, target: float, found: Choice | None) -> Choice | None:
    """On problems of middling size: never worse than the best rule by hand, nor than a change of one need."""
    if search.size > MIDDLING:
        return found
    by_hand = best_step_first(search, target)
    known = [choice for choice in (found, by_hand) if choice is not None and search.allowed(choice.places)]
    if not known:
        return None
    return improved(search, min(known, key=_by_cost(target)), _by_cost(target), passes=3)


def quick(search: Search, target: float) -> Choice | None:
    """A good plan at a target, without proof: the marginal MILP, loosened and tested exactly."""
    answer = search.program.solve("cost", marginal=math.log(target), gap=QUICK_GAP)
    return _tightened(search, target, _passing(search, answer, target), steps=1, gap=QUICK_GAP)


def _by_cost(target: float) -> Callable[[Choice], tuple[float, float]]:
    def worth(choice: Choice) -> tuple[float, float]:
        passes = choice.probability >= target - WHOLE
        return (choice.money.cost if passes else math.inf, -choice.probability)

    return worth


def _proved_cheapest(search: Search, target: float, found: Choice) -> Choice:
    most, least = found.money.cost - HAIR, math.log(target) - WHOLE
    budget = _budget(search)
    listed = plans(
        search.world,
        search.table,
        (0,),
        lambda cost, outlay, logs: (cost < most) & (outlay <= budget) & (logs[:, 0] >= least),
    )
    if listed is not None:
        best, proved = _first(
            search, listed, listed.cost, found, _by_cost(target), lambda c: c.money.cost - HAIR
        )
        if proved:
            return replace(best, bound=best.money.cost, proved=True)
        found = best
    found = _polished(search, target, _tightened(search, target, found)) or found
    answer = search.program.solve("cost", bound=least, seconds=5.0)
    return replace(found, bound=min(answer.bound, found.money.cost) if answer else None)


def least_total(search: Search, start: Choice) -> Choice:
    """The plan of least cost + expected cost of lateness, from a good one; proved on small problems."""
    found = improved(search, start, lambda choice: choice.total)
    if not search.small:
        return found
    world = search.world
    levels = levels_of(world, all_days=True)
    late = _late_bound(search, levels)
    most, budget = found.total - HAIR / 100, _budget(search)

    def keep(cost: Floats, outlay: Floats, logs: Floats) -> NDArray[np.bool_]:
        return (cost + late(logs) < most) & (outlay <= budget)

    listed = plans(world, search.table, levels, keep)
    if listed is None:
        return found
    worth = listed.cost + late(listed.logs)
    best, proved = _first(search, listed, worth, found, lambda c: c.total, lambda c: c.total - HAIR / 100)
    bound = best.total if proved else float(worth.min(initial=best.total))
    return replace(best, total_bound=bound, proved=proved)


def _late_bound(search: Search, levels: tuple[int, ...]) -> Callable[[Floats], Floats]:
    """A lower bound on the expected cost of lateness from upper bounds on log P at some numbers of days.

    Between two levels P is at most what it is at the later one.
    """
    each, weights = late_weights(search.world)
    ends = np.searchsorted(np.array(levels), np.arange(len(weights)))
    grouped = np.zeros(len(levels))
    np.add.at(grouped, np.minimum(ends, len(levels) - 1), weights)
    return lambda logs: each * ((1 - np.exp(np.minimum(logs, 0.0))) @ grouped)


def _first(
    search: Search,
    listed: Listed,
    worth: Floats,
    found: Choice,
    key: Callable[[Choice], float] | Callable[[Choice], tuple[float, float]],
    enough: Callable[[Choice], float],
) -> tuple[Choice, bool]:
    """The best of the listed plans by `key`, tested exactly in order of their bounds `worth`.

    Ends when the next bound is no better than `enough(best)`. The second value says whether it got there.
    """
    best = found
    for tested, row in enumerate(np.argsort(worth, kind="stable")):
        if worth[row] >= enough(best):
            return best, True
        if tested >= MOST_TESTED:
            return best, False
        places = tuple(int(c) for c in listed.places[row])
        if search.allowed(places):
            choice = search.choice(places)
            if key(choice) < key(best):  # type: ignore[operator]  # one key, so alike on both sides
                best = choice
    return best, True


def _budget(search: Search) -> float:
    return math.inf if search.budget is None else float(search.budget)


def _gap(search: Search) -> float:
    return 0.0 if search.small else LARGE_GAP


def _passing(search: Search, answer: Solution | None, target: float) -> Choice | None:
    if answer is None:
        return None
    choice = search.choice(answer.chosen)
    return choice if choice.probability >= target - WHOLE and search.allowed(answer.chosen) else None


def _tightened(
    search: Search, target: float, found: Choice | None, steps: int = TIGHTENINGS, gap: float | None = None
) -> Choice | None:
    """Cheaper plans that the marginal row shuts out: loosen its log budget by halves, test each exactly.

    How far it may be loosened is guessed from the surest plan: by how much delays that come together help it.
    """
    low, high = math.log(target) - max(0.5 * (1 - target), 1.2 * search.slack), math.log(target)
    for _ in range(steps):
        middle = (low + high) / 2
        answer = search.program.solve(
            "cost", marginal=middle, gap=_gap(search) if gap is None else gap, seconds=5.0
        )
        choice = _passing(search, answer, target)
        if choice is None:
            low = middle
            continue
        high = middle
        if found is None or choice.money.cost < found.money.cost:
            found = choice
    return found


def improved(
    search: Search,
    start: Choice,
    worth: Callable[[Choice], float] | Callable[[Choice], tuple[float, float]],
    passes: int = 20,
) -> Choice:
    """A choice that no change of a single need's column betters, by `worth` (smaller is better)."""
    best = start
    for _ in range(passes):
        before = best
        for need, columns in enumerate(search.table):
            for c in range(len(columns)):
                places = (*best.places[:need], c, *best.places[need + 1 :])
                if c != best.places[need] and search.allowed(places):
                    other = search.choice(places)
                    if worth(other) < worth(best):  # type: ignore[operator]  # one worth, so alike on both sides
                        best = other
        if best is before:
            break
    return best
