"""Laws of judging, for every family and for a toy one with every kind of limit: generated around each limit."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from partsdb.equivalence import columns_of, equivalents, judge, shortlist
from partsdb.equivalence.envelope import prepared
from partsdb.equivalence.ruling import ACCEPTED
from partsdb.equivalence.whole import judge_combination
from partsdb.family import Family, families
from partsdb.kit import requirement
from partsdb.model import KnownPart, Requirement, Spec, Value
from support.neighbours import STATED, complete_spec, neighbour, tightened
from support.toy_family import FAMILY as TOY
from support.toy_family import GRADES

EVERY = {"toy": TOY, **families()}
CONDITIONS = ("", "new", "used and tested", "unknown", "suspect")
by_family = pytest.mark.parametrize("name", EVERY)
seeds = st.integers(0, 2**32 - 1)
often = settings(max_examples=25, deadline=None)


def toy_spec(rng: random.Random) -> Spec:
    """A toy with everything known."""
    values = [
        Value("charge", 1e-5, 1e-5),
        Value("voltage", 300, 300),
        Value("grade", code=rng.choice(GRADES)),
        Value("bore", 0.02, 0.02),
        Value("supply", 50, 60),
        Value("mount", code="rail"),
        Value("heat", 343.15, 343.15),
        Value("hours", 1000, 1000),
    ]
    return Spec("toy", tuple(replace(v, source=STATED) for v in values))


def a_spec(family: Family, rng: random.Random) -> Spec:
    return toy_spec(rng) if family is TOY else complete_spec(family, rng)


def plain(family: Family) -> Family:
    """The family without derivations: a contradictory specification would derive what was just forgotten."""
    return replace(family, derive=lambda spec: ())


def asked_of_the_part(family: Family, spec: Spec, weight: float = 1.0) -> Requirement:
    """The requirement without what only the place can answer: a question nobody answers passes no part."""
    want = requirement(family, spec, {}, weight)
    return replace(want, questions=())


def readings(family: Family, spec: Spec, rng: random.Random) -> tuple[Requirement, ...]:
    """One to three readings of what the place held."""
    others = [neighbour(family, spec, rng, forget=0.0) for _ in range(rng.randint(0, 2))]
    return tuple(
        requirement(family, s, {}, w) for s, w in zip((spec, *others), (0.6, 0.2, 0.1), strict=False)
    )


def accepted(family: Family, want: tuple[Requirement, ...], part: KnownPart) -> bool:
    return judge(family, want, part, {}).outcome in ACCEPTED


@by_family
@often
@given(seeds)
@example(2444)  # a transformer of two primary volts, judged on the second of them
def test_a_complete_part_is_a_straight_swap_for_itself_but_for_what_only_the_place_can_tell(
    name: str, seed: int
) -> None:
    family = EVERY[name]
    spec = a_spec(family, random.Random(seed))
    of_the_part = asked_of_the_part(family, spec)
    verdict = judge(family, [of_the_part], KnownPart("self", spec), {})
    assert of_the_part.limits
    if any(c.status == "breach" and c.limit.follows_from.startswith("law") for c in verdict.checks):
        assert verdict.outcome == "don't fit"  # what the law forbids isn't put back, whatever stood there
        return
    assert verdict.outcome == "straight swap", [c.reason for c in verdict.checks if c.status != "pass"]
    assert verdict.differs == ()


@by_family
@often
@given(seeds)
def test_tightening_a_requirement_never_adds_an_acceptable_part(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = plain(EVERY[name])
    spec = a_spec(EVERY[name], rng)
    want = readings(family, spec, rng)
    part = KnownPart(
        "x", neighbour(family, spec, rng, forget=0.02, change=0.1), condition=rng.choice(CONDITIONS[:3])
    )
    tight = tuple(
        replace(r, limits=tuple(tightened(x, rng) if rng.random() < 0.4 else x for x in r.limits))
        for r in want
    )
    if accepted(family, tight, part):
        assert accepted(family, want, part)


@by_family
@often
@given(seeds)
def test_raising_a_rating_never_turns_accept_into_reject_on_a_one_sided_limit(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = plain(EVERY[name])
    spec = a_spec(EVERY[name], rng)
    want = (asked_of_the_part(family, spec),)
    kinds: dict[str, set[str]] = {}
    for limit in want[0].limits:
        kinds.setdefault(limit.attribute, set()).add(limit.kind)
    one_sided = {a for a, k in kinds.items() if k == {"at least"}}
    factor = 1 + 2 * rng.random()
    part = neighbour(family, spec, rng, forget=0.0, change=0.03)
    if not accepted(family, want, KnownPart("x", part)):
        part = spec
    raised = replace(
        part,
        values=tuple(
            replace(v, low=v.low * factor, high=v.low * factor)
            if v.attribute in one_sided and v.low is not None and v.low == v.high and rng.random() < 0.5
            else v
            for v in part.values
        ),
    )
    if accepted(family, want, KnownPart("x", part)):
        assert accepted(family, want, KnownPart("x", raised))


@by_family
@often
@given(seeds)
def test_removing_knowledge_never_makes_an_unacceptable_part_acceptable(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = plain(EVERY[name])
    spec = a_spec(EVERY[name], rng)
    want = readings(family, spec, rng)
    part = neighbour(family, spec, rng, forget=0.0, change=0.1)
    less = neighbour(family, part, rng, forget=0.1, change=0.0)
    protects = rng.random() < 0.3
    before = judge(family, want, KnownPart("x", part), {}, safety_function=protects).outcome
    after = judge(family, want, KnownPart("x", less), {}, safety_function=protects).outcome
    assert before in ACCEPTED or after not in ACCEPTED


@by_family
@often
@given(seeds)
def test_the_shortlist_drops_only_what_the_judge_refuses(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    spec = a_spec(family, rng)
    want = readings(family, spec, rng)
    parts = [
        KnownPart(
            f"p{i}", neighbour(family, spec, rng, forget=0.05, change=0.15), condition=rng.choice(CONDITIONS)
        )
        for i in range(12)
    ]
    kept = set(shortlist(family, want, columns_of(family, parts)).tolist())
    for i, part in enumerate(parts):
        if i not in kept:
            verdict = judge(family, want, part, {})
            assert verdict.outcome == "don't fit", [c.reason for c in verdict.checks]


@by_family
def test_the_shortlist_drops_something_and_the_best_are_the_same_with_and_without_it(name: str) -> None:
    rng = random.Random(5)
    family = EVERY[name]
    spec = a_spec(family, rng)
    want = (asked_of_the_part(family, spec),)
    near = [neighbour(family, spec, rng, forget=0.02, change=0.05) for _ in range(20)]
    far = [neighbour(family, a_spec(family, rng), rng, change=0.5) for _ in range(60)]
    parts = [KnownPart(f"p{i:02d}", s) for i, s in enumerate((*near, *far, spec))]
    assert shortlist(family, want, columns_of(family, parts)).size < len(parts)
    all_judged = equivalents(family, want, parts, {}, most=1000)
    few_judged = equivalents(family, want, parts, {}, most=60)
    good = [v for v in all_judged if v.outcome in ACCEPTED]
    assert good and [v for v in few_judged if v.outcome in ACCEPTED] == good


@by_family
@often
@given(seeds)
def test_a_combination_of_one_is_that_one(name: str, seed: int) -> None:
    rng = random.Random(seed)
    family = EVERY[name]
    spec = a_spec(family, rng)
    want = readings(family, spec, rng)
    part = KnownPart("x", neighbour(family, spec, rng), condition=rng.choice(CONDITIONS))
    at = prepared(family, want, {})
    for combination in family.combinations:
        assert judge_combination(at, combination, [part]) == judge(family, want, part, {})
        if combination.kind in ("series", "parallel"):
            full = family.complete(spec)
            assert combination.whole([full]).key == full.key
