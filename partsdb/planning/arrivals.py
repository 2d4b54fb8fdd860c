"""Probabilities of being in time, on the real calendars, for every option.

An order goes: order day of the supplier -> k of its working days -> j carrier working days -> c customs
working days -> next goods-in day of the shop. The arrival day is a table over (k, carriage); probabilities
are sums over it. Two things are shared and make delays come together: the supplier's slow spell and the
carriage of the parcel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from partsdb.model import Line, Option
from partsdb.planning.calendars import (
    Days,
    OrderDay,
    ShopClock,
    carrier_days,
    customs_days,
    order_day,
    shop_clock,
    working_days,
    zone,
)
from partsdb.planning.factors import Factor, constant
from partsdb.planning.leadtimes import (
    SPELL_WEIGHTS,
    Floats,
    Handling,
    Optimism,
    handling,
    optimism,
    spells,
    spread_days,
)
from partsdb.planning.problem import Placed, Problem
from partsdb.planning.sequence import hours, tails
from partsdb.records import Offer, Service, Supplier

LATE_DAYS = 30  # lateness is followed this many days; what comes later counts as that
BEYOND = 45  # days past the deadline that the calendars still cover


@dataclass(frozen=True, slots=True)
class Parcel:
    """What travels together: one supplier, one service, one order day.

    arrives[k, m]: day index of goods-in for k handling days and carriage m; carriage: probability of each m.
    freight: minor units; 0 when it is paid already.
    """

    key: str
    supplier: str
    counts_for: OrderDay
    arrives: Days
    carriage: Floats
    freight: int


@dataclass(slots=True)
class World:
    """A Problem worked out on its calendars: pure tables, filled as they are asked for.

    base: day 0; today: index of `now`; levels: late days followed, 0 first; finish[t]: working minutes [min]
    of the shop by the deadline plus t days; priors: probabilities of each shared state.
    """

    problem: Problem
    base: date
    span: int
    clock: ShopClock
    levels: int
    finish: Floats
    tail: Mapping[str, float]
    hours: Mapping[str, float]
    own_hours: dict[str, float] = field(default_factory=dict)
    priors: dict[str, Floats] = field(default_factory=dict)
    parcels: dict[str, Parcel] = field(default_factory=dict)
    beliefs: dict[tuple[str, str], Optimism] = field(default_factory=dict)
    placed: dict[str, Placed] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()
    stock_known: Mapping[str, float] = field(default_factory=dict)
    offers: dict[str, Offer] = field(default_factory=dict)
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    ways: dict[str, tuple[Option, ...]] = field(default_factory=dict)
    _services: dict[tuple[str, str], Service] = field(default_factory=dict)
    _cdfs: dict[tuple[str, str, int, str], Floats] = field(default_factory=dict)
    _factors: dict[tuple[str, datetime | None], Factor] = field(default_factory=dict)
    _daily: dict[tuple[str, datetime | None], Floats] = field(default_factory=dict)

    def offer(self, offer_id: str) -> Offer:
        """The offer of that id."""
        return self.offers[offer_id]

    def supplier(self, supplier_id: str) -> Supplier:
        """The supplier of that id."""
        return self.suppliers[supplier_id]

    def service(self, line: Line) -> Service:
        """The service by which a line travels."""
        key = (line.supplier_id, line.service_id)
        if key not in self._services:
            self._services[key] = self.problem.service(line)
        return self._services[key]

    def options_of(self, need: str) -> tuple[Option, ...]:
        """Every way to satisfy a need."""
        return self.ways.get(need, ())

    def capacity(self, stock_id: str) -> int | None:
        """Units that may be spent; None when nobody said how many there are."""
        if stock_id in self.problem.stock:
            return self.problem.stock[stock_id]
        return self.offers[stock_id].stock_units if stock_id in self.offers else 1

    @property
    def today(self) -> int:
        """Day index of `now`."""
        return (self.problem.now.astimezone(self.clock.zone).date() - self.base).days

    def deadline(self, late: int) -> datetime:
        """The deadline `late` calendar days on, at the same hour by the shop's clock."""
        return self.problem.deadline.astimezone(self.clock.zone) + timedelta(days=late)

    # ----------------------------------------------------------------- lines

    def handling(self, line: Line, without: str = "") -> Handling:
        """What is believed of a line's handling days."""
        offer, supplier = self.offer(line.offer_id), self.supplier(line.supplier_id)
        key = (supplier.id, without)
        if key not in self.beliefs:
            self.beliefs[key] = optimism(supplier, self.problem.deliveries, self.problem.now, without)
        made = handling(
            offer,
            self.service(line),
            line.quantity,
            self.beliefs[key],
            self.problem.deliveries,
            self.problem.now.astimezone(self.clock.zone).date(),
        )
        return replace(made, in_stock=self.stock_known.get(offer.id, made.in_stock))

    def parcel(self, line: Line, option: Option, at: datetime | None = None) -> Parcel:
        """The parcel a line travels in, ordered `at` (None: now, or when it was really ordered)."""
        repair = self.offer(line.offer_id).repair or option.kind == "repair"
        placed = self.placed.get(option.id)
        mark = f"@{placed.ordered_at.isoformat()}" if placed else (f"@{at.isoformat()}" if at else "")
        key = f"parcel {line.supplier_id}/{line.service_id}{'/repair' if repair else ''}{mark}"
        if key not in self.parcels:
            moment = placed.ordered_at if placed else at or self.problem.now
            self.parcels[key] = _parcel(self, line, key, moment, repair)
            if placed:  # paid already
                self.parcels[key] = replace(self.parcels[key], freight=0)
            self.priors[key] = self.parcels[key].carriage
        return self.parcels[key]

    def _cdf(self, line: Line, placed: Placed | None) -> Floats:
        """P(handed over in fewer than 0, 1, ... days) by spell (rows)."""
        without = placed.delivery if placed else ""
        key = (line.offer_id, line.service_id, line.quantity, without)
        if key not in self._cdfs:
            rows = spells(self.handling(line, without).cdf(self.span - 1))
            self._cdfs[key] = np.concatenate([np.zeros((2, 1)), rows], axis=1)
        return self._cdfs[key]

    def _line(self, line: Line, option: Option, last: Days, at: datetime | None) -> Factor:
        """P(the line is in by day last[t]) given its supplier's spell and its parcel's carriage."""
        parcel = self.parcel(line, option, at)
        placed = self.placed.get(option.id)
        slow = f"spell {line.supplier_id}"
        self.priors.setdefault(slow, SPELL_WEIGHTS)
        cdf = self._cdf(line, placed)
        by = np.stack([np.searchsorted(column, last, side="right") for column in parcel.arrives.T])
        table = cdf[:, by]  # spell, carriage, late days
        if placed:
            table = _not_yet(table, cdf, parcel, self._earliest(placed))
        names = (parcel.key, slow)
        return Factor(names, np.ascontiguousarray(table.transpose(1, 0, 2)))

    def _earliest(self, placed: Placed) -> int:
        """The first day index on which a placed order can still come."""
        promised = (placed.promised - self.base).days if placed.promised else 0
        return max(self.today, promised)

    # ----------------------------------------------------------------- options

    def last_day(self, option: Option) -> Days:
        """For each number of late days, the last day index on which the option's goods may come in."""
        return np.searchsorted(self.clock.received[:-1][self.clock.goods_in.open], self._by(option), "right")

    def _by(self, option: Option) -> Floats:
        """Working minutes by which the option's goods must be in hand, per number of late days."""
        own = self.own_hours[option.need] if option.install_hours is None else option.install_hours
        tail = self.tail[option.need] - self.hours[option.need] + own
        spent = tail + option.ready_hours + self.problem.job_hours
        return self.finish - math.ceil(spent * 60)

    def need_by(self, option: Option) -> datetime:
        """The latest instant at which the option's goods may be in hand, in the shop's zone."""
        return self.clock.latest(float(self._by(option)[0]))

    def in_time(self, option: Option, at: datetime | None = None) -> Factor:
        """P(the option's goods are in hand in time, and it holds out) given the shared states."""
        key = (option.id, at)
        if key not in self._factors:
            self._factors[key] = self._in_time(option, at)
        return self._factors[key]

    def _in_time(self, option: Option, at: datetime | None) -> Factor:
        holds = constant(np.full(self.levels, holds_out(option)))
        placed = self.placed.get(option.id)
        if placed and placed.state == "received" and placed.received_at:
            arrived = max(self.clock.minutes(placed.received_at), 0.0)
            return holds.times(constant((arrived <= self._by(option)).astype(float)))
        if not option.lines:
            start = self.clock.minutes(at or self.problem.now)
            return holds.times(constant((start <= self._by(option)).astype(float)))
        position = self.last_day(option)
        open_days = np.concatenate([[-1], self.clock.goods_in.open])
        last = open_days[position]
        return reduce(Factor.times, (self._line(line, option, last, at) for line in option.lines), holds)

    def daily(self, option: Option, at: datetime | None = None) -> Floats:
        """P(the option's goods are in by each day index), over all states; for display and for returns."""
        key = (option.id, at)
        if key not in self._daily:
            placed = self.placed.get(option.id)
            if not option.lines or (placed and placed.state == "received"):
                days = np.zeros(self.span)
                days[self.today :] = 1.0
            else:
                every = np.arange(self.span)
                lines = (self._line(line, option, every, at) for line in option.lines)
                days = reduce(Factor.times, lines).mean(self.priors)
            self._daily[key] = days
        return self._daily[key]


def holds_out(option: Option) -> float:
    """P(a way holds out once fitted): 1 but for a temporary part, which must be stated to last the bridge."""
    if option.kind != "temporary" and option.stated_hours is None:
        return option.survives
    if option.duty_hours > (option.stated_hours or 0.0):
        return 0.0
    return option.survives


def world(problem: Problem, levels: int | None = None) -> World:
    """The Problem on its calendars; BadInput when a calendar or zone is unknown.

    levels: numbers of late days to follow; None for all that matter, 1 to look at the deadline only.
    """
    place = zone(problem.shop.calendar.zone)
    placed = {p.option: p for p in problem.placed if p.counts}
    moments = [problem.now, *(p.ordered_at for p in placed.values())]
    base = min(m.astimezone(place).date() for m in moments) - timedelta(days=1)
    last = problem.deadline.astimezone(place).date()
    span = max((last - base).days, 1) + LATE_DAYS + BEYOND
    clock = shop_clock(problem.shop, base, span)
    levels = levels or late_levels(problem)
    made = World(
        problem, base, span, clock, levels, np.zeros(levels), tails(problem), hours(problem), placed=placed
    )
    made.offers = {offer.id: offer for offer in problem.offers}
    made.suppliers = {supplier.id: supplier for supplier in problem.suppliers}
    made.gone = frozenset(p.option for p in problem.placed if not p.counts)
    made.own_hours = {need.id: need.install_hours for need in problem.needs}
    for option in problem.options:
        made.ways[option.need] = (*made.ways.get(option.need, ()), option)
    made.finish[:] = [clock.minutes(made.deadline(t)) for t in range(levels)]
    for placed_option in (o for o in problem.options if o.id in placed):
        _learn_from_waiting(made, placed_option)
    return made


def late_levels(problem: Problem) -> int:
    """How many numbers of late days are followed: until the order is lost, at most LATE_DAYS, and day 0."""
    if problem.late_day and problem.lost_order and problem.late_day.e4 > 0:
        lost = problem.local(problem.lost_order).e4 / problem.local(problem.late_day).e4
        return min(max(math.ceil(lost), 1), LATE_DAYS) + 1
    return LATE_DAYS + 1


def _parcel(world: World, line: Line, key: str, moment: datetime, repair: bool) -> Parcel:
    supplier, service = world.problem.supplier(line.supplier_id), world.problem.service(line)
    counts_for = order_day(moment, supplier.calendar, service)
    arrives, carriage = carriage_table(world, supplier, service, counts_for.day, repair)
    freight = world.problem.local(service.freight).minor * (2 if repair else 1)
    return Parcel(key, supplier.id, counts_for, arrives, carriage, freight)


def carriage_table(
    world: World, supplier: Supplier, service: Service, day: date, repair: bool
) -> tuple[Days, Floats]:
    """arrives[k, m] and P(m): every carriage with its own days, those that arrive alike merged."""
    base, span, shop = world.base, world.span, world.problem.shop.calendar
    works = working_days(supplier.calendar, base, span)
    carries, clears = carrier_days(service, shop, base, span), customs_days(shop, base, span)
    start: Days | int = (day - base).days
    if repair:  # the old part has to get there first
        start = carries.after(start, max(service.transit_days))
    leaves = works.at_or_after(start, np.arange(span))
    found: dict[bytes, tuple[Days, float]] = {}
    for j, p in enumerate(spread_days(*service.transit_days)):
        for c, q in enumerate(spread_days(*service.customs_days)):
            if p * q > 0:
                there = clears.after(carries.after(leaves, j), c)
                row = _received(world, there, service, supplier, day, collected=j == 0)
                before = found.get(row.tobytes(), (row, 0.0))[1]
                found[row.tobytes()] = (row, before + float(p * q))
    rows = sorted(found.values(), key=lambda item: item[0].tolist())
    return np.stack([row for row, _ in rows], axis=1), np.array([p for _, p in rows])


def _received(
    world: World, there: Days, service: Service, supplier: Supplier, day: date, *, collected: bool
) -> Days:
    """Goods-in day of what stands at the gate on day `there`; what is fetched after goods-in waits a day."""
    if collected and _ready_after_goods_in(world, service, supplier, day):
        there = there + 1
    return world.clock.goods_in.at_or_after(there)


def _ready_after_goods_in(world: World, service: Service, supplier: Supplier, day: date) -> bool:
    ready = datetime.combine(day, service.cut_off, zone(supplier.calendar.zone)).astimezone(world.clock.zone)
    return all(ready.time() > hours.closes for hours in world.problem.shop.goods_in)


def _not_yet(table: Floats, cdf: Floats, parcel: Parcel, earliest: int) -> Floats:
    """The table of an order given that it has not come before day `earliest`."""
    before = np.array([np.searchsorted(column, earliest, side="left") for column in parcel.arrives.T])
    gone = cdf[:, before][:, :, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        left = (table - gone) / (1 - gone)
    return np.where(gone < 1 - 1e-12, np.clip(left, 0.0, 1.0), 0.0)


def _learn_from_waiting(world: World, option: Option) -> None:
    """Bayes for the shared states: a slow spell or slow carriage explains why an order isn't here yet.

    The states are updated one by one from what the order says of each (their product is kept independent).
    """
    placed = world.placed[option.id]
    if placed.state == "received":
        return
    for line in option.lines:
        parcel = world.parcel(line, option)
        slow = f"spell {line.supplier_id}"
        prior = world.priors.setdefault(slow, SPELL_WEIGHTS)
        cdf = world._cdf(line, placed)
        before = [
            np.searchsorted(column, world._earliest(placed), side="left") for column in parcel.arrives.T
        ]
        waiting = 1 - cdf[:, np.array(before)]
        carriage = world.priors[parcel.key]
        world.priors[slow] = _posterior(prior, waiting @ carriage)
        world.priors[parcel.key] = _posterior(carriage, prior @ waiting)


def _posterior(prior: Floats, likelihood: Floats) -> Floats:
    weights: NDArray[np.float64] = prior * likelihood
    total = weights.sum()
    return weights / total if total > 0 else prior
