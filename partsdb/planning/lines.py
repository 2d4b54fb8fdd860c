"""The lines of a plan as a person reads them: what, from whom, by which hour, and how sure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import numpy as np

from partsdb.model import Line, Option, OrderLine
from partsdb.planning.arrivals import World
from partsdb.planning.calendars import cut_off_at, next_working
from partsdb.planning.columns import in_place, line_goods, minor
from partsdb.planning.factors import Factor, constant, joint
from partsdb.planning.search import Choice, Search

DROP = 0.001  # a fall in the plan's probability that counts as one [-]
MOST_PUSHED = 25  # supplier days by which an order's time is pushed on
SHOWN = 0.999  # arrivals are shown until this probability


def amount(minor: float) -> Decimal:
    """Minor units as money, to 1/100.

    >>> amount(1234)
    Decimal('12.34')
    """
    return (Decimal(round(minor)) / 100).quantize(Decimal("0.01"))


class Variations:
    """The plan's probability when one option's arrival is another than planned."""

    def __init__(self, search: Search, choice: Choice) -> None:
        self._search, self._columns = search, search.columns(choice.places)
        self._options = {option.id: option for option in search.world.problem.options}
        self.probability = choice.probability

    def with_factor(self, option: str, factor: Factor, level: int = 0) -> float:
        """P(all in time) when `option`'s goods come as `factor` says."""
        factors = []
        for need, column in zip(self._search.needs, self._columns, strict=True):
            if option not in column.options:
                factors.append(column.factor)
                continue
            ways = [
                (
                    self._options[o].fits,
                    factor if o == option else self._search.world.in_time(self._options[o]),
                )
                for o in column.options
            ]
            factors.append(in_place(need, ways))
        return float(joint(factors, self._search.world.priors)[level])

    def certain(self, option: str) -> float:
        """P when that option's goods are there in time for sure."""
        return self.with_factor(option, constant(np.ones(self._search.world.levels)))

    def missing(self, option: str) -> float:
        """P when that option's goods never come."""
        return self.with_factor(option, constant(np.zeros(self._search.world.levels)))


def order_lines(search: Search, choice: Choice) -> tuple[OrderLine, ...]:
    """The plan's lines: those to be ordered first, by their order time."""
    varied = Variations(search, choice)
    options = {option.id: option for option in search.world.problem.options}
    made: list[OrderLine] = []
    for column in search.columns(choice.places):
        fresh = [o for o in column.options if o not in search.world.placed]
        for name in column.options:
            hedge = len(fresh) > 1 and name != fresh[0]
            made += _lines_of(search.world, options[name], varied, hedge)
    far = search.world.problem.deadline + timedelta(days=999)
    return tuple(sorted(made, key=lambda line: (line.order_by or far, line.need, line.hedge, line.offer)))


def _lines_of(world: World, option: Option, varied: Variations, hedge: bool) -> list[OrderLine]:
    order = world.placed.get(option.id)
    placed = order is not None
    bare = OrderLine(
        need=option.need,
        option=option.id,
        title=option.title,
        kind=option.kind,
        cost=Decimal(0) if placed else amount(minor(option.other_cost)),
        need_by=world.need_by(option),
        p_in_time=float(world.in_time(option).first(1).mean(world.priors)[0]),
        arrives=arrivals(world, option),
        hurts=max(0.0, varied.certain(option.id) - varied.probability),
        hedge=hedge,
        ordered=placed,
        arrived=order is not None and order.received_at is not None,
    )
    if not option.lines:
        return [bare]
    latest = {} if placed else order_by(world, option, varied)
    first = _line(world, option, option.lines[0], bare, latest)
    rest = [_line(world, option, line, replace(bare, cost=Decimal(0)), latest) for line in option.lines[1:]]
    return [first, *rest]


def _line(
    world: World, option: Option, line: Line, bare: OrderLine, latest: Mapping[str, datetime]
) -> OrderLine:
    supplier, service = world.supplier(line.supplier_id), world.problem.service(line)
    placed = option.id in world.placed
    return replace(
        bare,
        supplier=supplier.name,
        service=service.name,
        offer=line.offer_id,
        quantity=line.quantity,
        cost=bare.cost + (Decimal(0) if placed else amount(line_goods(world, line))),
        order_by=latest.get(line.offer_id),
        supplier_zone=supplier.calendar.zone,
        rolled=not placed and world.parcel(line, option).counts_for.rolled,
    )


def arrivals(world: World, option: Option) -> tuple[tuple[date, float], ...]:
    """(day, P(in by then)) for each day on which it may come, until nearly sure; empty for shelf ways."""
    if not option.lines:
        return ()
    daily = world.daily(option)
    found: list[tuple[date, float]] = []
    for index in range(world.today, len(daily)):
        before = found[-1][1] if found else 0.0
        if daily[index] > before + 1e-6:
            found.append((world.clock.date(index), float(daily[index])))
        if daily[index] >= SHOWN:
            break
    return tuple(found)


def order_by(world: World, option: Option, varied: Variations) -> dict[str, datetime]:
    """For each line's offer, the last cut-off at which ordering leaves the plan's probability as it is.

    The order is pushed from cut-off to cut-off until the probability falls by more than DROP.
    """
    days = first_days(world, option)
    good = days
    if varied.probability > DROP:
        for _ in range(MOST_PUSHED):
            days = later(world, option, days)
            moment = min(cut_offs(world, option, days).values())
            p = varied.with_factor(option.id, world.in_time(option, moment))
            if p < varied.probability - DROP:
                break
            good = days
    return cut_offs(world, option, good)


def first_days(world: World, option: Option) -> dict[str, date]:
    """For each line's offer, the supplier day for which an order given now counts."""
    return {line.offer_id: world.parcel(line, option).counts_for.day for line in option.lines}


def later(world: World, option: Option, days: Mapping[str, date]) -> dict[str, date]:
    """The next working day of each line's supplier."""
    return {
        line.offer_id: next_working(
            world.supplier(line.supplier_id).calendar, days[line.offer_id] + timedelta(days=1)
        )
        for line in option.lines
    }


def cut_offs(world: World, option: Option, days: Mapping[str, date]) -> dict[str, datetime]:
    """The instant of each line's cut-off on those days, in the supplier's zone."""
    return {
        line.offer_id: cut_off_at(
            days[line.offer_id], world.supplier(line.supplier_id).calendar, world.problem.service(line)
        )
        for line in option.lines
    }


def lateness_by_day(world: World, p: Sequence[float]) -> tuple[tuple[date, float], ...]:
    """(day, P(the job is done by the deadline's hour of that day)), from the deadline until nearly sure."""
    found = []
    for level in range(world.levels):
        found.append((world.deadline(level).date(), float(p[level])))
        if p[level] >= SHOWN or p[-1] - p[level] < 1 - SHOWN:
            break
    return tuple(found)
