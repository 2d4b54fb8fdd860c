"""Laws of belt geometry: length and centre distance undo each other, the workshop rule is never too long, a longer
belt stands further apart; a set of equal belts is that belt."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.families.v_belt import FAMILY
from partsdb.families.v_belt import geometry as belts
from partsdb.families.v_belt.sets import whole
from partsdb.model import number
from support.belts import belt

plain = settings(max_examples=100, deadline=None)


@st.composite
def drives(draw: st.DrawFn) -> tuple[float, float, float]:
    """(centre distance, large, small) of a drive whose pulleys don't overlap [m]."""
    small = draw(st.floats(0.03, 0.6))
    large = small * draw(st.floats(1.0, 8.0))
    return (small + large) / 2 * draw(st.floats(1.001, 20.0)), large, small


@plain
@given(drive=drives())
def test_centre_distance_undoes_length(drive: tuple[float, float, float]) -> None:
    centres, large, small = drive
    found = belts.centre_distance(belts.open_length(centres, large, small), large, small)
    assert found == pytest.approx(centres, rel=1e-6)


@plain
@given(drive=drives())
def test_the_workshop_rule_is_a_little_short_and_never_long(drive: tuple[float, float, float]) -> None:
    rule, exact = belts.open_length_by_rule(*drive), belts.open_length(*drive)
    assert rule <= exact * (1 + 1e-12)
    assert rule >= exact * 0.98


@plain
@given(drive=drives(), more=st.floats(1e-4, 1.0))
def test_a_longer_belt_stands_further_apart(drive: tuple[float, float, float], more: float) -> None:
    centres, large, small = drive
    length = belts.open_length(centres, large, small)
    further = belts.centre_distance(length + more, large, small)
    assert further > centres
    assert further - centres >= more / 2 * (1 - 1e-6)  # half the length, and more where the pulleys differ


@plain
@given(drive=drives())
def test_belt_touches_at_most_half_of_the_small_pulley_and_the_span_is_no_longer_than_the_centres(
    drive: tuple[float, float, float],
) -> None:
    assert 0 < belts.wrap_angle(*drive) <= math.pi
    assert 0 < belts.span_length(*drive) <= drive[0]


@pytest.mark.parametrize(
    ("centres", "large", "small"), [(0.1, 0.3, 0.1), (math.nan, 0.3, 0.1), (1.0, 0.1, 0.3), (1.0, 0.3, 0.0)]
)
def test_pulleys_that_overlap_or_are_none_are_refused(centres: float, large: float, small: float) -> None:
    for figure in (belts.open_length, belts.open_length_by_rule, belts.wrap_angle, belts.span_length):
        with pytest.raises(ValueError, match="pulleys of"):
            figure(centres, large, small)


def test_a_belt_too_short_for_the_pulleys_is_refused() -> None:
    shortest = belts.open_length(0.2, 0.3, 0.1)
    assert belts.centre_distance(shortest, 0.3, 0.1) == pytest.approx(0.2)
    with pytest.raises(ValueError, match="doesn't go round"):
        belts.centre_distance(shortest * 0.999, 0.3, 0.1)


@plain
@given(count=st.integers(1, 6), mark=st.integers(26, 200))
def test_a_set_of_equal_belts_is_that_belt_but_for_their_number(count: int, mark: int) -> None:
    one = FAMILY.complete(belt("B", mark, number("match", 50)))
    made = whole([one] * count)
    assert made.num("count") == count
    assert made.code("matching") == "matched"
    for attribute in ("length", "datum_length", "outside_length", "top_width"):
        assert made.num(attribute) == pytest.approx(one.num(attribute))
    assert made.code("section") == "B"
