"""From an identification to the weighted requirements of a place: which readings count, and for how much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from partsdb.duty import Duty
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import Hypothesis, Identification, Limit, Question, Requirement, Spec, Value

from .checks import worked_out

KEPT_MASS = 0.99
ALWAYS_KEPT = 0.005


def requirements(family: Family, identification: Identification, duty: Duty) -> tuple[Requirement, ...]:
    """The requirement of every reading that counts, most probable first; equal ones merged.

    Kept: the most probable readings of this family up to 99 % of what is believed of it, and every one above
    0.5 %. Their weights are scaled to what was believed of the family, never above it: the mass of "something
    else" and of other families stays missing from the sum.
    """
    readings = sorted(
        (h for h in identification.by_plate if h.spec.family == family.name and h.probability > 0),
        key=lambda h: -h.probability,
    )
    kept = _kept(readings)
    if not kept:
        return ()
    scale = sum(h.probability for h in readings) / sum(h.probability for h in kept)
    return merged([_required(family, h, duty, h.probability * scale) for h in kept])


def _required(family: Family, h: Hypothesis, duty: Duty, weight: float) -> Requirement:
    """The requirement under one reading, with what its account leaves open; nothing rests on a changed glyph."""
    found = requirement(family, h.relied_on, duty, weight)
    return replace(
        found, questions=tuple(dict.fromkeys((*_of_account(h), *_unread(family, h), *found.questions)))
    )


def _of_account(h: Hypothesis) -> Iterator[Question]:
    """Each typed piece that may change the part: until it is answered, nothing replaces it. What tells of the old piece
    itself, as its damage does, is no matter to the new one."""
    for one in h.account:
        if one.ask and (one.made_so or not one.damaged):
            piece = "" if one.misread or one.measured else one.text
            yield Question(one.about, one.ask, one.weight, one.says, of_part=True, piece=piece)


def _unread(family: Family, h: Hypothesis) -> Iterator[Question]:
    """What says which part of its kind it is, where none of it is known."""
    full = family.complete(h.spec)
    if family.main and not any(full.has(name) for name in family.main):
        about = f"{family.main_called} of the {family.title}"
        yield Question(
            about, "read or measure it", "safety", "without it nobody knows which one it is", of_part=True
        )


def _kept(readings: Sequence[Hypothesis]) -> list[Hypothesis]:
    believed = sum(h.probability for h in readings)
    kept: list[Hypothesis] = []
    mass = 0.0
    for h in readings:
        if mass >= KEPT_MASS * believed and h.probability <= ALWAYS_KEPT:
            break
        kept.append(h)
        mass += h.probability
    return kept


def merged(found: Sequence[Requirement]) -> tuple[Requirement, ...]:
    """Requirements that demand the same, as one with the sum of their weights; the heaviest keeps its texts."""
    groups: dict[frozenset[object], list[Requirement]] = {}
    for one in found:
        groups.setdefault(demands(one), []).append(one)
    union = [
        replace(max(group, key=lambda r: r.weight), weight=sum(r.weight for r in group))
        for group in groups.values()
    ]
    return tuple(sorted(union, key=lambda r: -r.weight))


def demands(one: Requirement) -> frozenset[object]:
    """All that a requirement demands and leaves open, without texts and sources."""
    return frozenset((*map(demand, one.limits), *map(inquires, one.questions)))


def demand(limit: Limit) -> tuple[object, ...]:
    """What a limit demands, without its texts and sources; numbers to nine digits."""
    return (
        limit.attribute,
        limit.qualifier,
        limit.kind,
        limit.weight,
        _rounded(limit.accept),
        _rounded(limit.reach),
        limit.conditions,
        limit.follows_from.startswith("duty"),
    )


def inquires(question: Question) -> tuple[object, ...]:
    """What a question wants to know, without its texts."""
    return question.about, question.weight, question.settled_by, question.of_part


def _rounded(ends: Interval | tuple[str, ...] | None) -> object:
    if not isinstance(ends, Interval):
        return ends
    return tuple(None if x is None else float(f"{x:.9g}") for x in (ends.low, ends.high))


@dataclass(frozen=True, slots=True)
class WasThere:
    """What one reading says of the old part: every value's key, and those of each attribute that identifies it."""

    keys: frozenset[object]
    identity: tuple[frozenset[object], ...]

    def same_as(self, offered: frozenset[object]) -> bool:
        """Whether what is offered says the same of everything that identifies the old one."""
        return bool(self.identity) and all(of_one & offered for of_one in self.identity)


def saying(value: Value) -> object:
    """What a value says; a worked-out one says it only together with how it was worked out."""
    return value.key, value.source if worked_out(value) else None


def _was_there(family: Family, spec: Spec) -> WasThere:
    by_attribute = [frozenset(map(saying, spec.all(a.name))) for a in family.attributes if a.identity]
    return WasThere(frozenset(map(saying, spec.values)), tuple(keys for keys in by_attribute if keys))


@dataclass(frozen=True, slots=True)
class Prepared:
    """Requirements made ready to judge many parts: every distinct limit once, and which readings ask for it.

    questions: what is open under any reading, each once. asks[h] are the indices into `limits` of reading h, askers[i]
    the readings that ask limit i. safety_function: the position protects people. was: what each reading says the old
    part was, to recognise the same again.
    """

    family: Family
    requirements: tuple[Requirement, ...]
    duty: Duty
    safety_function: bool
    limits: tuple[Limit, ...]
    questions: tuple[Question, ...]
    asks: tuple[tuple[int, ...], ...]
    askers: tuple[tuple[int, ...], ...]
    was: tuple[WasThere, ...]


def prepared(
    family: Family, requirements: Sequence[Requirement], duty: Duty, *, safety_function: bool = False
) -> Prepared:
    """The place made ready. A duty that says it protects people makes it a safety function as well."""
    index: dict[Limit, int] = {}
    asks = tuple(tuple(index.setdefault(limit, len(index)) for limit in one.limits) for one in requirements)
    protects = safety_function or duty.get("safety_function") == "yes"
    askers = tuple(tuple(h for h, asked in enumerate(asks) if i in asked) for i in range(len(index)))
    was = tuple(_was_there(family, one.spec) for one in requirements)
    questions = {inquires(q): q for one in reversed(requirements) for q in one.questions}
    return Prepared(
        family,
        tuple(requirements),
        duty,
        protects,
        tuple(index),
        tuple(questions.values()),
        asks,
        askers,
        was,
    )
