"""One failure being worked on: what the part is, what it must withstand, what will do instead."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import lru_cache
from uuid import uuid4

from partsdb.duty import Duty
from partsdb.equivalence import (
    RULED_OUT,
    blocking,
    cautions,
    combinations,
    demands,
    equivalents,
    in_place,
    requirements,
)
from partsdb.errors import BadInput
from partsdb.family import Family, families, family_named, vocabulary
from partsdb.kit import requirement
from partsdb.model import Caution, Context, Identification, KnownPart, Question, Requirement, Spec
from partsdb.reading import Index, build_index, identify, read
from partsdb.reading.account import OtherKind, other_kind
from partsdb.reading.measuring import apart, measured
from partsdb.reading.seeing import condition
from partsdb.records import BREAK, Inquiry, Offer, Part, Units
from partsdb.results import Found, Known, Offered
from partsdb.services.loading import Where
from partsdb.source import judgement
from partsdb.validity import is_stale

PROTECTS = Caution(
    "protects people",
    "This place protects people: no stand-in and no worked-out rating here; a licensed person decides and signs.",
    judgement("a position marked as a safety function"),
)


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one failed part, as typed. kind: of part, "" when not known; answers: duty terms and what
    is plainly seen, among others; units: what the shop works in."""

    fragments: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    kind: str = ""
    place: Where = field(default_factory=Where)
    answers: Mapping[str, str | float] = field(default_factory=dict)
    units: Units = "metric"


def new_inquiry(said: Said, now: datetime) -> Inquiry:
    """A fresh inquiry. Raises BadInput when nothing was typed or it can't be read."""
    if not said.fragments and not said.measured:
        raise BadInput("nothing to go on", "Give what you can read on the part, or something you measured")
    known = families(said.units)
    name = family_named(said.kind, known).name if said.kind else ""
    among = {name: known[name]} if name else known
    if said.fragments:
        read(said.fragments)  # a fragment that can't be read is refused before anything is kept
    of_part, of_place = apart(measured(said.measured, among), among)
    return Inquiry(
        id=str(uuid4()),
        started_at=now,
        fragments=said.fragments,
        measurements=of_part,
        family=name,
        machine_id=said.place.machine_id,
        position_id=said.place.position_id,
        answers={**of_place, **said.answers},
    )


def look_up(
    inquiry: Inquiry,
    known: Known,
    *,
    advise: bool = True,
    on_progress: Callable[[str], None] | None = None,
) -> Found:
    """From what was typed to what will do: identification, requirements, verdicts on shelf and offers.

    advise: weigh the next look by what it would change, not only by what it would tell (slower).
    """
    say = on_progress or (lambda _: None)
    every = families(known.units)
    say("reading the plate")
    catalogue, index = _laid_out(known.parts, tuple(every))
    reading = read(inquiry.fragments, inquiry.measurements, _context(inquiry, known))
    duty = duty_of(inquiry, known)
    decide = _decider(every, duty) if advise else None
    identification = condition(identify(reading, every, index, decide=decide), every, inquiry.answers)
    family = _family(identification, every, inquiry)
    # where the person has said what kind it is, no noun on its plate says otherwise
    other = None if _context(inquiry, known).family else other_kind(inquiry.fragments, every.values())
    found = Found(inquiry, identification, family, duty, units=known.units)
    judged = found if family is None else _judged(found, known, catalogue, say, other)
    return replace(judged, truths=(*((other.told,) if other else ()), *judged.truths))


def _decider(every: Mapping[str, Family], duty: Duty) -> Callable[[Spec], Hashable]:
    """What a specification asks of its place: where all that is plausible asks the same, the same may be fitted and
    the same is asked for, whatever is on record."""

    def decide(spec: Spec) -> Hashable:
        return spec.family, demands(requirement(every[spec.family], spec, duty))

    return decide


@lru_cache(maxsize=4)
def _laid_out(parts: tuple[Part, ...], kinds: tuple[str, ...]) -> tuple[tuple[KnownPart, ...], Index | None]:
    """The parts as the core sees them and their index: made once for a plan's many look-ups."""
    every = {kind: families()[kind] for kind in kinds}
    catalogue = tuple(known_part(p, every) for p in parts if p.family in every)
    return catalogue, build_index(catalogue, every) if catalogue else None


def _judged(
    found: Found,
    known: Known,
    catalogue: Sequence[KnownPart],
    say: Callable[[str], None],
    other: OtherKind | None,
) -> Found:
    family, duty = found.family, found.duty
    assert family is not None
    wanted = requirements(family, found.identification, duty)
    if not wanted:
        return found
    of_kind = (*((other.question,) if other else ()), *_which_kind(found, known))
    wanted = tuple(replace(one, questions=(*of_kind, *one.questions)) for one in wanted)
    say("judging the drawer")
    safety = _protects(found.inquiry, known)
    shelf_parts = tuple(p for p in catalogue if p.quantity > 0 and p.spec.family == family.name)
    shelf = equivalents(family, wanted, shelf_parts, duty, safety_function=safety)
    combined = combinations(family, wanted, shelf_parts, duty, safety_function=safety)
    say("judging what can be bought")
    relied = wanted[0].spec  # what the plate says, not the records
    # while the place or the old part leaves something open, an answer to it may change what to fit
    settled = found.identification.settled and not any(blocking(q) for one in wanted for q in one.questions)
    judged = replace(
        found,
        identification=replace(found.identification, settled=settled),
        requirements=wanted,
        shelf=shelf,
        combinations=tuple(v for v in combined if len(v.parts) > 1),
        offers=_offers(family, wanted, known, catalogue, duty, safety, found.inquiry.started_at.date()),
        in_place=in_place(family, relied, duty, safety_function=safety),
        cautions=(*((PROTECTS,) if safety else ()), *cautions(family, relied, duty)),
        suspects=family.suspects(relied, duty),
    )
    return replace(judged, truths=_truths(judged, known))


def _which_kind(found: Found, known: Known) -> tuple[Question, ...]:
    """Another kind with rules of its own that the plate doesn't rule out, where the person hasn't said the kind. What
    says nothing of what names a part of its kind is no reading to be ruled out."""
    family = found.family
    if family is None or _context(found.inquiry, known).family:
        return ()
    every = families(known.units)
    shares: dict[str, float] = {}
    for h in found.identification.by_plate:
        kind = every[h.spec.family]
        full = kind.complete(h.spec)
        if kind.name == family.name or any(full.has(name) for name in kind.main):
            shares[kind.name] = shares.get(kind.name, 0.0) + h.probability
    rivals = {name: share for name, share in shares.items() if name != family.name}
    if sum(rivals.values()) <= RULED_OUT * sum(shares.values()):
        return ()
    about = f"which it is: {family.title}, or {every[max(rivals, key=rivals.__getitem__)].title}"
    breach = f"what is judged here holds for one of the first kind only ({family.title})"
    return (Question(about, "look at it, and say it with --kind", "safety", breach, of_part=True),)


def _offers(
    family: Family,
    wanted: Sequence[Requirement],
    known: Known,
    catalogue: Sequence[KnownPart],
    duty: Duty,
    safety: bool,
    today: date,
) -> tuple[Offered, ...]:
    by_part: dict[str, list[Offer]] = {}
    for offer in known.offers:
        if not offer.repair:
            by_part.setdefault(offer.part_id, []).append(offer)
    # what is bought is new, whatever lies about the shelf piece of the same number
    parts = tuple(
        replace(p, condition="", quantity=0)
        for p in catalogue
        if p.id in by_part and p.spec.family == family.name
    )
    verdicts = equivalents(family, wanted, parts, duty, safety_function=safety)
    suppliers = {s.id: s for s in known.suppliers}
    return tuple(
        Offered(verdict, offer, suppliers[offer.supplier_id], is_stale(offer, today))
        for verdict in verdicts
        for offer in sorted(by_part[verdict.parts[0]], key=lambda o: (o.price.e4, o.id))
        if offer.supplier_id in suppliers
    )


def known_part(part: Part, every: Mapping[str, Family]) -> KnownPart:
    """A stored part as the core sees it, with what follows from its specification."""
    family = every[part.family]
    spec = family.complete(part.spec)
    condition = (part.condition or "unknown") if part.quantity > 0 else ""
    return KnownPart(
        id=part.id,
        spec=spec,
        designation=part.designation,
        maker=part.maker,
        aliases=part.aliases,
        title=part.title or part.designation or family.title_of(spec),
        condition=condition,
        quantity=part.quantity,
        place=part.place,
        unread=tuple(part.unread.split(BREAK)) if part.unread else (),
    )


def duty_of(inquiry: Inquiry, known: Known) -> Duty:
    """What the place asks: the shop's supply, then the position's duty, then what was answered now."""
    duty: dict[str, float | str] = {}
    shop = known.shop
    if shop:
        # the shop's phases say nothing of what feeds this part: most small parts hang on two of three wires
        stated = {"supply_voltage": shop.supply_voltage, "supply_frequency": shop.supply_frequency}
        duty |= {name: x for name, x in stated.items() if x is not None}
    position = known.position(inquiry.position_id)
    if position:
        duty |= position.duty
        if position.safety_function:
            duty["safety_function"] = "yes"
    terms = vocabulary(families().values())
    return duty | {name: value for name, value in inquiry.answers.items() if name in terms}


def _context(inquiry: Inquiry, known: Known) -> Context:
    machine = known.machine(inquiry.machine_id)
    position = known.position(inquiry.position_id)
    family = inquiry.family or (position.family if position else None)
    if machine is None:
        return Context(family=family or None)
    return Context(
        family=family or None,
        year=machine.year,
        country=machine.country or None,
        supply_voltage=machine.plate_voltage,
        supply_frequency=machine.plate_frequency,
    )


def _family(identification: Identification, every: Mapping[str, Family], inquiry: Inquiry) -> Family | None:
    if inquiry.family:
        return every[inquiry.family]
    best = identification.best
    return every[best.spec.family] if best else None


def _protects(inquiry: Inquiry, known: Known) -> bool:
    position = known.position(inquiry.position_id)
    return inquiry.answers.get("safety_function") == "yes" or bool(position and position.safety_function)


def _truths(found: Found, known: Known) -> tuple[str, ...]:
    """Where the three truths of a position disagree: what was fitted, what plate or drawing says, what is read."""
    position = known.position(found.inquiry.position_id)
    family = found.family
    if position is None or family is None or found.spec is None:
        return ()
    told = {
        "fitted according to the record": position.fitted,
        "the machine's plate or drawing": position.drawing,
    }
    notes = []
    for what, spec in told.items():
        for attribute in family.attributes if spec else ():
            recorded, seen = spec.first(attribute.name) if spec else None, found.spec.first(attribute.name)
            if recorded and seen and recorded.key[3:] != seen.key[3:] and attribute.identity:
                notes.append(
                    f"{attribute.title}: {what} says otherwise than the part in hand. Settle that first."
                )
    return tuple(notes)
