"""What the checks of a part allow, over one reading and over several."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.duty import Duty
from partsdb.equivalence import in_place, judge, ranked
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import KnownPart, Question, Requirement, Spec, Verdict, number, word
from support.toy_family import DERIVED, FAMILY, jar

NO_DUTY: Duty = {}


def wanted(*specs: Spec, weights: tuple[float, ...] = (1.0,), duty: Duty = NO_DUTY) -> list[Requirement]:
    return [requirement(FAMILY, s, duty, w) for s, w in zip(specs, weights, strict=True)]


def verdict(part: Spec, *was: Spec, condition: str = "", duty: Duty = NO_DUTY, **how: bool) -> Verdict:
    was = was or (jar(10, 300, "B"),)
    weights = tuple(1 / len(was) for _ in was)
    return judge(
        FAMILY,
        wanted(*was, weights=weights, duty=duty),
        KnownPart("x", part, condition=condition),
        duty,
        **how,
    )


def test_a_part_that_meets_everything_is_a_straight_swap() -> None:
    found = verdict(jar(10.4, 330, "A"))
    assert (found.outcome, found.holds, found.fits) == ("straight swap", 1.0, (1.0,))
    assert found.goes_with == ("a lid",)
    assert found.after_fitting == ("listen",)
    assert [c.hazard for c in found.cautions] == ["charge"]
    assert "voltage 330 V, was 300 V" in found.differs


@pytest.mark.parametrize(
    ("volts", "outcome"), [(299, "don't fit"), (300, "straight swap"), (301, "straight swap")]
)
def test_a_breach_outside_reach_is_a_refusal(volts: float, outcome: str) -> None:
    assert verdict(jar(10, volts, "B")).outcome == outcome


def test_the_decisive_check_comes_first_and_none_is_lost() -> None:
    found = verdict(jar(10, 299, None))
    assert [c.limit.attribute for c in found.checks] == ["voltage", "grade", "charge"]
    assert found.checks[0].status == "breach"


def test_an_unknown_safety_rating_is_can_t_say_yet_with_the_tool_and_its_caution() -> None:
    found = verdict(jar(10, None, "B"))
    assert found.outcome == "can't say yet"
    assert found.missing == ("voltage: measure it (voltmeter; live work)",)
    assert found.fits == (0.0,)


def test_an_unknown_function_rating_is_can_t_say_yet_at_even_odds() -> None:
    found = verdict(jar(10, 300, None))
    assert (found.outcome, found.fits) == ("can't say yet", (0.5,))


def test_a_breach_with_a_cure_fits_with_work_that_is_named() -> None:
    was = jar(10, 300, "B", bore=0.020)
    found = verdict(jar(10, 300, "B", bore=0.022), was)
    assert (found.outcome, [c.text for c in found.changes]) == ("fits with work", ["fit a bush"])
    assert verdict(jar(10, 300, "B", bore=0.0245), was).outcome == "don't fit"


def test_an_unknown_fit_blocks_unless_whatever_it_is_can_be_cured() -> None:
    assert verdict(jar(10, 300, "B"), jar(10, 300, "B", bore=0.020)).outcome == "can't say yet"
    found = verdict(jar(10, 300, "B"), jar(10, 300, "B", mount="rail"))
    assert found.outcome == "fits with work"
    assert found.changes[0].text == "check the mount; if it doesn't match: fit an adapter"


@pytest.mark.parametrize(("charge", "outcome"), [(8.9, "temporary"), (7.0, "temporary"), (6.9, "don't fit")])
def test_a_breach_in_reach_under_conditions_is_temporary(charge: float, outcome: str) -> None:
    assert verdict(jar(charge, 300, "B", hours=800)).outcome == outcome


def test_a_temporary_part_is_stated_for_half_its_cautious_life_and_says_when_to_replace_it() -> None:
    found = verdict(jar(8.5, 300, "B", hours=800), duty={"hours_per_day": 8.0})
    assert found.stated_hours == 400
    assert found.conditions == ("attended", "it is replaced within 400 h of running, about 50 working days")


def test_a_temporary_part_of_unknown_life_is_attended_only() -> None:
    found = verdict(jar(8.5, 300, "B"))
    assert found.stated_hours is None
    assert any(c.startswith("somebody stands by") for c in found.conditions)


def test_a_position_that_protects_people_takes_no_temporary_part_and_no_worked_out_rating() -> None:
    assert verdict(jar(8.5, 300, "B", hours=800), safety_function=True).outcome == "don't fit"
    assert verdict(jar(8.5, 300, "B", hours=800), duty={"safety_function": "yes"}).outcome == "don't fit"
    worked = Spec("toy", (number("charge", 1e-5, DERIVED), number("voltage", 300), word("grade", "B")))
    assert verdict(worked).outcome == "fits with work"
    assert verdict(worked, safety_function=True).outcome == "can't say yet"
    assert verdict(jar(10, 330, "B"), safety_function=True).cautions[0].hazard == "licensed"


def test_a_worked_out_pass_caps_at_fits_with_work_and_names_the_doubt() -> None:
    worked = Spec("toy", (number("charge", 1e-5, DERIVED), number("voltage", 300), word("grade", "B")))
    assert "charge" in verdict(worked).changes[0].text
    assert "toy table" in verdict(worked).changes[0].text


def test_a_worked_out_safety_rating_never_fills_in() -> None:
    # grade A derives 400 V from a table nobody has seen
    found = verdict(jar(10, None, "A"))
    assert found.outcome == "can't say yet"
    assert "only worked out" in found.missing[0]
    assert verdict(jar(10, None, "A"), jar(10, 450, "B")).outcome == "don't fit"


def test_the_same_part_again_is_not_doubted_for_what_is_worked_out_on_both_sides() -> None:
    was = jar(10, None, "A")
    assert verdict(was, was).outcome == "straight swap"
    # ... but against what the duty asks, the worked-out rating still proves nothing
    assert verdict(was, was, duty={"supply_voltage": 380.0}).outcome == "can't say yet"


def test_a_rating_worked_out_for_the_offered_part_alone_stays_doubted_even_when_the_rest_is_the_same() -> (
    None
):
    was = Spec("toy", (number("charge", 1e-5), number("voltage", 300.0)))
    offered = Spec("toy", (number("charge", 1e-5), number("voltage", 300.0, DERIVED)))
    assert verdict(offered, was).outcome == "can't say yet"  # the old plate states what here is worked out
    heat = requirement(FAMILY, jar(10, 300, None, heat=343.15), {}).limits[-1]
    family = replace(FAMILY, require=lambda place: (*FAMILY.require(place), heat))
    warm = Spec("toy", (number("charge", 1e-5), number("voltage", 300.0), number("heat", 350.0, DERIVED)))
    assert judge(family, [requirement(family, was, {})], KnownPart("x", warm), {}).outcome == "fits with work"


@pytest.mark.parametrize(
    ("hours", "outcome"), [(999, "temporary"), (1000, "straight swap"), (None, "straight swap")]
)
def test_a_life_limit_only_ever_makes_temporary_and_unknown_does_not_block(
    hours: float | None, outcome: str
) -> None:
    part = jar(10, 300, "B") if hours is None else jar(10, 300, "B", hours=hours)
    assert verdict(part, jar(10, 300, "B", hours=1000)).outcome == outcome


def test_where_people_are_protected_an_unknown_life_blocks_and_a_short_one_is_refused() -> None:
    was = jar(10, 300, "B", hours=1000)
    assert verdict(jar(10, 300, "B"), was, safety_function=True).outcome == "can't say yet"
    assert verdict(jar(10, 300, "B", hours=999), was, safety_function=True).outcome == "don't fit"


# --------------------------------------------------------------------------- shelf condition


@pytest.mark.parametrize(
    ("condition", "outcome"),
    [("", "straight swap"), ("new", "straight swap"), ("used and tested", "straight swap"),
     ("unknown", "can't say yet"), ("found in a bin", "can't say yet"), ("suspect", "don't fit")],
)  # fmt: skip
def test_the_condition_of_a_shelf_part(condition: str, outcome: str) -> None:
    found = verdict(jar(10, 300, "B"), condition=condition)
    assert found.outcome == outcome
    assert ("hold it at 500 V for a minute" in found.missing) == (outcome != "straight swap")


def test_an_untested_part_that_breaks_a_limit_is_refused_all_the_same() -> None:
    assert verdict(jar(10, 299, "B"), condition="unknown").outcome == "don't fit"


def test_an_untested_part_without_safety_limits_is_tested_as_part_of_the_work() -> None:
    heated = jar(10, 300, "B", bore=0.02)
    [want] = wanted(heated)
    unsafe = [replace(want, limits=tuple(x for x in want.limits if x.weight != "safety"))]
    found = judge(FAMILY, unsafe, KnownPart("x", heated, condition="unknown", quantity=1), {})
    assert found.outcome == "fits with work"
    assert found.changes[0].text == "test it first: hold it at 500 V for a minute"


# --------------------------------------------------------------------------- connections


def two_ways(low: float, high: float) -> Spec:
    values = (
        number("charge", 1e-5),
        word("grade", "B"),
        number("voltage", low, variant=1),
        number("voltage", high, variant=2),
    )
    return Spec("toy", values)


def test_the_best_connection_is_taken_and_named() -> None:
    found = verdict(two_ways(220, 440), jar(10, 300, "B"))
    assert found.outcome == "straight swap"
    assert found.changes[0].text == "connect for 440 V"
    assert verdict(two_ways(220, 290), jar(10, 300, "B")).outcome == "don't fit"


# --------------------------------------------------------------------------- several at once


@pytest.mark.parametrize(
    ("quantity", "outcome"), [(0, "straight swap"), (2, "don't fit"), (3, "straight swap")]
)
def test_a_shelf_that_holds_fewer_than_the_place_takes_doesn_t_do(quantity: int, outcome: str) -> None:
    family = replace(FAMILY, pieces=lambda spec, duty: 3 if duty else 1)
    want = wanted(jar(10, 300, "B"))
    found = judge(family, want, KnownPart("x", jar(10, 300, "B"), quantity=quantity), {"belt_count": 3.0})
    assert found.outcome == outcome
    assert (found.checks[0].limit.attribute == "quantity") == (outcome == "don't fit")


# --------------------------------------------------------------------------- several readings


@pytest.mark.parametrize(("share", "outcome"), [(0.04, "straight swap"), (0.06, "can't say yet")])
def test_a_swap_holds_for_every_reading_that_isn_t_ruled_out(share: float, outcome: str) -> None:
    want = wanted(jar(10, 300, "B"), jar(20, 300, "B"), weights=(0.9 * (1 - share), 0.9 * share))
    found = judge(FAMILY, want, KnownPart("x", jar(10, 300, "B")), {})
    assert (found.outcome, found.depends_on, found.fits) == (outcome, ("charge",), (1.0, 0.0))
    assert found.holds == pytest.approx(0.9 * (1 - share if outcome == "straight swap" else share))
    assert len(found.checks) == 4


def test_a_refusal_under_most_readings_but_not_all_is_can_t_say_yet() -> None:
    want = wanted(jar(20, 300, "B"), jar(10, 300, "B"), weights=(0.7, 0.2))
    found = judge(FAMILY, want, KnownPart("x", jar(10, 300, "B")), {})
    assert (found.outcome, found.depends_on) == ("can't say yet", ("charge",))
    assert found.missing[0] == "what was there - charge: measure it (capacitance meter; discharge it first)"


def test_safety_takes_the_worst_reading_however_improbable() -> None:
    want = wanted(jar(10, 300, "B"), jar(10, 440, "B"), weights=(0.98, 0.01))
    found = judge(FAMILY, want, KnownPart("x", jar(10, 370, "B")), {})
    assert (found.outcome, found.depends_on) == ("can't say yet", ("voltage",))
    assert found.missing[0].startswith("what was there - voltage: measure it (voltmeter")
    assert judge(FAMILY, want, KnownPart("x", jar(10, 440, "B")), {}).outcome == "straight swap"
    assert judge(FAMILY, want, KnownPart("x", jar(10, 299, "B")), {}).outcome == "don't fit"


def test_contradicting_equal_limits_of_weight_safety_ask_for_a_measurement() -> None:
    want = wanted(jar(10, 300, "B"), jar(10, 300, "B"), weights=(0.5, 0.5))
    equal = []
    for r, volts in zip(want, (230.0, 400.0), strict=True):
        same = replace(r.limits[1], kind="equal", accept=Interval(volts, volts))
        assert same.attribute == "voltage"
        equal.append(replace(r, limits=(r.limits[0], same, *r.limits[2:])))
    found = judge(FAMILY, equal, KnownPart("x", jar(10, 230, "B")), {})
    assert found.outcome == "can't say yet"
    assert found.missing[0] == "what was there - voltage: measure it (voltmeter; live work)"


def test_without_any_reading_nothing_can_be_said() -> None:
    found = judge(FAMILY, [], KnownPart("x", jar()), {})
    assert (found.outcome, found.holds, found.missing) == ("can't say yet", 0.0, ("what the part was",))


# --------------------------------------------------------------------------- in place, ranking


def test_the_part_in_place_is_judged_under_the_changed_duty() -> None:
    spec = jar(10, 300, "B")
    assert in_place(FAMILY, spec, {}).outcome == "straight swap"
    found = in_place(FAMILY, spec, {"supply_voltage": 301.0})
    assert found.outcome == "don't fit"
    assert found.checks[0].limit.follows_from == "duty: supply voltage"


def test_in_place_only_what_the_duty_changed_is_in_question() -> None:
    # nobody knows this jar's volts: as a part it can't be passed, where it stands only a stated supply asks
    spec = jar(10, None, "B")
    volts = replace(wanted(jar(10, 300, "B"))[0].limits[1], follows_from="plate")
    family = replace(FAMILY, require=lambda place: (*FAMILY.require(place), volts))
    for kind in (FAMILY, family):
        assert judge(kind, [requirement(kind, spec, {})], KnownPart("x", spec), {}).outcome == "can't say yet"
        assert in_place(kind, spec, {}).outcome == "straight swap"
        assert in_place(kind, spec, {"supply_voltage": 200.0}).outcome == "can't say yet"


def test_ranking_goes_by_outcome_then_safety_margin_then_life_then_what_is_asked() -> None:
    parts = [
        KnownPart("wrong", jar(10, 200, "B")),
        KnownPart("tight", jar(10, 305, "B")),
        KnownPart("ample", jar(10, 400, "B")),
        KnownPart("ample, lasting", jar(10, 400, "B", hours=500)),
        KnownPart("too little", jar(8.5, 600, "B")),
    ]
    verdicts = {p.id: judge(FAMILY, wanted(jar(10, 300, "B")), p, {}) for p in parts}
    found = [v.parts[0] for v in ranked(verdicts.values())]
    assert found == ["ample, lasting", "ample", "tight", "too little", "wrong"]
    price = {"ample": 2, "twin": 1}
    twin = replace(verdicts["ample"], parts=("twin",))
    assert [v.parts[0] for v in ranked([verdicts["ample"], twin], lambda v: (price[v.parts[0]],))] == [
        "twin",
        "ample",
    ]


def test_a_question_to_the_place_stops_every_part_and_says_how_to_find_out() -> None:
    want = requirement(FAMILY, jar(10, 300, "B"), {})
    question = Question("heat of the place", "feel the case at noon", "function", "it melts")
    asking = replace(want, questions=(question,))
    found = judge(FAMILY, [asking], KnownPart("x", jar(10, 300, "B")), {})
    assert (found.outcome, found.questions, found.missing) == (
        "can't say yet",
        (question,),
        ("heat of the place: feel the case at noon; it melts",),
    )


def test_a_question_of_safety_under_an_improbable_reading_stops_the_part_under_all() -> None:
    sure, unsure = wanted(jar(10, 300, "B"), jar(10, 300, "B"), weights=(0.98, 0.02))
    asking = replace(unsure, questions=(Question("gas in the air", "ask", "safety", "it explodes"),))
    found = judge(FAMILY, [sure, asking], KnownPart("x", jar(10, 300, "B")), {})
    assert found.outcome == "can't say yet"
    less = replace(unsure, questions=(Question("colour", "look", "fit", "it clashes"),))
    assert judge(FAMILY, [sure, less], KnownPart("x", jar(10, 300, "B")), {}).outcome == "straight swap"


def test_what_can_be_cured_under_every_reading_decides_nothing() -> None:
    want = wanted(jar(10, 300, "B", mount="rail"), jar(20, 300, "B", mount="screws"), weights=(0.96, 0.04))
    found = judge(FAMILY, want, KnownPart("x", jar(10, 300, "B", mount="rail")), {})
    assert (found.outcome, found.depends_on) == ("straight swap", ("charge", "mount"))
    want = wanted(jar(10, 300, "B", mount="rail"), jar(20, 300, "B", mount="screws"), weights=(0.6, 0.4))
    found = judge(FAMILY, want, KnownPart("x", jar(20, 300, "B", mount="rail")), {})
    assert (found.outcome, found.depends_on) == ("can't say yet", ("charge",))


@pytest.mark.parametrize(("share", "told"), [(0.02, False), (0.2, True)])
def test_work_that_only_a_far_fetched_reading_asks_for_is_not_told(share: float, told: bool) -> None:
    """The voltage is unknown, so nothing is passed; the mounting differs under one of the readings."""
    want = wanted(
        jar(10, 300, "B", mount="rail"), jar(10, 300, "B", mount="screws"), weights=(1 - share, share)
    )
    found = judge(FAMILY, want, KnownPart("x", jar(10, None, "B", mount="rail")), NO_DUTY)
    assert found.outcome == "can't say yet"
    assert bool(found.changes) is told
