"""Every way to satisfy a need that the solver may choose: one option, or two ordered together (a hedge).

A Pick is one of them, with its money in minor units and its probability as a Factor. Doubt about what the part was
is shared by the options of a need: P = sum over readings h of w_h [1 - product over options (1 - fits_oh f_o)].
Picks that another one beats in every respect are dropped; nothing else is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from partsdb.model import Line, Need, Option
from partsdb.planning.arrivals import World, holds_out
from partsdb.planning.factors import Factor, Floats, constant, union

LEAST = 1e-9  # probabilities are held above this in logarithms


@dataclass(frozen=True, slots=True)
class Pick:
    """What may be picked for one need: one option, or a hedge.

    cost: what the plan counts for it [minor units]: outlay less what is expected back for parts returned;
    outlay: what is paid [minor units], freight and top-up apart. goods: (supplier, minor units towards its
    minimum order). parcels: keys of the parcels it needs. uses: (stock id, units). factor: P(in place in
    time) over shared states and late days. p: mean of it at no late day.
    """

    need: str
    options: tuple[str, ...]
    cost: int
    outlay: int
    goods: tuple[tuple[str, int], ...]
    parcels: frozenset[str]
    uses: tuple[tuple[str, int], ...]
    factor: Factor
    p: float

    @property
    def log_p(self) -> float:
        """log P at no late day."""
        return math.log(max(self.p, LEAST))


@dataclass(slots=True)
class Priced:
    """Money of one option [minor units], worked out once."""

    option: Option
    goods: int
    other: int
    back: int
    by_supplier: dict[str, int]
    parcels: frozenset[str]
    factor: Factor
    daily: Floats = field(repr=False)  # P(in by each day)
    before: Floats = field(repr=False)  # P(in before each day)


def line_goods(world: World, line: Line) -> int:
    """Price of a line [minor units]: whole packs, in the plan's currency, rounded once."""
    offer = world.offer(line.offer_id)
    pieces = -(-line.quantity // max(offer.pack, 1)) * max(offer.pack, 1)
    return world.problem.local(offer.price.times(pieces)).minor


def minor(amount: Decimal) -> int:
    """An amount as whole minor units, rounded up: never cheaper than it is."""
    return math.ceil(amount * 100)


def priced(world: World, option: Option) -> Priced:
    """An option with its money. A placed option costs nothing more: its money is sunk."""
    sunk = option.id in world.placed
    by_supplier: dict[str, int] = {}
    back = 0.0
    parcels = set()
    for line in option.lines:
        goods = line_goods(world, line)
        by_supplier[line.supplier_id] = by_supplier.get(line.supplier_id, 0) + goods
        offer = world.offer(line.offer_id)
        back += 0.0 if offer.repair else goods * world.supplier(line.supplier_id).returns
        parcels.add(world.parcel(line, option).key)
    if sunk:
        by_supplier, parcels = {}, set()
    goods = sum(by_supplier.values())
    other = 0 if sunk else minor(option.other_cost)
    factor = world.in_time(option)
    daily = world.daily(option)
    before = np.concatenate([[0.0], daily[:-1]])
    return Priced(option, goods, other, int(back), by_supplier, frozenset(parcels), factor, daily, before)


def columns_of(world: World, need: Need, *, all_days: bool, prune: bool = True) -> tuple[Pick, ...]:
    """The columns of a need, dominated ones dropped, cheapest first.

    all_days: they must stay good for every number of late days, not only for none. Placed options are part of
    every column. Empty when nothing can be done.
    """
    ways = [option for option in world.options_of(need.id) if _usable(world, option)]
    waiting = [priced(world, option) for option in ways if option.id in world.placed]
    fresh = [priced(world, option) for option in ways if option.id not in world.placed]
    made = [_column(world, need, waiting)] if waiting else []
    levels = world.levels if all_days else 1
    if len(waiting) > 1 and all(placed.state == "placed" for placed in world.problem.placed):
        fresh = []  # a third order is thought of only once there is news of any order
    for i, one in enumerate(fresh):
        if any(_same_offer(one, other) for other in waiting):
            continue
        made.append(_column(world, need, [*waiting, one]))
        if waiting:  # what is under way is one half of the hedge
            continue
        made += [
            _column(world, need, [*waiting, one, two])
            for two in fresh[i + 1 :]
            if _may_hedge(world, one, two)
        ]
    made = [column for column in made if column.factor.table.max() > 0]
    made.sort(key=lambda column: (column.cost, column.options))
    return tuple(undominated(world, made, levels)) if prune else tuple(made)


def single_columns(world: World, need: Need) -> tuple[Pick, ...]:
    """The columns of one option each, none dropped: what somebody chooses from who never hedges."""
    ways = [option for option in world.options_of(need.id) if _usable(world, option)]
    waiting = [priced(world, option) for option in ways if option.id in world.placed]
    fresh = [priced(world, option) for option in ways if option.id not in world.placed]
    fresh = [one for one in fresh if not any(_same_offer(one, other) for other in waiting)]
    if not fresh:
        return (_column(world, need, waiting),) if waiting else ()
    return tuple(_column(world, need, [*waiting, one]) for one in fresh)


def _usable(world: World, option: Option) -> bool:
    if option.id in world.gone:
        return False
    return holds_out(option) > 0 and max(option.fits, default=0.0) > 0


def _may_hedge(world: World, one: Priced, two: Priced) -> bool:
    """Two options may be held together unless they spend the same pieces beyond what there is, or are one offer
    sent in two ways: one shelf and one wait can't hedge themselves."""
    if _same_offer(one, two):
        return False
    uses = merged(one.option.uses, two.option.uses)
    return all((limit := world.capacity(stock)) is None or units <= limit for stock, units in uses)


def _same_offer(one: Priced, two: Priced) -> bool:
    ordered = {line.offer_id for line in one.option.lines}
    return any(line.offer_id in ordered for line in two.option.lines)


def merged(*parts: Sequence[tuple[str, int]]) -> tuple[tuple[str, int], ...]:
    """Amounts added by name, names ascending."""
    total: dict[str, int] = {}
    for part in parts:
        for name, amount in part:
            total[name] = total.get(name, 0) + amount
    return tuple(sorted(total.items()))


def _column(world: World, need: Need, ways: Sequence[Priced]) -> Pick:
    factor = in_place(need, [(way.option.fits, way.factor) for way in ways])
    goods = merged(*(tuple(way.by_supplier.items()) for way in ways))
    outlay = sum(way.goods + way.other for way in ways)
    fresh = [way for way in ways if way.option.id not in world.placed]
    uses = merged(*(way.option.uses for way in ways))
    parcels = frozenset().union(*(way.parcels for way in ways))
    p = float(factor.first(1).mean(world.priors)[0])
    # of parts that are paid already only the change counts: what a further order would send back
    waiting = [way for way in ways if way.option.id in world.placed]
    back = _expected_back(need, ways) - (_expected_back(need, waiting) if waiting else 0) if fresh else 0
    return Pick(
        need.id,
        tuple(way.option.id for way in ways),
        outlay - back,
        outlay,
        goods,
        parcels,
        uses,
        factor,
        p,
    )


def in_place(need: Need, ways: Sequence[tuple[tuple[float, ...], Factor]]) -> Factor:
    """P(the need is met, or doesn't exist) given the shared states: doubt about the reading is shared.

    ways: for each option held, P(fits | reading) and P(its goods are there in time).
    """
    names: tuple[str, ...] = ()
    for _, factor in ways:
        names = union(names, factor.names)
    tables = [factor.over(names) for _, factor in ways]
    met: Floats = np.zeros(1)
    for h, weight in enumerate(need.readings):
        missed: Floats = np.ones(1)
        for (fits, _), table in zip(ways, tables, strict=True):
            missed = missed * (1 - fits[h] * table)
        met = met + weight * (1 - missed)
    if need.exists < 1:
        met = 1 - need.exists * (1 - met)
    return Factor(names, np.ascontiguousarray(met)) if names else constant(np.atleast_1d(met))


def _expected_back(need: Need, ways: Sequence[Priced]) -> int:
    """Money expected back for parts that were not used [minor units], rounded down.

    The first part in that fits is used; the others, and those that don't fit, go back. What has not come by
    the end of the calendar brings nothing back. Arrivals are taken as independent here.
    """
    back = 0.0
    for i, way in enumerate(ways):
        if not way.back:
            continue
        came = way.daily - way.before
        used = 0.0
        for h, weight in enumerate(need.readings):
            first = came
            for j, other in enumerate(ways):
                if j != i:
                    first = first * (1 - other.option.fits[h] * (other.daily if j < i else other.before))
            used += weight * way.option.fits[h] * float(first.sum())
        back += way.back * (float(way.daily[-1]) - need.exists * used)
    return max(int(back), 0)


# --------------------------------------------------------------------------- dominance


def undominated(world: World, columns: Sequence[Pick], levels: int) -> list[Pick]:
    """The columns that no other beats exactly.

    A beats B when it needs no parcel, shelf piece or stock unit that B doesn't, costs no more even if the
    goods it lacks must be topped up to minimum orders, pays out no more, and is at least as probable in every
    shared state.
    """
    if len(columns) < 2:
        return list(columns)
    may = _may_beat(world, columns)
    looks = [column.factor.first(levels) for column in columns]
    order = sorted(
        range(len(columns)), key=lambda c: (-columns[c].p, columns[c].cost, len(columns[c].options), c)
    )
    place = {c: n for n, c in enumerate(order)}
    gone: set[int] = set()
    for b in reversed(order):
        rivals = [a for a in np.flatnonzero(may[:, b]) if int(a) != b and int(a) not in gone]
        for a in sorted(rivals, key=lambda c: place[int(c)]):
            tie = bool(may[b, a]) and place[int(a)] > place[b]
            if not tie and looks[int(a)].at_least(looks[b]):
                gone.add(b)
                break
    return [column for c, column in enumerate(columns) if c not in gone]


def _may_beat(world: World, columns: Sequence[Pick]) -> NDArray[np.bool_]:
    """may[a, b]: everything but the states' probabilities lets column a beat column b."""
    cost = np.array([c.cost for c in columns], float)
    outlay = np.array([c.outlay for c in columns], float)
    p = np.array([c.p for c in columns])
    parcels = _matrix([dict.fromkeys(c.parcels, 1) for c in columns])
    uses = _matrix([dict(c.uses) for c in columns])
    goods = _matrix([_counting(world, c.goods) for c in columns])
    lacking = np.maximum(goods[None, :, :] - goods[:, None, :], 0).sum(axis=2)
    may = (cost[:, None] + lacking <= cost[None, :]) & (outlay[:, None] + lacking <= outlay[None, :])
    may &= p[:, None] >= p[None, :] - 1e-12
    may &= (parcels[:, None, :] <= parcels[None, :, :]).all(axis=2)
    may &= (uses[:, None, :] <= uses[None, :, :]).all(axis=2)
    return np.asarray(may)


def _counting(world: World, goods: tuple[tuple[str, int], ...]) -> dict[str, int]:
    """Goods of suppliers that have a minimum order."""
    return {s: amount for s, amount in goods if world.supplier(s).minimum_order.e4 > 0}


def _matrix(rows: Sequence[Mapping[str, int]]) -> Floats:
    names = sorted({name for row in rows for name in row})
    table = np.zeros((len(rows), len(names)))
    for r, row in enumerate(rows):
        for name, amount in row.items():
            table[r, names.index(name)] = amount
    return table
