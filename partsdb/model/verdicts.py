"""What a place asks, and what may be done with a part there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from partsdb.intervals import Interval
from partsdb.model.specification import Spec, Value
from partsdb.source import Source

Weight = Literal["safety", "function", "fit", "life"]
LimitKind = Literal["equal", "at least", "at most", "within", "covers", "same class or better", "one of"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One attribute's rule.

    accept: what a straight swap must offer - an Interval [SI] for the numeric kinds, words for the class kinds
    ("same class or better" lists every good enough class, worst first). For "covers" the offered range must
    contain `accept`; for every other numeric kind the offered value must lie inside `accept`.
    reach: wider than accept; what a named change can cure or a temporary part may run. None = same as accept.
    follows_from: plate, measurement, duty, standard or judgement, in words ("duty: 400 V supply").
    breach: what happens when it is broken. conditions: under which a breach inside `reach` may be run for a
    time; empty = never. covers: other attributes, and duty terms, that this limit answers for, so that nobody is asked
    for them.

    Raises ValueError for an `accept` without an end: what every value meets is no limit but a Question.
    """

    attribute: str
    kind: LimitKind
    accept: Interval | tuple[str, ...]
    weight: Weight
    follows_from: str
    source: Source
    breach: str
    qualifier: str = ""
    reach: Interval | tuple[str, ...] | None = None
    conditions: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.accept == Interval(None, None):
            raise ValueError(f"a limit on {self.attribute} that every value meets")


@dataclass(frozen=True, slots=True)
class Change:
    """A cure for a breach: what to do, in a fitter's words, with its working hours."""

    cures: str
    text: str
    hours: float
    source: Source


@dataclass(frozen=True, slots=True)
class Question:
    """What isn't known and decides. No value of an offered part settles it; only the person, a measurement of the
    old part or the place, or the duty does.

    about: what isn't known, in words; ask: how to find out, questions of the same `ask` are read in one line;
    breach: what hangs on it. settled_by: the attribute of the old part, or the duty term, that settles it ("" when
    neither has a name). of_part: it asks about the old part (else about its place). cure: what is done where the
    answer turns out otherwise than the new part, when something can be done whatever it is. covers: as for a Limit.
    piece: what stands on the old part and isn't understood; a part on which the same stands is the same in that.
    """

    about: str
    ask: str
    weight: Weight
    breach: str
    settled_by: str = ""
    of_part: bool = False
    covers: tuple[str, ...] = ()
    cure: Change | None = None
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Moot:
    """Attributes that don't matter at this place, and why (the hertz of a coil for direct current)."""

    attributes: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Life:
    """Expected life at the duty [h]; None = unknown, not infinite. `text` tells the computation."""

    low: float | None
    mid: float | None
    high: float | None
    source: Source
    text: str = ""


Status = Literal["pass", "breach", "unknown"]


@dataclass(frozen=True, slots=True)
class Check:
    """One limit held against one part.

    offered: the values compared (empty when unknown); spare: distance inside (+) or outside (-) in the SI
    unit or class steps; margin: the same in percent of the limit (steps for classes); None when unknown or
    meaningless; reason: one sentence; in_reach: a breach that stays inside `reach`.
    """

    limit: Limit
    offered: tuple[Value, ...]
    status: Status
    spare: float | None
    margin: float | None
    reason: str
    in_reach: bool = False


Outcome = Literal["straight swap", "fits with work", "temporary", "can't say yet", "don't fit"]
OUTCOMES: tuple[Outcome, ...] = ("straight swap", "fits with work", "temporary", "can't say yet", "don't fit")


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard that applies here: what, the usual precaution, figures worked out for this part; `short`: in a line."""

    hazard: str
    text: str
    source: Source
    figures: tuple[tuple[str, str], ...] = ()
    short: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What may be done with one part, or one combination, at one place.

    parts: ids, one or several (a combination). holds: probability of the readings for which this outcome
    holds [-]; depends_on: attributes that decide whether it does ("depends on: volts"). checks: decisive
    first. changes: what must be altered. stated_hours: how long a temporary part may run, None = attended
    only. questions: what nobody knows of the place or of what was there, most dangerous first; missing: the facts
    to get before a "can't say yet" can be settled, with how to get them, questions included.
    """

    parts: tuple[str, ...]
    title: str
    outcome: Outcome
    checks: tuple[Check, ...]
    holds: float = 1.0
    depends_on: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    conditions: tuple[str, ...] = ()
    stated_hours: float | None = None
    life: Life | None = None
    questions: tuple[Question, ...] = ()
    missing: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    goes_with: tuple[str, ...] = ()
    after_fitting: tuple[str, ...] = ()
    differs: tuple[str, ...] = ()
    wiring: str = ""
    fits: tuple[
        float, ...
    ] = ()  # P(fits | requirement h), aligned with the requirements it was judged against


@dataclass(frozen=True, slots=True)
class Requirement:
    """The envelope of one place under one reading: its weight [-], specification, limits, and what is open.

    not_considered: what the duty states and the kind of part has no rule for, in words.
    """

    weight: float
    spec: Spec
    limits: tuple[Limit, ...]
    questions: tuple[Question, ...] = ()
    not_considered: tuple[str, ...] = ()
