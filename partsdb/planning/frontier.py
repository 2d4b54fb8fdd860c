"""Cost against probability, and the point on it that is asked for.

Nobody knows the probability he wants; what a late day costs he does know. So by default plans are found along
a ladder of target probabilities, each one's expected cost of lateness is worked out exactly, the least total is
taken, and improved around it. A target or a budget may be asked for instead.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from partsdb.planning.search import Choice, Search
from partsdb.planning.solve import cheapest, improved, least_total, quick, surest

LADDER = (0.3, 0.5, 0.65, 0.75, 0.8, 0.85, 0.9, 0.93, 0.95, 0.97, 0.98, 0.99, 0.995, 0.998)
UNASKED = 0.95  # the target where neither a target, a budget nor the cost of a late day was given


@dataclass(frozen=True, slots=True)
class Decided:
    """The choice, the surest one, the frontier (cheapest first), and whether what was asked can be had."""

    choice: Choice
    surest: Choice
    frontier: tuple[Choice, ...]
    target: float | None
    reachable: bool


def decide(
    search: Search, target: float | None, on_progress: Callable[[str], None] | None = None
) -> Decided | None:
    """The plan asked for: at a target, within the search's budget, or of least total. None if none is allowed."""
    say = on_progress or (lambda _: None)
    say("looking for the surest plan")
    sure = surest(search)
    if sure is None:
        return None
    if search.budget is not None:
        return Decided(sure, sure, frontier(search, sure, say), None, True)
    points = frontier(search, sure, say)
    if target is None and search.world.problem.late_day is not None:
        say("weighing cost against lateness")
        best = least_total(search, min(points, key=lambda choice: choice.total))
        return Decided(best, sure, undominated((*points, best)), None, True)
    wanted = UNASKED if target is None else target
    say(f"looking for the cheapest plan at {wanted:.1%}")
    found = cheapest(search, wanted)
    if found is None:
        return Decided(sure, sure, points, wanted, False)
    return Decided(found, sure, undominated((*points, found)), wanted, True)


def frontier(search: Search, sure: Choice, say: Callable[[str], None]) -> tuple[Choice, ...]:
    """The cheapest plans known along the ladder of probabilities, up to the surest plan."""
    found = [sure]
    least = search.program.solve("cost")
    if least is not None and search.allowed(least.chosen):
        found.append(search.choice(least.chosen))
    top = (sure.probability - 1e-6,) if sure.probability > 1e-3 else ()
    for target in (*(step for step in LADDER if step < sure.probability), *top):
        say(f"pricing {target:.1%}")
        choice = quick(search, target)
        if choice is not None:
            found.append(choice)
    return undominated(tuple(found))


def undominated(choices: tuple[Choice, ...]) -> tuple[Choice, ...]:
    """The choices that no other beats in both cost and probability, cheapest first."""
    kept: list[Choice] = []
    for choice in sorted(choices, key=lambda c: (c.money.cost, -c.probability)):
        if not kept or choice.probability > kept[-1].probability + 1e-9:
            kept.append(choice)
    return tuple(kept)


def earliest_level(search: Search, sure: Choice, target: float) -> int | None:
    """The fewest late days at which some plan reaches the target; None when none followed does."""

    def reaches(level: int) -> bool:
        best = improved(search, sure, lambda choice: -float(choice.p[level]), passes=4)
        return bool(best.p[level] >= target)

    low, high = 0, search.world.levels - 1
    if not reaches(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) else (middle, high)
    return high


def price_of_failing(points: tuple[Choice, ...], choice: Choice) -> float:
    """What one unit of probability is worth [minor units] where no late day is priced: the dearest step of the
    frontier that the asked target makes one pay."""
    below = [p for p in points if p.probability < choice.probability - 1e-9]
    if not below:
        return float(choice.money.cost)
    near = below[-1]
    return max(choice.money.cost - near.money.cost, 1) / max(choice.probability - near.probability, 1e-6)


def as_total(choice: Choice, failing: float) -> float:
    """Cost and lateness [minor units]; lateness priced by `failing` where no late day is."""
    return choice.total if choice.late > 0 else choice.money.cost + failing * (1 - choice.probability)
