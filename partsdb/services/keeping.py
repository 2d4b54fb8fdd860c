"""The machine's record: what was decided and why, the register of stand-ins, one cause behind several faults."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from uuid import uuid4

from partsdb.duty import Duty, number
from partsdb.equivalence import SharedCause, causes
from partsdb.errors import BadInput
from partsdb.family import Family
from partsdb.model import Spec, Verdict
from partsdb.records import Decision, Inquiry, Machine, Part, Position, Temporary
from partsdb.results import FITTABLE, Known, MachineRecord
from partsdb.services.inquiries import look_up
from partsdb.services.loading import known, part_named, where
from partsdb.store import Store

# A stand-in whose life can't be stated is looked at again within a week. Judgement.
ATTENDED_DAYS = 7
HOURS_A_DAY = 8.0


def decision(
    position_id: str,
    what: str,
    why: str,
    now: datetime,
    *,
    parts: Sequence[str] = (),
    stand_in: Temporary | None = None,
) -> Decision:
    """What was decided for a position, to be kept with the machine."""
    return Decision(
        str(uuid4()),
        position_id,
        now,
        what,
        why,
        tuple(parts),
        stand_in.replace_by if stand_in else None,
        stand_in.conditions if stand_in else (),
    )


def stand_in(verdict: Verdict, position_id: str, now: datetime, hours_a_day: float | None) -> Temporary:
    """The register's entry for a temporary part, with the day by which it must be replaced."""
    hours = verdict.stated_hours
    days = ATTENDED_DAYS if hours is None else max(1, int(hours / (hours_a_day or HOURS_A_DAY)))
    return Temporary(
        str(uuid4()),
        position_id,
        verdict.parts,
        now,
        now.date() + timedelta(days=min(days, 3650)),
        hours,
        verdict.conditions,
    )


def causes_on(machine_id: str, inquiries: Sequence[Inquiry], records: Known) -> tuple[SharedCause, ...]:
    """One cause behind the open faults of a machine, likeliest first."""
    cases: list[tuple[str, Family, Spec, Duty]] = []
    for inquiry in inquiries:
        if inquiry.machine_id != machine_id or inquiry.ended_at is not None:
            continue
        found = look_up(inquiry, records, advise=False)
        if found.family is None or found.spec is None:
            continue
        position = records.position(inquiry.position_id)
        title = position.name if position else found.family.title_of(found.spec)
        cases.append((title, found.family, found.spec, found.duty))
    return causes(cases)


def machine_record(store: Store, name: str) -> MachineRecord:
    """The record of the machine a person names. Raises NotFound."""
    machine = store.find(Machine, name)
    places = store.where(Position, machine_id=machine.id)
    ids = [p.id for p in places]
    if not ids:
        return MachineRecord(machine, (), (), ())
    return MachineRecord(
        machine, places, store.where(Decision, position_id=ids), store.where(Temporary, position_id=ids)
    )


def decide_for(
    store: Store,
    machine: str,
    position: str,
    what: str,
    why: str,
    parts: Sequence[str],
    now: datetime,
    *,
    as_stand_in: bool = False,
) -> Decision:
    """Stores a decision for a position, what was fitted there, and closes the open inquiries about it.

    as_stand_in: the part is to run for a time only: it is judged for the place, and entered in the register
    with its conditions and the day to replace it; the inquiries stay open, the permanent part being wanted still.
    One transaction. Raises NotFound or BadInput when machine, position or part can't be told, or the part may
    not stand in there.
    """
    place = store.get(Position, where(store, machine, position).position_id)
    fitted = tuple(part_named(store, part) for part in parts)
    inquiries = [i for i in store.where(Inquiry, position_id=place.id) if i.ended_at is None]
    entry = _entry(store, place, fitted, inquiries, now) if as_stand_in else None
    made = decision(place.id, what, why, now, parts=[p.id for p in fitted], stand_in=entry)
    closed = [] if entry else [replace(inquiry, ended_at=now) for inquiry in inquiries]
    if len(fitted) == 1:
        place = replace(place, fitted=fitted[0].spec)
    taken = [replace(p, quantity=p.quantity - 1) for p in fitted if p.quantity > 0]
    removed = [
        replace(t, removed_on=now.date())
        for t in store.where(Temporary, position_id=place.id)
        if t.removed_on is None
    ]
    store.put(made, place, *closed, *taken, *removed, *([entry] if entry else []))
    return made


def _entry(
    store: Store, place: Position, fitted: Sequence[Part], inquiries: Sequence[Inquiry], now: datetime
) -> Temporary:
    """The register's entry for a stand-in, when the part may stand in at all."""
    if len(fitted) != 1 or not inquiries:
        raise BadInput(
            "a stand-in is one part for one open failure",
            "Name it with --part, and say what failed with `partsdb job want` or the conversation",
        )
    newest = max(inquiries, key=lambda i: i.started_at)
    found = look_up(newest, known(store), advise=False)
    verdict = next((v for v in found.shelf if v.parts == (fitted[0].id,)), None)
    if verdict is None or verdict.outcome not in ("temporary", *FITTABLE):
        outcome = verdict.outcome if verdict else "not on the shelf for this"
        raise BadInput(f"{fitted[0].title} may not stand in there: {outcome}", "See `partsdb equivalents`")
    hours = number(found.duty, "hours_per_day")
    return stand_in(verdict, place.id, now, hours)
