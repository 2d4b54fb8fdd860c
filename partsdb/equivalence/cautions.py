"""Which hazards apply to a specification at a place: all conditions hold, and an unknown counts as holding."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.family import Family, Hazard
from partsdb.model import Caution, Spec, Value


def cautions(family: Family, spec: Spec, duty: Duty) -> tuple[Caution, ...]:
    """The cautions to print beside the result, in the family's order, with figures for this very part."""
    full = family.complete(spec)
    return tuple(
        Caution(h.id, h.text, h.source, h.figures(full, duty) if h.figures else ())
        for h in family.hazards
        if applies(h, full, duty)
    )


def applies(hazard: Hazard, spec: Spec, duty: Duty) -> bool:
    """Whether every condition of the hazard holds or can't be ruled out.

    A name may be an attribute and a duty term at once; either can bring the hazard in.
    """
    for name, relation, value in hazard.when:
        facts: list[Value | float | str] = list(spec.all(name))
        if name in duty:
            facts.append(duty[name])
        if facts and not any(_may_hold(fact, relation, value) for fact in facts):
            return False
    return True


def _may_hold(fact: Value | float | str, relation: str, value: float | str) -> bool:
    if isinstance(fact, str):
        fact = Value("", code=fact)
    elif not isinstance(fact, Value):
        fact = Value("", float(fact), float(fact))
    if isinstance(value, str):
        return fact.code is None or (fact.code == value) == (relation == "is")
    if fact.code is not None:
        return True
    low = float("-inf") if fact.low is None else fact.low
    high = float("inf") if fact.high is None else fact.high
    if relation == "<":
        return low < value
    if relation == ">=":
        return high >= value
    return low <= value <= high if relation == "is" else not (low == high == value)
