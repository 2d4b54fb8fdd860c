import math

import pytest

from partsdb.intervals import Interval, around, point


@pytest.mark.parametrize(
    ("x", "inside"), [(369.9, False), (370, True), (370.1, True), (440, True), (440.1, False)]
)
def test_both_ends_belong_to_an_interval(x: float, inside: bool) -> None:
    assert (x in Interval(370, 440)) is inside


def test_an_open_end_does_not_bind() -> None:
    assert 1e300 in Interval(370, None)
    assert -1e300 in Interval(None, 370)
    assert 0.0 in Interval()


@pytest.mark.parametrize(("low", "high"), [(2, 1), (math.nan, 1), (1, math.nan)])
def test_an_empty_interval_or_an_end_that_is_no_number_is_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match=r"empty interval|not a number"):
        Interval(low, high)


def test_intervals_that_touch_meet_in_one_point_and_those_apart_not_at_all() -> None:
    assert Interval(1, 2).meet(Interval(2, 3)) == Interval(2, 2)
    assert Interval(1, 2).meet(Interval(2.001, 3)) is None


def test_the_margin_is_positive_inside_zero_at_and_negative_outside_the_limit() -> None:
    at_least_440 = Interval(440, None)
    assert at_least_440.margin(point(450)) == 10
    assert at_least_440.margin(point(440)) == 0
    assert at_least_440.margin(point(370)) == -70


def test_a_range_is_judged_by_its_worst_point() -> None:
    assert Interval(90, 110).margin(Interval(88, 108)) == -2
    assert Interval(90, 110).margin(Interval(95, 108)) == 2


def test_around_spreads_by_ratio_and_may_be_uneven() -> None:
    assert around(10, 0.05) == Interval(9.5, 10.5)
    assert around(100, 0.0, 0.2) == Interval(100, 120)
    assert around(-10, 0.1) == Interval(-11, -9)
