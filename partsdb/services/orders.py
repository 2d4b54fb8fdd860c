"""A job's plan: what's wanted, the ways to it, the orders placed, and what to do now that news has come."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from uuid import uuid4
from zoneinfo import ZoneInfo

from partsdb.errors import BadInput, NotFound
from partsdb.model import Need, Option, Plan
from partsdb.planning import NOTHING, Placed, Problem, plan, replan
from partsdb.planning.ways import Rates, need_of, options_of
from partsdb.records import (
    Delivery,
    Inquiry,
    Job,
    Offer,
    OrderedPlan,
    Part,
    PlannedLine,
    Shop,
    Supplier,
    Wanted,
)
from partsdb.results import Found, Known
from partsdb.services.inquiries import look_up
from partsdb.services.loading import JobFile, part_named
from partsdb.store import Store
from partsdb.validity import believed_stock


@dataclass(frozen=True, slots=True)
class Planned:
    """A job's plan with everything it was made from."""

    job: Job
    shop: Shop
    needs: tuple[Need, ...]
    options: tuple[Option, ...]
    found: tuple[Found, ...]
    problem: Problem
    plan: Plan


@dataclass(frozen=True, slots=True)
class Ask:
    """How a plan is asked for: a target probability, or a budget, or neither; the seed and number of runs."""

    target: float | None = None
    budget: Decimal | None = None
    seed: int = 1
    runs: int = 100_000


def plan_job(
    file: JobFile,
    known: Known,
    now: datetime,
    ask: Ask = Ask(),
    on_progress: Callable[..., None] | None = None,
) -> Planned:
    """The best plan for the job as things stand: orders already placed are fixed, the rest is free.

    The plan its orders were placed by (`file.before`) is kept to unless another is truly better, and the plan says
    what has changed since.

    Raises BadInput when the shop was never set up or nothing is wanted.
    """
    problem, found = _problem(file, known, now, ask, on_progress)
    before = file.before
    if before is None:
        made = plan(problem, seed=ask.seed, runs=ask.runs, on_progress=on_progress)
    else:
        lapsed = _lapsed(file.job, known, before)
        standing = replace(before, lines=tuple(x for x in before.lines if x.option not in lapsed))
        again = replan(problem, standing, seed=ask.seed, runs=ask.runs, on_progress=on_progress)
        said = (*sorted(lapsed.values()), *(one for one in again.changes if not (lapsed and one == NOTHING)))
        made = replace(again.plan, since=before.made_at, changes=said)
    made = replace(made, notes=(*made.notes, *_came_wrong(file.job, known)))
    return Planned(file.job, problem.shop, problem.needs, problem.options, found, problem, made)


def ordered_plan(planned: Planned) -> OrderedPlan:
    """What the records keep of a plan whose orders are placed."""
    made = planned.plan
    lines = tuple(PlannedLine(x.option, x.title, x.p_in_time, x.order_by) for x in made.lines)
    return OrderedPlan(planned.job.id, made.now, made.probability, lines)


def _problem(
    file: JobFile, known: Known, now: datetime, ask: Ask, on_progress: Callable[..., None] | None
) -> tuple[Problem, tuple[Found, ...]]:
    """Everything the planner needs, from the records and a fresh look at each failed part."""
    job, shop = file.job, known.shop
    if shop is None:
        raise BadInput("the shop's hours and place are not set", "Set them once with `partsdb shop set`")
    if not file.wanted:
        raise BadInput(f"nothing is wanted for {job.name!r} yet", "Add what is with `partsdb job want`")
    found = tuple(
        look_up(_inquiry(w, file.inquiries), known, advise=False, on_progress=on_progress)
        for w in file.wanted
    )
    rates = _rates(shop, known)
    pairs = tuple((need_of(w, f), f) for w, f in zip(file.wanted, found, strict=True))
    options = tuple(
        option
        for need, f in pairs
        for option in options_of(need, f, known, rates, bridge_hours=job.run_hours)
    )
    problem = Problem(
        needs=tuple(need for need, _ in pairs),
        options=options,
        offers=tuple(believed_stock(offer, _today(shop, now)) for offer in known.offers),
        suppliers=known.suppliers,
        shop=shop,
        deadline=job.due,
        now=now,
        job_hours=job.run_hours,
        late_day=job.late_day,
        lost_order=job.lost_order,
        deliveries=_evidence(known.deliveries, now),
        target=ask.target,
        budget=ask.budget,
        rates=rates.exchange,
        stock={p.id: p.quantity for p in known.parts if p.quantity > 0},
        way_out=job.way_out,
        placed=_placed(job, known.deliveries, options, now),
    )
    return problem, found


def _today(shop: Shop, now: datetime) -> date:
    return now.astimezone(ZoneInfo(shop.calendar.zone)).date()


def _inquiry(wanted: Wanted, inquiries: Sequence[Inquiry]) -> Inquiry:
    for inquiry in inquiries:
        if inquiry.id == wanted.inquiry_id:
            return inquiry
    raise NotFound(f"what was seen on {wanted.title!r} is not on record")


def _rates(shop: Shop, known: Known) -> Rates:
    used = {o.price.currency for o in known.offers} | {
        s.freight.currency for supplier in known.suppliers for s in supplier.services
    }
    missing = sorted(used - {shop.currency} - set(shop.rates))
    if missing:
        raise BadInput(
            f"there is no rate of exchange for {', '.join(missing)}",
            f"State it once: partsdb shop set --rate {missing[0]}=0.85",
        )
    labour = shop.labour_hour.decimal if shop.labour_hour else Decimal(0)
    return Rates(shop.currency, shop.rates, labour)


def _evidence(deliveries: Sequence[Delivery], now: datetime) -> tuple[Delivery, ...]:
    """Deliveries that were known at `now`: looking back must not learn from the future."""
    return tuple(d for d in deliveries if d.ordered_on <= now.date() and not d.cancelled)


def _placed(
    job: Job, deliveries: Sequence[Delivery], options: Sequence[Option], now: datetime
) -> tuple[Placed, ...]:
    """Orders that are waited for or here. What was cancelled, or came wrong, may be ordered again."""
    ids = {option.id for option in options}
    orders = []
    for d in deliveries:
        if d.job_id != job.id or d.ordered_at is None or d.ordered_at > now or _over(d):
            continue
        option = next((one for one in _options_bought(d) if one in ids), None)
        if option is not None:
            orders.append(_order(option, d, now))
    return tuple(orders)


def _options_bought(order: Delivery) -> tuple[str, ...]:
    """The ids that the option has which the order buys: as a repair, or else as a part."""
    return tuple(
        f"{order.wanted_id}/{kind}/{order.offer_id}/{order.service_id}" for kind in ("repair", "buy")
    )


def _lapsed(job: Job, known: Known, before: OrderedPlan) -> dict[str, str]:
    """Options of that plan whose orders were cancelled or came wrong, and are waited for no more: what to
    say of each."""
    mine = [d for d in known.deliveries if d.job_id == job.id]
    waited = {option for d in mine if not _over(d) for option in _options_bought(d)}
    titles = {line.option: line.title for line in before.lines}
    found: dict[str, str] = {}
    for d in mine:
        lost = [option for option in _options_bought(d) if option in before.options and option not in waited]
        if not _over(d) or not lost:
            continue
        supplier = known.supplier(d.supplier_id)
        news = "cancelled; it is out" if d.cancelled else "the wrong thing came; it is out"
        source = supplier.name if supplier else "a supplier"
        found |= {option: f"{titles[option]} from {source}: {news}" for option in lost}
    return found


def _over(order: Delivery) -> bool:
    return order.cancelled or order.right is False


def _came_wrong(job: Job, known: Known) -> tuple[str, ...]:
    """What to say of each order of the job that came wrong, before the same is ordered again."""
    names = {s.id: s.name for s in known.suppliers}
    wrong = [d for d in known.deliveries if d.job_id == job.id and d.right is False and not d.cancelled]
    return tuple(
        f"{names.get(d.supplier_id, 'a supplier')} sent the wrong thing on {d.received_on}: ring, have the marking "
        "read out, and send it back, before ordering there again"
        for d in wrong
    )


def _order(option: str, d: Delivery, now: datetime) -> Placed:
    assert d.ordered_at is not None
    received = datetime.combine(d.received_on, now.timetz()) if d.received_on else None
    order = Placed(
        option,
        d.ordered_at,
        received_at=received,
        promised=d.promised_on,
        paid=d.paid.decimal if d.paid else Decimal(0),
        delivery=d.id,
    )
    if received:
        return replace(order, state="received")
    return replace(order, state="late") if d.promised_on else order


def orders_for(planned: Planned, now: datetime) -> tuple[Delivery, ...]:
    """The plan's lines that are to be bought, as order records placed at `now`."""
    offers = {offer.id: offer for offer in planned.problem.offers}
    options = {option.id: option for option in planned.options}
    already = {order.option for order in planned.problem.placed if order.counts}
    today = _today(planned.shop, now)
    orders = []
    for chosen in planned.plan.options:
        option = options[chosen]
        if chosen in already:
            continue
        for line in option.lines:
            offer = offers[line.offer_id]
            orders.append(
                Delivery(
                    id=str(uuid4()),
                    supplier_id=line.supplier_id,
                    ordered_on=today,
                    received_on=None,
                    quoted_days=offer.lead_days,
                    said_in_stock=offer.stock == "in stock",
                    offer_id=offer.id,
                    service_id=line.service_id,
                    job_id=planned.job.id,
                    wanted_id=option.need,
                    quantity=line.quantity,
                    ordered_at=now,
                    paid=offer.price.times(line.quantity),
                )
            )
    return tuple(orders)


def news(order: Delivery, what: str, day: date) -> Delivery:
    """An order with its news: "received", "wrong" (came, but not the right thing), "late" (until `day`), "cancelled".

    Raises BadInput for other news or a day before the order.
    """
    if day < order.ordered_on:
        raise BadInput(f"{day} is before the order was placed ({order.ordered_on})")
    match what:
        case "received" | "wrong":
            return replace(order, received_on=day, right=what == "received")
        case "late":
            return replace(order, promised_on=day)
        case "cancelled":
            return replace(order, cancelled=True)
    raise BadInput(f"{what!r} is no news about an order", "It is one of: received, wrong, late, cancelled")


def names_of(known: Known, wanted: Sequence[Wanted]) -> dict[str, str]:
    """What people call the suppliers and the needs, by id."""
    return {s.id: s.name for s in known.suppliers} | {w.id: w.title for w in wanted}


def open_order(store: Store, file: JobFile, what: str, supplier: str = "") -> Delivery:
    """The order that is still waited for: `what` is the title of what was wanted or the number of what was ordered.

    supplier: whose order, when one is named. Raises BadInput listing the open ones when none or several fit.
    """
    titles = {w.id: w.title for w in file.wanted}
    waiting = [
        d
        for d in store.where(Delivery, job_id=file.job.id)
        if d.received_on is None and not d.cancelled and d.wanted_id in titles
    ]
    called = {d.id: _called(store, d, titles[d.wanted_id]) for d in waiting}
    begins = what.casefold(), supplier.casefold()
    hits = [
        d
        for d in waiting
        if any(name.casefold().startswith(begins[0]) for name in called[d.id][:2])
        and called[d.id][2].casefold().startswith(begins[1])
    ]
    if len(hits) != 1:
        there = ", ".join(sorted(f"{title} ({part}) from {who}" for title, part, who in called.values()))
        raise BadInput(
            f"{what!r} is not one open order",
            f"Still waited for: {there or 'nothing'}; add --supplier, or name the part",
        )
    return hits[0]


def _called(store: Store, order: Delivery, title: str) -> tuple[str, str, str]:
    """What people call an order: what was wanted, the part's number, the supplier."""
    offer = store.get(Offer, order.offer_id)
    part = "" if offer.repair else store.get(Part, offer.part_id).designation
    return title, part or "repair", store.get(Supplier, order.supplier_id).name


def rung(
    store: Store, supplier: str, part: str, there: bool, lead_days: tuple[int, int] | None, day: date
) -> Offer:
    """The offer with what the supplier said on the telephone: put by in our name, or not there and how long it takes.

    Raises NotFound or BadInput when supplier, part or offer can't be told.
    """
    who, what = store.find(Supplier, supplier), part_named(store, part)
    offers = [o for o in store.where(Offer, supplier_id=who.id) if o.part_id == what.id]
    if len(offers) != 1:
        raise BadInput(f"{who.name} has {len(offers)} offers of {what.title}", "See `partsdb equivalents`")
    changed = replace(offers[0], stock="put by" if there else "to order", quoted_on=day, stock_units=None)
    if lead_days:
        changed = replace(changed, lead_days=lead_days)
    store.put(changed)
    return changed
