"""What is plainly seen conditions the identification, and never hides that nothing fits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.model import Value
from partsdb.reading import identify, read
from partsdb.reading.seeing import condition, seen_answers

EVERY = families()
FOUND = identify(read(["6306", "C3"]), EVERY)


def test_hypotheses_that_say_otherwise_are_out_and_the_rest_sums_to_one():
    seen = condition(FOUND, EVERY, seen_answers(["clearance=C3"]))
    codes = {h.spec.code("clearance") for h in seen.hypotheses if h.spec.family == "rolling_bearing"}
    assert codes == {"C3"}
    assert sum(h.probability for h in seen.hypotheses) + seen.unlisted + seen.leftover == pytest.approx(1.0)


def test_what_the_records_say_never_makes_the_plate_surer_than_sure():
    """A recorded part that a fact rules out held most of what is believed, and hardly anything of the plate alone."""
    (one, *_) = FOUND.hypotheses
    named = "clearance", "closure"
    other = replace(one, spec=one.spec.without(*named).plus([Value("clearance", code="C4")]), probability=0.9)
    mine = replace(one, spec=one.spec.without(*named).plus([Value("clearance", code="C3")]), probability=0.05)
    by_plate = (replace(mine, probability=0.85), replace(other, probability=0.1))
    found = replace(FOUND, hypotheses=(other, mine), by_plate=by_plate, leftover=0.05, unlisted=0.0)
    seen = condition(found, EVERY, seen_answers(["clearance=C3"]))
    assert [h.probability for h in seen.hypotheses] == [pytest.approx(0.05 / 0.1)]
    assert [h.probability for h in seen.by_plate] == [pytest.approx(0.85 / 0.9)]


def test_a_fact_fills_in_what_a_hypothesis_left_open():
    seen = condition(FOUND, EVERY, seen_answers(["closure=open"]))
    assert all(
        h.spec.code("closure") == "open" for h in seen.hypotheses if h.spec.family == "rolling_bearing"
    )


def test_a_fact_against_everything_leaves_something_else():
    seen = condition(FOUND, EVERY, seen_answers(["series=222"]))
    assert all(
        h.spec.code("series") in (None, "222") for h in seen.hypotheses if h.spec.family == "rolling_bearing"
    )
    assert seen.leftover >= FOUND.leftover


def test_nothing_seen_changes_nothing():
    assert condition(FOUND, EVERY, {"doing": "hot"}) == FOUND


@pytest.mark.parametrize("text", ["closure", "=open", "closure="])
def test_a_text_that_says_nothing_is_refused(text):
    with pytest.raises(BadInput):
        seen_answers([text])


def test_an_attribute_of_no_kind_of_part_is_refused():
    with pytest.raises(BadInput):
        condition(FOUND, EVERY, seen_answers(["mood=good"]))


def test_a_name_means_what_the_kind_at_hand_calls_so():
    """A motor's mounting is foot, face or flange; a contactor's is a rail or screws."""
    contactor = identify(read(["SIZE 2", "COIL 110 V 60 CY"]), EVERY)
    seen = condition(contactor, EVERY, seen_answers(["mounting=screws"]))
    codes = {h.spec.code("mounting") for h in seen.hypotheses if h.spec.family == "contactor"}
    assert codes == {"screws"}


def test_a_value_that_no_kind_at_hand_can_have_is_refused_with_what_it_can_be():
    with pytest.raises(BadInput, match="can't be 'purple'"):
        condition(FOUND, EVERY, seen_answers(["closure=purple"]))
