"""A second opinion: the plan played many times on the calendars themselves.

Shares no table with the exact model. Handling days are drawn from their distributions, walked with numpy's
business-day arithmetic, received in the goods-in window, and fitted forwards in time by the fitters; the
exact model goes backwards from the deadline through tables. What is shared is what is believed: the lead-time
beliefs, the public holidays and the order of fitting.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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

MOST_BATCHES = 40  # of draws, where waiting orders rule some out
Dates = NDArray[np.datetime64]
NEVER = np.inf


@dataclass(frozen=True, slots=True)
class Simulated:
    """Share of runs in time per late day, with the fitters' fixed sequence; `free`: they take what has come.

    runs: how many were played; late_days: mean of late days, each run's counted up to the last followed.
    """

    p: Floats
    free: float
    runs: int

    @property
    def probability(self) -> float:
        """Share of runs that are in time."""
        return float(self.p[0])

    @property
    def standard_error(self) -> float:
        """Standard error of `probability`."""
        return math.sqrt(max(self.probability * (1 - self.probability), 1 / self.runs) / self.runs)


def simulate(world: World, chosen: Sequence[Option], *, seed: int, runs: int) -> Simulated | None:
    """The chosen options played `runs` times; None when what is known already is too improbable to be drawn."""
    play = _Play(world, np.random.default_rng(seed), runs)
    kept: list[Floats] = []
    hours: list[Floats] = []
    count = 0
    for _ in range(MOST_BATCHES):
        ready, own, possible = play.batch(chosen)
        kept.append(ready[possible])
        hours.append(own[possible])
        count += int(possible.sum())
        if count >= runs:
            break
    if count < min(runs, 1000):
        return None
    ready, own = np.concatenate(kept)[:runs], np.concatenate(hours)[:runs]
    needs = [need.id for need in world.problem.needs if any(o.need == need.id for o in chosen)]
    done = _in_sequence(world, needs, ready, own)
    limits = [play.minutes(world.deadline(t)) for t in range(world.levels)]
    job = math.ceil(world.problem.job_hours * 60)
    p = np.array([(done + job <= limit + 1e-6).mean() for limit in limits])
    free = _as_they_come(world, needs, ready, own) if _few_fitters(world, needs) else done
    return Simulated(p, float((free + job <= limits[0] + 1e-6).mean()), len(done))


def _few_fitters(world: World, needs: Sequence[str]) -> bool:
    return world.problem.shop.fitters < len(needs) <= 40


class _Play:
    """Draws of one plan. Working minutes are counted from the day before the first order."""

    def __init__(self, world: World, rng: np.random.Generator, runs: int) -> None:
        self._world, self._rng, self._runs = world, rng, runs
        self._slow: dict[str, NDArray[np.bool_]] = {}
        self._carriage: dict[str, tuple[NDArray[np.int64], NDArray[np.int64]]] = {}

    def batch(self, chosen: Sequence[Option]) -> tuple[Floats, Floats, NDArray[np.bool_]]:
        """(ready minutes, install minutes) per run and need, and which runs agree with what is known."""
        self._slow, self._carriage = {}, {}
        possible = np.ones(self._runs, bool)
        ready, own = [], []
        for need in self._world.problem.needs:
            ways = [option for option in chosen if option.need == need.id]
            if not ways:
                continue
            reading = self._draw(np.array([*need.readings, max(0.0, 1 - sum(need.readings))]))
            first, takes = np.full(self._runs, NEVER), np.full(self._runs, need.install_hours * 60)
            for option in ways:
                at, agrees = self._in_hand(option)
                possible &= agrees
                fits = np.array([*option.fits, 0.0])[reading] * holds_out(option)
                at = np.where(self._rng.random(self._runs) < fits, at, NEVER)
                hours = need.install_hours if option.install_hours is None else option.install_hours
                better = at + hours * 60 < first + takes
                first, takes = np.where(better, at, first), np.where(better, math.ceil(hours * 60), takes)
            real = self._rng.random(self._runs) < need.exists
            ready.append(np.where(real, first, 0.0))  # time to fit it is kept free all the same
            own.append(takes)
        return np.stack(ready, axis=1), np.stack(own, axis=1), possible

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

    def _in_hand(self, option: Option) -> tuple[Floats, NDArray[np.bool_]]:
        """Working minutes at which an option's goods are ready to be fitted, and whether the run is possible."""
        always = np.ones(self._runs, bool)
        placed = self._world.placed.get(option.id)
        extra = option.ready_hours * 60
        if placed and placed.state == "received" and placed.received_at:
            return np.full(self._runs, self.minutes(placed.received_at) + extra), always
        if not option.lines:
            return np.full(self._runs, self.minutes(self._world.problem.now) + extra), always
        last: Dates | None = None
        for line in option.lines:
            came = self._arrival(line, option, placed)
            last = came if last is None else np.maximum(last, came)
            if placed:
                always &= came >= np.datetime64(self._not_before(placed))
        assert last is not None
        return self._received(last) + extra, always

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
        world = self._world
        supplier, service = world.supplier(line.supplier_id), world.problem.service(line)
        shop = world.problem.shop
        repair = world.offer(line.offer_id).repair or option.kind == "repair"
        moment = placed.ordered_at if placed else world.problem.now
        local = moment.astimezone(zone(supplier.calendar.zone))
        first = local.date() + timedelta(days=1 if local.time() > service.cut_off else 0)
        works = _business(supplier.calendar.weekdays, supplier.calendar, world)
        start = np.busday_offset(np.datetime64(first), 0, roll="forward", busdaycal=works)
        carries = _business(
            service.delivers, Calendar(shop.calendar.zone, shop.calendar.country, shop.calendar.region), world
        )
        clears = _business(
            (0, 1, 2, 3, 4), Calendar(shop.calendar.zone, shop.calendar.country, shop.calendar.region), world
        )
        leaves_from = start
        if repair:
            leaves_from = _forward(np.array([start]), np.array([max(service.transit_days)]), carries)[0]
            leaves_from = np.busday_offset(leaves_from, 0, roll="forward", busdaycal=works)
        days = np.minimum(self._handling(line, placed), world.span)
        there = np.busday_offset(leaves_from, days, busdaycal=works)
        mark = f"{line.supplier_id}/{line.service_id}/{repair}/{placed.ordered_at if placed else ''}"
        transit, customs = self._carried(mark, service.transit_days, service.customs_days)
        there = _forward(_forward(there, transit, carries), customs, clears)
        ready = datetime.combine(start.astype(object), service.cut_off, zone(supplier.calendar.zone))
        gate = ready.astimezone(zone(shop.calendar.zone)).time()
        if all(gate > hours.closes for hours in shop.goods_in):
            there = there + (transit == 0)
        receives = tuple({h.weekday for h in shop.goods_in} & set(shop.calendar.weekdays))
        return np.busday_offset(there, 0, roll="forward", busdaycal=_business(receives, shop.calendar, world))

    def _carried(
        self, mark: str, transit: tuple[int, int], customs: tuple[int, int]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Transit and customs days of a parcel: the same for all that travels in it."""
        if mark not in self._carriage:
            self._carriage[mark] = (self._draw(spread_days(*transit)), self._draw(spread_days(*customs)))
        return self._carriage[mark]

    def _handling(self, line: Line, placed: Placed | None) -> NDArray[np.int64]:
        """Handling days of a line in every run, moved by its supplier's slow spell."""
        if line.supplier_id not in self._slow:
            self._slow[line.supplier_id] = self._rng.random(self._runs) < SLOW_SHARE
        slow = self._slow[line.supplier_id]
        believed = self._world.handling(line, placed.delivery if placed else "")
        first = self._days(believed, self._runs)
        rest = [self._days(believed, int(slow.sum())) for _ in range(int(SLOW_POWER) - 1)]
        slowest = first.copy()
        slowest[slow] = np.maximum.reduce([first[slow], *rest])
        ordered = np.sort(np.concatenate([first, *rest]).astype(np.int16), kind="stable")
        rank = _normal_rank(self._rng.random(self._runs))
        usual = ordered[np.minimum((rank * len(ordered)).astype(int), len(ordered) - 1)].astype(np.int64)
        return np.asarray(np.where(slow, slowest, usual), dtype=np.int64)

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


def _normal_rank(u: Floats) -> Floats:
    """The rank v with (v - q v^a) / (1 - q) = u: where a line stands outside a slow spell."""
    grid = np.linspace(0.0, 1.0, 4001)
    return np.interp(u, (grid - SLOW_SHARE * grid**SLOW_POWER) / (1 - SLOW_SHARE), grid)


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
