"""How numbers follow one another: forward, back, sideways, and never round in circles."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.lineage import circles
from partsdb.records import Succession, SuccessionKind
from partsdb.succession import numbers_of


def then(number: str, to: str, kind: SuccessionKind = "superseded by", maker: str = "Tarnwick") -> Succession:
    """One step within a maker."""
    return Succession(f"{number}>{to}", kind, maker, number, maker, to)


def reached(number: str, *known: Succession, maker: str = "Tarnwick") -> list[tuple[str, str]]:
    """(number, relation) of everything reached."""
    return [(one.number, one.relation) for one in numbers_of(maker, number, known)]


CHAIN = (then("A", "B"), then("B", "C"))


def test_a_number_leads_to_what_superseded_it_and_back_to_what_it_superseded() -> None:
    assert reached("A", *CHAIN) == [("B", "newer"), ("C", "newer")]
    assert reached("C", *CHAIN) == [("B", "older"), ("A", "older")]
    assert sorted(reached("b", *CHAIN)) == [("A", "older"), ("C", "newer")]


def test_a_chain_is_never_followed_forward_and_back_again() -> None:
    sisters = (then("A", "C"), then("B", "C"))
    assert reached("A", *sisters) == [("C", "newer")]
    cousins = (then("A", "B"), then("A", "C"))
    assert reached("B", *cousins) == [("A", "older")]


def test_another_number_of_the_same_part_opens_its_whole_history() -> None:
    known = (*CHAIN, then("A", "X 1", "same as"))
    assert reached("x1", *known) == [("A", "same"), ("B", "newer"), ("C", "newer")]
    assert ("X 1", "older") in reached("C", *known)


def test_numbers_go_along_when_a_maker_becomes_another() -> None:
    known = (
        Succession("m", "maker became", "Tarnwick", "", "Trelvanik", ""),
        then("A", "B", maker="Trelvanik"),
    )
    found = numbers_of("Tarnwick", "A", known)
    assert [(one.maker, one.number, one.relation) for one in found] == [
        ("Trelvanik", "a", "same"),
        ("Trelvanik", "B", "newer"),
        ("Tarnwick", "b", "newer"),  # lists go on naming the maker that is gone
    ]
    assert [step.kind for step in found[1].steps] == ["maker became", "superseded by"]


def test_the_same_number_of_another_maker_is_another_part() -> None:
    assert reached("A", *CHAIN, maker="Trelvanik") == []
    assert reached("A", *CHAIN, maker="") == [("B", "newer"), ("C", "newer")]
    assert reached("A", then("A", "B", maker=""), maker="Trelvanik") == [("B", "newer")]


def test_circles_are_named_once_in_the_order_they_run() -> None:
    assert circles(CHAIN) == ()
    assert circles((*CHAIN, then("C", "A"))) == (("Tarnwick A", "Tarnwick B", "Tarnwick C"),)
    assert circles((then("A", "A"),)) == (("Tarnwick A",),)
    assert circles((*CHAIN, then("C", "A", "same as"))) == ()
    makers = tuple(Succession(a + b, "maker became", a, "", b, "") for a, b in (("V", "W"), ("W", "V")))
    assert circles(makers) == (("V", "W"),)


def test_a_long_history_is_walked_to_its_end() -> None:
    known = [then(str(i), str(i + 1)) for i in range(3000)]
    assert reached("0", *known)[-1] == ("3000", "newer")
    assert circles(known) == ()
    assert len(circles([*known, then("3000", "0")])[0]) == 3001


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("ABCDE"), st.sampled_from("ABCDE")), max_size=10))
def test_walks_end_and_circles_are_found_exactly_where_a_number_reaches_itself(
    steps: list[tuple[str, str]],
) -> None:
    known = [then(a, b) for a, b in steps]
    ways: dict[str, set[str]] = {a: {b for x, b in steps if x == a} for a, _ in steps}
    for _ in range(5):
        for onward in ways.values():
            onward |= {c for b in list(onward) for c in ways.get(b, set())}
    looped = any(a in onward for a, onward in ways.items())
    assert bool(circles(known)) == looped
    for start in "ABCDE":
        newer = {one.number for one in numbers_of("Tarnwick", start, known) if one.relation == "newer"}
        older = {one.number for one in numbers_of("Tarnwick", start, known) if one.relation == "older"}
        assert newer | older >= ways.get(start, set()) - {start}
