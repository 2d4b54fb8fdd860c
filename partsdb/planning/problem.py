"""What the planner is asked: needs, ways to satisfy them, who sells what, the shop, the deadline and the clock.

A Problem is complete in itself: `now` is a field, so the same Problem always has the same Plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Literal, TypeVar

from partsdb.errors import BadInput
from partsdb.model import Line, Need, Option, WayOut
from partsdb.money import Money
from partsdb.records import Delivery, Offer, Service, Shop, Supplier

T = TypeVar("T", Offer, Supplier, Service, Option)
OrderState = Literal["placed", "received", "late", "wrong", "cancelled"]


@dataclass(frozen=True, slots=True)
class Placed:
    """An option that has been ordered already: its money is sunk, its arrival is waited for.

    state: "late" is "placed" with a promise broken; "wrong" (the wrong thing came) and "cancelled" count for
    nothing from then on. promised: a new delivery day the supplier gave, before which nothing is expected.
    delivery: id of the Delivery record of this order, so that it is not counted twice as evidence.
    """

    option: str
    ordered_at: datetime
    state: OrderState = "placed"
    received_at: datetime | None = None
    promised: date | None = None
    paid: Decimal = Decimal(0)
    delivery: str = ""

    @property
    def counts(self) -> bool:
        """Whether the order can still satisfy its need."""
        return self.state not in ("wrong", "cancelled")


@dataclass(frozen=True, slots=True)
class Problem:
    """All the planner may know.

    deadline: when the job must be delivered; job_hours: shop hours [h] it runs once the machine is whole.
    late_day: cost of one late calendar day; lost_order: the most that lateness can cost (the customer goes).
    target: asked probability [-] of being in time; budget: most to be paid, in the plan's currency; with
    neither, cost + expected cost of lateness is least. rates: units of the shop's currency per unit of
    another. stock: (shelf or offer id) -> units that may be spent; an id that is named nowhere counts as one.
    """

    needs: tuple[Need, ...]
    options: tuple[Option, ...]
    offers: tuple[Offer, ...]
    suppliers: tuple[Supplier, ...]
    shop: Shop
    deadline: datetime
    now: datetime
    job_hours: float = 0.0
    late_day: Money | None = None
    lost_order: Money | None = None
    deliveries: tuple[Delivery, ...] = ()
    target: float | None = None
    budget: Decimal | None = None
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    stock: Mapping[str, int] = field(default_factory=dict)
    way_out: tuple[WayOut, ...] = ()
    placed: tuple[Placed, ...] = ()

    @property
    def currency(self) -> str:
        """The plan's one currency: the shop's."""
        return self.shop.currency

    def offer(self, offer_id: str) -> Offer:
        """The offer of that id; BadInput when it isn't there."""
        return _found(self.offers, offer_id, "offer")

    def supplier(self, supplier_id: str) -> Supplier:
        """The supplier of that id; BadInput when it isn't there."""
        return _found(self.suppliers, supplier_id, "supplier")

    def service(self, line: Line) -> Service:
        """The service by which a line travels; BadInput when its supplier has none of that id."""
        return _found(self.supplier(line.supplier_id).services, line.service_id, "service")

    def local(self, amount: Money) -> Money:
        """An amount in the plan's currency at the stated rate, rounded to 1/100."""
        if amount.currency == self.currency or amount.e4 == 0:
            return Money(amount.e4, self.currency)
        rate = self.rates.get(amount.currency)
        if rate is None:
            raise BadInput(
                f"there is no rate from {amount.currency} to {self.currency}",
                "State how many of ours one of theirs costs",
            )
        return amount.converted(rate, self.currency)


def checked(problem: Problem) -> Problem:
    """The same problem when it hangs together; else BadInput naming the first fault."""
    for moment, title in ((problem.now, "now"), (problem.deadline, "the deadline")):
        if moment.tzinfo is None:
            raise BadInput(f"{title} has no time zone", "Give it one")
    if problem.target is not None and not 0.0 < problem.target < 1.0:
        raise BadInput(f"a target of {problem.target} is not a probability", "Ask for something like 0.95")
    needs = {need.id: need for need in problem.needs}
    if len(needs) != len(problem.needs):
        raise BadInput("two needs have the same id")
    for need in problem.needs:
        for other in need.after:
            if other not in needs:
                raise BadInput(f"{need.title} comes after {other!r}, which is not among the needs")
    in_order(problem.needs)
    ids = [option.id for option in problem.options]
    if len(set(ids)) != len(ids):
        raise BadInput("two options have the same id")
    for option in problem.options:
        _check_option(problem, option, needs)
    for placed in problem.placed:
        _found(problem.options, placed.option, "option")
    return problem


def in_order(needs: Iterable[Need]) -> tuple[Need, ...]:
    """The needs so that each comes after those it must be fitted after; BadInput when they go in a circle."""
    left = list(needs)
    done: list[Need] = []
    while left:
        ready = [need for need in left if all(all(o.id != a for o in left) for a in need.after)]
        if not ready:
            raise BadInput(f"{left[0].title} is to be fitted after itself", "Break the circle of `after`")
        done += ready
        left = [need for need in left if need not in ready]
    return tuple(done)


def _check_option(problem: Problem, option: Option, needs: Mapping[str, Need]) -> None:
    need = needs.get(option.need)
    if need is None:
        raise BadInput(f"{option.title} is a way to {option.need!r}, which is not among the needs")
    if len(option.fits) != len(need.readings):
        raise BadInput(
            f"{option.title} says whether it fits for {len(option.fits)} readings; "
            f"{need.title} has {len(need.readings)}"
        )
    for line in option.lines:
        problem.offer(line.offer_id)
        problem.service(line)


def _found(items: tuple[T, ...], wanted: str, what: str) -> T:
    for item in items:
        if item.id == wanted:
            return item
    raise BadInput(f"there is no {what} {wanted!r}")
