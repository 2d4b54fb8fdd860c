"""From a Problem to a Plan: the one place that puts the planner's parts together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from partsdb.model import FrontierPoint, Option, Plan
from partsdb.planning.advice import calls, way_out_notes, what_buys_time, what_more_buys
from partsdb.planning.arrivals import World, world
from partsdb.planning.columns import minor
from partsdb.planning.factors import is_exact
from partsdb.planning.frontier import Decided, decide, earliest_level, price_of_failing
from partsdb.planning.lines import amount, lateness_by_day, order_lines
from partsdb.planning.problem import Problem, checked
from partsdb.planning.rivals import rivals
from partsdb.planning.search import Choice, Search, search_of
from partsdb.planning.simulate import simulate
from partsdb.planning.triggers import triggers

Progress = Callable[[str], None]
MANY = 60  # needs above which advice that re-solves is left out


@dataclass(frozen=True, slots=True)
class Worked:
    """A decision with all that it was drawn from; what `replan` needs besides the Plan."""

    search: Search
    decided: Decided


def plan(
    problem: Problem, *, seed: int = 1, runs: int = 100_000, on_progress: Progress | None = None
) -> Plan:
    """What to order, from whom, by which hour, and how sure that is.

    seed, runs: of the simulation that gives the second opinion (0 runs: none). on_progress: is told what is
    being done. Raises BadInput when the problem doesn't hang together; a deadline that can't be met, or a
    need without any way, is an answer.
    """
    worked = work_out(problem, on_progress)
    if worked is None:
        return nothing_to_do(problem)
    return written(worked, worked.decided.choice, seed=seed, runs=runs, on_progress=on_progress)


def work_out(problem: Problem, on_progress: Progress | None = None) -> Worked | None:
    """The decision, not yet written out; None when no combination is allowed at all."""
    deadline_only = len(problem.needs) > MANY and problem.late_day is None
    made = world(checked(problem), 1 if deadline_only else None)
    budget = None if problem.budget is None else minor(problem.budget)
    search = search_of(made, all_days=True, budget=budget)
    if not search.table:
        return None
    decided = decide(search, problem.target, on_progress)
    return None if decided is None else Worked(search, decided)


def written(
    worked: Worked, choice: Choice, *, seed: int, runs: int, on_progress: Progress | None = None
) -> Plan:
    """A choice written out as a Plan."""
    say = on_progress or (lambda _: None)
    search, decided = worked.search, worked.decided
    made, problem = search.world, search.world.problem
    chosen = chosen_options(search, choice)
    uncovered = tuple(need.id for need in problem.needs if need not in search.needs)
    real = _without(made, uncovered)
    say("playing the plan on the calendars")
    played = simulate(made, chosen, seed=seed, runs=runs) if runs else None
    say("working out what to do if something is late")
    result = Plan(
        lines=order_lines(search, choice),
        cost=amount(choice.money.cost),
        freight=amount(choice.money.freight),
        currency=problem.currency,
        probability=choice.probability * real,
        expected_late=amount(choice.late),
        deadline=problem.deadline,
        now=problem.now,
        options=tuple(option.id for option in chosen),
        bound=None if choice.bound is None else amount(choice.bound),
        proof=proof(search, choice, decided.target),
        simulated=None if played is None else played.probability * real,
        standard_error=None if played is None else played.standard_error * real,
        runs=0 if played is None else played.runs,
        seed=seed,
        by_day=lateness_by_day(made, (choice.p * real).tolist()),
        frontier=tuple(_point(search, point) for point in decided.frontier),
        triggers=triggers(search, choice),
        way_out=problem.way_out,
        uncovered=uncovered,
        target=decided.target,
        reachable=decided.reachable and not uncovered,
        outlay=amount(choice.money.outlay),
        top_up=amount(choice.money.top_up),
        free_choice=None if played is None else played.free * real,
    )
    return _advised(result, worked, choice, real)


def _advised(result: Plan, worked: Worked, choice: Choice, real: float) -> Plan:
    """The plan with rivals, calls, notes and, when the target is out of reach, the earliest day.

    real: P(no need without a way turns out to be wanted) [-]; the rivals hang on it as the plan does.
    """
    search, decided = worked.search, worked.decided
    many = len(search.needs) > MANY
    failing = price_of_failing(decided.frontier, choice)
    notes = [*_plain_notes(result, search), *way_out_notes(search, choice)]
    earliest = None
    if decided.target is not None and not decided.reachable and not many:
        level = earliest_level(search, decided.surest, decided.target)
        earliest = None if level is None else search.world.deadline(level).date()
        if level is None:
            notes.append(
                "no later day reaches it either: what is doubted is whether the parts fit, or come at all"
            )
        notes += what_buys_time(search, choice, decided.target)
    notes += what_more_buys(search, choice, decided.frontier)
    return replace(
        result,
        rivals=rivals(search, choice, real),
        calls=() if many else calls(search, choice, failing),
        earliest=earliest,
        notes=tuple(notes),
    )


def chosen_options(search: Search, choice: Choice) -> tuple[Option, ...]:
    """The options of a choice, in the order of the needs."""
    held = {name for column in search.columns(choice.places) for name in column.options}
    return tuple(option for option in search.world.problem.options if option.id in held)


def proof(search: Search, choice: Choice, target: float | None) -> str:
    """How good the plan is proved to be, in one sentence; empty when nothing is proved."""
    if search.budget is not None:
        return "no plan within the budget is more probable" if choice.proved else ""
    if choice.total_bound is not None:
        if choice.proved:
            return "no plan costs less, lateness counted"
        return f"at most {_above(choice.total, choice.total_bound)} above the best possible, lateness counted"
    if choice.bound is None or target is None:
        return ""
    if choice.proved:
        return f"no plan that is at least {target:.1%} sure costs less"
    return f"at most {_above(choice.money.cost, choice.bound)} above the best possible"


def _above(found: float, bound: float) -> str:
    return f"{100 * max(0.0, found / max(bound, 1.0) - 1):.2f} %"


def _without(made: World, uncovered: tuple[str, ...]) -> float:
    """P(none of the uncovered needs turns out to be real)."""
    return float(np.prod([1 - need.exists for need in made.problem.needs if need.id in uncovered]))


def _point(search: Search, choice: Choice) -> FrontierPoint:
    options = tuple(option.id for option in chosen_options(search, choice))
    return FrontierPoint(amount(choice.money.cost), choice.probability, amount(choice.late), options)


def _plain_notes(result: Plan, search: Search) -> list[str]:
    """What must be said beside the figures."""
    titles = {need.id: need.title for need in search.world.problem.needs}
    said = [f"{titles[need]}: no way to do it is known" for need in result.uncovered]
    said += [
        f"{line.title}: {line.supplier}'s cut-off has passed or they are closed; it counts for their next working day"
        for line in result.lines
        if line.rolled
    ]
    if result.top_up:
        said.append(f"{result.top_up} {result.currency} is paid only to reach a minimum order")
    if result.outlay > result.cost:
        back = result.outlay - result.cost
        said.append(
            f"{result.outlay} {result.currency} is paid; about {back} is expected back for returned parts"
        )
    if not is_exact(
        [column.factor for column in search.columns(_places(search, result))], search.world.priors
    ):
        said.append("too many deliveries hang together to be summed exactly: the probability is drawn")
    free = result.free_choice
    if free is not None and result.simulated is not None and free > result.simulated + 0.005:
        said.append(f"fitting what has come first instead of keeping the order of fitting: {free:.1%}")
    if result.target is not None and search.world.problem.target is None:
        said.append(f"nobody said what a late day costs, so {result.target:.0%} was aimed at")
    return said


def _places(search: Search, result: Plan) -> list[int]:
    held = set(result.options)
    return [
        next(c for c, column in enumerate(columns) if set(column.options) == held & _ways(search, n))
        for n, columns in enumerate(search.table)
    ]


def _ways(search: Search, need: int) -> set[str]:
    return {option.id for option in search.world.options_of(search.needs[need].id)}


def nothing_to_do(problem: Problem) -> Plan:
    """The Plan where nothing can be chosen: every need without a way is named, or there are no needs."""
    real = float(np.prod([1 - need.exists for need in problem.needs]))
    zero = Decimal("0.00")
    late = problem.lost_order or problem.late_day
    return Plan(
        lines=(),
        cost=zero,
        freight=zero,
        currency=problem.currency,
        probability=real,
        expected_late=amount(problem.local(late).minor * (1 - real)) if late else zero,
        deadline=problem.deadline,
        now=problem.now,
        uncovered=tuple(need.id for need in problem.needs if need.exists > 0),
        way_out=problem.way_out,
        target=problem.target,
        reachable=not problem.needs or (problem.target or 0.0) <= real,
        notes=() if not problem.needs else ("nothing can be ordered that would help",),
    )
