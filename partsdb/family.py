"""What a family may say of its kind of part, and the registry of families.

A family is one folder in `families/`, written with `partsdb.kit`. What the decoder, the store, the shortlist or the
planner must enumerate is data (frozen fields); what is only evaluated is a plain function. No base classes.

How a family is read off a plate: each Field lists the rows of values it can take and the Writings a plate may
use for them. The shared decoder writes every row in every way and compares with what is legible, so a family
has no parser. Attributes that no field enumerates (dimensions that follow from a designation) come from
`derive`.

Template grammar of a Writing:
    {attribute:unit}   the number, written in that unit       {attribute}   the code word, in each spelling
    (A|B|C)            one of these texts                     [A]           this text, or nothing
    a blank            may be left out on the plate
    {attribute#2:unit} the number of connection variant 2    {attribute:in.3}  always with three decimals
                                                             {attribute:in/}   always as a fraction
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import import_module
from typing import Any, Literal

from partsdb.attributes import Attribute
from partsdb.duty import TERMS, Duty, Term
from partsdb.errors import NotFound
from partsdb.model import Change, Life, Limit, Moot, Question, Spec, Value, Weight
from partsdb.place import Place
from partsdb.quantities import unit
from partsdb.records import Units
from partsdb.source import Source
from partsdb.spelling import meant


@dataclass(frozen=True, slots=True)
class Row:
    """One thing a field can say: a value per attribute of the field (SI number, code word, or None when the
    row leaves it open; a (low, high) pair for a range), with its prior weight and the years it was made in."""

    values: tuple[float | str | tuple[float, float] | None, ...]
    weight: float = 1.0
    years: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Writing:
    """A way plates write a field's row: a template (grammar above) and its log prior [nat]."""

    template: str
    logp: float = 0.0


OFF_GRID = (
    -6.0
)  # log prior of a number that no row has, where a family doesn't say otherwise [nat] (judgement)


@dataclass(frozen=True, slots=True)
class Field:
    """What the decoder enumerates together: a capacitance, a bearing's basic designation, a dual voltage.

    attributes: names, with "#n" for connection variant n and "@qualifier" for a qualifier ("current@AC-3@400V").
    p_absent: probability that a plate of this kind doesn't carry it [-]. off_grid: when legible digits form a
    number no row has, believe the number at this log penalty [nat].
    default: row values meant when a plate that is otherwise legible says nothing (bearing clearance: normal);
    None = then it is unknown.
    """

    name: str
    attributes: tuple[str, ...]
    rows: tuple[Row, ...]
    writings: tuple[Writing, ...]
    p_absent: float = 0.2
    off_grid: float = OFF_GRID
    default: tuple[float | str | None, ...] | None = None


def label(*words: str, p_absent: float = 0.6) -> Field:
    """A field of words that name the kind of part on its plate and say nothing more, so that they aren't taken for a
    worn form of a word that does ("TRANSFORMER" for "CONTROL TRANSFORMER")."""
    return Field("label", (), (Row(()),), tuple(Writing(word) for word in words), p_absent)


@dataclass(frozen=True, slots=True)
class Consistency:
    """How well field values agree: a log factor <= 0 [nat] of at most four attributes.

    log_factor gets one numpy array per attribute (floats; NaN = unknown; code words as object arrays) and
    returns an array; unknown inputs must give 0.
    """

    attributes: tuple[str, ...]
    log_factor: Callable[..., Any]
    source: Source


@dataclass(frozen=True, slots=True)
class Measurement:
    """How an attribute, or a duty term of the place, is measured.

    attribute: its name, or the term's; sd_abs, sd_rel: accuracy, sd = sd_abs + sd_rel·value [SI]; caution: what to
    mind. worn: "below" when wear or ageing only ever lowers the reading (shafts, run capacitors), "above" when it
    raises it (belts, chains, lip bores); worn_sd: scale of that shift relative to the value [-].
    """

    attribute: str
    tool: str
    sd_abs: float
    sd_rel: float
    minutes: float
    caution: str
    worn: Literal["", "below", "above"] = ""
    worn_sd: float = 0.0


Relation = Literal["is", "is not", "<", ">="]
Condition = tuple[str, Relation, float | str]  # attribute or duty term, relation, value [SI or code word]


@dataclass(frozen=True, slots=True)
class Hazard:
    """What can hurt: applies when all of `when` hold; an unknown counts as holding.

    when: empty = always. figures works out joules, seconds, ohms for this part: (label, value with unit) pairs.
    short: the same in at most 56 characters, for the first line of an answer.
    """

    id: str
    text: str
    source: Source
    when: tuple[Condition, ...] = ()
    figures: Callable[[Spec, Duty], tuple[tuple[str, str], ...]] | None = None
    short: str = ""


@dataclass(frozen=True, slots=True)
class Needed:
    """A duty term that a family can't do without: unstated, it is a question. `why`: what hangs on it."""

    term: str
    weight: Weight
    why: str


@dataclass(frozen=True, slots=True)
class Hurt:
    """A duty term for which a family has no rule and which can hurt: stated, it is a question.

    ask: whom to ask, or what to find out; word: only this code word hurts ("DC"; "" = any); above: only a number above
    this does [SI].
    """

    term: str
    weight: Weight
    why: str
    ask: str
    word: str = ""
    above: float | None = None

    def by(self, stated: float | str) -> bool:
        """Whether what is stated hurts."""
        if isinstance(stated, str):
            return stated == self.word if self.word else True
        return self.above is None or stated > self.above


@dataclass(frozen=True, slots=True)
class Combination:
    """How several parts act as one.

    kind: "series", "parallel", "matched pair"; key: the attribute that drives the search; combine: how it adds
    up ("sum" or "harmonic" sum of the elements). whole: elements -> specification of the whole. share: the
    limits each element must meet inside it, given the place's limits. never: what may never be combined, and
    why, shown with the result. build: how to connect it, in a fitter's words.
    """

    kind: str
    key: str
    combine: Literal["sum", "harmonic"]
    max_elements: int
    whole: Callable[[Sequence[Spec]], Spec]
    share: Callable[[Sequence[Spec], Sequence[Limit], Duty], Sequence[tuple[Limit, ...]]]
    never: str
    build: Callable[[Sequence[Spec], Duty], tuple[str, ...]]
    source: Source


@dataclass(frozen=True, slots=True)
class Suspect:
    """A possible cause behind a failure. The same id from several families on one machine is one cause.

    ask: the reading or fact that settles it; then: the need it makes ("a transformer for 50 Hz").
    strength: how well the facts at hand support it, 0..1 [-].
    """

    id: str
    title: str
    why: str
    ask: str
    then: str
    strength: float
    source: Source


@dataclass(frozen=True, slots=True)
class Symptom:
    """What the person sees (dead, hums, hot, noisy, leaks, slow), what it points at and how to tell."""

    word: str
    points_at: str
    tell_by: tuple[str, ...]


def _no_values(spec: Spec) -> tuple[Value, ...]:
    return ()


def no_changes(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Nothing cures it."""
    return ()


def _no_texts(spec: Spec, duty: Duty) -> tuple[str, ...]:
    return ()


def _no_suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    return ()


def no_figures(place: Place) -> dict[str, str | float | None]:
    """No figures of its own."""
    return {}


def _one_piece(spec: Spec, duty: Duty) -> int:
    return 1


def _same_qualifier(offered: str, needed: str) -> bool:
    return offered == needed


Rule = Limit | Question | Moot


@dataclass(frozen=True, slots=True)
class Family:
    """All we know of a kind of part. See the module docstring and DEVELOPERS.md, "Adding a family".

    words: what people call it, lower case, for choosing the family and for prior odds. main: attributes of which one
    must be known before it is a part at all, and what they are called ("size"). prior: relative
    frequency among parts on old machines [-]. ask: duty terms worth asking for, most decisive first; answers: the
    duty terms that its rules look at; needs: those whose absence is a question; hurt_by: those without a rule whose
    presence is one; terms: its own, beside the vocabulary's. require: place -> limits and questions, the only rule
    from plate and duty to what is asked (None where nobody knows: the attribute's silence speaks; see kit.coverage).
    derive: what follows from a specification (dimensions from a designation, bounds on ratings), every Value with its
    source.
    cures: changes that cure a breach. qualifies: whether a rating under the offered qualifier serves a limit's
    qualifier ("AC-3@440V" serves "AC-3@400V"). in_place: judge the part that sits there under changed duty.
    life: (specification of the part, duty) -> expected life. goes_with: what is ordered with it;
    after_fitting: what to check on arrival and after fitting, with figures; shelf_test: the pass test that
    makes a shelf part of unknown condition fit for use, with figures.
    figures: what its texts name in curly brackets, worked
    out for a part and its duty; told: the rows its texts were made from, as they stand in its file of words.
    title_of: a short trade name for a specification ("25 µF 440 V AC run"). pieces: how many pieces of the
    part the place takes at once (a set of four belts).
    """

    name: str
    title: str
    attributes: tuple[Attribute, ...]
    fields: tuple[Field, ...]
    measurements: tuple[Measurement, ...]
    hazards: tuple[Hazard, ...]
    require: Callable[[Place], Iterable[Rule | None]]
    title_of: Callable[[Spec], str]
    words: tuple[str, ...] = ()
    main: tuple[str, ...] = ()
    main_called: str = "size"
    prior: float = 1.0
    ask: tuple[str, ...] = ()
    answers: frozenset[str] = frozenset()
    needs: tuple[Needed, ...] = ()
    hurt_by: tuple[Hurt, ...] = ()
    terms: tuple[Term, ...] = ()
    consistency: tuple[Consistency, ...] = ()
    derive: Callable[[Spec], tuple[Value, ...]] = _no_values
    cures: Callable[[Limit, Spec, Duty], tuple[Change, ...]] = no_changes
    qualifies: Callable[[str, str], bool] = _same_qualifier
    life: Callable[[Spec, Duty], Life] | None = None
    combinations: tuple[Combination, ...] = ()
    symptoms: tuple[Symptom, ...] = ()
    suspects: Callable[[Spec, Duty], tuple[Suspect, ...]] = _no_suspects
    goes_with: Callable[[Spec, Duty], tuple[str, ...]] = _no_texts
    after_fitting: Callable[[Spec, Duty], tuple[str, ...]] = _no_texts
    shelf_test: Callable[[Spec, Duty], tuple[str, ...]] = _no_texts
    pieces: Callable[[Spec, Duty], int] = _one_piece
    install_hours: float = 1.0
    figures: Callable[[Place], Mapping[str, str | float | None]] = no_figures
    told: Mapping[str, Sequence[Mapping[str, Any]]] = field(default_factory=dict)

    def attribute(self, name: str) -> Attribute:
        """The attribute of that name (a variant's "#n" and a qualifier's "@..." are dropped)."""
        bare = name.split("#")[0].split("@")[0]
        for found in self.attributes:
            if found.name == bare:
                return found
        known = ", ".join(a.name for a in self.attributes)
        guess = meant(name, (word for a in self.attributes for word in (a.name, a.title)))
        raise NotFound(f"{self.title} has no attribute {name!r}", f"{guess}It has: {known}")

    @property
    def of_the_part(self) -> tuple[Measurement, ...]:
        """The measurements that are taken on the part itself; the others are of its place and become a duty."""
        names = {a.name for a in self.attributes}
        return tuple(m for m in self.measurements if m.attribute in names)

    def complete(self, spec: Spec) -> Spec:
        """The specification with what follows from it; what is stated is never overwritten by what is derived."""
        stated = {(v.attribute, v.qualifier) for v in spec.values}
        return spec.plus(v for v in self.derive(spec) if (v.attribute, v.qualifier) not in stated)

    def place(self, spec: Spec, duty: Duty) -> Place:
        """The place that held `spec` and asks `duty`, as the family's rules see it."""
        named = {a.name: a for a in self.attributes}
        return Place(named, vocabulary((self,)), self.complete(spec), duty)


def vocabulary(kinds: Iterable[Family]) -> Mapping[str, Term]:
    """The duty terms by name: everybody's, and those that these families bring."""
    return {term.name: term for term in (*TERMS, *(own for kind in kinds for own in kind.terms))}


@cache
def families(units: Units = "metric") -> Mapping[str, Family]:
    """Every family, by name, as a shop that works in such units sees it."""
    if units == "inch":
        return {name: _beside_inches(family) for name, family in families().items()}
    return _found()


def _beside_inches(family: Family) -> Family:
    shown = tuple(replace(a, beside=unit(a.unit).beside) if a.unit else a for a in family.attributes)
    return replace(family, attributes=shown)


def _found() -> Mapping[str, Family]:
    """Each module of `families/` that has a FAMILY: found by being there."""
    import partsdb.families as folder

    found = {}
    for module in sorted(pkgutil.iter_modules(folder.__path__), key=lambda m: m.name):
        family = getattr(import_module(f"{folder.__name__}.{module.name}"), "FAMILY", None)
        if isinstance(family, Family):
            found[family.name] = family
    return found


def family_named(name: str, among: Mapping[str, Family] | None = None) -> Family:
    """The family of that name or called by that word; NotFound lists the names."""
    known = families() if among is None else among
    wanted = name.strip().lower()
    for one in known.values():
        if wanted in (one.name, one.title.lower()) or wanted in one.words:
            return one
    guess = meant(name, (word for one in known.values() for word in (one.name, one.title, *one.words)))
    raise NotFound(f"no kind of part is called {name!r}", f"{guess}There are: {', '.join(known)}")
