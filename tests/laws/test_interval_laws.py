"""Intervals form a lattice under meet and hull; margins agree with containment."""

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.intervals import Interval, point

ends = st.none() | st.floats(-1e6, 1e6, allow_nan=False)
numbers = st.floats(-1e6, 1e6, allow_nan=False)
plain = settings(max_examples=100, deadline=None)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    low, high = draw(ends), draw(ends)
    if low is not None and high is not None and low > high:
        low, high = high, low
    return Interval(low, high)


@plain
@given(a=intervals(), b=intervals(), c=intervals())
def test_meet_and_hull_are_commutative_and_associative(a: Interval, b: Interval, c: Interval) -> None:
    assert a.meet(b) == b.meet(a)
    assert a.hull(b) == b.hull(a)
    assert a.hull(b).hull(c) == a.hull(b.hull(c))
    left, right = a.meet(b), b.meet(c)
    assert (left.meet(c) if left else None) == (a.meet(right) if right else None)


@plain
@given(a=intervals(), b=intervals())
def test_each_absorbs_the_other(a: Interval, b: Interval) -> None:
    assert a.meet(a.hull(b)) == a
    common = a.meet(b)
    if common is not None:
        assert a.hull(common) == a


@plain
@given(a=intervals(), b=intervals())
def test_being_within_is_the_order_of_the_lattice(a: Interval, b: Interval) -> None:
    assert a.within(b) == (a.meet(b) == a) == (a.hull(b) == b)


@plain
@given(limit=intervals(), offered=intervals(), x=numbers)
def test_a_margin_is_negative_exactly_when_something_lies_outside(
    limit: Interval, offered: Interval, x: float
) -> None:
    assert (limit.margin(point(x)) >= 0) == (x in limit)
    margin = limit.margin(offered)
    if margin == margin:  # open against open has no distance
        assert (margin >= 0) == offered.within(limit)
