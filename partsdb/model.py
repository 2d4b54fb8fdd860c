"""The immutable values that pass between the stages.

    Reading --identify--> Identification --require--> Requirement --judge--> Verdict
            --options--> Need, Option --plan--> Plan

Numbers are floats in SI units unless a field's name carries another unit; probabilities are 0..1;
None means unknown, never zero and never favourable.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Literal

from partsdb.intervals import Interval
from partsdb.source import UNSTATED, Source

# --------------------------------------------------------------------------- specifications


@dataclass(frozen=True, slots=True)
class Value:
    """One attribute's value: a number (low == high), a range, or a code word.

    A range is what the rating covers (start capacitor 88-108 µF, coil 220-240 V) or what is left open.
    qualifier: the condition under which it holds ("AC-3@400V"); variant: 0 holds always, equal numbers
    tie values of one connection together (220 V with its 8.6 A); as_written: the text that says it;
    confidence: probability that the value is what the source says [-].
    """

    attribute: str
    low: float | None = None
    high: float | None = None
    code: str | None = None
    qualifier: str = ""
    variant: int = 0
    source: Source = UNSTATED
    confidence: float = 1.0
    as_written: str = ""

    @property
    def interval(self) -> Interval | None:
        """The number as an interval; None for a code word."""
        return None if self.code is not None else Interval(self.low, self.high)

    @property
    def middle(self) -> float | None:
        """The number, or the middle of a closed range; one end when the other is open; None for a code."""
        if self.code is not None:
            return None
        if self.low is None or self.high is None:
            return self.high if self.low is None else self.low
        return (self.low + self.high) / 2

    @property
    def key(self) -> tuple[str, str, int, float | None, float | None, str | None]:
        """What the value says, without where it came from."""
        return (self.attribute, self.qualifier, self.variant, self.low, self.high, self.code)


def number(
    attribute: str, x: float, source: Source = UNSTATED, *, qualifier: str = "", variant: int = 0
) -> Value:
    """A single number [SI] as a Value."""
    return Value(attribute, float(x), float(x), qualifier=qualifier, variant=variant, source=source)


def span(
    attribute: str, low: float | None, high: float | None, source: Source = UNSTATED, *, qualifier: str = ""
) -> Value:
    """A range [SI] as a Value; None leaves an end open."""
    return Value(attribute, low, high, qualifier=qualifier, source=source)


def word(attribute: str, code: str, source: Source = UNSTATED, *, variant: int = 0) -> Value:
    """A code word as a Value."""
    return Value(attribute, code=code, source=source, variant=variant)


@dataclass(frozen=True, slots=True)
class Spec:
    """A specification: a family's name and what is known of a part. Unknown = absent.

    Several Values of one attribute are dual ratings (variants) or a rating table (qualifiers).
    """

    family: str
    values: tuple[Value, ...] = ()

    def all(self, attribute: str) -> tuple[Value, ...]:
        """Every value of the attribute, in the order given."""
        return tuple(v for v in self.values if v.attribute == attribute)

    def first(self, attribute: str, qualifier: str | None = None) -> Value | None:
        """The first value of the attribute (with that qualifier, when one is named), or None."""
        for v in self.values:
            if v.attribute == attribute and (qualifier is None or v.qualifier == qualifier):
                return v
        return None

    def num(self, attribute: str, qualifier: str | None = None) -> float | None:
        """The middle of the first numeric value [SI], or None when unknown."""
        found = self.first(attribute, qualifier)
        return found.middle if found else None

    def code(self, attribute: str) -> str | None:
        """The first code word of the attribute, or None when unknown."""
        found = self.first(attribute)
        return found.code if found else None

    def has(self, attribute: str) -> bool:
        """Whether anything is known of the attribute."""
        return any(v.attribute == attribute for v in self.values)

    def plus(self, extra: Iterable[Value]) -> Spec:
        """This specification with more values behind its own."""
        return replace(self, values=self.values + tuple(extra))

    def without(self, *attributes: str) -> Spec:
        """This specification with those attributes forgotten."""
        return replace(self, values=tuple(v for v in self.values if v.attribute not in attributes))

    def variants(self) -> tuple[int, ...]:
        """The connection variants in it: (0,) or (1, 2, ...)."""
        found = tuple(sorted({v.variant for v in self.values if v.variant}))
        return found or (0,)

    def variant(self, n: int) -> Spec:
        """The specification in connection n: common values and those of variant n."""
        return replace(self, values=tuple(v for v in self.values if v.variant in (0, n)))

    @property
    def key(self) -> tuple[str, tuple[object, ...]]:
        """Equal for specifications that say the same, whatever the order and sources."""
        return self.family, tuple(sorted((v.key for v in self.values), key=repr))


# --------------------------------------------------------------------------- reading and identification


@dataclass(frozen=True, slots=True)
class Glyph:
    """One place of a fragment: one known glyph ("8"), one of several ("38"), illegible (""), or a run of
    illegible glyphs of unknown length (run=True). `at` is its index in the fragment as typed."""

    chars: str
    at: int
    run: bool = False


@dataclass(frozen=True, slots=True)
class Fragment:
    """A legible piece of a plate: as typed, and as glyphs."""

    text: str
    glyphs: tuple[Glyph, ...]


@dataclass(frozen=True, slots=True)
class Measured:
    """A number read off an instrument [SI], with its standard deviation [SI]."""

    attribute: str
    value: float
    sd: float
    tool: str = "instrument"
    as_written: str = ""


@dataclass(frozen=True, slots=True)
class Context:
    """What is known around the plate; every field may be None."""

    family: str | None = None
    maker: str | None = None
    year: int | None = None
    country: str | None = None
    supply_voltage: float | None = None
    supply_frequency: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything seen and measured on one part."""

    fragments: tuple[Fragment, ...] = ()
    measurements: tuple[Measured, ...] = ()
    context: Context = Context()


@dataclass(frozen=True, slots=True)
class KnownPart:
    """A part in the records or a catalogue, as identification and judging see it.

    designation: its number as printed; aliases: other numbers it goes by; condition: new, used and tested,
    unknown, suspect ("" for a catalogue part); quantity: pieces on the shelf (0 for catalogue and offers).
    """

    id: str
    spec: Spec
    designation: str = ""
    maker: str = ""
    aliases: tuple[str, ...] = ()
    title: str = ""
    condition: str = ""
    quantity: int = 0
    place: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """Why a value is believed: `where` is (fragment, start, end) as typed, or None when not on the plate.

    log_odds: how much the seen text favours the value over chance [nat]; note: what was assumed.
    """

    attribute: str
    says: str
    where: tuple[int, int, int] | None
    log_odds: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One possible specification with its posterior probability; part_id when it is a known part."""

    spec: Spec
    probability: float
    part_id: str | None = None
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Marginal:
    """What is believed of one attribute: (value, probability), best first; None stands for "not known"."""

    attribute: str
    outcomes: tuple[tuple[Value | None, float], ...]


@dataclass(frozen=True, slots=True)
class Observation:
    """A look or measurement worth making: expected information [bit], effort, and what it would mean.

    outcomes: (result in words, probability, what it then is).
    """

    attribute: str
    tool: str
    bits: float
    minutes: float
    caution: str
    outcomes: tuple[tuple[str, float, str], ...] = ()

    @property
    def rate(self) -> float:
        """Expected information per minute of effort [bit/min]."""
        return self.bits / max(self.minutes, 0.1)


@dataclass(frozen=True, slots=True)
class Identification:
    """The posterior: ranked hypotheses, the mass of "something else" (leftover), marginals, evidence.

    The hypotheses' probabilities and the leftover sum to one. families: (name, probability), best first.
    settled: no further observation can change what to do (set when a `decide` function was given).
    """

    reading: Reading
    hypotheses: tuple[Hypothesis, ...]
    leftover: float
    families: tuple[tuple[str, float], ...] = ()
    marginals: tuple[Marginal, ...] = ()
    advice: tuple[Observation, ...] = ()
    unread: tuple[str, ...] = ()
    settled: bool = False

    @property
    def best(self) -> Hypothesis | None:
        """The most probable hypothesis, or None when nothing fits."""
        return self.hypotheses[0] if self.hypotheses else None


# --------------------------------------------------------------------------- limits and verdicts

Weight = Literal["safety", "function", "fit", "life"]
Kind = Literal["equal", "at least", "at most", "within", "covers", "same class or better", "one of"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One attribute's rule.

    accept: what a straight swap must offer - an Interval [SI] for the numeric kinds, words for the class kinds
    ("same class or better" lists every good enough class, worst first). For "covers" the offered range must
    contain `accept`; for every other numeric kind the offered value must lie inside `accept`.
    reach: wider than accept; what a named change can cure or a temporary part may run. None = same as accept.
    follows_from: plate, measurement, duty, standard or judgement, in words ("duty: 400 V supply").
    breach: what happens when it is broken. conditions: under which a breach inside `reach` may be run for a
    time; empty = never.
    """

    attribute: str
    kind: Kind
    accept: Interval | tuple[str, ...]
    weight: Weight
    follows_from: str
    source: Source
    breach: str
    qualifier: str = ""
    reach: Interval | tuple[str, ...] | None = None
    conditions: tuple[str, ...] = ()

    @property
    def widest(self) -> Interval | tuple[str, ...]:
        """`reach` where one is given, else `accept`."""
        return self.accept if self.reach is None else self.reach


@dataclass(frozen=True, slots=True)
class Change:
    """A cure for a breach: what to do, in a fitter's words, with its working hours.

    family, limits: when the cure is itself a part (bushing, rectifier), the need it makes, judged by that
    family's own rules. money: rough cost in shop currency, 0 when unknown.
    """

    cures: str
    text: str
    hours: float
    source: Source
    family: str | None = None
    limits: tuple[Limit, ...] = ()


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
    """A hazard that applies here: what, the usual precaution, figures worked out for this part."""

    hazard: str
    text: str
    source: Source
    figures: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """What may be done with one part, or one combination, at one place.

    parts: ids, one or several (a combination). holds: probability of the readings for which this outcome
    holds [-]; depends_on: attributes that decide whether it does ("depends on: volts"). checks: decisive
    first. changes: what must be altered. stated_hours: how long a temporary part may run, None = attended
    only. missing: facts to get before a "can't say yet" can be settled, with how to get them.
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
    missing: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    goes_with: tuple[str, ...] = ()
    after_fitting: tuple[str, ...] = ()
    differs: tuple[str, ...] = ()
    wiring: str = ""
    fits: tuple[
        float, ...
    ] = ()  # P(fits | requirement h), aligned with the requirements it was judged against

    @property
    def worst_safety(self) -> float | None:
        """The smallest safety margin in percent, None when no safety check has one."""
        found = [c.margin for c in self.checks if c.limit.weight == "safety" and c.margin is not None]
        return min(found, default=None)


@dataclass(frozen=True, slots=True)
class Requirement:
    """The envelope of one place under one reading: its weight [-], specification and limits."""

    weight: float
    spec: Spec
    limits: tuple[Limit, ...]


# --------------------------------------------------------------------------- needs, options, plans

WayKind = Literal["shelf", "combination", "buy", "repair", "made", "temporary"]


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that must be in place before the job can run.

    readings: probabilities of the readings of what the part was (sum to at most one; the rest is "something
    else", for which nothing fits). install_hours: shop working hours. after: ids of needs fitted before it.
    exists: probability that the need is real (found on strip-down).
    """

    id: str
    title: str
    readings: tuple[float, ...] = (1.0,)
    install_hours: float = 1.0
    after: tuple[str, ...] = ()
    exists: float = 1.0


@dataclass(frozen=True, slots=True)
class Line:
    """What one option buys: an offer of a supplier, by one of its services."""

    offer_id: str
    supplier_id: str
    service_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Option:
    """One way to satisfy a need.

    fits: P(fits | reading h), aligned with Need.readings. lines: what is bought (empty for shelf ways).
    uses: (stock id, units) of shelf pieces and of offers' stated stock; needs can't spend one piece twice.
    ready_hours: shop hours between goods in and fitting (check, cure, run-in). other_cost: labour, adapter
    and expected later replacement, in the plan's currency. stated_hours: life of a temporary part [h],
    None otherwise; duty_hours: running hours it must bridge; survives: P(survives the bridge).
    """

    id: str
    need: str
    kind: WayKind
    title: str
    fits: tuple[float, ...] = (1.0,)
    lines: tuple[Line, ...] = ()
    uses: tuple[tuple[str, int], ...] = ()
    ready_hours: float = 0.0
    install_hours: float | None = None
    other_cost: Decimal = Decimal(0)
    stated_hours: float | None = None
    duty_hours: float = 0.0
    survives: float = 1.0
    outcome: Outcome = "straight swap"


@dataclass(frozen=True, slots=True)
class WayOut:
    """What can still be done when the plan fails: subcontract, another machine, part delivery, a call."""

    title: str
    cost: Decimal
    decide_by: datetime


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the plan. Times are time-zone aware; `supplier_zone` is an IANA name.

    arrives: (day, probability that it is in by then), cumulative. hurts: gain in the plan's probability if
    this line were certain. cost: Decimal in the plan's currency, without freight shared by a parcel.
    """

    need: str
    option: str
    title: str
    kind: WayKind
    supplier: str = ""
    service: str = ""
    offer: str = ""
    quantity: int = 0
    cost: Decimal = Decimal(0)
    order_by: datetime | None = None
    supplier_zone: str = ""
    need_by: datetime | None = None
    p_in_time: float = 1.0
    arrives: tuple[tuple[date, float], ...] = ()
    hurts: float = 0.0
    hedge: bool = False
    rolled: bool = False  # the cut-off asked for had passed; the next working day is meant


@dataclass(frozen=True, slots=True)
class Rival:
    """What another way of choosing would have got: its name, cost and probability."""

    name: str
    cost: Decimal
    probability: float
    expected_late: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class FrontierPoint:
    """The cheapest known cost at a probability of being in time."""

    cost: Decimal
    probability: float
    expected_late: Decimal
    options: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trigger:
    """Where the plan breaks: "if the seal is not here by Wednesday noon, do this"."""

    need: str
    by: datetime
    text: str
    do: str
    cost: Decimal = Decimal(0)
    probability: float = 0.0


@dataclass(frozen=True, slots=True)
class Call:
    """A telephone call worth making before ordering: what it is worth and what to ask."""

    supplier: str
    offer: str
    before: datetime
    value: Decimal
    minutes: float
    script: tuple[str, ...]
    if_yes: str = ""
    if_no: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to order, from whom, by which hour, and how sure that is.

    probability: exact P(all in time), to the solver's columns; simulated, standard_error: from `runs` walks
    over the calendars. bound: no plan can cost less than this at that target (proved); None when not proved.
    by_day: (day, P(job can run by then)). uncovered: needs without any way.
    """

    lines: tuple[OrderLine, ...]
    cost: Decimal
    freight: Decimal
    currency: str
    probability: float
    expected_late: Decimal
    deadline: datetime
    now: datetime
    options: tuple[str, ...] = ()
    bound: Decimal | None = None
    proof: str = ""
    simulated: float | None = None
    standard_error: float | None = None
    runs: int = 0
    seed: int = 0
    by_day: tuple[tuple[date, float], ...] = ()
    frontier: tuple[FrontierPoint, ...] = ()
    rivals: tuple[Rival, ...] = ()
    triggers: tuple[Trigger, ...] = ()
    calls: tuple[Call, ...] = ()
    way_out: tuple[WayOut, ...] = ()
    uncovered: tuple[str, ...] = ()
    target: float | None = None
    reachable: bool = True  # the asked target or budget can be met
    earliest: date | None = None  # first day that reaches the target when the deadline can't
    notes: tuple[str, ...] = field(default=())
    outlay: Decimal = Decimal(0)  # what is paid; `cost` is that less what is expected back for parts returned
    top_up: Decimal = Decimal(0)  # goods bought only to reach a supplier's minimum order
    free_choice: float | None = None  # simulated, the fitters taking what has come instead of a fixed order
