"""Reading the records once, so that the core sees plain values and never the store."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.errors import BadInput, NotFound
from partsdb.records import (
    Delivery,
    Inquiry,
    Job,
    Machine,
    Offer,
    OrderedPlan,
    Part,
    Position,
    Supplier,
    Wanted,
)
from partsdb.results import Known
from partsdb.services.sources import succeeding, usable_parts
from partsdb.store import Store


def known(store: Store) -> Known:
    """Everything on record that a look-up or a plan may use."""
    return Known(
        store.shop(),
        store.all(Machine),
        store.all(Position),
        usable_parts(store),
        store.all(Supplier),
        store.all(Offer),
        store.all(Delivery),
    )


@dataclass(frozen=True, slots=True)
class Where:
    """Where a part sits: ids of the machine and the position, "" when not said."""

    machine_id: str = ""
    position_id: str = ""


def where(store: Store, machine: str, position: str) -> Where:
    """The machine and position a person names. Raises NotFound or BadInput listing what there is."""
    if not machine and not position:
        return Where()
    if not machine:
        found = store.find(Position, position)
        return Where(found.machine_id, found.id)
    one = store.find(Machine, machine)
    if not position:
        return Where(one.id)
    wanted = position.casefold()
    places = store.where(Position, machine_id=one.id)
    hits = [p for p in places if p.name.casefold() == wanted] or [
        p for p in places if p.name.casefold().startswith(wanted)
    ]
    if len(hits) != 1:
        names = ", ".join(p.name for p in places) or "none yet; add one with `partsdb position add`"
        raise BadInput(f"{one.name} has no single position called {position!r}", f"It has: {names}")
    return Where(one.id, hits[0].id)


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job with everything that is wanted for it and what was seen. before: the plan its orders were placed by."""

    job: Job
    wanted: tuple[Wanted, ...]
    inquiries: tuple[Inquiry, ...]
    before: OrderedPlan | None = None


def job_file(store: Store, name: str) -> JobFile:
    """The job a person names, with its needs and their inquiries."""
    job = store.find(Job, name)
    wanted = store.where(Wanted, job_id=job.id)
    ids = sorted({w.inquiry_id for w in wanted})
    before = next(iter(store.where(OrderedPlan, id=job.id)), None)
    return JobFile(job, wanted, store.where(Inquiry, id=ids) if ids else (), before)


def part_named(store: Store, text: str) -> Part:
    """The part a person means: by number or id, by title or what lies on the shelf under it, or by an older number.

    Raises NotFound, or BadInput when several fit.
    """
    try:
        return store.find(Part, text)
    except NotFound:
        wanted = text.strip().casefold()
        hits = [p for p in store.all(Part) if wanted and p.title.casefold().startswith(wanted)]
        held = [p for p in hits if p.quantity > 0] or hits
        if not held:
            if (part := succeeding(store, text)) is not None:
                return part
            raise
        if len(held) > 1:
            titles = ", ".join(sorted({f"{p.title} ({p.designation or p.id[:8]})" for p in held})[:8])
            raise BadInput(f"{text!r} fits several: {titles}", "Write its number") from None
        return held[0]
