"""The choice of one column a need as a mixed-integer linear program, solved by HiGHS.

Rows: one column a need; a parcel is paid once whoever travels in it; goods below a supplier's minimum order
are topped up; no shelf piece or stock unit is spent twice; the budget; and two rows in logarithms:

- marginal: sum of log E f. The needs' successes are associated (all are helped by the same good states), so
  their product is never above the plan's probability: a plan that passes is truly that good.
- bound: sum of c log E f^(1/c), with c = 1 / (most needs that could share one of the column's states). By
  Hölder's inequality [Finner, Annals of Probability 20 (1992), from memory] no plan's probability is above it,
  so the cheapest plan that passes costs no more than the cheapest true one: a proved lower bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import highspy
import numpy as np

from partsdb.planning.arrivals import World
from partsdb.planning.columns import LEAST, Pick
from partsdb.planning.factors import Factor

Goal = Literal["cost", "probability"]
INFINITY = float("inf")


@dataclass(frozen=True, slots=True)
class Money:
    """What a set of columns costs [minor units]: cost counts expected returns, outlay is paid."""

    cost: int
    outlay: int
    freight: int
    top_up: int


def money_of(world: World, chosen: Sequence[Pick]) -> Money:
    """The exact money of a choice: integers added up, freight once a parcel, top-up to minimum orders."""
    parcels = frozenset().union(*(column.parcels for column in chosen))
    freight = sum(world.parcels[key].freight for key in parcels)
    ordered = {world.parcels[key].supplier for key in parcels}
    goods = dict.fromkeys(ordered, 0)
    for column in chosen:
        for supplier, amount in column.goods:
            goods[supplier] = goods.get(supplier, 0) + amount
    top_up = sum(max(0, minimum_order(world, s) - amount) for s, amount in goods.items())
    extra = freight + top_up
    return Money(sum(c.cost for c in chosen) + extra, sum(c.outlay for c in chosen) + extra, freight, top_up)


def minimum_order(world: World, supplier: str) -> int:
    """A supplier's minimum order [minor units]."""
    return world.problem.local(world.supplier(supplier).minimum_order).minor


def within_stock(world: World, chosen: Sequence[Pick]) -> bool:
    """Whether no shelf piece or stated stock unit is spent twice."""
    spent: dict[str, int] = {}
    for column in chosen:
        for stock, units in column.uses:
            spent[stock] = spent.get(stock, 0) + units
    return all((limit := world.capacity(stock)) is None or units <= limit for stock, units in spent.items())


def bound_logs(world: World, table: Sequence[Sequence[Pick]], level: int = 0) -> list[list[float]]:
    """For every column, c log E f^(1/c) at a number of late days: see the module's head."""
    touching: dict[str, int] = {}
    for columns in table:
        for name in {name for column in columns for name in column.factor.names}:
            touching[name] = touching.get(name, 0) + 1
    return [[_bound_log(world, column, touching, level) for column in columns] for columns in table]


def _bound_log(world: World, column: Pick, touching: dict[str, int], level: int) -> float:
    most = max((touching[name] for name in column.factor.names), default=1)
    table = column.factor.table[..., level : level + 1]
    peak = float(table.max())
    if peak <= LEAST:
        return math.log(LEAST)
    scaled = Factor(column.factor.names, table / peak)
    return math.log(peak) + math.log(max(float(scaled.mean(world.priors, float(most))[0]), 1e-300)) / most


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver found: place of the chosen column in each need's list; bound: proved bound on the objective."""

    chosen: tuple[int, ...]
    value: float
    bound: float


class _Quiet(highspy.Highs):
    """The solver without its callbacks, whose set-up prints a banner."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()


class Program:
    """The MILP of one table of columns; rows are loosened and tightened between solves, cuts are added."""

    def __init__(self, world: World, table: Sequence[Sequence[Pick]], budget: int | None = None) -> None:
        self._table = table
        self._solver: Any = _Quiet()
        for name, value in (("output_flag", False), ("threads", 1), ("random_seed", 1)):
            self._solver.setOptionValue(name, value)
        self._starts = np.cumsum([0] + [len(columns) for columns in table])
        self._columns = [column for columns in table for column in columns]
        self._costs = [float(column.cost) for column in self._columns]
        self._add_columns(world)
        self._add_needs()
        self._add_stock(world)
        outlay = [*(float(c.outlay) for c in self._columns), *self._extra_costs]
        self._add_row(-INFINITY, INFINITY if budget is None else float(budget), range(len(outlay)), outlay)
        everything = range(len(self._columns))
        bound = [value for values in bound_logs(world, table) for value in values]
        self._marginal = self._add_row(-INFINITY, INFINITY, everything, [c.log_p for c in self._columns])
        self._bound = self._add_row(-INFINITY, INFINITY, everything, bound)

    def solve(
        self,
        goal: Goal = "cost",
        *,
        marginal: float = -INFINITY,
        bound: float = -INFINITY,
        gap: float = 0.0,
        seconds: float = 30.0,
    ) -> Solution | None:
        """The least cost, or the most marginal probability, with the two log rows at least as given.

        gap: relative gap at which to stop [-]. None when nothing satisfies the rows.
        """
        solver = self._solver
        solver.changeRowBounds(self._marginal, marginal, INFINITY)
        solver.changeRowBounds(self._bound, bound, INFINITY)
        costs = np.array([*self._costs, *self._extra_costs])
        if goal == "probability":  # of two equally probable plans the cheaper one
            worth = 1e-7 / max(float(costs.max()), 1.0)
            logs = np.array([c.log_p for c in self._columns] + [0.0] * len(self._extra_costs))
            costs = costs * worth - logs
        solver.changeColsCost(len(costs), np.arange(len(costs), dtype=np.int32), costs)
        solver.setOptionValue("mip_rel_gap", gap)
        solver.setOptionValue("time_limit", seconds)
        solver.run()
        return self._answer()

    def _answer(self) -> Solution | None:
        info = self._solver.getInfo()
        if info.primal_solution_status != 2:
            return None
        values = np.array(self._solver.getSolution().col_value)[: len(self._columns)]
        chosen = tuple(
            int(np.argmax(values[a:b])) for a, b in zip(self._starts[:-1], self._starts[1:], strict=True)
        )
        return Solution(chosen, float(info.objective_function_value), float(info.mip_dual_bound))

    # ----------------------------------------------------------------- rows

    def _add_columns(self, world: World) -> None:
        """One binary a column and a parcel; used and topped-up for each supplier with a minimum order."""
        parcels = sorted({key for column in self._columns for key in column.parcels})
        ordered = sorted({world.parcels[key].supplier for key in parcels})
        minimum = {s: amount for s in ordered if (amount := minimum_order(world, s)) > 0}
        first = len(self._columns)
        self._parcel = {key: first + i for i, key in enumerate(parcels)}
        self._used = {s: first + len(parcels) + i for i, s in enumerate(minimum)}
        self._top_up = {s: first + len(parcels) + len(minimum) + i for i, s in enumerate(minimum)}
        self._extra_costs = [float(world.parcels[key].freight) for key in parcels]
        self._extra_costs += [0.0] * len(minimum) + [1.0] * len(minimum)
        binary = first + len(parcels) + len(minimum)
        for i in range(binary + len(minimum)):
            self._solver.addVar(0.0, 1.0 if i < binary else INFINITY)
        integers = np.arange(binary, dtype=np.int32)
        kinds = np.full(binary, highspy.HighsVarType.kInteger.value, dtype=np.uint8)
        self._solver.changeColsIntegrality(binary, integers, kinds)
        self._add_parcel_rows(world)
        self._add_minimum_rows(minimum)

    def _add_parcel_rows(self, world: World) -> None:
        for start, columns in zip(self._starts[:-1], self._table, strict=True):
            users: dict[str, list[int]] = {}
            for c, column in enumerate(columns):
                for key in column.parcels:
                    users.setdefault(key, []).append(int(start) + c)
            for key, index in users.items():
                self._add_row(-INFINITY, 0.0, [*index, self._parcel[key]], [1.0] * len(index) + [-1.0])
        for key, parcel in self._parcel.items():
            supplier = world.parcels[key].supplier
            if supplier in self._used:
                self._add_row(-INFINITY, 0.0, [parcel, self._used[supplier]], [1.0, -1.0])

    def _add_minimum_rows(self, minimum: dict[str, int]) -> None:
        for supplier, least in minimum.items():
            index, values = [self._top_up[supplier], self._used[supplier]], [1.0, -float(least)]
            for c, column in enumerate(self._columns):
                amount = dict(column.goods).get(supplier, 0)
                if amount:
                    index.append(c)
                    values.append(float(amount))
            self._add_row(0.0, INFINITY, index, values)

    def _add_needs(self) -> None:
        for a, b in zip(self._starts[:-1], self._starts[1:], strict=True):
            self._add_row(1.0, 1.0, range(int(a), int(b)), [1.0] * int(b - a))

    def _add_stock(self, world: World) -> None:
        spent: dict[str, list[tuple[int, int]]] = {}
        for c, column in enumerate(self._columns):
            for stock, units in column.uses:
                spent.setdefault(stock, []).append((c, units))
        for stock, users in sorted(spent.items()):
            limit = world.capacity(stock)
            if limit is not None:
                self._add_row(-INFINITY, float(limit), [c for c, _ in users], [float(u) for _, u in users])

    def _add_row(self, low: float, high: float, index: Sequence[int], values: Sequence[float]) -> int:
        self._solver.addRow(
            low, high, len(index), np.array(index, dtype=np.int32), np.array(values, dtype=np.float64)
        )
        return int(self._solver.getNumRow()) - 1
