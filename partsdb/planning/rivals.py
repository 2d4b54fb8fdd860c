"""What a person choosing by a simple rule would have got: the yardsticks beside the plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from partsdb.model import Rival
from partsdb.planning.arrivals import World
from partsdb.planning.columns import Column, single_columns
from partsdb.planning.factors import joint
from partsdb.planning.lines import amount
from partsdb.planning.milp import money_of, within_stock
from partsdb.planning.search import Choice, Search, late_cost

CHEAPEST, FASTEST, GREEDY = "cheapest first", "fastest first", "best step first"


def rivals(search: Search, choice: Choice) -> tuple[Rival, ...]:
    """Cheapest-first, fastest-first, and the best hand rule: always the step that buys most for its money."""
    world = search.world
    table = [single_columns(world, need) for need in search.needs]
    made = [
        _rival(world, CHEAPEST, _one_by_one(world, table, lambda c: (_alone(world, c), -c.p))),
        _rival(world, FASTEST, _one_by_one(world, table, lambda c: (_mean_day(world, c), c.cost))),
    ]
    greedy = best_step_first(search, choice.probability)
    if greedy is not None:
        made.append(_rival(world, GREEDY, search.columns(greedy.places)))
    return tuple(rival for rival in made if rival is not None)


def _rival(world: World, name: str, chosen: Sequence[Column] | None) -> Rival | None:
    if not chosen:
        return None
    p = joint([column.factor for column in chosen], world.priors)
    money = money_of(world, chosen)
    return Rival(name, amount(money.cost), float(p[0]), amount(late_cost(world, p)))


def _one_by_one(
    world: World, table: Sequence[Sequence[Column]], key: Callable[[Column], tuple[float, float]]
) -> list[Column] | None:
    """For each need in turn the first column by `key` that still leaves nothing spent twice."""
    chosen: list[Column] = []
    for columns in table:
        left = [c for c in sorted(columns, key=key) if within_stock(world, [*chosen, c])]
        if not left:
            return None
        chosen.append(left[0])
    return chosen


def _alone(world: World, column: Column) -> float:
    """What a column costs on its own, freight and top-up included [minor units]."""
    return float(money_of(world, [column]).cost)


def _mean_day(world: World, column: Column) -> float:
    """Mean day index on which the column's goods are in, the end of the calendar standing for never."""
    option = next(o for o in world.options_of(column.need) if o.id == column.options[-1])
    return float(np.sum(1 - world.daily(option)))


def best_step_first(search: Search, target: float) -> Choice | None:
    """From the cheapest columns, always the change with most probability a pound, until the target is reached.

    This is what a careful person does by hand with the same figures. None when it gets stuck below the target.
    """
    start = _one_by_one(search.world, search.table, lambda c: (_alone(search.world, c), -c.p))
    if start is None:
        return None
    places = [columns.index(column) for columns, column in zip(search.table, start, strict=True)]
    best = search.choice(places)
    for _ in range(5 * len(search.table) + 20):
        if best.probability >= target - 1e-9:
            return best
        step = _best_step(search, places)
        if step is None:
            return None
        need, c = step
        places[need] = c
        best = search.choice(places)
    return None


def _best_step(search: Search, places: Sequence[int]) -> tuple[int, int] | None:
    """(need, place) of the change with the most log probability for its money."""
    chosen = list(search.columns(places))
    cost = money_of(search.world, chosen).cost
    best: tuple[float, int, int] | None = None
    for need, columns in enumerate(search.table):
        now = columns[places[need]]
        for c, column in enumerate(columns):
            gain = column.log_p - now.log_p
            if gain <= 1e-9:
                continue
            changed = [*chosen[:need], column, *chosen[need + 1 :]]
            if not within_stock(search.world, changed):
                continue
            worth = gain / max(money_of(search.world, changed).cost - cost, 1e-3)
            if best is None or worth > best[0]:
                best = (worth, need, c)
    return None if best is None else best[1:]
