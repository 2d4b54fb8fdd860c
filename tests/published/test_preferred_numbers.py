"""Preferred numbers against the eseries library (MIT), an independent listing of IEC 60063."""

import pytest
from eseries import E6, E12, E24, E48, E96, E192
from eseries import find_greater_than_or_equal as library_next_up
from eseries import find_nearest as library_nearest
from eseries import series as library_series

from partsdb.ladders import decade, nearest, next_up

SERIES = {"E6": E6, "E12": E12, "E24": E24, "E48": E48, "E96": E96, "E192": E192}


@pytest.mark.parametrize("name", SERIES)
def test_every_member_of_an_e_series_is_the_library_s(name: str) -> None:
    theirs = list(library_series(SERIES[name]))
    scale = theirs[0]
    assert decade(name) == pytest.approx([n / scale for n in theirs], abs=1e-12)


def test_e192_holds_the_standard_s_one_departure_from_the_formula() -> None:
    assert 9.2 in decade("E192")
    assert 9.19 not in decade("E192")


@pytest.mark.parametrize("x", [4.9, 10, 97.3, 319, 1234, 47_000])
def test_next_up_agrees_with_the_library(x: float) -> None:
    for name, key in SERIES.items():
        assert next_up(name, x) == pytest.approx(library_next_up(key, x))


@pytest.mark.parametrize("x", [319, 97.3, 1170])
def test_nearest_agrees_with_the_library_where_ratio_and_difference_agree(x: float) -> None:
    for name, key in SERIES.items():
        assert nearest(name, x) == pytest.approx(library_nearest(key, x))


def test_where_two_members_are_equally_far_the_nearer_by_ratio_is_ours() -> None:
    assert library_nearest(E24, 4900) == 4700  # by difference, lower on a tie
    assert nearest("E24", 4900) == 5100
