"""Invented planning problems for tests and benchmarks: suppliers, offers, needs and options from a seed."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np

from partsdb.model import Line, Need, Option
from partsdb.money import Money, money
from partsdb.planning.problem import Problem
from partsdb.records import Calendar, Delivery, Hours, Offer, Service, Shop, Supplier

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 3, 18, 10, 30, tzinfo=LONDON)  # a Wednesday
WEEK = range(5)


def shop(fitters: int = 2) -> Shop:
    """A four-person works: eight to half past four, goods in until three."""
    return Shop(
        "works",
        Calendar("Europe/London", "GB", "ENG"),
        tuple(Hours(d, time(8), time(16, 30)) for d in WEEK),
        tuple(Hours(d, time(8), time(15)) for d in WEEK),
        fitters=fitters,
    )


def supplier(
    name: str,
    *,
    services: tuple[Service, ...] | None = None,
    country: str = "GB",
    region: str = "ENG",
    zone: str = "Europe/London",
    minimum: str = "0",
) -> Supplier:
    """A supplier with a slow and a quick service unless others are given."""
    return Supplier(
        name,
        name,
        Calendar(zone, country, region),
        services or (service("slow"), service("quick", transit=(1, 1), freight="18")),
        money(minimum, "GBP"),
        telephone="0000",
    )


def service(
    name: str,
    *,
    cut_off: time = time(15),
    handling: tuple[int, int] = (0, 1),
    transit: tuple[int, int] = (2, 3),
    customs: tuple[int, int] = (0, 0),
    freight: str = "6",
) -> Service:
    """A service, with freight in pounds."""
    return Service(name, name, cut_off, handling, transit, money(freight, "GBP"), customs_days=customs)


def offer(
    name: str,
    supplier_id: str,
    price: str = "50",
    *,
    stock: str = "in stock",
    lead: tuple[int, int] = (5, 10),
    units: int | None = None,
) -> Offer:
    """An offer in pounds."""
    return Offer(
        name,
        supplier_id,
        f"part {name}",
        money(price, "GBP"),
        stock,  # type: ignore[arg-type]  # a plain word in the tests
        lead,
        stock_units=units,
    )


def bought(
    name: str, need: str, offer_of: Offer, service_id: str, fits: tuple[float, ...] = (1.0,)
) -> Option:
    """The option of buying one piece of an offer."""
    uses = ((offer_of.id, 1),) if offer_of.stock_units is not None else ()
    return Option(name, need, "buy", name, fits, (Line(offer_of.id, offer_of.supplier_id, service_id),), uses)


def problem(
    needs: tuple[Need, ...],
    options: tuple[Option, ...],
    offers: tuple[Offer, ...] = (),
    suppliers: tuple[Supplier, ...] = (),
    *,
    days: float = 8,
    now: datetime = NOW,
    fitters: int = 9,
    late_day: str | None = None,
    lost: str | None = None,
    target: float | None = None,
    budget: str | None = None,
    **more: object,
) -> Problem:
    """A problem whose deadline is `days` calendar days ahead, at four in the afternoon."""
    deadline = datetime.combine((now + timedelta(days=days)).date(), time(16), LONDON)
    return Problem(
        needs,
        options,
        offers,
        suppliers,
        shop(fitters),
        deadline,
        now,
        late_day=None if late_day is None else money(late_day, "GBP"),
        lost_order=None if lost is None else money(lost, "GBP"),
        target=target,
        budget=None if budget is None else Decimal(budget),
        **more,  # type: ignore[arg-type]  # passed on as they are
    )


def invented(
    seed: int,
    needs: int = 4,
    options: int = 6,
    suppliers: int = 3,
    *,
    target: float | None = 0.9,
    late_day: str | None = None,
    lost: str | None = None,
    fitters: int = 9,
    history: int = 4,
    abroad: bool = True,
    doubt: bool = True,
    days: float | None = None,
) -> Problem:
    """A problem drawn from a seed: tight enough that hedges and quick services matter.

    doubt: some readings and fits are uncertain, and a piece in the drawer is a weak one.
    """
    rng = np.random.default_rng(seed)
    sellers = tuple(_seller(rng, i, abroad and i == suppliers - 1) for i in range(suppliers))
    offers: list[Offer] = []
    ways: list[Option] = []
    wanted: list[Need] = []
    for n in range(needs):
        first = float(rng.choice([1.0, 0.9, 0.7])) if doubt else 1.0
        readings = (1.0,) if first == 1.0 else (first, round(1 - first - 0.02, 3))
        after = (f"need {n - 1}",) if n and rng.random() < 0.3 else ()
        exists = float(rng.choice([1.0, 1.0, 1.0, 0.7]))
        wanted.append(Need(f"need {n}", f"need {n}", readings, float(rng.integers(1, 5)), after, exists))
        for k in range(options):
            made, found = _way(rng, n, k, sellers, len(readings) if doubt else 0, offers)
            ways.append(made)
            offers += found
    return problem(
        tuple(wanted),
        tuple(ways),
        tuple(offers),
        sellers,
        days=days or float(rng.integers(7, 13)),
        fitters=fitters,
        late_day=late_day,
        lost=lost,
        target=target,
        deliveries=tuple(_delivery(rng, s, i) for s in sellers for i in range(history)),
        stock={f"shelf {n}": 1 for n in range(needs)},
    )


def _seller(rng: np.random.Generator, i: int, abroad: bool) -> Supplier:
    low = int(rng.integers(1, 3))
    quick = service("quick", transit=(1, 1), freight=str(rng.integers(12, 30)))
    slow = service("slow", transit=(low, low + 1), freight=str(rng.integers(4, 9)))
    if abroad:
        quick = service("quick", transit=(1, 2), customs=(0, 1), freight=str(rng.integers(25, 45)))
        slow = service("slow", transit=(3, 4), customs=(1, 2), freight=str(rng.integers(8, 15)))
    return supplier(
        f"seller {i}",
        services=(slow, quick),
        country="DE" if abroad else "GB",
        region="NW" if abroad else "ENG",
        zone="Europe/Berlin" if abroad else "Europe/London",
        minimum=str(rng.choice([0, 0, 40, 80])),
    )


def _way(
    rng: np.random.Generator,
    n: int,
    k: int,
    sellers: tuple[Supplier, ...],
    readings: int,
    before: list[Offer],
) -> tuple[Option, list[Offer]]:
    fits = tuple(float(rng.choice([1.0, 1.0, 0.97, 0.9, 0.6])) for _ in range(readings)) or (1.0,)
    if readings and k == 0 and rng.random() < 0.3:
        drawer = f"shelf {max(n - int(rng.integers(0, 2)), 0)}"
        weak = tuple(f * 0.8 for f in fits)
        return Option(f"{n}.{k}", f"need {n}", "shelf", drawer, weak, (), ((drawer, 1),), 1.0), []
    seller = sellers[int(rng.integers(len(sellers)))]
    again = [o for o in before if o.id.startswith(f"o{n}.") and o.supplier_id == seller.id]
    if again and rng.random() < 0.4:
        sold, found = again[0], []
    else:
        low = int(rng.integers(2, 7))
        stock = str(rng.choice(["in stock", "in stock", "to order", "not stated"]))
        units = int(rng.integers(1, 3)) if stock == "in stock" and rng.random() < 0.5 else None
        price = f"{rng.integers(20, 160)}.{rng.integers(0, 100):02d}"
        sold = offer(f"o{n}.{k}", seller.id, price, stock=stock, lead=(low, low + 4), units=units)
        found = [sold]
    return bought(f"{n}.{k}", f"need {n}", sold, str(rng.choice(["slow", "quick"])), fits), found


def _delivery(rng: np.random.Generator, seller: Supplier, i: int) -> Delivery:
    ordered = date(2025, 6, 2) + timedelta(days=int(rng.integers(0, 200)))
    low = int(rng.integers(3, 8))
    taken = int(rng.integers(low + 1, low + 11))
    there = bool(rng.random() < 0.3)
    received = ordered + timedelta(days=2 if there else taken)
    return Delivery(
        f"{seller.id} {i}",
        seller.id,
        ordered,
        received,
        (low, low + 3),
        said_in_stock=there,
        was_in_stock=there,
        service_id="slow",
    )


def pounds(text: str) -> Money:
    """Money in pounds."""
    return money(text, "GBP")
