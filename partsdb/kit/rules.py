"""The constructors of a family's rules: one shape for every kind of limit, and the question.

    same(place, "mounting", reach=ANY)
    at_least(place, "voltage", "safety", "the arc doesn't go out", term="supply_voltage")
    within(place, "bore", "fit", "it is slack", want=fact.to(low, high))

Each takes the place, the attribute, what a breach hurts and what happens then; where these aren't given, they are what
the attribute's silence says. What it follows from is what the duty
states under `term`, else what the old part is known to be; or `want`, a fact that the family worked out. Where nobody
knows, a constructor gives None and the attribute's silence speaks (see `coverage`): a family can't pass over what
isn't known.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypedDict, Unpack

from partsdb.attributes import LOOK
from partsdb.intervals import Interval
from partsdb.ladders import at_least as class_and_better
from partsdb.model import Limit, LimitKind, Moot, Question, Weight
from partsdb.place import SUPPLY, Fact, Place

ANY = Interval(None, None)


class How(TypedDict, total=False):
    """What any limit may say besides.

    want: the fact it follows from, when the family has worked it out (None: nobody knows); term: the duty term that
    goes before what the old part is known to be. at: the qualifier a rating must hold under ("AC-3@400V"). reach: what
    a named change can cure or a stand-in may run; ANY is every value. conditions: under which it may run for a time.
    covers: what else the limit answers for.
    """

    want: Fact | None
    term: str
    at: str
    reach: Interval | tuple[str, ...] | None
    conditions: tuple[str, ...]
    covers: tuple[str, ...]


def same(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """The same number, to within the attribute's tolerance, or the same code word."""
    known = _fact(place, name, how)
    if known is None or known.code is None:
        return _limit(place, name, "equal", known.interval if known else None, weight, breach, how)
    return _limit(place, name, "one of", (known.code,), weight, breach, how)


def at_least(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """A rating no lower than the fact, whose highest end counts. A rating is for nominal volts: a supply that was
    measured counts as the system it is of."""
    if "want" not in how and how.get("term") == SUPPLY and (system := place.system()):
        how["want"] = system
    known = _fact(place, name, how)
    least = Interval(known.low if known.high is None else known.high, None) if known else None
    return _limit(place, name, "at least", least, weight, breach, how)


def at_most(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """A number no higher than the fact, whose lowest end counts."""
    known = _fact(place, name, how)
    most = Interval(None, known.high if known.low is None else known.low) if known else None
    return _limit(place, name, "at most", most, weight, breach, how)


def within(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """A number inside the fact's range."""
    known = _fact(place, name, how)
    return _limit(place, name, "within", known.interval if known else None, weight, breach, how)


def spans(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """A range that contains the fact (a motor for 50 to 60 Hz where 50 Hz is asked)."""
    known = _fact(place, name, how)
    return _limit(place, name, "covers", known.interval if known else None, weight, breach, how)


def one_of(
    place: Place,
    name: str,
    weight: Weight | None = None,
    breach: str = "",
    codes: Sequence[str] = (),
    **how: Unpack[How],
) -> Limit | None:
    """One of these code words, because of the fact. No words at all: nothing that is made will do."""
    known = _fact(place, name, how)
    return _limit(place, name, "one of", None if known is None else tuple(codes), weight, breach, how)


def as_good_as(
    place: Place, name: str, weight: Weight | None = None, breach: str = "", **how: Unpack[How]
) -> Limit | None:
    """The same class of the attribute's ladder, or a better one. A class that is on no ladder must be the same."""
    known, ladder = _fact(place, name, how), place.attributes[name].ladder
    if known is None or known.code not in ladder:
        return same(place, name, weight, breach, **how)
    better = class_and_better(ladder, known.code)
    return _limit(place, name, "same class or better", better, weight, breach, how)


def question(
    about: str,
    weight: Weight,
    breach: str,
    *,
    ask: str = LOOK,
    settled_by: str = "",
    covers: tuple[str, ...] = (),
) -> Question:
    """What nobody knows of the place and what decides; no offered part can ever settle it."""
    return Question(about, ask, weight, breach, settled_by, covers=covers)


def unknown(place: Place, name: str) -> Question:
    """What the attribute's silence asks of the place, where what is known of the old part doesn't tell it."""
    attribute, silence = place.attributes[name], place.attributes[name].silence
    assert silence is not None
    about, term = silence.about or attribute.title, silence.settled_by or name
    return Question(about, silence.ask, silence.weight, silence.why, term, covers=(name,))


def moot(reason: str, *attributes: str) -> Moot:
    """These attributes don't matter at this place, and why."""
    return Moot(attributes, reason)


def _fact(place: Place, name: str, how: How) -> Fact | None:
    return how["want"] if "want" in how else place.wanted(name, how.get("term", ""), how.get("at"))


def _limit(
    place: Place,
    name: str,
    kind: LimitKind,
    accept: Interval | tuple[str, ...] | None,
    weight: Weight | None,
    breach: str,
    how: How,
) -> Limit | None:
    """The limit; None where nobody knows, or a range leaves both ends open."""
    known, attribute = _fact(place, name, how), place.attributes[name]
    if known is None or accept is None or accept == ANY:
        return None
    reach, silence = how.get("reach"), attribute.silence
    if reach == ANY and isinstance(accept, tuple):
        reach = tuple(attribute.codes)
    return Limit(
        attribute=name,
        kind=kind,
        accept=accept,
        weight=weight or (silence.weight if silence else "function"),
        follows_from=known.origin,
        source=known.source,
        breach=breach or (silence.why if silence else ""),
        qualifier=how.get("at", ""),
        reach=reach,
        conditions=how.get("conditions", ()),
        covers=how.get("covers", ()),
    )
