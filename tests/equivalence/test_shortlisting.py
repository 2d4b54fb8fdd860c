"""Columns over many parts: only a proven breach drops a part."""

from __future__ import annotations

from dataclasses import replace

from partsdb.equivalence import columns_of, equivalents, shortlist
from partsdb.equivalence.columns import breached
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import KnownPart, Limit, Requirement, Spec, Value, number, span, word
from support.toy_family import FAMILY, SOURCE, jar


def wanted(*specs: Spec) -> list[Requirement]:
    return [requirement(FAMILY, s, {}, 1 / len(specs)) for s in specs]


def parts(*specs: Spec) -> list[KnownPart]:
    return [KnownPart(f"p{i}", s) for i, s in enumerate(specs)]


def kept(want: list[Requirement], *specs: Spec) -> list[int]:
    return [int(i) for i in shortlist(FAMILY, want, columns_of(FAMILY, parts(*specs)))]


def test_below_at_and_above_a_limit_and_what_is_not_known() -> None:
    assert kept(wanted(jar(10, 300)), jar(10, 299), jar(10, 300), jar(10, 301), jar(10, None)) == [1, 2, 3]


def test_reach_is_what_decides_not_accept() -> None:
    # 7 to 13 is in reach of 10
    assert kept(wanted(jar(10, 300)), jar(6.9, 300), jar(7.01, 300), jar(13, 300), jar(13.1, 300)) == [1, 2]


def test_a_part_stays_when_any_reading_would_have_it() -> None:
    assert kept(wanted(jar(10, 300), jar(20, 300)), jar(10, 300), jar(20, 300), jar(40, 300)) == [0, 1]


def test_a_range_that_only_touches_the_limit_stays() -> None:
    assert kept(wanted(jar(10, 300)), jar((5, 8), 300), jar((5, 6), 300)) == [0]


def test_a_class_below_the_lowest_is_dropped_and_an_unknown_one_stays() -> None:
    assert kept(wanted(jar(10, 300, "B")), *(jar(10, 300, g) for g in ("D", "C", "B", "A", None))) == [
        2,
        3,
        4,
    ]


def test_a_better_connection_keeps_the_part() -> None:
    two = Spec(
        "toy", (number("charge", 1e-5), number("voltage", 220, variant=1), number("voltage", 440, variant=2))
    )
    assert kept(wanted(jar(10, 300, None)), two) == [0]


def test_a_life_limit_drops_nothing() -> None:
    assert kept(wanted(jar(10, 300, hours=1000)), jar(10, 300, hours=1)) == [0]


def limit(kind: str, accept: Interval, qualifier: str = "") -> Limit:
    return Limit("supply", kind, accept, "function", "plate", SOURCE, "", qualifier)  # type: ignore[arg-type]  # words


def test_covers_drops_only_on_an_end_that_is_known_to_fall_short() -> None:
    offered = [
        Spec("toy", (span("supply", a, b),))
        for a, b in ((50, 60), (51, 60), (51, None), (None, 60), (None, 59))
    ]
    found = breached(FAMILY, limit("covers", Interval(50, 60)), columns_of(FAMILY, parts(*offered)))
    assert found is not None and found.tolist() == [False, True, True, False, True]


def test_of_several_qualifiers_that_serve_one_met_is_enough() -> None:
    def serves(offered: str, needed: str) -> bool:
        return offered in ("hot", "hotter") and needed == "hot"

    family = replace(FAMILY, qualifies=serves)
    rated = [
        Spec("toy", tuple(number("supply", x, qualifier=q) for q, x in some))
        for some in (
            (("hot", 40.0),),
            (("hot", 40.0), ("hotter", 55.0)),
            (("cold", 40.0),),
            (("hotter", 49.0),),
        )
    ]
    found = breached(family, limit("at least", Interval(50, None), "hot"), columns_of(family, parts(*rated)))
    assert found is not None and found.tolist() == [True, False, False, True]


def test_more_words_than_bits_prove_nothing_of_those_beyond() -> None:
    offered = [Spec("toy", (word("mount", f"m{i}"),)) for i in range(70)]
    one = Limit("mount", "one of", ("m0",), "fit", "plate", SOURCE, "")
    found = breached(FAMILY, one, columns_of(FAMILY, parts(*offered)))
    assert found is not None
    assert not found[0] and found[1:63].all() and not found[63:].any()


def test_a_word_among_numbers_proves_nothing() -> None:
    offered = [Spec("toy", (Value("supply", code="any"),)), Spec("toy", (number("supply", 1.0),))]
    found = breached(FAMILY, limit("at least", Interval(50, None)), columns_of(FAMILY, parts(*offered)))
    assert found is not None and not found.any()


def test_a_drawer_is_judged_in_full_so_that_its_traps_are_named() -> None:
    drawer = parts(jar(10, 300), jar(10, 100))
    assert [v.outcome for v in equivalents(FAMILY, wanted(jar(10, 300)), drawer, {})] == [
        "straight swap",
        "don't fit",
    ]


def test_of_very_many_the_promising_are_judged() -> None:
    many = parts(*(jar(10, 200 + i, "B") for i in range(300)), jar(10, 310, None), jar(10, 305, "B"))
    found = equivalents(FAMILY, wanted(jar(10, 300)), many, {}, most=150)
    assert len(found) == 150
    assert {v.outcome for v in found[:149]} == {"straight swap"}
    assert found[0].parts == ("p299",)
