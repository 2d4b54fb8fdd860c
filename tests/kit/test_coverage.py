"""What becomes of what a family's rules don't mention: silence of the old part, unstated duty, empty requirements."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from partsdb.attributes import Attribute, asked, no_matter, taken
from partsdb.equivalence import in_place, judge
from partsdb.family import Family, Measurement, Needed, Rule
from partsdb.kit import LOOK, Place, moot, question, requirement, same, unknown
from partsdb.model import Change, KnownPart, Limit, Spec, Value, Verdict, number, word
from partsdb.source import PRACTICE
from support.toy_family import FAMILY as TOY

BENT = "the frame is bent"
COLOURS = {"red": "red", "blue": "blue"}
PADDLE = replace(
    TOY,
    name="paddle",
    title="paddle",
    attributes=(
        Attribute("blade", "blade", "mm", True, silence=asked("function", "it digs too deep")),
        Attribute("grip", "grip", None, codes=COLOURS, silence=asked("fit", "it slips")),
        Attribute("hands", "hands", "", silence=taken(2.0, PRACTICE, "function", "it takes the wrong grip")),
        Attribute("paint", "paint", None, codes=COLOURS, silence=no_matter("it is wet anyhow")),
        Attribute(
            "rest",
            "rest",
            None,
            codes=COLOURS,
            silence=asked("fit", BENT),
            cure=Change("rest", "file it", 0.5, PRACTICE),
        ),
    ),
    fields=(),
    measurements=(Measurement("blade", "a rule", 0.001, 0.0, 2, "mind the edge"),),
    hazards=(),
    combinations=(),
    answers=frozenset({"load_current"}),
    require=lambda place: (),
    derive=lambda spec: (),
    cures=lambda limit, offered, duty: (),
    title_of=lambda spec: "paddle",
    life=None,
    suspects=lambda spec, duty: (),
)
FULL = (
    number("blade", 0.2),
    word("grip", "red"),
    number("hands", 2),
    word("paint", "red"),
    word("rest", "red"),
)


def paddle(*without: str) -> Spec:
    return Spec("paddle", FULL).without(*without)


def verdict(old: Spec, offered: Spec = paddle(), family: Family = PADDLE, **duty: float) -> Verdict:
    return judge(family, [requirement(family, old, dict(duty))], KnownPart("x", offered), dict(duty))


def test_what_is_known_and_asked_must_be_the_same_though_no_rule_speaks_of_it() -> None:
    assert verdict(paddle()).outcome == "straight swap"
    other = Spec("paddle", (number("blade", 0.25), *FULL[1:]))
    assert verdict(paddle(), other).outcome == "don't fit"


def test_what_is_asked_and_not_known_is_a_question_with_how_to_find_out() -> None:
    found = verdict(paddle("blade", "grip"))
    assert found.outcome == "can't say yet"
    assert {q.about: q.ask for q in found.questions} == {
        "blade": "measure it (a rule; mind the edge)",
        "grip": LOOK,
    }


def test_what_its_place_tells_better_is_asked_of_the_place_once() -> None:
    silence = asked("safety", "it sinks", "weigh the rower", about="the rower", settled_by="load_current")
    first = replace(PADDLE.attributes[0], silence=silence, cure=PADDLE.attributes[-1].cure)
    weighed = replace(PADDLE, attributes=(first, *PADDLE.attributes[1:]))
    said = replace(weighed, require=lambda place: (unknown(place, "blade"),))
    for family, old in ((weighed, paddle("blade")), (said, paddle("blade")), (said, paddle())):
        (found,) = verdict(old, family=family).questions
        assert (found.about, found.ask, found.weight) == ("the rower", "weigh the rower", "safety")
        assert (found.settled_by, found.of_part, found.cure) == ("load_current", False, None)
    assert not verdict(paddle(), family=weighed).questions
    (left,) = verdict(paddle("blade"), family=weighed, load_current=2.0).questions
    assert (left.about, left.settled_by, left.of_part) == ("blade", "blade", True)
    assert (
        left.ask == "measure it (a rule; mind the edge)"
    )  # the place has spoken: only the part is left to ask


def test_what_is_taken_says_so_and_asks_for_it() -> None:
    limit = next(x for x in requirement(PADDLE, paddle("hands"), {}).limits if x.attribute == "hands")
    assert limit.follows_from == "taken as 2: nothing on it says otherwise"
    three = paddle("hands").plus([number("hands", 3)])
    assert verdict(paddle("hands"), three).outcome == "don't fit"


def test_what_doesnt_matter_is_never_asked() -> None:
    blue = paddle("paint").plus([word("paint", "blue")])
    assert verdict(paddle(), blue).outcome == "straight swap"
    assert verdict(paddle("paint")).outcome == "straight swap"


def test_what_can_be_put_right_whatever_it_is_becomes_work_and_no_question() -> None:
    found = verdict(paddle("rest"))
    assert found.outcome == "fits with work"
    assert [c.text for c in found.changes] == [
        "look at the old one's rest; where the new one is otherwise: file it"
    ]
    assert verdict(paddle("rest", "blade")).outcome == "can't say yet"


def test_a_rule_or_a_moot_point_answers_for_what_it_covers() -> None:
    def rules(place: Place) -> Iterator[Rule | None]:
        yield same(place, "blade", "function", "it digs too deep", covers=("grip",))
        yield moot("nobody rests here", "rest")
        yield question("depth of the water", "safety", "it runs aground", covers=("hands",))

    family = replace(PADDLE, require=rules)
    made = requirement(family, paddle("grip", "rest", "hands"), {})
    assert [x.attribute for x in made.limits] == ["blade"]
    assert [q.about for q in made.questions] == ["depth of the water"]


def test_a_needed_duty_that_nobody_stated_is_a_question_until_it_is_stated() -> None:
    family = replace(PADDLE, needs=(Needed("load_current", "safety", "it burns"),))
    assert [q.settled_by for q in verdict(paddle(), family=family).questions] == ["load_current"]
    assert verdict(paddle(), family=family).outcome == "can't say yet"
    assert verdict(paddle(), family=family, load_current=3.0).outcome == "straight swap"


def test_several_things_to_look_at_are_one_line() -> None:
    attributes = tuple(replace(a, cure=None) for a in PADDLE.attributes)
    found = verdict(paddle("grip", "rest"), family=replace(PADDLE, attributes=attributes))
    assert found.missing == ("on it or by looking: grip, rest",)


def test_a_question_about_the_old_part_doesnt_stop_it_from_staying_where_it_is() -> None:
    assert in_place(PADDLE, paddle("grip"), {}).outcome == "straight swap"
    family = replace(PADDLE, needs=(Needed("load_current", "safety", "it burns"),))
    assert in_place(family, paddle("grip"), {}).outcome == "can't say yet"


def test_a_place_of_which_nothing_is_asked_accepts_nothing() -> None:
    silent = tuple(replace(a, silence=no_matter("nothing")) for a in PADDLE.attributes)
    family = replace(PADDLE, attributes=silent)
    found = verdict(paddle(), family=family)
    assert found.outcome == "can't say yet"
    assert "yours to judge" in found.questions[0].breach


def test_a_requirement_needs_something_of_fit_or_safety_and_something_of_function() -> None:
    for kept, expected in (({"blade"}, True), ({"grip"}, True), ({"blade", "grip"}, False)):
        attributes = tuple(
            a if a.name in kept else replace(a, silence=no_matter("no")) for a in PADDLE.attributes
        )
        made = requirement(replace(PADDLE, attributes=attributes), paddle(), {})
        assert any(q.about == "what the place needs" for q in made.questions) is expected, kept


def test_a_question_of_life_is_shown_and_stops_nothing() -> None:
    attributes = (*PADDLE.attributes, Attribute("years", "years", "", silence=asked("life", "it rots")))
    found = verdict(paddle(), family=replace(PADDLE, attributes=attributes))
    assert found.outcome == "straight swap"
    assert [q.about for q in found.questions] == ["years"]


def test_no_value_of_an_offered_part_settles_a_question() -> None:
    stuffed = paddle().plus(
        [Value("blade", 0.2, 0.2), Value("grip", code="red"), Value("load_current", 1.0, 1.0)]
    )
    family = replace(PADDLE, needs=(Needed("load_current", "safety", "it burns"),))
    assert verdict(paddle(), stuffed, family).outcome == "can't say yet"
    assert all(isinstance(x, Limit) for x in requirement(family, paddle(), {}).limits)
