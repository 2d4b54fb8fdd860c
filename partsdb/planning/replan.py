"""Planning again with orders under way: what is paid is sunk, what is waited for is learnt from, the rest is
solved anew, and the difference to the plan before is explained."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from partsdb.model import Option, OrderLine, Plan
from partsdb.planning.planner import Progress, Worked, nothing_to_do, work_out, written
from partsdb.planning.problem import Placed, Problem
from partsdb.planning.search import Choice
from partsdb.records import OrderedPlan, PlannedLine

SAME = 0.5  # minor units by which a new choice must be better before the old one is left
SAME_P = 1e-9
NOTHING = "nothing changes"
Before = Plan | OrderedPlan
"""The plan before: as it was made, or as much of it as the records keep."""


@dataclass(frozen=True, slots=True)
class Replanned:
    """The new plan, whether anything is to be done differently, and why, in sentences."""

    plan: Plan
    changed: bool
    changes: tuple[str, ...]


def replan(
    problem: Problem,
    previous: Before,
    *,
    seed: int = 1,
    runs: int = 100_000,
    on_progress: Progress | None = None,
) -> Replanned:
    """The plan for a problem some of whose options are placed, beside the plan before.

    The old choice is kept unless another is truly better, so nothing changes without a reason.
    """
    worked = work_out(problem, on_progress)
    if worked is None:
        result = nothing_to_do(problem)
    else:
        choice = _kept(worked, previous)
        result = written(worked, choice, seed=seed, runs=runs, on_progress=on_progress)
    changes = _changes(problem, previous, result)
    return Replanned(result, _to_do(problem, result) != _still_to_do(problem, previous), changes)


def _kept(worked: Worked, previous: Before) -> Choice:
    """The old choice where the new one is no better."""
    best = worked.decided.choice
    old = _same_options(worked, previous)
    if old is None or old.places == best.places:
        return best
    search = worked.search
    if search.budget is not None or not worked.decided.reachable:
        better = best.probability > old.probability + SAME_P
    elif worked.decided.target is not None:
        passes = old.probability >= worked.decided.target - SAME_P
        better = not passes or best.money.cost < old.money.cost - SAME
    else:
        better = best.total < old.total - SAME
    if better:
        return best
    return replace(old, bound=best.bound, total_bound=best.total_bound, proved=best.proved)


def _same_options(worked: Worked, previous: Before) -> Choice | None:
    """The columns of the same options (placed ones are in every column); None when one is gone or beaten."""
    search = worked.search
    wanted = set(previous.options) | set(search.world.placed)
    places = []
    for need, columns in zip(search.needs, search.table, strict=True):
        held = wanted & {option.id for option in search.world.options_of(need.id)}
        found = [c for c, column in enumerate(columns) if set(column.options) == held]
        if not found:
            return None
        places.append(found[0])
    return search.choice(places) if search.allowed(places) else None


def _to_do(problem: Problem, plan: Plan) -> set[str]:
    """Options of a plan that are not placed yet."""
    return set(plan.options) - {placed.option for placed in problem.placed}


def _still_to_do(problem: Problem, previous: Before) -> set[str]:
    return set(previous.options) - {placed.option for placed in problem.placed}


def _changes(problem: Problem, previous: Before, result: Plan) -> tuple[str, ...]:
    options = {option.id: option for option in problem.options}
    before: dict[str, OrderLine | PlannedLine] = {line.option: line for line in previous.lines}
    after = {line.option: line for line in result.lines}
    said = sorted(_news(placed, options[placed.option], before, after) for placed in problem.placed)
    new, old = _to_do(problem, result), _still_to_do(problem, previous)
    said += [f"now {_do(options[name], after)}" for name in sorted(new - old)]
    for name in sorted(old - new):
        title = options[name].title if name in options else before[name].title if name in before else name
        said.append(f"{title} is no longer {'wanted' if name in options else 'to be had'}")
    said += [moved for name in sorted(new & old) if (moved := _moved(before.get(name), after.get(name)))]
    if abs(result.probability - previous.probability) >= 0.001:
        said.append(f"being in time: {previous.probability:.1%} before, {result.probability:.1%} now")
    sunk = sum(placed.paid for placed in problem.placed)
    if sunk:
        said.append(f"{sunk:.2f} {result.currency} is spent already; {result.outlay} more is to be paid")
    return tuple(said) or (NOTHING,)


def _do(option: Option, lines: Mapping[str, OrderLine]) -> str:
    line = lines.get(option.id)
    if line is None or not line.supplier:
        return f"use {option.title}"
    return f"order {option.title} from {line.supplier} by {line.service}"


def _news(
    placed: Placed,
    option: Option,
    before: Mapping[str, OrderLine | PlannedLine],
    after: Mapping[str, OrderLine],
) -> str:
    if placed.state == "received":
        return f"{option.title}: it is here"
    if placed.state == "wrong":
        return f"{option.title}: the wrong thing came; it is out"
    if placed.state == "cancelled":
        return f"{option.title}: cancelled; it is out"
    was, now = before.get(option.id), after.get(option.id)
    what = "late" if placed.state == "late" else "on its way"
    if placed.promised:
        what += f", promised for {placed.promised:%a %d %b}"
    if was is None or now is None or abs(was.p_in_time - now.p_in_time) < 0.001:
        return f"{option.title}: {what}"
    return f"{option.title}: {what}; in time {was.p_in_time:.0%} before, {now.p_in_time:.0%} now"


def _moved(was: OrderLine | PlannedLine | None, now: OrderLine | None) -> str:
    if was is None or now is None or was.order_by == now.order_by or now.order_by is None:
        return ""
    return f"{now.title}: order by {now.order_by:%a %d %b %H:%M} ({now.supplier_zone})"
