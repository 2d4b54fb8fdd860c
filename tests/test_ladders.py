import math

import pytest

from partsdb.errors import BadInput
from partsdb.ladders import at_least, decade, nearest, next_up, rank, series, steps

INSULATION = ("A", "E", "B", "F", "H")


def test_same_class_or_better_keeps_the_class_itself_and_drops_the_one_below() -> None:
    assert at_least(INSULATION, "B") == ("B", "F", "H")
    assert at_least(INSULATION, "H") == ("H",)
    assert at_least(INSULATION, "A") == INSULATION


def test_steps_are_positive_above_zero_at_and_negative_below_the_needed_class() -> None:
    assert (steps(INSULATION, "F", "B"), steps(INSULATION, "B", "B"), steps(INSULATION, "E", "B")) == (
        1,
        0,
        -1,
    )


def test_a_word_outside_the_ladder_is_refused_with_the_known_classes() -> None:
    with pytest.raises(BadInput, match="A E B F H"):
        rank(INSULATION, "C")


def test_a_series_includes_both_of_its_ends() -> None:
    assert series("E6", 10, 100) == (10.0, 15.0, 22.0, 33.0, 47.0, 68.0, 100.0)
    assert series("E6", 10.1, 99) == (15.0, 22.0, 33.0, 47.0, 68.0)


def test_series_members_are_the_floats_that_the_decimal_text_gives() -> None:
    assert series("E12", 1e-6, 5e-6) == (1e-6, 1.2e-6, 1.5e-6, 1.8e-6, 2.2e-6, 2.7e-6, 3.3e-6, 3.9e-6, 4.7e-6)


@pytest.mark.parametrize(("low", "high"), [(0, 1), (-1, 1), (2, 1), (1, math.inf), (math.nan, 1)])
def test_a_range_that_is_none_is_refused(low: float, high: float) -> None:
    with pytest.raises(BadInput, match="no range"):
        series("E12", low, high)


def test_an_unknown_series_is_refused_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match="E6 E12 E24"):
        decade("E7")


def test_nearest_goes_by_ratio_and_next_up_never_below() -> None:
    assert nearest("E24", 4900) == 5100  # 4 % off against 4.3 % for 4700
    assert next_up("E12", 47e-6) == 47e-6
    assert next_up("E12", 47.1e-6) == 56e-6
    assert next_up("E12", 83) == 100


def test_each_renard_series_is_contained_in_the_next_finer_one() -> None:
    for coarse, fine in (("R5", "R10"), ("R10", "R20"), ("R20", "R40")):
        assert set(decade(coarse)) < set(decade(fine))
        assert len(decade(fine)) == 2 * len(decade(coarse))


@pytest.mark.parametrize("name", ["R5", "R10", "R20", "R40", "E48", "E96"])
def test_members_stay_near_the_geometric_progression(name: str) -> None:
    members = decade(name)
    for i, member in enumerate(members):
        assert member == pytest.approx(10 ** (i / len(members)), rel=0.014)
