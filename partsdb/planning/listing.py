"""Every plan that bounds can't rule out, so that a small problem's best plan is proved and not hoped.

Needs are decided one after the other, all partial plans at once as arrays; a partial plan is dropped when
even the best completion of it can't matter: cost so far plus the cheapest columns still to come is a lower
bound on cost, and the Hölder logarithms (see milp.py) are an upper bound on probability for every number of
late days.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsdb.planning.arrivals import World
from partsdb.planning.columns import Pick
from partsdb.planning.factors import Floats
from partsdb.planning.milp import bound_logs

MOST_CELLS = 6_000_000  # partial plans times levels held at once; above it the list is given up
LEVELS = (0, 1, 2, 3, 5, 8, 13, 21, 30)

Keep = Callable[[Floats, Floats, Floats], NDArray[np.bool_]]


@dataclass(frozen=True, slots=True)
class Listed:
    """Plans as rows of places, with lower bounds on cost and outlay [minor units] and log upper bounds on P."""

    places: NDArray[np.int64]
    cost: Floats
    outlay: Floats
    logs: Floats


@dataclass(frozen=True, slots=True)
class _Step:
    """The columns of one need as arrays, and the best that is still to come after it."""

    need: int
    cost: Floats
    outlay: Floats
    logs: Floats
    masks: NDArray[np.int64]
    rest_cost: float
    rest_outlay: float
    rest_logs: Floats


def levels_of(world: World, *, all_days: bool) -> tuple[int, ...]:
    """The numbers of late days at which probabilities are bounded: none, or a few up to the last followed."""
    if not all_days:
        return (0,)
    last = world.levels - 1
    return tuple(sorted({min(level, last) for level in LEVELS} | {last}))


def plans(
    world: World, table: Sequence[Sequence[Pick]], levels: tuple[int, ...], keep: Keep
) -> Listed | None:
    """All plans for which `keep(cost, outlay, logs)` holds at every stage; None when they are too many.

    keep gets bounds of partial plans, so it must be true for every plan of interest whenever it is true for
    its exact values.
    """
    freight = {key: world.parcels[key].freight for columns in table for c in columns for key in c.parcels}
    bits = {key: i for i, key in enumerate(sorted(freight))}
    if len(bits) > 62 or not table:
        return None
    fees = np.array([float(freight[key]) for key in sorted(freight)])
    steps = _steps(world, table, levels, bits)
    found = Listed(np.zeros((1, 0), int), np.zeros(1), np.zeros(1), np.zeros((1, len(levels))))
    masks = np.zeros(1, np.int64)
    for step in steps:
        if len(masks) * len(step.cost) * len(levels) > MOST_CELLS:
            return None
        found, masks = _extended(found, masks, step, fees, keep)
    order = np.argsort([step.need for step in steps])
    return Listed(found.places[:, order], found.cost, found.outlay, found.logs)


def _extended(
    found: Listed, masks: NDArray[np.int64], step: _Step, fees: Floats, keep: Keep
) -> tuple[Listed, NDArray[np.int64]]:
    many = len(step.cost)
    fresh = (step.masks[None, :] & ~masks[:, None]).ravel()
    fee = np.zeros(len(fresh))
    for bit, amount in enumerate(fees):
        fee += ((fresh >> bit) & 1) * amount
    cost = (found.cost[:, None] + step.cost[None, :]).ravel() + fee
    outlay = (found.outlay[:, None] + step.outlay[None, :]).ravel() + fee
    logs = (found.logs[:, None, :] + step.logs[None, :, :]).reshape(len(cost), found.logs.shape[1])
    kept = keep(cost + step.rest_cost, outlay + step.rest_outlay, logs + step.rest_logs)
    index = np.flatnonzero(kept)
    row, column = index // many, index % many
    places = np.concatenate([found.places[row], column[:, None]], axis=1)
    return Listed(places, cost[index], outlay[index], logs[index]), masks[row] | step.masks[column]


def _steps(
    world: World, table: Sequence[Sequence[Pick]], levels: tuple[int, ...], bits: dict[str, int]
) -> list[_Step]:
    """The needs as steps, those whose choice matters most first."""
    logs = [_logs(world, table, level) for level in levels]
    arrays = [np.stack([logs[i][n] for i in range(len(levels))], axis=1) for n in range(len(table))]
    order = sorted(range(len(table)), key=lambda n: -len(table[n]))
    rest_cost, rest_outlay, rest_logs = 0.0, 0.0, np.zeros(len(levels))
    steps: list[_Step] = []
    for n in reversed(order):
        cost = np.array([float(c.cost) for c in table[n]])
        outlay = np.array([float(c.outlay) for c in table[n]])
        masks = np.array([sum(1 << bits[key] for key in c.parcels) for c in table[n]], np.int64)
        steps.append(_Step(n, cost, outlay, arrays[n], masks, rest_cost, rest_outlay, rest_logs))
        rest_cost, rest_outlay = rest_cost + cost.min(), rest_outlay + outlay.min()
        rest_logs = rest_logs + arrays[n].max(axis=0)
    return steps[::-1]


def _logs(world: World, table: Sequence[Sequence[Pick]], level: int) -> list[Floats]:
    return [np.array(values) for values in bound_logs(world, table, level)]
