"""A second opinion: the plan played many times on the calendars themselves.

Shares no table with the exact model. Handling days are drawn from their distributions, walked with numpy's
business-day arithmetic, received in the goods-in window, and fitted forwards in time by the fitters; the
exact model goes backwards from the deadline through tables. What is shared is what is believed: the lead-time
beliefs, the public holidays and the order of fitting.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray

from partsdb.model import Line, Option
from partsdb.planning.arrivals import World, holds_out
from partsdb.planning.calendars import public_holidays, zone
from partsdb.planning.leadtimes import (
    SLOW_POWER,
    SLOW_SHARE,
    Floats,
    Handling,
    Optimism,
    spread_days,
    stock_day_weights,
)
from partsdb.planning.problem import Placed
from partsdb.planning.sequence import followers
from partsdb.records import Calendar, Hours
from partsdb.weekdays import WORKWEEK

Dates = NDArray[np.datetime64]
NEVER = np.inf


@dataclass(frozen=True, slots=True)
class Simulated:
    """Share of runs in time per late day, with the fitters' fixed sequence; `free`: they take what has come.

    runs: how many were played; effective: how many equally weighty runs they are worth.
    """

    p: Floats
    free: float
    runs: int
    effective: float

    @property
    def probability(self) -> float:
        """Share of runs that are in time."""
        return float(self.p[0])

    @property
    def standard_error(self) -> float:
        """Standard error of `probability`."""
        return math.sqrt(max(self.probability * (1 - self.probability), 1 / self.effective) / self.effective)


def simulate(world: World, chosen: Sequence[Option], *, seed: int, runs: int) -> Simulated | None:
    """The chosen options played `runs` times; None when what is known already can't have happened."""
    play = _Play(world, np.random.default_rng(seed), runs)
    ready, own = play.all(chosen)
    weight = play.weight
    if weight.sum() <= 0:
        return None
    needs = [need.id for need in world.problem.needs if any(o.need == need.id for o in chosen)]
    done = _in_sequence(world, needs, ready, own)
    limits = [play.minutes(world.deadline(t)) for t in range(world.levels)]
    job = math.ceil(world.problem.job_hours * 60)
    p = np.array([np.average(done + job <= limit + 1e-6, weights=weight) for limit in limits])
    free = _as_they_come(world, needs, ready, own) if _few_fitters(world, needs) else done
    effective = float(weight.sum() ** 2 / (weight**2).sum())
    as_they_come = float(np.average(free + job <= limits[0] + 1e-6, weights=weight))
    return Simulated(p, as_they_come, runs, effective)


def _few_fitters(world: World, needs: Sequence[str]) -> bool:
    return world.problem.shop.fitters < len(needs) <= 40


class _Play:
    """Draws of one plan. Working minutes are counted from the day before the first order.

    weight: of each run: how probable it makes what is known, that placed orders are not here yet. Their
    handling is drawn so that they are not; the weight says how likely that was in the run's shared states.
    """

    def __init__(self, world: World, rng: np.random.Generator, runs: int) -> None:
        self._world, self._rng, self._runs = world, rng, runs
        self._slow: dict[str, NDArray[np.bool_]] = {}
        self._carriage: dict[str, tuple[NDArray[np.int64], NDArray[np.int64]]] = {}
        self.weight: Floats = np.ones(runs)

    def all(self, chosen: Sequence[Option]) -> tuple[Floats, Floats]:
        """(ready minutes, install minutes) per run and need."""
        ready, own = [], []
        for need in self._world.problem.needs:
            ways = [option for option in chosen if option.need == need.id]
            if not ways:
                continue
            reading = self._draw(np.array([*need.readings, max(0.0, 1 - sum(need.readings))]))
            first, takes = np.full(self._runs, NEVER), np.full(self._runs, need.install_hours * 60)
            for option in ways:
                fits = np.array([*option.fits, 0.0])[reading] * holds_out(option)
                at = np.where(self._rng.random(self._runs) < fits, self._in_hand(option), NEVER)
                hours = need.install_hours if option.install_hours is None else option.install_hours
                better = at + hours * 60 < first + takes
                first, takes = np.where(better, at, first), np.where(better, math.ceil(hours * 60), takes)
            real = self._rng.random(self._runs) < need.exists
            ready.append(np.where(real, first, 0.0))  # time to fit it is kept free all the same
            own.append(takes)
        return np.stack(ready, axis=1), np.stack(own, axis=1)

    def minutes(self, moment: datetime) -> float:
        """Working minutes of the shop until a moment, counted day by day from wall-clock times."""
        local = moment.astimezone(zone(self._world.problem.shop.calendar.zone))
        shop = self._world.problem.shop
        days = (local.date() - self._world.base).days
        whole = sum(
            _open_minutes(shop.hours, shop.calendar, self._world.base + timedelta(days=i))
            for i in range(days)
        )
        at = local.hour * 60 + local.minute + local.second / 60
        return whole + _open_minutes(shop.hours, shop.calendar, local.date(), at)

    # ----------------------------------------------------------------- one option

    def _in_hand(self, option: Option) -> Floats:
        """Working minutes at which an option's goods are ready to be fitted."""
        placed = self._world.placed.get(option.id)
        extra = option.ready_hours * 60
        if placed and placed.state == "received" and placed.received_at:
            return np.full(self._runs, self.minutes(placed.received_at) + extra)
        if not option.lines:
            return np.full(self._runs, self.minutes(self._world.problem.now) + extra)
        came = [self._arrival(line, option, placed) for line in option.lines]
        return self._received(np.maximum.reduce(came)) + extra

    def _not_before(self, placed: Placed) -> date:
        today = self._world.problem.now.astimezone(zone(self._world.problem.shop.calendar.zone)).date()
        return max(today, placed.promised or today)

    def _received(self, days: Dates) -> Floats:
        """Working minutes at the close of goods-in of each day."""
        shop = self._world.problem.shop
        place = zone(shop.calendar.zone)
        found, inverse = np.unique(days, return_inverse=True)
        closes = []
        for day in (d.astype(object) for d in found):
            last = max(h.closes for h in shop.goods_in if h.weekday == day.weekday())
            beyond = (day - self._world.base).days > self._world.span
            closes.append(NEVER if beyond else self.minutes(datetime.combine(day, last, place)))
        return np.array(closes)[inverse]

    def _arrival(self, line: Line, option: Option, placed: Placed | None) -> Dates:
        """The day a line is received, in every run."""
        service = self._world.problem.service(line)
        repair = self._world.offer(line.offer_id).repair or option.kind == "repair"
        road = _road(self._world, line, placed.ordered_at if placed else self._world.problem.now, repair)
        mark = f"{line.supplier_id}/{line.service_id}/{repair}/{placed.ordered_at if placed else ''}"
        transit, customs = self._carried(mark, service.transit_days, service.customs_days)
        least = np.zeros(self._runs, np.int64)
        if placed:
            least = _least_days(road, transit, customs, self._not_before(placed), self._world.span)
        days = self._handling(line, placed, least)
        return road.received(np.minimum(days, self._world.span), transit, customs)

    def _carried(
        self, mark: str, transit: tuple[int, int], customs: tuple[int, int]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Transit and customs days of a parcel: the same for all that travels in it."""
        if mark not in self._carriage:
            self._carriage[mark] = (self._draw(spread_days(*transit)), self._draw(spread_days(*customs)))
        return self._carriage[mark]

    def _handling(self, line: Line, placed: Placed | None, least: NDArray[np.int64]) -> NDArray[np.int64]:
        """Handling days of a line in every run, at least `least`, moved by its supplier's slow spell."""
        if line.supplier_id not in self._slow:
            self._slow[line.supplier_id] = self._rng.random(self._runs) < SLOW_SHARE
        slow = self._slow[line.supplier_id]
        believed = self._world.handling(line, placed.delivery if placed else "")
        drawn = self._days(believed, max(4 * self._runs, 20_000)).astype(np.int16)
        ordered = np.sort(drawn, kind="stable")
        u = self._rng.random(self._runs)
        if placed:
            below = np.searchsorted(ordered, least.astype(np.int16)) / len(ordered)
            passed = np.where(slow, below**SLOW_POWER, _usual_share(below))
            self.weight *= 1 - passed
            u = passed + (1 - passed) * u
        rank = np.where(slow, u ** (1 / SLOW_POWER), _usual_rank(u))
        place = np.minimum((rank * len(ordered)).astype(int), len(ordered) - 1)
        return np.asarray(ordered[place], dtype=np.int64)

    def _days(self, believed: Handling, many: int) -> NDArray[np.int64]:
        """Handling days drawn from stock or back-order, whatever the spell."""
        days = self._draw(stock_day_weights(believed.stock_days), many)
        gone = np.flatnonzero(self._rng.random(many) >= believed.in_stock)
        w = self._next(believed.belief, len(gone))
        quote = believed.quote
        time = quote.shift + quote.middle * np.exp(np.minimum(quote.spread * w, 20.0))
        days[gone] = np.clip(np.ceil(time - 0.5), 0, 10_000).astype(np.int64)
        return days

    def _next(self, belief: Optimism, many: int) -> Floats:
        if not belief.open_orders:
            return belief.m + belief.scale * self._rng.standard_t(2 * belief.a, many)
        means, deviations, weights = belief.grid()
        point = self._rng.choice(len(weights), many, p=weights)
        return self._rng.normal(means[point], deviations[point])

    def _draw(self, weights: Floats, many: int = 0) -> NDArray[np.int64]:
        edges = np.cumsum(weights)[:-1]
        found = np.searchsorted(edges, self._rng.random(many or self._runs), side="right")
        return np.asarray(found, dtype=np.int64)


def _usual_share(v: Floats) -> Floats:
    """Share of lines outside a slow spell that stand at or below rank v: (v - q v^a) / (1 - q)."""
    return (v - SLOW_SHARE * v**SLOW_POWER) / (1 - SLOW_SHARE)


def _usual_rank(u: Floats) -> Floats:
    """The rank at or below which a share u of the lines outside a slow spell stands."""
    grid = np.linspace(0.0, 1.0, 4001)
    return np.interp(u, _usual_share(grid), grid)


@dataclass(frozen=True, slots=True)
class _Road:
    """The days a line passes through: the supplier's, the carrier's, customs' and the shop's goods-in."""

    start: np.datetime64
    works: np.busdaycalendar
    carries: np.busdaycalendar
    clears: np.busdaycalendar
    receives: np.busdaycalendar
    waits: bool  # what is fetched gets here after goods-in has closed

    def received(
        self, days: NDArray[np.int64], transit: NDArray[np.int64], customs: NDArray[np.int64]
    ) -> Dates:
        """Day of goods-in after so many handling, transit and customs days."""
        there = np.busday_offset(self.start, days, busdaycal=self.works)
        there = _forward(_forward(there, transit, self.carries), customs, self.clears)
        there = there + ((transit == 0) & self.waits)
        return np.asarray(np.busday_offset(there, 0, roll="forward", busdaycal=self.receives))


def _road(world: World, line: Line, moment: datetime, repair: bool) -> _Road:
    supplier, service = world.supplier(line.supplier_id), world.problem.service(line)
    shop = world.problem.shop
    place = shop.calendar
    local = moment.astimezone(zone(supplier.calendar.zone))
    first = local.date() + timedelta(days=1 if local.time() > service.cut_off else 0)
    works = _business(supplier.calendar.weekdays, supplier.calendar, world)
    start = np.busday_offset(np.datetime64(first), 0, roll="forward", busdaycal=works)
    ready = datetime.combine(start.astype(object), service.cut_off, zone(supplier.calendar.zone))
    gate = ready.astimezone(zone(place.zone)).time()
    open_roads = replace(place, closures=())  # the works being shut stops no carrier
    carries = _business(service.delivers, open_roads, world)
    if repair:  # the old part has to get there first
        there = _forward(np.array([start]), np.array([max(service.transit_days)]), carries)
        start = np.busday_offset(there, 0, roll="forward", busdaycal=works)[0]
    receives = tuple({hours.weekday for hours in shop.goods_in} & set(place.weekdays))
    return _Road(
        start,
        works,
        carries,
        _business(WORKWEEK, open_roads, world),
        _business(receives, place, world),
        all(gate > hours.closes for hours in shop.goods_in),
    )


def _least_days(
    road: _Road, transit: NDArray[np.int64], customs: NDArray[np.int64], day: date, most: int
) -> NDArray[np.int64]:
    """In every run, the fewest handling days with which the line is not received before `day`."""
    tries = np.arange(most)
    least = np.zeros(len(transit), np.int64)
    for j, c in {(int(j), int(c)) for j, c in zip(transit, customs, strict=True)}:
        came = road.received(tries, np.full(most, j), np.full(most, c))
        least[(transit == j) & (customs == c)] = np.searchsorted(came, np.datetime64(day))
    return least


def _forward(days: Dates, steps: NDArray[np.int64], calendar: np.busdaycalendar) -> Dates:
    """The `steps`-th working day strictly after each day; the day itself for no steps."""
    moved = np.busday_offset(days, steps, roll="preceding", busdaycal=calendar)
    return np.where(steps == 0, days, moved)


def _business(weekdays: tuple[int, ...], place: Calendar, world: World) -> np.busdaycalendar:
    return _busdays(
        tuple(sorted(weekdays)), place.country, place.region, place.closures, world.base.year, world.span
    )


@cache
def _busdays(
    weekdays: tuple[int, ...], country: str, region: str, closures: tuple[date, ...], year: int, span: int
) -> np.busdaycalendar:
    shut = sorted(public_holidays(country, region, year, year + span // 365 + 2) | set(closures))
    return np.busdaycalendar([day in weekdays for day in range(7)], np.array(shut, "datetime64[D]"))


def _open_minutes(hours: Sequence[Hours], place: Calendar, day: date, until: float = 1440.0) -> float:
    """Minutes the shop is open on a day, up to a minute of the day."""
    shut = public_holidays(place.country, place.region, day.year, day.year) | set(place.closures)
    if day in shut or day.weekday() not in place.weekdays:
        return 0.0
    total = 0.0
    for window in hours:
        if window.weekday == day.weekday():
            opens = window.opens.hour * 60 + window.opens.minute
            closes = window.closes.hour * 60 + window.closes.minute
            total += max(0.0, min(until, closes) - opens)
    return total


# --------------------------------------------------------------------------- fitting


def _in_sequence(world: World, needs: Sequence[str], ready: Floats, own: Floats) -> Floats:
    """When all is fitted [working min], each fitter keeping to his sequence."""
    after = followers(world.problem)
    before: Mapping[str, list[str]] = {n: [m for m in after if n in after[m]] for n in after}
    place = {need: i for i, need in enumerate(needs)}
    done: dict[str, Floats] = {}

    def finish(need: str) -> Floats:
        if need not in done:
            earlier = [finish(n) for n in before[need]]
            known = need in place
            start = ready[:, place[need]] if known else np.zeros(len(ready))
            for other in earlier:
                start = np.maximum(start, other)
            done[need] = start + (own[:, place[need]] if known else 60 * world.hours[need])
        return done[need]

    ends = [finish(need) for need in after]
    return np.maximum.reduce(ends) if ends else np.zeros(len(ready))


def _as_they_come(world: World, needs: Sequence[str], ready: Floats, own: Floats) -> Floats:
    """When all is fitted, the fitters taking next what can be started soonest."""
    after = {need.id: need.after for need in world.problem.needs}
    runs, many = ready.shape
    rows = np.arange(runs)
    free = np.zeros((runs, max(world.problem.shop.fitters, 1)))
    done = np.full((runs, many), NEVER)
    left = np.ones((runs, many), bool)
    earlier = [[needs.index(a) for a in after[need] if a in needs] for need in needs]
    for _ in range(many):
        start = np.where(left, np.maximum(ready, free.min(axis=1)[:, None]), NEVER)
        for i, those in enumerate(earlier):
            if those:
                blocked = left[:, those].any(axis=1)
                start[:, i] = np.where(blocked, NEVER, np.maximum(start[:, i], done[:, those].max(axis=1)))
        key = np.where(left, np.minimum(start, 1e12) + ready.clip(max=1e11) * 1e-6, NEVER)
        take, fitter = key.argmin(axis=1), free.argmin(axis=1)
        end = start[rows, take] + own[rows, take]
        done[rows, take], free[rows, fitter], left[rows, take] = end, end, False
    return np.asarray(done.max(axis=1))
