"""One more step in the history of numbers: whether it leads back to where it began, for some maker."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.lineage import Lineage, TooLong, circles
from partsdb.records import Succession


def then(number: str, to: str, maker: str = "", to_maker: str = "") -> Succession:
    return Succession(f"{maker}{number}>{to_maker}{to}", "superseded by", maker, number, to_maker, to)


def became(maker: str, to: str) -> Succession:
    return Succession(f"{maker}>{to}", "maker became", maker, "", to, "")


def back(step: Succession, *known: Succession) -> list[str] | None:
    """The numbers on the way back, None when there is none."""
    way = Lineage(known).way_back(step)
    return None if way is None else [one.number or one.maker for one in way]


def test_a_step_that_leads_back_is_told_with_the_shortest_way() -> None:
    known = (then("A", "B"), then("B", "C"), then("C", "D"), then("A", "C"))
    assert back(then("D", "A"), *known) == ["A", "C"]
    assert back(then("B", "A"), *known) == ["A"]
    assert back(then("D", "E"), *known) is None
    assert back(then("E", "A"), *known) is None
    assert back(then("A", "D"), *known) is None


def test_numbers_are_compared_as_they_are_looked_up() -> None:
    assert back(then("b 2", "a-1"), then("A1", "B2")) == ["A1"]
    assert back(then("A 1", "a-1")) == []
    assert back(then("--", "++")) is None


def test_numbers_of_another_maker_are_others() -> None:
    known = (then("A", "B", "Tarnwick", "Tarnwick"),)
    assert back(then("B", "A", "Trelvanik", "Trelvanik"), *known) is None
    assert back(then("B", "A", "tarnwick.", "Tarnwick"), *known) == ["A"]


def test_a_step_without_a_maker_holds_for_each() -> None:
    assert back(then("B", "A"), then("A", "B", "Tarnwick", "Tarnwick")) == ["A"]
    assert back(then("B", "A", "Tarnwick", "Tarnwick"), then("A", "B")) == ["A"]
    assert back(then("A", "A", "", "Tarnwick")) == []
    # ... but what one maker's number became isn't what another's did
    across = (then("B", "C", "Tarnwick", "Trelvanik"), then("C", "A", "Trelvanik", "Trelvanik"))
    assert back(then("A", "B"), *across) is None
    home = (*across, then("A", "A2", "Trelvanik", "Tarnwick"), then("A2", "A", "Tarnwick", "Tarnwick"))
    assert back(then("A", "B"), *home) == ["B", "C", "A", "A2"]


def test_makers_that_became_each_other_are_a_circle_of_their_own() -> None:
    assert back(became("Vantor", "Tarnwick"), became("Tarnwick", "Vantor")) == ["Tarnwick"]
    assert back(became("Vantor", "Tarnwick"), then("Tarnwick", "Vantor")) is None


def test_two_numbers_of_one_part_make_no_order() -> None:
    same = Succession("s", "same as", "", "A", "", "B")
    assert back(same, then("B", "A")) is None
    assert back(then("B", "A"), same) is None


def test_a_step_that_is_known_already_closes_nothing() -> None:
    assert back(then("A", "B"), then("A", "B"), then("B", "C")) is None


def test_a_history_without_end_is_given_up_where_it_is_bounded() -> None:
    chain = [then(str(i), str(i + 1)) for i in range(100)]
    lineage = Lineage(chain)
    assert len(lineage.way_back(then("100", "0"), 1000) or ()) == 100
    with pytest.raises(TooLong):
        lineage.way_back(then("100", "0"), 50)
    # one end of it is soon done: nothing to give up
    assert lineage.way_back(then("100", "101"), 4) is None
    assert lineage.way_back(then("x", "0"), 4) is None


MAKERS = ("", "T", "U")
STEPS = st.lists(
    st.tuples(
        st.sampled_from("ABCD"), st.sampled_from("ABCD"), st.sampled_from(MAKERS), st.sampled_from(MAKERS)
    ),
    max_size=9,
)


def leads_round(known: list[tuple[str, str, str, str]]) -> bool:
    """Whether some maker's number reaches itself, by trying every maker out: those named, and one that isn't."""
    nodes = list(itertools.product(("T", "U", "another"), "ABCD"))
    reach = {
        (m, n): {
            (to_maker or m, to) for number, to, maker, to_maker in known if number == n and maker in ("", m)
        }
        for m, n in nodes
    }
    for _ in nodes:
        reach = {node: onward.union(*(reach[o] for o in onward)) for node, onward in reach.items()}
    return any(node in onward for node, onward in reach.items())


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_a_step_closes_a_circle_exactly_when_some_number_then_reaches_itself(
    steps: list[tuple[str, str, str, str]],
) -> None:
    lineage, taken = Lineage(), []
    for one in steps:
        step = then(*one)
        closes = lineage.way_back(step) is not None
        assert closes == leads_round([*taken, one])
        if not closes:
            lineage.add(step)
            taken.append(one)
    assert (circles([then(*one) for one in steps]) != ()) == leads_round(steps)


@settings(max_examples=100, deadline=None)
@given(STEPS)
def test_a_way_back_begins_where_the_step_ends_and_ends_where_it_begins(
    steps: list[tuple[str, str, str, str]],
) -> None:
    lineage = Lineage()
    for one in steps:
        step = then(*one)
        way = lineage.way_back(step)
        if way is None:
            lineage.add(step)
            continue
        run = (step, *way, step)
        assert all(a.to_number == b.number for a, b in itertools.pairwise(run))
