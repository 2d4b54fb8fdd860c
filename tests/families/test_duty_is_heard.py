"""What a person says of a place is never thrown away: it moves something, is a question, or is told as unheard."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import pytest

from partsdb.duty import Duty
from partsdb.equivalence import cautions, judge
from partsdb.family import Family, families, vocabulary
from partsdb.kit import requirement
from partsdb.kit.coverage import EVERYWHERE
from partsdb.model import KnownPart, Spec
from partsdb.quantities import to_si
from support.duties import USUAL, some_duty
from support.neighbours import stated_spec

EVERY = families()
TERMS = [(name, term) for name, family in EVERY.items() for term in sorted(family.answers)]


def told(family: Family, spec: Spec, duty: Duty) -> object:
    """All that a duty can move: what is asked, what cures it, how long it lasts, what is said."""
    full = family.complete(spec)
    wanted = requirement(family, spec, duty)
    limits = tuple((x.attribute, x.qualifier, x.kind, x.accept, x.reach, x.weight) for x in wanted.limits)
    changes = judge(family, [wanted], KnownPart("x", full), duty).changes
    life = family.life(full, duty) if family.life else None
    texts = [
        part(full, duty)
        for part in (family.goes_with, family.after_fitting, family.shelf_test, family.suspects)
    ]
    figures = [(c.hazard, c.figures) for c in cautions(family, spec, duty)]
    return limits, wanted.questions, changes, life, texts, figures, family.pieces(full, duty)


def values_of(family: Family, term: str) -> Iterator[float | str]:
    known = vocabulary((family,))[term]
    yield from known.codes or (to_si(x, known.unit) for x in USUAL.get(term, (1.0, 5.0, 20.0)))


@pytest.mark.parametrize(("name", "term"), TERMS)
def test_what_a_family_says_it_answers_moves_something(name: str, term: str) -> None:
    family, rng = EVERY[name], random.Random(7)
    for _ in range(200):
        spec = stated_spec(family, rng)
        beside = {t: x for t, x in some_duty(family, rng, most=99).items() if t != term}
        without = told(family, spec, beside)
        if any(told(family, spec, {**beside, term: x}) != without for x in values_of(family, term)):
            return
    pytest.fail(f"{term} of a {name} is taken and thrown away")


@pytest.mark.parametrize("name", EVERY)
def test_what_no_rule_looks_at_is_a_question_or_told_as_not_considered(name: str) -> None:
    family, rng = EVERY[name], random.Random(7)
    spec = stated_spec(family, rng)
    terms = vocabulary((family,))
    for term in terms.keys() - family.answers - EVERYWHERE:
        for x in values_of(family, term):
            plain, said = requirement(family, spec, {}), requirement(family, spec, {term: x})
            asked = {q.settled_by for q in set(said.questions) - set(plain.questions)}
            hurts = any(h.term == term and h.by(x) for h in family.hurt_by)
            assert asked == ({term} if hurts else set()), (term, x)
            told_so = [text for text in said.not_considered if text.startswith(terms[term].title)]
            assert bool(told_so) is all(h.term != term for h in family.hurt_by), (term, x)


@pytest.mark.parametrize(
    ("name", "duty"),
    [
        ("contactor", {"fault_current": 50_000.0}),
        ("contactor", {"ambient": to_si(65, "°C")}),
        ("transformer", {"supply_kind": "DC"}),
        ("transformer", {"control_kind": "DC"}),
        ("ac_capacitor", {"supply_kind": "DC"}),
        ("ac_capacitor", {"starts_per_hour": 60.0}),
        ("ac_motor", {"starts_per_hour": 1_200.0}),
    ],
)
def test_a_place_that_can_hurt_stops_the_very_same_part(name: str, duty: Duty) -> None:
    """The old part bore it, perhaps; that another of its kind does, nobody here can say."""
    family, tried = EVERY[name], 0
    for seed in range(40):
        spec = stated_spec(family, random.Random(seed))
        part, asked = KnownPart("x", spec), requirement(family, spec, duty)
        if judge(family, [replace(asked, questions=())], part, duty).outcome != "straight swap":
            continue
        tried += 1
        assert judge(family, [asked], part, duty).outcome == "can't say yet"
        assert {q.settled_by for q in asked.questions} >= set(duty)
    assert tried
