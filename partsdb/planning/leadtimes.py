"""How many of its working days a supplier really takes, learnt from quotes and past deliveries.

Handling is a mixture: with probability p the thing is really there (Beta, fed by "said in stock" against
"was in stock"), else it is ordered in. Back-order time is shift + exp(normal). With shift, middle and log
spread s taken from the quoted range (its ends read as the 10 % and 90 % points), the pooled unknown of a
supplier is w = (log(x - shift) - log middle) / s: how many spreads later than quoted. Its mean (optimism) and
variance have a normal-inverse-gamma prior, so what is predicted for the next order is a Student t
[DeGroot, Optimal Statistical Decisions, ch. 9, from memory]. Orders still open are censored: they enter as
"more than t days" by weighting the posterior on a grid; they are never dropped.

A supplier's slow spell is shared by its lines. It is a mixture that leaves every line's own distribution F as
it is: F = q F^a + (1 - q) G, with q F^a the slow part (as if the slowest of `a` tries counted).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from partsdb.planning.calendars import working_days, zone
from partsdb.records import Delivery, Offer, Service, Supplier

Floats = NDArray[np.float64]

# Our judgement, open to argument: what is believed before any delivery is known.
OPTIMISM = 0.4  # suppliers are two fifths of a spread later than the middle of what they quote
OPTIMISM_WEIGHT = 2.0  # ... as if two deliveries had said so
SPREAD_SHAPE, SPREAD_SCALE = 2.5, 3.4
STOCK_SAID = (9.0, 1.0)  # "in stock" is true nine times in ten
STOCK_UNSTATED = (1.0, 2.0)
STALE_DAYS = 120.0  # a quotation's claim of stock fades with this time constant [days]
SLOW_SHARE = 0.2  # q: share of time a supplier is in a slow spell
SLOW_POWER = 4.0  # a; q * a must not exceed 1
OVERRUN = (0.95, 0.035, 0.015)  # a stated range of days holds; is exceeded by one day; by two
LEAST_SPREAD = 0.2

_GRID = np.linspace(-8.0, 16.0, 481)


def student_t_cdf(x: Floats, freedom: float) -> Floats:
    """P(T <= x) of Student's t with `freedom` degrees of freedom [-].

    By the regularised incomplete beta function [Abramowitz and Stegun 26.7.1, 26.5.8, from memory];
    checked against printed tables of t.

    >>> round(float(student_t_cdf(np.array([2.228]), 10.0)[0]), 4)
    0.975
    """
    tail = 0.5 * _incomplete_beta(freedom / (freedom + x * x), freedom / 2, 0.5)
    return np.where(x < 0, tail, 1 - tail)


def _incomplete_beta(x: Floats, a: float, b: float) -> Floats:
    """I_x(a, b) by the continued fraction, turned round where it converges slowly."""
    turn = x > (a + 1) / (a + b + 2)
    low, high = np.where(turn, 0.5, x), np.where(turn, 1 - x, 0.5)
    return np.where(turn, 1 - _beta_fraction(high, b, a), _beta_fraction(low, a, b))


def _beta_fraction(x: Floats, a: float, b: float) -> Floats:
    """x^a (1-x)^b / (a B(a,b)) times the continued fraction, evaluated from its far end."""
    x = np.clip(x, 1e-300, 1 - 1e-16)
    front = np.exp(a * np.log(x) + b * np.log1p(-x) + math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b))
    value = np.ones_like(x)
    for m in range(60, 0, -1):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        value = 1 + even / (1 + odd / value)
    first = -(a + b) * x / (a + 1)
    return np.asarray(front / a / (1 + first / value), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Quote:
    """A quoted range as a shifted lognormal: x = shift + middle * exp(spread * w) [supplier working days]."""

    shift: float
    middle: float
    spread: float

    def standard(self, days: float) -> float:
        """w of a time of `days`."""
        return math.log(max(days - self.shift, 0.25) / self.middle) / self.spread

    def standards(self, days: Floats) -> Floats:
        """w of many times; -inf before the shift."""
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(np.maximum(days - self.shift, 0.0) / self.middle) / self.spread)


def quoted(low: int, high: int) -> Quote:
    """The Quote of a stated range [supplier working days].

    >>> q = quoted(5, 10)
    >>> round(q.shift, 2), round(q.middle, 2), round(q.spread, 2)
    (2.0, 4.9, 0.38)
    """
    low, high = min(low, high), max(low, high)
    shift = low / 2 - 0.5
    middle = math.sqrt((low - shift) * (high - shift))
    spread = math.log((high - shift) / (low - shift)) / (2 * 1.2816)
    return Quote(shift, middle, max(spread, LEAST_SPREAD))


@dataclass(frozen=True, slots=True)
class Optimism:
    """Normal-inverse-gamma belief about w of one supplier: mean m with weight k, variance shape a, scale b.

    open_orders: w already exceeded by orders that have not come.
    """

    m: float = OPTIMISM
    k: float = OPTIMISM_WEIGHT
    a: float = SPREAD_SHAPE
    b: float = SPREAD_SCALE
    open_orders: tuple[float, ...] = ()

    def learnt(self, seen: Sequence[float], still_open: Sequence[float] = ()) -> Optimism:
        """The belief after deliveries that took w = `seen`, and orders open beyond w = `still_open`."""
        beyond = self.open_orders + tuple(still_open)
        if not seen:
            return Optimism(self.m, self.k, self.a, self.b, beyond)
        n, mean = len(seen), math.fsum(seen) / len(seen)
        squares = math.fsum((w - mean) ** 2 for w in seen)
        k = self.k + n
        b = self.b + squares / 2 + self.k * n * (mean - self.m) ** 2 / (2 * k)
        return Optimism((self.k * self.m + n * mean) / k, k, self.a + n / 2, b, beyond)

    @property
    def scale(self) -> float:
        """Scale of the Student t of the next w; its degrees of freedom are 2a."""
        return math.sqrt(self.b * (self.k + 1) / (self.a * self.k))

    def grid(self) -> tuple[Floats, Floats, Floats]:
        """(mean, deviation, weight) points of the belief, weighted by what open orders say."""
        means, deviations, weights = _belief_points(self)
        for beyond in self.open_orders:
            weights = weights * (1 - normal_cdf((beyond - means) / deviations))
        return means, deviations, weights / weights.sum()

    def cdf(self, w: Floats) -> Floats:
        """P(next w <= w): Student t, or its grid when orders are open."""
        if not self.open_orders:
            return student_t_cdf((w - self.m) / self.scale, 2 * self.a)
        means, deviations, weights = self.grid()
        table = normal_cdf((_GRID[:, None] - means) / deviations) @ weights
        return np.interp(w, _GRID, table, left=0.0, right=1.0)


def _belief_points(belief: Optimism) -> tuple[Floats, Floats, Floats]:
    """Quadrature of the normal-inverse-gamma: a grid over log variance and, within it, over the mean."""
    middle = math.log(belief.b / belief.a)
    logs = np.linspace(middle - 5 / math.sqrt(belief.a), middle + 7 / math.sqrt(belief.a), 41)
    density = np.exp(-belief.a * logs - belief.b * np.exp(-logs) + belief.a * middle + belief.a)
    z = np.linspace(-4.0, 4.0, 25)
    deviations = np.repeat(np.exp(logs / 2), len(z))
    means = belief.m + np.tile(z, len(logs)) * deviations / math.sqrt(belief.k)
    weights = np.repeat(density, len(z)) * np.tile(np.exp(-z * z / 2), len(logs))
    return means, deviations, weights


def normal_cdf(x: Floats) -> Floats:
    """Standard normal distribution, to 1e-7 [Abramowitz and Stegun 7.1.26, from memory; checked in the tests]."""
    z = np.abs(x) / math.sqrt(2)
    t = 1 / (1 + 0.3275911 * z)
    series = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    upper = 0.5 * series * np.exp(-z * z)
    return np.where(x < 0, upper, 1 - upper)


def carriage_middle(supplier: Supplier, service_id: str) -> float:
    """Middle of a service's transit and customs days: what is taken off a delivery to get its handling [days]."""
    for service in supplier.services:
        if service.id == service_id:
            return (sum(service.transit_days) + sum(service.customs_days)) / 2
    middles = [(sum(s.transit_days) + sum(s.customs_days)) / 2 for s in supplier.services]
    return sum(middles) / len(middles) if middles else 1.0


def handling_seen(supplier: Supplier, delivery: Delivery, until: date) -> float:
    """Supplier working days a delivery was handled by `until` (or its receipt), its carriage taken off."""
    last = delivery.received_on or until
    span = max((last - delivery.ordered_on).days, 0) + 1
    days = working_days(supplier.calendar, delivery.ordered_on, span)
    return max(len(days.open) - 1 - carriage_middle(supplier, delivery.service_id), 0.0)


def _was_back_order(delivery: Delivery) -> bool:
    if delivery.was_in_stock is None:
        return not delivery.said_in_stock
    return not delivery.was_in_stock


def optimism(
    supplier: Supplier, deliveries: Sequence[Delivery], now: datetime, without: str = ""
) -> Optimism:
    """What a supplier's past and open back-orders say of its quotes. without: id of a delivery left aside."""
    today = now.astimezone(zone(supplier.calendar.zone)).date()
    seen, still_open = [], []
    for delivery in deliveries:
        if delivery.supplier_id != supplier.id or delivery.id == without or not _was_back_order(delivery):
            continue
        quote = quoted(*delivery.quoted_days)
        if delivery.received_on is not None:
            seen.append(quote.standard(handling_seen(supplier, delivery, today)))
        elif delivery.ordered_on < today:
            # not here by last night: handling plus carriage is more than the days until then
            passed = handling_seen(supplier, delivery, today - timedelta(days=1))
            still_open.append(quote.standard(passed + 0.5))
    return Optimism().learnt(seen, still_open)


def stock_probability(offer: Offer, quantity: int, deliveries: Sequence[Delivery], today: date) -> float:
    """P(the pieces are really on the supplier's shelf) [-]: Beta mean, faded with the quotation's age."""
    if offer.repair or offer.stock == "to order":
        return 0.0
    if offer.stock_units is not None and offer.stock_units < quantity:
        return 0.0
    if offer.stock == "put by":
        return 1.0
    there, gone = STOCK_SAID if offer.stock == "in stock" else STOCK_UNSTATED
    if offer.stock == "in stock":
        tried = [d for d in deliveries if d.supplier_id == offer.supplier_id and d.said_in_stock]
        there += sum(d.was_in_stock is True for d in tried)
        gone += sum(d.was_in_stock is False for d in tried)
    age = (today - offer.quoted_on).days if offer.quoted_on else 0
    return there / (there + gone) * math.exp(-max(age, 0) / STALE_DAYS)


def spread_days(low: int, high: int) -> Floats:
    """Probabilities of 0, 1, ... days for a stated range: even inside it, with a small overrun.

    A stated zero (collection, no customs) is exact.

    >>> [round(float(p), 3) for p in spread_days(1, 2)]
    [0.0, 0.475, 0.475, 0.035, 0.015]
    """
    low, high = min(low, high), max(low, high)
    if high == 0:
        return np.array([1.0])
    held, one, two = OVERRUN
    days = np.zeros(high + 3)
    days[low : high + 1] = held / (high - low + 1)
    days[high + 1], days[high + 2] = one, two
    return days


@dataclass(frozen=True, slots=True)
class Handling:
    """What is believed of one line: probability of stock, the days then, and the back-order otherwise."""

    in_stock: float
    stock_days: tuple[int, int]
    quote: Quote
    belief: Optimism

    def cdf(self, most: int) -> Floats:
        """P(handed over within 0, 1, ..., most supplier working days)."""
        stock = np.ones(most + 1)
        steps = np.cumsum(stock_day_weights(self.stock_days))[: most + 1]
        stock[: len(steps)] = steps
        if self.in_stock >= 1.0:
            return stock
        return self.in_stock * stock + (1 - self.in_stock) * _back_order_cdf(self.belief, self.quote, most)


@lru_cache(maxsize=8192)
def _back_order_cdf(belief: Optimism, quote: Quote, most: int) -> Floats:
    """P(ordered in within 0, 1, ..., most days): whole days are rounded to the nearest."""
    return belief.cdf(quote.standards(np.arange(most + 1, dtype=np.float64) + 0.5))


def stock_day_weights(stated: tuple[int, int]) -> Floats:
    """Like spread_days; "the same day" too may slip, since people and not contracts do it."""
    if max(stated) == 0:
        return np.array(OVERRUN)
    return spread_days(*stated)


def handling(
    offer: Offer,
    service: Service,
    quantity: int,
    belief: Optimism,
    deliveries: Sequence[Delivery],
    today: date,
) -> Handling:
    """The Handling of an offer by a service for a quantity."""
    return Handling(
        stock_probability(offer, quantity, deliveries, today),
        service.handling_days,
        quoted(*offer.lead_days),
        belief,
    )


def spells(cdf: Floats) -> Floats:
    """The distribution in a normal and in a slow spell, as rows; mixed by (1-q, q) they are `cdf` again."""
    slow = cdf**SLOW_POWER
    return np.stack([(cdf - SLOW_SHARE * slow) / (1 - SLOW_SHARE), slow])


SPELL_WEIGHTS: Floats = np.array([1 - SLOW_SHARE, SLOW_SHARE])

__all__ = [
    "SPELL_WEIGHTS",
    "Handling",
    "Optimism",
    "Quote",
    "handling",
    "handling_seen",
    "optimism",
    "quoted",
    "spells",
    "spread_days",
    "stock_probability",
    "student_t_cdf",
]
