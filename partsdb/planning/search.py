"""The columns of every need, and exact figures for any choice among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from partsdb.model import Need
from partsdb.planning.arrivals import World
from partsdb.planning.columns import Pick, columns_of
from partsdb.planning.factors import Floats, joint
from partsdb.planning.milp import Money, Program, money_of, within_stock

SMALL = 400  # columns up to which an optimum is sought and proved by listing


@dataclass(frozen=True, slots=True)
class Choice:
    """One column a need (places in the table), its money, P by late days, and what is proved of its cost.

    bound: no plan that reaches the same target costs less [minor units]; None when nothing is proved.
    total_bound: the same for cost and lateness together. proved: nothing is better by what was asked.
    """

    places: tuple[int, ...]
    money: Money
    p: Floats
    late: float
    bound: float | None = None
    total_bound: float | None = None
    proved: bool = False

    @property
    def probability(self) -> float:
        """P(all in time)."""
        return float(self.p[0])

    @property
    def total(self) -> float:
        """Cost and expected cost of lateness [minor units]."""
        return self.money.cost + self.late


@dataclass(slots=True)
class Search:
    """The columns of every need that has any, and what has been worked out about their combinations."""

    world: World
    needs: tuple[Need, ...]
    table: tuple[tuple[Pick, ...], ...]
    budget: int | None = None
    slack: float = 0.0  # log P of the surest plan less the sum of its columns' log P
    _known: dict[tuple[int, ...], Choice] = field(default_factory=dict)
    _program: Program | None = None

    @property
    def size(self) -> int:
        """Number of columns."""
        return sum(len(columns) for columns in self.table)

    @property
    def small(self) -> bool:
        """Whether an optimum can be expected by listing."""
        return self.size <= SMALL

    def columns(self, places: Sequence[int]) -> tuple[Pick, ...]:
        """The columns of a choice."""
        return tuple(columns[c] for columns, c in zip(self.table, places, strict=True))

    def choice(self, places: Sequence[int]) -> Choice:
        """A choice worked out exactly."""
        key = tuple(places)
        if key not in self._known:
            chosen = self.columns(key)
            p = joint([column.factor for column in chosen], self.world.priors) if chosen else self._sure()
            self._known[key] = Choice(key, money_of(self.world, chosen), p, late_cost(self.world, p))
        return self._known[key]

    def _sure(self) -> Floats:
        return np.ones(self.world.levels)

    @property
    def program(self) -> Program:
        """The MILP of the table, without cuts."""
        if self._program is None:
            self._program = Program(self.world, self.table, self.budget)
        return self._program

    def allowed(self, places: Sequence[int]) -> bool:
        """Whether a choice spends no piece twice and stays in the budget."""
        if not within_stock(self.world, self.columns(places)):
            return False
        return self.budget is None or self.choice(places).money.outlay <= self.budget


def search_of(world: World, *, all_days: bool, budget: int | None = None) -> Search:
    """The Search of a world: needs without any way are left out (they are named by the plan)."""
    made = [(need, columns_of(world, need, all_days=all_days)) for need in world.problem.needs]
    kept = [(need, columns) for need, columns in made if columns]
    return Search(world, tuple(n for n, _ in kept), tuple(c for _, c in kept), budget)


def late_cost(world: World, p: Floats) -> float:
    """Expected cost of lateness [minor units]: cost of a day times the expected number of late days."""
    each, weights = late_weights(world)
    return float(each * (weights @ (1 - p[: len(weights)])))


def late_weights(world: World) -> tuple[float, Floats]:
    """Cost of a late day [minor units], and how much of each further day counts.

    The expected number of late days is the sum over t of P(more than t days late); the last day followed
    counts in part when the order is lost within it.
    """
    days = world.levels - 1
    day, lost = world.problem.late_day, world.problem.lost_order
    each = 0 if day is None else world.problem.local(day).minor
    if lost is None or each == 0:
        return float(each), np.ones(days)
    return float(each), np.clip(world.problem.local(lost).minor / each - np.arange(days), 0.0, 1.0)
