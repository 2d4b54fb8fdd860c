"""Days and hours at which suppliers, carriers, customs and the shop really work.

Everything is worked out once, on real calendars, into tables indexed by calendar day (0 = the day of `now`
at the shop) and into a count of the shop's working minutes. After that nothing does arithmetic on clock
hours: a clock change or a holiday can't be forgotten, because it is in the tables.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import holidays
import numpy as np
from numpy.typing import NDArray

from partsdb.errors import BadInput
from partsdb.records import Calendar, Hours, Service, Shop
from partsdb.weekdays import WORKWEEK

Days = NDArray[np.int64]


@cache
def zone(name: str) -> ZoneInfo:
    """The IANA zone of that name; BadInput when there is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise BadInput(f"{name!r} is not a time zone", "Write it like Europe/London") from fault


@cache
def public_holidays(country: str, region: str, first: int, last: int) -> frozenset[date]:
    """Public holidays of the years `first` to `last`; region is the ISO 3166-2 part ("BY", "GB-SCT" or "").

    >>> date(2026, 12, 28) in public_holidays("GB", "ENG", 2026, 2026)
    True
    """
    part = region.removeprefix(f"{country}-") or None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore"
            )  # the library warns of spellings it will drop; the answer is the same
            found = holidays.country_holidays(country, subdiv=part, years=range(first, last + 1))
    except NotImplementedError as fault:  # the library's word for a country or region it doesn't list
        raise BadInput(
            f"no public holidays are known for {country} {region}".rstrip(), "Write it like GB, ENG"
        ) from fault
    return frozenset(day for day in found if first <= day.year <= last)


@dataclass(frozen=True, slots=True)
class Walk:
    """Working days as indices from `base`: the one way of counting days.

    open: index of each working day, ascending. An index past the table's end is `len(span)`, never reached.
    """

    base: date
    span: int
    open: Days

    def at_or_after(self, day: Days | int, steps: Days | int = 0) -> Days:
        """The first working day not before `day`, and `steps` working days on from it."""
        return self._pick(np.searchsorted(self.open, day, side="left") + steps)

    def after(self, day: Days | int, steps: Days | int) -> Days:
        """The `steps`-th working day strictly after `day`; `day` itself when steps is 0."""
        moved = self._pick(np.searchsorted(self.open, day, side="right") + np.maximum(steps, 1) - 1)
        return np.where(np.asarray(steps) == 0, day, moved)

    def _pick(self, position: Days | int) -> Days:
        padded = np.append(self.open, self.span)
        return np.asarray(padded[np.minimum(position, len(self.open))], dtype=np.int64)


def working_days(calendar: Calendar, base: date, span: int) -> Walk:
    """The working days of a calendar over `span` days from `base`: weekdays less holidays and closures."""
    return _walk(calendar.weekdays, calendar.country, calendar.region, calendar.closures, base, span)


def carrier_days(service: Service, shop: Calendar, base: date, span: int) -> Walk:
    """Days on which a service carries and delivers: its weekdays less the public holidays of the shop's place."""
    return _walk(service.delivers, shop.country, shop.region, (), base, span)


def customs_days(shop: Calendar, base: date, span: int) -> Walk:
    """Days on which customs of the shop's country clears: Monday to Friday less public holidays."""
    return _walk(WORKWEEK, shop.country, shop.region, (), base, span)


def goods_in_days(shop: Shop, base: date, span: int) -> Walk:
    """Days on which the shop receives parcels."""
    place = shop.calendar
    days = tuple(sorted({hours.weekday for hours in shop.goods_in} & set(place.weekdays)))
    return _walk(days, place.country, place.region, place.closures, base, span)


@cache
def _walk(
    weekdays: tuple[int, ...], country: str, region: str, closures: tuple[date, ...], base: date, span: int
) -> Walk:
    last = base + timedelta(days=span)
    shut = public_holidays(country, region, base.year, last.year) | set(closures)
    days = (base + timedelta(days=i) for i in range(span))
    return Walk(
        base,
        span,
        np.array([i for i, d in enumerate(days) if d.weekday() in weekdays and d not in shut], int),
    )


@dataclass(frozen=True, slots=True)
class OrderDay:
    """The supplier day an order counts for. rolled: the cut-off had passed or they were closed, so it is later."""

    day: date
    rolled: bool


def order_day(moment: datetime, calendar: Calendar, service: Service) -> OrderDay:
    """The supplier working day for which an order given at `moment` counts: a past cut-off rolls on."""
    local = moment.astimezone(zone(calendar.zone))
    day = local.date()
    late = local.time() > service.cut_off
    shut = not is_working(calendar, day)
    if not late and not shut:
        return OrderDay(day, False)
    return OrderDay(next_working(calendar, day if shut and not late else day + timedelta(days=1)), True)


def is_working(calendar: Calendar, day: date) -> bool:
    """Whether a calendar works on that day."""
    shut = public_holidays(calendar.country, calendar.region, day.year, day.year)
    return day.weekday() in calendar.weekdays and day not in shut and day not in calendar.closures


def next_working(calendar: Calendar, day: date) -> date:
    """The first working day not before `day`; BadInput when a calendar never opens."""
    for ahead in range(400):
        if is_working(calendar, day + timedelta(days=ahead)):
            return day + timedelta(days=ahead)
    raise BadInput("a calendar has no working day in a year", "Give it working weekdays")


def cut_off_at(day: date, calendar: Calendar, service: Service) -> datetime:
    """The instant of a service's order cut-off on a supplier day, in the supplier's zone."""
    return datetime.combine(day, service.cut_off, zone(calendar.zone))


@dataclass(frozen=True, slots=True)
class ShopClock:
    """The shop's working time as one running count of minutes, and when goods are in hand.

    starts, ends: UTC seconds of each working window; done: working minutes before each window opens.
    received: for each day index, working minutes [min] when goods of that day are in hand (the close of the
    goods-in window: a parcel may come at its last minute). goods_in: the receiving days.
    """

    base: date
    zone: ZoneInfo
    starts: NDArray[np.float64]
    ends: NDArray[np.float64]
    done: NDArray[np.float64]
    received: NDArray[np.float64]
    goods_in: Walk

    def minutes(self, moment: datetime) -> float:
        """Working minutes [min] from the start of the table to `moment`."""
        return float(self.minutes_at(np.array([moment.timestamp()]))[0])

    def minutes_at(self, seconds: NDArray[np.float64]) -> NDArray[np.float64]:
        """The same for many instants, in UTC seconds."""
        window = np.searchsorted(self.starts, seconds, side="right") - 1
        first = np.maximum(window, 0)
        inside = np.clip(seconds - self.starts[first], 0, self.ends[first] - self.starts[first]) / 60
        return np.where(window < 0, 0.0, self.done[first] + inside)

    def latest(self, minutes: float) -> datetime:
        """The instant at which `minutes` of working time have passed, in the shop's zone.

        Of the close of one window and the opening of the next, which are as far in working time, the close.
        """
        window = int(np.searchsorted(self.done, minutes, side="left")) - 1
        if window < 0:
            return datetime.fromtimestamp(self.starts[0], UTC).astimezone(self.zone)
        inside = min((minutes - self.done[window]) * 60, self.ends[window] - self.starts[window])
        return datetime.fromtimestamp(self.starts[window] + inside, UTC).astimezone(self.zone)

    def date(self, index: int) -> date:
        """The calendar day of an index."""
        return self.base + timedelta(days=int(index))


def shop_clock(shop: Shop, base: date, span: int) -> ShopClock:
    """The shop's clock over `span` days from `base`; BadInput when it has no hours."""
    place = zone(shop.calendar.zone)
    open_days = {int(i) for i in working_days(shop.calendar, base, span).open}
    windows: list[tuple[float, float]] = []
    for index in sorted(open_days):
        windows += _windows(shop.hours, base + timedelta(days=index), place)
    if not windows:
        raise BadInput("the shop has no working hours", "Set its hours once")
    starts, ends = (np.array(side, float) for side in zip(*sorted(windows), strict=True))
    done = np.concatenate([[0.0], np.cumsum((ends - starts) / 60)[:-1]])
    goods = goods_in_days(shop, base, span)
    clock = ShopClock(base, place, starts, ends, done, np.full(span + 1, np.inf), goods)
    for index in goods.open:
        day = base + timedelta(days=int(index))
        last = max(end for _, end in _windows(shop.goods_in, day, place))
        clock.received[index] = clock.minutes_at(np.array([last]))[0]
    return clock


def _windows(hours: Sequence[Hours], day: date, place: ZoneInfo) -> list[tuple[float, float]]:
    """The windows of one day in UTC seconds; on a day the clocks change they are as long as they really are."""
    return [
        (
            datetime.combine(day, h.opens, place).timestamp(),
            datetime.combine(day, h.closes, place).timestamp(),
        )
        for h in hours
        if h.weekday == day.weekday()
    ]
