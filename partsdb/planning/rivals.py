"""What a person choosing by a simple rule would have got: the yardsticks beside the plan."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from partsdb.model import Rival
from partsdb.planning.arrivals import World
from partsdb.planning.columns import Pick, single_columns
from partsdb.planning.factors import joint
from partsdb.planning.greedy import alone, best_step_first, one_by_one
from partsdb.planning.lines import amount
from partsdb.planning.milp import money_of
from partsdb.planning.search import Choice, Search, late_cost

CHEAPEST, FASTEST, GREEDY = "cheapest first", "fastest first", "best step first"


def rivals(search: Search, choice: Choice, real: float = 1.0) -> tuple[Rival, ...]:
    """Cheapest-first, fastest-first, and the best hand rule: always the step that buys most for its money.

    real: P(no need without a way turns out to be wanted) [-]: no rule of thumb finds a way either.
    """
    world = search.world
    table = [single_columns(world, need) for need in search.needs]
    made = [
        _rival(world, real, CHEAPEST, one_by_one(world, table, lambda c: (alone(world, c), -c.p))),
        _rival(world, real, FASTEST, one_by_one(world, table, lambda c: (_mean_day(world, c), c.cost))),
    ]
    greedy = best_step_first(search, choice.probability)
    if greedy is not None:
        made.append(_rival(world, real, GREEDY, search.columns(greedy.places)))
    return tuple(rival for rival in made if rival is not None)


def _rival(world: World, real: float, name: str, chosen: Sequence[Pick] | None) -> Rival | None:
    if not chosen:
        return None
    p = joint([column.factor for column in chosen], world.priors)
    money = money_of(world, chosen)
    return Rival(name, amount(money.cost), float(p[0]) * real, amount(late_cost(world, p)))


def _mean_day(world: World, column: Pick) -> float:
    """Mean day index on which the column's goods are in, the end of the calendar standing for never."""
    option = next(o for o in world.options_of(column.need) if o.id == column.options[-1])
    return float(np.sum(1 - world.daily(option)))
