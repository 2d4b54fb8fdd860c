"""The constructors: what each limit asks, where it follows from, and that nothing is assumed where nobody knows."""

from __future__ import annotations

import pytest

from partsdb.duty import Duty
from partsdb.intervals import Interval
from partsdb.kit import ANY, Place, as_good_as, at_least, at_most, fact, one_of, same, spans, within
from partsdb.model import Limit, Spec, Value, number, word
from partsdb.source import PRACTICE, measured
from support.toy_family import FAMILY


def place(*values: Value, **duty: float) -> Place:
    asks: Duty = dict(duty)
    return FAMILY.place(Spec("toy", values), asks)


def test_a_limit_takes_the_duty_before_the_plate_and_says_so() -> None:
    here = place(number("voltage", 300.0), supply_voltage=230.0)
    asked = at_least(here, "voltage", "safety", "it breaks down", term="supply_voltage")
    plate = at_least(here, "voltage", "safety", "it breaks down")
    assert asked is not None and plate is not None
    assert (asked.accept, asked.follows_from) == (Interval(230.0, None), "duty: supply voltage")
    assert (plate.accept, plate.follows_from) == (Interval(300.0, None), "plate")


def test_a_measured_value_says_that_it_was_measured() -> None:
    limit = same(place(number("bore", 0.02, measured("calipers"))), "bore", "fit", "it is slack")
    assert limit is not None
    assert limit.follows_from == "measured"
    assert limit.source.status == "measured"


@pytest.mark.parametrize(
    "made",
    [
        same(place(), "bore", "fit", "x"),
        at_least(place(), "voltage", "safety", "x", term="supply_voltage"),
        at_most(place(), "heat", "function", "x"),
        spans(place(), "supply", "safety", "x"),
        as_good_as(place(), "grade", "function", "x"),
        within(place(), "charge", "function", "x", want=None),
        one_of(place(), "mount", "fit", "x", ("rail",), want=None),
        same(place(Value("bore", None, None)), "bore", "fit", "x"),
        spans(place(Value("supply", None, None)), "supply", "safety", "x"),
    ],
)
def test_where_nobody_knows_no_limit_is_made(made: Limit | None) -> None:
    assert made is None


def test_a_range_counts_by_the_end_that_hurts() -> None:
    here = place(Value("voltage", 220.0, 240.0))
    least, most = at_least(here, "voltage", "safety", "x"), at_most(here, "voltage", "safety", "x")
    assert least is not None and least.accept == Interval(240.0, None)
    assert most is not None and most.accept == Interval(None, 220.0)


def test_a_better_class_will_do_and_a_class_of_no_ladder_must_be_the_same() -> None:
    limit = as_good_as(place(word("grade", "B")), "grade", "function", "it is worse")
    odd = as_good_as(place(word("mount", "rail")), "mount", "fit", "it hangs loose")
    assert limit is not None and limit.accept == ("B", "A")
    assert odd is not None and (odd.kind, odd.accept) == ("one of", ("rail",))


def test_any_reach_of_a_code_word_is_each_of_its_codes() -> None:
    limit = same(place(word("mount", "rail")), "mount", "fit", "it hangs loose", reach=ANY)
    assert limit is not None
    assert limit.reach == ("rail", "screws")


def test_a_limit_that_every_value_meets_cant_be_made() -> None:
    with pytest.raises(ValueError, match="every value meets"):
        Limit("voltage", "at least", Interval(None, None), "safety", "plate", PRACTICE, "x")


def test_a_fact_worked_out_keeps_its_origin() -> None:
    worked_out = fact(10.0, "duty: shaft", PRACTICE).to(9.0, 11.0, because="a tenth either way")
    limit = within(place(), "bore", "fit", "it is slack", want=worked_out)
    assert limit is not None
    assert (limit.accept, limit.follows_from) == (Interval(9.0, 11.0), "duty: shaft, a tenth either way")
