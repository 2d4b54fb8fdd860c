"""From a family's rules to a requirement that leaves nothing out.

A family writes the limits in which there is engineering judgement. What it doesn't mention is settled here, by what
each attribute declares of its silence and by the duty terms the family needs:

    known, and asked or taken      it must be the same, or be put right by the attribute's cure
    not known, taken               it must be what it is taken as, and says so
    not known, asked               a question, with how to find out
    no matter, or covered          nothing
    a needed duty term unstated    a question
    a stated one that no rule looks at   a question where it can hurt, else told as not considered
    nothing asked of how it sits or what it does   a question: the kind has no rules for this place
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from partsdb.attributes import LOOK, Attribute
from partsdb.duty import Duty
from partsdb.family import Family, Measurement, Rule
from partsdb.kit.rules import ANY, same, unknown
from partsdb.model import Limit, Moot, Question, Requirement, Spec
from partsdb.place import Place
from partsdb.quantities import show

# stated of the whole shop or position, not of this kind of part
EVERYWHERE = frozenset({"supply_voltage", "supply_frequency", "safety_function"})


def requirement(family: Family, spec: Spec, duty: Duty, weight: float = 1.0) -> Requirement:
    """The envelope of a place that held `spec` and asks `duty`: limits, and the questions that are open."""
    place = family.place(spec, duty)
    rules = [rule for rule in family.require(place) if rule is not None]
    answered = frozenset(name for rule in rules for name in _answers_for(rule))
    rules += _of_attributes(family, place, answered)
    rules += _of_terms(family, place, answered)
    rules += _hurting(family, place)
    rules += _if_empty(family, rules)
    limits = tuple(rule for rule in rules if isinstance(rule, Limit))
    questions = tuple(rule for rule in rules if isinstance(rule, Question))
    return Requirement(weight, place.was, limits, tuple(dict.fromkeys(questions)), _unheard(family, place))


def _answers_for(rule: Rule) -> Iterable[str]:
    if isinstance(rule, Limit):
        return (rule.attribute, *rule.covers)
    return (rule.settled_by, *rule.covers) if isinstance(rule, Question) else rule.attributes


def _of_attributes(family: Family, place: Place, answered: frozenset[str]) -> Iterator[Rule]:
    for attribute in family.attributes:
        silence = attribute.silence
        if attribute.name in answered or silence is None or silence.kind == "no matter":
            continue
        known = same(place, attribute.name, reach=ANY if attribute.put_right else None)
        yield known or _asked(family, place, attribute)


def _asked(family: Family, place: Place, attribute: Attribute) -> Question:
    silence = attribute.silence
    assert silence is not None
    if silence.settled_by and silence.settled_by not in place.duty:
        return unknown(place, attribute.name)
    tool, ask = quickest(family, attribute.name), LOOK if silence.settled_by else silence.ask
    if tool is not None and ask == LOOK:
        ask = measured_with(tool)
    return Question(
        attribute.title, ask, silence.weight, silence.why, attribute.name, True, cure=attribute.put_right
    )


def _of_terms(family: Family, place: Place, answered: frozenset[str]) -> Iterator[Question]:
    for need in family.needs:
        if need.term not in place.duty and need.term not in answered:
            term = place.terms[need.term]
            tool = quickest(family, need.term)
            ask = measured_with(tool) if tool else term.question or "ask who runs the machine"
            yield Question(term.title, ask, need.weight, need.why, need.term)


def _hurting(family: Family, place: Place) -> Iterator[Question]:
    for hurt in family.hurt_by:
        stated = place.duty.get(hurt.term)
        if stated is not None and hurt.by(stated):
            yield Question(_stated(place, hurt.term), hurt.ask, hurt.weight, hurt.why, hurt.term)


def _unheard(family: Family, place: Place) -> tuple[str, ...]:
    """What the duty states and this kind has no rule for, in words."""
    heard = {*family.answers, *(hurt.term for hurt in family.hurt_by), *EVERYWHERE}
    return tuple(_stated(place, term) for term in place.duty if term not in heard)


def _stated(place: Place, term: str) -> str:
    stated = place.duty[term]
    shown = stated if isinstance(stated, str) else show(float(stated), place.terms[term].unit)
    return f"{place.terms[term].title} {shown}"


def _if_empty(family: Family, rules: Iterable[Rule]) -> Iterator[Question]:
    """A place of which nothing is asked accepts anything: then nobody has said what it needs."""
    weights = {rule.weight for rule in rules if not isinstance(rule, Moot)}
    if not (weights & {"fit", "safety"} and "function" in weights):
        breach = f"no rule says what a {family.title} must do here: yours to judge"
        yield Question("what the place needs", "judge it yourself", "function", breach)


def quickest(family: Family, name: str) -> Measurement | None:
    """The quickest way the family knows to measure an attribute, or a term of the duty."""
    ways = [m for m in family.measurements if m.attribute == name]
    return min(ways, key=lambda m: m.minutes, default=None)


def measured_with(tool: Measurement) -> str:
    """How something is measured: the tool, and its caution."""
    return f"measure it ({'; '.join(t for t in (tool.tool, tool.caution) if t)})"
