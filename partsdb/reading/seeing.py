"""What a person plainly sees on a part ("closure=open", "poles=3"): a fact that conditions the identification."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from partsdb.errors import BadInput, NotFound
from partsdb.family import Family
from partsdb.model import Hypothesis, Identification, Value
from partsdb.reading.settings import setting
from partsdb.source import said

PREFIX = "seen "


def seen_answers(texts: Sequence[str]) -> dict[str, str | float]:
    """ "closure=open" texts as answers of an inquiry. Raises BadInput when one has no attribute or no value."""
    answers: dict[str, str | float] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise BadInput(f"{text!r} says nothing", "Write what you see like closure=open")
        answers[PREFIX + name.strip()] = value.strip()
    return answers


def facts_for(family: Family, texts: Sequence[str]) -> tuple[Value, ...]:
    """The seen facts ("closure=open") that this family has an attribute and a value for."""
    found = (_fact(family, text) for text in texts)
    return tuple(fact for fact in found if isinstance(fact, Value))


def _fact(family: Family, text: str) -> Value | BadInput | NotFound:
    """The fact as this family takes it, or why it doesn't."""
    try:
        return replace(setting(text, family), source=said())
    except (BadInput, NotFound) as trouble:
        return trouble


def _understood(text: str, kinds: Sequence[Family]) -> None:
    """Raises BadInput when none of the kinds at hand takes the fact: what the first that has such an attribute says."""
    made = [_fact(family, text) for family in kinds]
    if any(isinstance(one, Value) for one in made):
        return
    for one in made:
        if isinstance(one, BadInput):
            raise one
    name = text.partition("=")[0]
    raise BadInput(f"no kind of part at hand has {name}", "See `partsdb words` and the words of the kind")


def condition(
    found: Identification, families: Mapping[str, Family], answers: Mapping[str, str | float]
) -> Identification:
    """The identification given what is plainly seen: hypotheses that say otherwise are out, the others take the
    fact as theirs. The weight of "something else" stays, so a fact that contradicts everything raises it.

    A name means what the kinds at hand call so ("mounting" of a contactor, not a motor's). Raises BadInput when none
    of them has such an attribute, or can be so.
    """
    texts = [
        f"{name.removeprefix(PREFIX)}={value}" for name, value in answers.items() if name.startswith(PREFIX)
    ]
    if not texts:
        return found
    at_hand = dict.fromkeys(h.spec.family for h in found.hypotheses) or families
    for text in texts:
        _understood(text, [families[name] for name in at_hand])
    facts = {name: facts_for(families[name], texts) for name in at_hand}

    def conditioned(hypotheses: Sequence[Hypothesis]) -> list[Hypothesis]:
        return [
            replace(h, spec=h.spec.plus(_new(h, facts.get(h.spec.family, ()))))
            for h in hypotheses
            if all(_agrees(families[h.spec.family], h, fact) for fact in facts.get(h.spec.family, ()))
        ]

    kept, by_plate = conditioned(found.hypotheses), conditioned(found.by_plate)
    total = sum(h.probability for h in kept) + _beside(found.hypotheses)
    return replace(
        found,
        hypotheses=_scaled(kept, total),
        by_plate=_scaled(by_plate, sum(h.probability for h in by_plate) + _beside(found.by_plate)),
        leftover=found.leftover / total if total else 1.0,
        unlisted=found.unlisted / total if total else 0.0,
    )


def _beside(hypotheses: Sequence[Hypothesis]) -> float:
    """What is believed beside the hypotheses told: something else, and what wasn't written out."""
    return max(0.0, 1 - sum(h.probability for h in hypotheses))


def _scaled(kept: Sequence[Hypothesis], total: float) -> tuple[Hypothesis, ...]:
    return tuple(replace(h, probability=h.probability / total) for h in kept) if total else ()


def _new(hypothesis: Hypothesis, facts: Sequence[Value]) -> tuple[Value, ...]:
    return tuple(fact for fact in facts if hypothesis.spec.first(fact.attribute, fact.qualifier) is None)


def _agrees(family: Family, hypothesis: Hypothesis, fact: Value) -> bool:
    stated = hypothesis.spec.first(fact.attribute, fact.qualifier)
    if stated is None:
        return True
    if fact.code is not None or stated.code is not None:
        return fact.code == stated.code
    one, other = fact.interval, stated.interval
    if one is None or other is None or one.meet(other) is not None:
        return True
    middle, said_ = stated.middle, fact.middle
    tolerance = max(family.attribute(fact.attribute).rel_tol, 1e-6)
    return middle is not None and said_ is not None and abs(middle - said_) <= tolerance * abs(said_)
