"""Nothing unsaid is assumed, for every family and generated: forgetting never helps, and no part answers a question.

Verdicts are compared in this order: straight swap, fits with work, temporary, doesn't go in (refused or not known).
An attribute that nobody states and that can be put right whatever it is (`cure` in family.toml) makes work of a swap.
What only costs life is left out: it is shown and never decides, so an unknown one can't be worse than a bad one.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.duty import Duty
from partsdb.equivalence import judge
from partsdb.equivalence.ruling import ACCEPTED
from partsdb.family import Family, families, vocabulary
from partsdb.kit import requirement
from partsdb.model import KnownPart, Outcome, Requirement, Spec, Value
from support.duties import duty_of, some_duty
from support.extra_families import extra_families
from support.neighbours import STATED, complete_spec, neighbour, stated_spec
from support.toy_family import ASKING as TOY

EVERY = {"toy": TOY, **families(), **extra_families()}
BAND: dict[Outcome, int] = {
    "straight swap": 0,
    "fits with work": 1,
    "temporary": 2,
    "can't say yet": 3,
    "don't fit": 3,
}
by_family = pytest.mark.parametrize("name", EVERY)
seeds = st.integers(0, 2**32 - 1)
often = settings(max_examples=40, deadline=None)


def plain(family: Family) -> Family:
    """The family without derivations: else what was just forgotten would be worked out again."""
    return replace(family, derive=lambda spec: ())


def old_part(family: Family, rng: random.Random) -> Spec:
    """A part as it is stated, what follows left to follow."""
    return complete_spec(family, rng) if family is TOY else stated_spec(family, rng)


def complete(family: Family, spec: Spec) -> Spec:
    """With all that follows, as stated: an offered part that says everything."""
    full = family.complete(spec)
    return replace(full, values=tuple(replace(v, source=STATED) for v in full.values))


def lost(family: Family, old: Spec, gone: str) -> list[Value]:
    """What is known of the old part and, with that attribute forgotten, is not: itself, and what follows from it."""
    left = family.complete(old.without(gone))
    return [v for v in family.complete(old).values if not left.has(v.attribute)]


def says_less(family: Family, old: Spec, gone: str) -> bool:
    """Whether what is left is the whole plate of a smaller part: of several ratings under a condition one is forgotten,
    and the most of them all, which follows (the highest voltage), is a lower one. Nothing on such a plate tells of the
    rating that is missing, so no mechanism could."""
    if not any(v.qualifier for v in old.all(gone)):
        return False
    before, after = (_highest(family.complete(spec), old) for spec in (old, old.without(gone)))
    return any(after[what] < before.get(what, after[what]) for what in after)


def _highest(full: Spec, old: Spec) -> dict[object, float]:
    """The highest number of each thing that follows."""
    most: dict[object, float] = {}
    for v in full.values:
        if v not in old.values and v.high is not None:
            most[v.key[:3]] = max(v.high, most.get(v.key[:3], v.high))
    return most


def as_taken(family: Family, value: Value) -> bool:
    """Whether the value is what its silence would be taken as, or its silence isn't taken as anything."""
    silence = family.attribute(value.attribute).silence
    return silence is None or silence.kind != "taken" or silence.value in (value.code, value.low)


def full_spec(family: Family, rng: random.Random) -> Spec:
    """A specification in which every attribute has a value."""
    spec = complete_spec(family, rng)
    missing = [a for a in family.attributes if not spec.has(a.name)]
    values = [
        Value(a.name, code=rng.choice(sorted(a.codes)) if a.codes else "x", source=STATED)
        if a.unit is None
        else Value(a.name, 1.0, 1.0, source=STATED)
        for a in missing
    ]
    return spec.plus(values)


def but_for_life(wanted: Requirement) -> Requirement:
    return replace(
        wanted,
        limits=tuple(x for x in wanted.limits if x.weight != "life"),
        questions=tuple(q for q in wanted.questions if q.weight != "life"),
    )


def outcome(family: Family, old: Spec, duty: Duty, offered: Spec) -> Outcome:
    wanted = but_for_life(requirement(family, old, duty))
    return judge(family, [wanted], KnownPart("x", offered), duty).outcome


@by_family
@often
@given(seeds)
def test_a_part_that_states_everything_never_settles_a_question(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    old = neighbour(family, complete_spec(family, rng), rng, forget=0.5, change=0.0)
    wanted = requirement(family, old, {})
    verdict = judge(family, [wanted], KnownPart("x", full_spec(family, rng)), {})
    if any(q.weight != "life" for q in wanted.questions):
        assert verdict.outcome != "straight swap"
    if any(q.weight != "life" and q.cure is None for q in wanted.questions):
        assert verdict.outcome not in ACCEPTED
    assert set(wanted.questions) == set(verdict.questions)


@by_family
@often
@given(seeds)
def test_forgetting_something_of_the_old_part_never_helps(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    old = old_part(family, rng)
    offered = neighbour(family, complete(family, old), rng, forget=0.0, change=0.08)
    gone = rng.choice(sorted({v.attribute for v in old.values}))
    if not all(as_taken(family, v) for v in lost(family, old, gone)):
        return  # a plate that is otherwise says so: that is what "taken" rests on
    if says_less(family, old, gone):
        return
    before = outcome(family, old, {}, offered)
    after = outcome(family, old.without(gone), {}, offered)
    assert BAND[before] <= BAND[after], (gone, before, after)


@by_family
@often
@given(seeds)
def test_forgetting_something_of_the_offered_part_never_helps(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = plain(EVERY[name])
    old = complete_spec(EVERY[name], rng)
    offered = neighbour(family, old, rng, forget=0.0, change=0.08)
    gone = rng.choice(sorted({v.attribute for v in offered.values}))
    duty = some_duty(family, rng)
    before = outcome(family, old, duty, offered)
    after = outcome(family, old, duty, offered.without(gone))
    assert BAND[before] <= BAND[after], (gone, before, after)


@by_family
@often
@given(seeds)
def test_forgetting_a_duty_never_helps_where_the_old_part_was_right(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    old = old_part(family, rng)
    duty = duty_of(family, rng, old)
    if not duty or outcome(family, old, duty, complete(family, old)) != "straight swap":
        return  # a place that asks more than the old part gave can't be told from its plate
    offered = neighbour(family, complete(family, old), rng, forget=0.0, change=0.08)
    gone = rng.choice(sorted(duty))
    less = {term: x for term, x in duty.items() if term != gone}
    before = outcome(family, old, duty, offered)
    after = outcome(family, old, less, offered)
    assert BAND[before] <= BAND[after], (gone, duty, before, after)


@by_family
@often
@given(seeds)
def test_a_part_that_says_nothing_is_never_accepted(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    old = neighbour(family, complete_spec(family, rng), rng, forget=0.3, change=0.0)
    assert outcome(family, old, some_duty(family, rng), Spec(family.name)) not in ACCEPTED


@by_family
@often
@given(seeds)
def test_where_nothing_is_known_nothing_is_accepted(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    assert outcome(family, Spec(family.name), {}, full_spec(family, rng)) not in ACCEPTED


@by_family
def test_a_family_says_of_every_duty_term_whether_it_answers_it(name: str) -> None:
    family = EVERY[name]
    assert family.answers <= vocabulary((family,)).keys()
