"""Combinations of shelf pieces: the search against full enumeration, quantities, and the judge's rules."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.equivalence import combinations, judge
from partsdb.equivalence.envelope import prepared
from partsdb.equivalence.ruling import ACCEPTED, rank
from partsdb.equivalence.sums import nearest_first
from partsdb.equivalence.whole import judge_combination
from partsdb.family import Family, families
from partsdb.kit import requirement
from partsdb.model import KnownPart, Outcome, Requirement, Spec, number, word
from partsdb.source import plate
from support.toy_family import FAMILY, jar

PARALLEL, SERIES = FAMILY.combinations


def shelf(*jars: Spec, quantity: int = 1, condition: str = "new") -> list[KnownPart]:
    """Shelf parts named by their place."""
    return [KnownPart(f"p{i}", s, condition=condition, quantity=quantity) for i, s in enumerate(jars)]


def wanted(charge: float = 10.0, voltage: float = 300.0, grade: str | None = None) -> list[Requirement]:
    """What a jar of these data asks."""
    return [requirement(FAMILY, jar(charge, voltage, grade), {})]


def test_two_pieces_of_one_part_add_up_when_there_are_two_of_it() -> None:
    parts = shelf(jar(5, 350), quantity=2)
    best = combinations(FAMILY, wanted(), parts, {})[0]
    assert best.parts == ("p0", "p0")
    assert best.outcome == "fits with work"
    assert "join 2 jars" in best.wiring


def test_one_piece_is_never_used_twice() -> None:
    assert combinations(FAMILY, wanted(), shelf(jar(5, 350), quantity=1), {}) == ()


def test_a_single_part_that_does_as_well_makes_combinations_needless() -> None:
    parts = shelf(jar(10, 350), jar(5, 350), jar(5, 360))
    assert combinations(FAMILY, wanted(), parts, {}) == ()
    assert combinations(FAMILY, wanted(), parts, {}, even_if_one_does=True)[0].parts == ("p1", "p2")


def test_three_pieces_are_not_offered_where_two_do() -> None:
    parts = shelf(jar(5, 350), jar(5, 360), jar(2.5, 350), jar(2.5, 340))
    assert {len(v.parts) for v in combinations(FAMILY, wanted(), parts, {})} == {2}


@pytest.mark.parametrize(("voltage", "does"), [(149.9, False), (150.0, True), (150.1, True)])
def test_series_pieces_share_the_volts_and_each_must_take_its_share(voltage: float, does: bool) -> None:
    parts = shelf(jar(20, voltage), jar(20, voltage), quantity=1)
    found = combinations(FAMILY, wanted(), parts, {})
    assert bool(found) == does
    if does:
        assert found[0].title.endswith("series")


def test_unequal_series_pieces_fail_on_the_smaller_although_the_sum_of_volts_would_do() -> None:
    # 15 and 30 make 10; the 15 gets two thirds of 300 V
    assert combinations(FAMILY, wanted(), shelf(jar(15, 190), jar(30, 190)), {}) == ()
    found = combinations(FAMILY, wanted(), shelf(jar(15, 200), jar(30, 110)), {})
    assert found and found[0].outcome == "fits with work"


def test_a_suspect_piece_is_never_combined_and_an_untested_one_only_can_t_be_said_yet() -> None:
    assert combinations(FAMILY, wanted(), shelf(jar(5, 350), jar(5, 360), condition="suspect"), {}) == ()
    found = combinations(FAMILY, wanted(), shelf(jar(5, 350), jar(5, 360), condition="unknown"), {})
    assert [v.outcome for v in found] == ["can't say yet"]
    assert "hold it at 500 V for a minute" in found[0].missing


def test_a_whole_of_worked_out_ratings_proves_nothing_on_safety() -> None:
    # grade A derives 400 V from a table nobody has seen
    parts = shelf(jar(5, None, "A"), jar(5, None, "A"))
    found = combinations(FAMILY, wanted(grade="B"), parts, {})
    assert found and {v.outcome for v in found} == {"can't say yet"}


def test_a_combination_of_one_piece_is_that_piece() -> None:
    part = shelf(jar(10, 320, "A"))[0]
    want = wanted(grade="B")
    at = prepared(FAMILY, want, {})
    for combination in FAMILY.combinations:
        assert judge_combination(at, combination, [part]) == judge(FAMILY, want, part, {})


def by_enumeration(
    family: Family, parts: list[KnownPart], want: list[Requirement], count: int
) -> dict[tuple[str, tuple[str, ...]], Outcome]:
    """Outcome of every combination of `count` pieces the stock allows, by kind and parts."""
    at = prepared(family, want, {})
    stock = {p.id: p.quantity for p in parts}
    found: dict[tuple[str, tuple[str, ...]], Outcome] = {}
    for combination in family.combinations:
        for some in combinations_with_replacement(sorted(parts, key=lambda p: p.id), count):
            if all(n <= stock[k] for k, n in Counter(p.id for p in some).items()):
                verdict = judge_combination(at, combination, some)
                found[combination.kind, verdict.parts] = verdict.outcome
    return found


def agrees_with_enumeration(family: Family, parts: list[KnownPart], want: list[Requirement]) -> int:
    """Assert that the search finds what enumeration finds, and nothing else; how many there are."""
    bar = min((rank(judge(family, want, p, {}).outcome) for p in parts), default=4)
    expected: dict[tuple[str, tuple[str, ...]], Outcome] = {}
    for count in (2, 3, 4):
        every = by_enumeration(family, parts, want, count)
        better = {k: o for k, o in every.items() if rank(o) < bar and o in ACCEPTED}
        if better:
            expected |= better
            bar = min(map(rank, better.values()))
    found = combinations(family, want, parts, {}, most=10_000)
    accepted = {
        (v.title.split(", ")[-1], tuple(sorted(v.parts))): v.outcome for v in found if v.outcome in ACCEPTED
    }
    assert accepted == expected
    return len(accepted)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([2.0, 2.5, 3.0, 4.0, 5.0, 6.5, 12.0, 15.0, 20.0, 30.0, 40.0]),
            st.sampled_from([80.0, 150.0, 200.0, 300.0, 400.0]),
            st.integers(1, 3),
        ),
        min_size=1,
        max_size=6,
        unique_by=lambda t: t[:2],
    )
)
def test_the_search_finds_exactly_what_full_enumeration_finds(stock: list[tuple[float, float, int]]) -> None:
    parts = [
        KnownPart(f"p{i}", jar(c, v, None), condition="new", quantity=n) for i, (c, v, n) in enumerate(stock)
    ]
    agrees_with_enumeration(FAMILY, parts, wanted())


def capacitor(microfarads: float, volts: float, tolerance: str, service: str = "run") -> Spec:
    """A film capacitor as its plate says."""
    source = plate("all of it")
    return Spec(
        "ac_capacitor",
        (
            number("capacitance", microfarads * 1e-6, source),
            number("voltage_ac", volts, source),
            number("frequency", 50.0, source),
            word("tolerance", tolerance, source),
            word("service", service, source),
            word("construction", "film", source),
        ),
    )


TOLERANCES = sorted(families()["ac_capacitor"].attribute("tolerance").codes)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([3.0, 5.0, 6.0, 8.0, 10.0, 15.0, 30.0, 40.0, 60.0]),
            st.sampled_from([150.0, 220.0, 250.0, 300.0, 400.0, 450.0]),
            st.sampled_from(TOLERANCES),
            st.sampled_from(["run", "run", "start"]),
            st.integers(1, 2),
        ),
        min_size=2,
        max_size=5,
        unique_by=lambda t: t[:4],
    )
)
def test_real_capacitors_with_their_tolerances_are_searched_exactly(
    stock: list[tuple[float, float, str, str, int]],
) -> None:
    family = families()["ac_capacitor"]
    parts = [
        KnownPart(f"p{i}", capacitor(c, v, t, s), condition="new", quantity=n)
        for i, (c, v, t, s, n) in enumerate(stock)
    ]
    want = [requirement(family, capacitor(20, 400, TOLERANCES[0]), {})]
    agrees_with_enumeration(family, parts, want)


def test_a_shelf_of_real_capacitors_has_pairs_in_series_and_in_parallel() -> None:
    family = families()["ac_capacitor"]
    stock = [(10.0, 450.0, 2), (40.0, 250.0, 2), (20.0, 250.0, 1)]
    parts = [
        KnownPart(f"p{i}", capacitor(c, v, TOLERANCES[0]), condition="new", quantity=n)
        for i, (c, v, n) in enumerate(stock)
    ]
    want = [requirement(family, capacitor(20, 400, TOLERANCES[0]), {})]
    assert agrees_with_enumeration(family, parts, want) == 2


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 60), min_size=1, max_size=9, unique=True),
    st.integers(1, 4),
    st.integers(1, 200),
    st.integers(0, 40),
    st.integers(1, 4),
)
def test_sums_are_found_once_each_and_none_is_missed(
    sizes: list[int], count: int, low: int, width: int, pieces: int
) -> None:
    ascending = np.array(sorted(sizes), dtype=float)
    stock = np.full(len(sizes), pieces, dtype=np.intp)
    rows = [
        tuple(row)
        for some in nearest_first(ascending, stock, count, low, low + width, low + width / 2)
        for row in some.tolist()
    ]
    expected = {
        some
        for some in combinations_with_replacement(range(len(sizes)), count)
        if low <= sum(ascending[list(some)]) <= low + width and max(Counter(some).values()) <= pieces
    }
    assert len(rows) == len(set(rows))
    assert set(rows) == expected


def test_quadruples_beside_a_first_and_by_meeting_in_the_middle_agree(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sizes = np.sort(np.random.default_rng(7).uniform(1, 9, 25))
    stock = np.full(25, 4, dtype=np.intp)

    def found() -> set[tuple[int, ...]]:
        return {tuple(r) for some in nearest_first(sizes, stock, 4, 19.0, 19.2, 19.1) for r in some.tolist()}

    met = found()
    monkeypatch.setattr("partsdb.equivalence.sums.MIDDLE", 3)
    assert met and found() == met


def test_a_piece_whose_share_only_a_closer_partner_eases_is_not_left_out_beforehand() -> None:
    # beside a partner of its own ±10 % it would get more than it can take, beside one of ±3 % it doesn't
    family = families()["ac_capacitor"]
    close = "±3 %"
    [want] = [requirement(family, capacitor(20, 400, close), {})]
    narrow = replace(want, limits=tuple(replace(x, reach=None) for x in want.limits))
    wide = capacitor(40, 213.8, "±10 %")
    parts = [
        KnownPart("wide", wide, condition="new", quantity=1),
        KnownPart("close", capacitor(40, 450, close), condition="new", quantity=1),
    ]
    assert [v.parts for v in combinations(family, [narrow], parts, {})] == [("close", "wide")]


def belt(mark: int, match: float | None) -> Spec:
    """A classical B belt as it is marked."""
    source = plate(f"B{mark}")
    values = [
        word("section", "B", source),
        number("mark", mark, source),
        number("length", mark * 0.0254, source),
    ]
    values.append(number("count", 1.0, source))
    return Spec("v_belt", (*values, *([number("match", match, source)] if match else [])))


def test_belts_make_a_set_only_with_one_match_number_and_enough_of_them() -> None:
    family = families()["v_belt"]
    want = [requirement(family, belt(68, None), {"belt_count": 4.0})]
    two = [
        KnownPart(k, belt(68, m), condition="new", quantity=2)
        for k, m in (("a", 50.0), ("b", 50.0), ("c", 52.0))
    ]
    odd = KnownPart("odd", belt(75, None), condition="new", quantity=1)
    assert [v.parts for v in combinations(family, want, [*two, odd], {"belt_count": 4.0})] == [
        ("a", "a", "b", "b")
    ]
    assert combinations(family, want, [*two[1:], odd], {"belt_count": 4.0}) == ()
