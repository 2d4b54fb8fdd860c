"""From verdicts and offers to the needs and options a plan chooses from."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from statistics import NormalDist

from partsdb.model import Change, Life, Line, Need, Option, WayKind
from partsdb.money import Money
from partsdb.records import Offer, Wanted
from partsdb.results import FITTABLE, Found, Known, Offered

# A rewound or repaired part is the old part again; the rest are repairs that fail on the bench. Judgement.
REPAIR_HOLDS = 0.97
# Chance that an attended stand-in of unknown life lasts the bridge: no better than a coin. Judgement.
UNKNOWN_SURVIVES = 0.5


@dataclass(frozen=True, slots=True)
class Rates:
    """What planning needs to price a way: the plan's currency, rates of exchange into it, an hour's labour."""

    currency: str
    exchange: Mapping[str, Decimal]
    labour_hour: Decimal = Decimal(0)

    def amount(self, price: Money) -> Decimal:
        """A price in the plan's currency."""
        if price.currency == self.currency:
            return price.decimal
        return price.converted(self.exchange[price.currency], self.currency).decimal


def need_of(wanted: Wanted, found: Found) -> Need:
    """The need a wanted part makes, with the readings of what the part was."""
    readings = tuple(r.weight for r in found.requirements) or (1.0,)
    return Need(wanted.id, wanted.title, readings, wanted.install_hours, wanted.after, wanted.exists)


def options_of(
    need: Need, found: Found, known: Known, rates: Rates, bridge_hours: float
) -> tuple[Option, ...]:
    """Every way to satisfy the need: drawer, combination, stand-in, bought by each service, repaired.

    bridge_hours: running hours a stand-in must last. A verdict that can't be said yet is no option.
    """
    ways = [
        *_from_shelf(need, found, known, rates, bridge_hours),
        *_bought(need, found, known, rates),
        *_repaired(need, found, known, rates),
    ]
    return tuple({way.id: way for way in ways}.values())


def _pieces(found: Found) -> int:
    if found.family is None or found.spec is None:
        return 1
    return max(1, found.family.pieces(found.family.complete(found.spec), found.duty))


def _work(changes: tuple[Change, ...]) -> float:
    return sum(change.hours for change in changes)


def _from_shelf(
    need: Need, found: Found, known: Known, rates: Rates, bridge_hours: float
) -> Iterator[Option]:
    stock = {part.id: part.quantity for part in known.parts}
    permanent = _cheapest_permanent(found, rates)
    for verdict in (*found.shelf, *found.combinations):
        if verdict.outcome not in (*FITTABLE, "temporary"):
            continue
        each = _pieces(found) if len(verdict.parts) == 1 else 1
        uses = tuple((part, n * each) for part, n in sorted(Counter(verdict.parts).items()))
        if any(stock.get(part, 0) < n for part, n in uses):
            continue
        temporary = verdict.outcome == "temporary"
        combined = len(verdict.parts) > 1
        kind: WayKind = "temporary" if temporary else "combination" if combined else "shelf"
        yield Option(
            id=f"{need.id}/shelf/{'+'.join(verdict.parts)}",
            need=need.id,
            kind=kind,
            title=verdict.title,
            fits=verdict.fits or (1.0,) * len(need.readings),
            uses=uses,
            install_hours=need.install_hours + _work(verdict.changes),
            other_cost=rates.labour_hour * Decimal(str(_work(verdict.changes)))
            + (permanent if temporary else Decimal(0)),
            stated_hours=verdict.stated_hours,
            duty_hours=bridge_hours if temporary else 0.0,
            survives=survives(verdict.life, bridge_hours) if temporary else 1.0,
            outcome=verdict.outcome,
        )


def survives(life: Life | None, hours: float) -> float:
    """P(a stand-in outlives the bridge): its life taken as lognormal, low and high its 5 % and 95 % points.

    >>> from partsdb.source import PRACTICE
    >>> round(survives(Life(100.0, 1000.0, 10_000.0, PRACTICE), 100.0), 3)
    0.95
    >>> survives(None, 100.0)
    0.5
    """
    if life is None or life.low is None or life.low <= 0:
        return UNKNOWN_SURVIVES
    high = life.high if life.high and life.high > life.low else life.low * 10
    spread = (math.log(high) - math.log(life.low)) / (2 * NormalDist().inv_cdf(0.95))
    middle = (math.log(high) + math.log(life.low)) / 2
    return 1.0 if hours <= 0 else 1 - NormalDist(middle, spread).cdf(math.log(hours))


def _cheapest_permanent(found: Found, rates: Rates) -> Decimal:
    """What the stand-in's replacement will cost later: the cheapest part that may stay."""
    prices = [
        rates.amount(offered.offer.price) * _pieces(found)
        for offered in found.offers
        if offered.verdict.outcome in FITTABLE
    ]
    return min(prices, default=Decimal(0))


def _bought(need: Need, found: Found, known: Known, rates: Rates) -> Iterator[Option]:
    for offered in found.offers:
        if offered.verdict.outcome in FITTABLE:
            yield from _by_service(need, found, offered, known, rates)


def _by_service(need: Need, found: Found, offered: Offered, known: Known, rates: Rates) -> Iterator[Option]:
    verdict, offer = offered.verdict, offered.offer
    # an offer may itself be a set: a place for four belts takes one set of four
    wanted = -(-_pieces(found) // _held(found, offer, known))
    pieces = -(-wanted // offer.pack) * offer.pack
    work = _work(verdict.changes)
    for service in offered.supplier.services:
        yield Option(
            id=f"{need.id}/buy/{offer.id}/{service.id}",
            need=need.id,
            kind="buy",
            title=verdict.title,
            fits=verdict.fits or (1.0,) * len(need.readings),
            lines=(Line(offer.id, offer.supplier_id, service.id, pieces),),
            uses=_stated_stock(offer, pieces),
            install_hours=need.install_hours + work,
            other_cost=rates.labour_hour * Decimal(str(work)),
            outcome=verdict.outcome,
        )


def _held(found: Found, offer: Offer, known: Known) -> int:
    """How many pieces one of the offered part is."""
    part = known.part(offer.part_id)
    if part is None or found.family is None:
        return 1
    return max(1, found.family.pieces(found.family.complete(part.spec), {}))


def _stated_stock(offer: Offer, pieces: int) -> tuple[tuple[str, int], ...]:
    return () if offer.stock_units is None else ((offer.id, pieces),)


def _repaired(need: Need, found: Found, known: Known, rates: Rates) -> Iterator[Option]:
    """Repairers of this kind of part. The old part comes back, whatever it was."""
    if found.family is None:
        return
    suppliers = {s.id: s for s in known.suppliers}
    for offer in known.offers:
        supplier = suppliers.get(offer.supplier_id)
        if not offer.repair or offer.part_id != found.family.name or supplier is None:
            continue
        for service in supplier.services:
            yield Option(
                id=f"{need.id}/repair/{offer.id}/{service.id}",
                need=need.id,
                kind="repair",
                title=f"{found.family.title} repaired",
                fits=(REPAIR_HOLDS,) * len(need.readings),
                lines=(Line(offer.id, offer.supplier_id, service.id, 1),),
                install_hours=need.install_hours,
                outcome="straight swap",
            )
