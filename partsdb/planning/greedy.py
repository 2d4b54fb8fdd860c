"""The best rule by hand: take the cheapest, then always the step that buys most probability for its money."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from partsdb.planning.arrivals import World
from partsdb.planning.columns import Pick
from partsdb.planning.milp import money_of, within_stock
from partsdb.planning.search import Choice, Search


def one_by_one(
    world: World, table: Sequence[Sequence[Pick]], key: Callable[[Pick], tuple[float, float]]
) -> list[Pick] | None:
    """For each need in turn the first column by `key` that still leaves nothing spent twice."""
    chosen: list[Pick] = []
    for columns in table:
        left = [c for c in sorted(columns, key=key) if within_stock(world, [*chosen, c])]
        if not left:
            return None
        chosen.append(left[0])
    return chosen


def alone(world: World, column: Pick) -> float:
    """What a column costs on its own, freight and top-up included [minor units]."""
    return float(money_of(world, [column]).cost)


def best_step_first(search: Search, target: float, *, by_product: bool = False) -> Choice | None:
    """From the cheapest columns, always the change with most probability a pound, until the target is reached.

    This is what a careful person does by hand with the same figures. by_product: he multiplies the needs'
    own probabilities, not knowing that delays come together. None when it gets stuck below the target.
    """
    start = one_by_one(search.world, search.table, lambda c: (alone(search.world, c), -c.p))
    if start is None:
        return None
    places = [columns.index(column) for columns, column in zip(search.table, start, strict=True)]
    best = search.choice(places)
    for _ in range(5 * len(search.table) + 20):
        product = math.exp(sum(column.log_p for column in search.columns(places)))
        if (product if by_product else best.probability) >= target - 1e-9:
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
