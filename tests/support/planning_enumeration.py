"""Every plan of a small problem, priced and given its exact probability by plain arithmetic: the yardstick.

Uses no bound, no dominance, no solver: all combinations of all columns, all joint states at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from partsdb.planning.arrivals import World
from partsdb.planning.columns import Pick, columns_of
from partsdb.planning.milp import minimum_order

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Everything:
    """All plans of a problem with four needs: cost and outlay [minor units], P per late day, allowed or not.

    Arrays have one axis a need.
    """

    cost: Floats
    outlay: Floats
    p: list[Floats]
    allowed: NDArray[np.bool_]


def everything(world: World, levels: int = 1) -> Everything:
    """All plans of a world with exactly four needs."""
    table = [columns_of(world, need, all_days=False, prune=False) for need in world.problem.needs]
    assert len(table) == 4
    names = sorted({n for columns in table for c in columns for n in c.factor.names})
    weights = _joint_weights(world, names)
    p = [_probabilities(world, table, names, weights, level) for level in range(levels)]
    cost, outlay = _money(world, table)
    return Everything(cost, outlay, p, _allowed(world, table))


def _joint_weights(world: World, names: list[str]) -> Floats:
    weights = np.ones(1)
    for name in names:
        weights = np.outer(weights, world.priors[name]).ravel()
    return weights


def _probabilities(
    world: World, table: list[tuple[Pick, ...]], names: list[str], weights: Floats, level: int
) -> Floats:
    shape = tuple(len(world.priors[name]) for name in names)
    rows = [
        np.stack([np.broadcast_to(c.factor.over(tuple(names))[..., level], shape).ravel() for c in columns])
        for columns in table
    ]
    first = (rows[0][:, None, :] * rows[1][None, :, :]).reshape(-1, len(weights))
    last = (rows[2][:, None, :] * rows[3][None, :, :]).reshape(-1, len(weights))
    return ((first * weights) @ last.T).reshape([len(columns) for columns in table])


def _spread(values: list[list[float]]) -> Floats:
    """Sum over needs of a value a column, for all plans."""
    grids = np.meshgrid(*[np.array(v, float) for v in values], indexing="ij", sparse=True)
    return np.asarray(reduce(np.add, grids))


def _money(world: World, table: list[tuple[Pick, ...]]) -> tuple[Floats, Floats]:
    extra = np.zeros([len(columns) for columns in table])
    parcels = sorted({key for columns in table for c in columns for key in c.parcels})
    for key in parcels:
        used = _spread([[float(key in c.parcels) for c in columns] for columns in table]) > 0
        extra += used * world.parcels[key].freight
    for supplier in {world.parcels[key].supplier for key in parcels}:
        goods = _spread([[float(dict(c.goods).get(supplier, 0)) for c in columns] for columns in table])
        used = goods > 0
        extra += used * np.maximum(0, minimum_order(world, supplier) - goods)
    cost = _spread([[float(c.cost) for c in columns] for columns in table]) + extra
    outlay = _spread([[float(c.outlay) for c in columns] for columns in table]) + extra
    return cost, outlay


def _allowed(world: World, table: list[tuple[Pick, ...]]) -> NDArray[np.bool_]:
    allowed = np.ones([len(columns) for columns in table], bool)
    stocks = {stock for columns in table for c in columns for stock, _ in c.uses}
    for stock in stocks:
        limit = world.capacity(stock)
        if limit is not None:
            spent = _spread([[float(dict(c.uses).get(stock, 0)) for c in columns] for columns in table])
            allowed &= spent <= limit
    return allowed
