"""One limit against one offered specification: below, at and above every kind of limit."""

from __future__ import annotations

import pytest

from partsdb.equivalence.checks import check
from partsdb.intervals import Interval
from partsdb.model import Check, Limit, LimitKind, Spec, Value, Weight, number, span, word
from partsdb.source import measured
from support.toy_family import DERIVED, FAMILY, GRADES, SOURCE


def limit(
    attribute: str,
    kind: LimitKind,
    accept: Interval | tuple[str, ...],
    *,
    weight: Weight = "function",
    reach: Interval | tuple[str, ...] | None = None,
    qualifier: str = "",
) -> Limit:
    return Limit(attribute, kind, accept, weight, "plate", SOURCE, "it breaks", qualifier, reach)


def on(one: Limit, *values: Value) -> Check:
    return check(FAMILY, one, Spec("toy", values))


@pytest.mark.parametrize(
    ("volts", "status", "spare", "margin"),
    [(439.0, "breach", -1.0, -100 / 440), (440.0, "pass", 0.0, 0.0), (480.0, "pass", 40.0, 4000 / 440)],
)
def test_at_least(volts: float, status: str, spare: float, margin: float) -> None:
    made = on(limit("voltage", "at least", Interval(440, None)), number("voltage", volts))
    assert (made.status, made.spare) == (status, spare)
    assert made.margin == pytest.approx(margin)


@pytest.mark.parametrize(
    ("volts", "status", "spare"), [(9.0, "pass", 1.0), (10.0, "pass", 0.0), (10.1, "breach", -0.1)]
)
def test_at_most(volts: float, status: str, spare: float) -> None:
    made = on(limit("voltage", "at most", Interval(None, 10)), number("voltage", volts))
    assert made.status == status
    assert made.spare == pytest.approx(spare)


@pytest.mark.parametrize(
    ("low", "high", "status"),
    [
        (8.9, 8.9, "breach"),
        (9.0, 9.0, "pass"),
        (11.0, 11.0, "pass"),
        (11.1, 11.1, "breach"),
        (9.0, 11.0, "pass"),
        (8.9, 9.1, "unknown"),
        (10.0, 12.0, "unknown"),
        (11.1, 13.0, "breach"),
        (10.0, None, "unknown"),
        (12.0, None, "breach"),
    ],
)
def test_within_asks_for_the_whole_offered_range(low: float, high: float | None, status: str) -> None:
    assert on(limit("voltage", "within", Interval(9, 11)), span("voltage", low, high)).status == status


@pytest.mark.parametrize(("bore", "status"), [(0.01997, "breach"), (0.01998, "pass"), (0.02003, "breach")])
def test_equal_means_to_within_the_attribute_s_own_tolerance(bore: float, status: str) -> None:
    made = on(limit("bore", "equal", Interval(0.02, 0.02)), number("bore", bore))
    assert made.status == status
    assert (made.margin is None) == (status == "pass")


@pytest.mark.parametrize(
    ("low", "high", "status"),
    [
        (45.0, 65.0, "pass"),
        (50.0, 60.0, "pass"),
        (50.1, 60.0, "breach"),
        (50.0, 59.9, "breach"),
        (45.0, None, "unknown"),
        (None, 65.0, "unknown"),
        (None, 59.0, "breach"),
        (55.0, 55.0, "breach"),
    ],
)
def test_covers_turns_it_round_and_an_open_end_is_not_known(
    low: float | None, high: float | None, status: str
) -> None:
    assert on(limit("supply", "covers", Interval(50, 60)), span("supply", low, high)).status == status


@pytest.mark.parametrize(
    ("code", "status", "steps"),
    [("D", "breach", -2.0), ("C", "breach", -1.0), ("B", "pass", 0.0), ("A", "pass", 1.0)],
)
def test_same_class_or_better_counts_steps_on_the_ladder(code: str, status: str, steps: float) -> None:
    made = on(limit("grade", "same class or better", ("B", "A"), reach=GRADES[1:]), word("grade", code))
    assert (made.status, made.spare, made.margin) == (status, steps, steps)
    assert made.in_reach == (code == "C")


@pytest.mark.parametrize(("code", "status"), [("rail", "pass"), ("screws", "breach")])
def test_one_of_has_no_order(code: str, status: str) -> None:
    made = on(limit("mount", "one of", ("rail",)), word("mount", code))
    assert (made.status, made.margin) == (status, None)


def test_nothing_offered_is_unknown_whatever_the_kind() -> None:
    for kind, accept in (
        ("at least", Interval(1, None)),
        ("covers", Interval(1, 2)),
        ("equal", Interval(1, 1)),
        ("one of", ("rail",)),
    ):
        made = on(limit("mount" if kind == "one of" else "voltage", kind, accept))  # type: ignore[arg-type]  # words
        assert (made.status, made.offered, made.spare, made.margin) == ("unknown", (), None, None)
        assert "isn't known" in made.reason


def test_a_word_where_a_number_is_wanted_is_unknown_and_the_other_way_round() -> None:
    assert on(limit("voltage", "at least", Interval(1, None)), word("voltage", "high")).status == "unknown"
    assert on(limit("grade", "one of", ("A",)), number("grade", 1)).status == "unknown"


@pytest.mark.parametrize(("volts", "inside"), [(399.0, False), (400.0, True), (439.0, True)])
def test_a_breach_is_in_reach_when_all_of_it_lies_in_reach(volts: float, inside: bool) -> None:
    one = limit("voltage", "at least", Interval(440, None), reach=Interval(400, None))
    made = on(one, number("voltage", volts))
    assert (made.status, made.in_reach) == ("breach", inside)


def test_of_several_ratings_the_best_counts() -> None:
    one = limit("voltage", "at least", Interval(440, None))
    made = on(one, number("voltage", 400), number("voltage", 450), number("voltage", 430))
    assert (made.status, made.spare) == ("pass", 10)


def test_a_rating_under_another_qualifier_does_not_serve() -> None:
    one = limit("voltage", "at least", Interval(10, None), qualifier="hot")
    assert on(one, number("voltage", 20)).status == "unknown"
    assert on(one, number("voltage", 20, qualifier="hot")).status == "pass"
    assert on(one, number("voltage", 5, qualifier="hot"), number("voltage", 20)).status == "breach"


def test_a_worked_out_rating_never_proves_a_pass_on_safety_but_proves_a_breach() -> None:
    one = limit("voltage", "at least", Interval(440, None), weight="safety")
    assert on(one, number("voltage", 500, DERIVED)).status == "unknown"
    assert on(one, number("voltage", 400, DERIVED)).status == "breach"
    assert on(one, number("voltage", 500, measured("voltmeter"))).status == "pass"
    assert on(one, number("voltage", 500, DERIVED), number("voltage", 445)).status == "pass"
    assert (
        on(limit("voltage", "at least", Interval(440, None)), number("voltage", 500, DERIVED)).status
        == "pass"
    )


def test_a_worked_out_rating_is_no_doubt_between_two_of_the_same_thing() -> None:
    one = limit("voltage", "at least", Interval(400, None), weight="safety")
    spec = Spec("toy", (number("voltage", 400, DERIVED),))
    assert check(FAMILY, one, spec, same_thing=True).status == "pass"
    assert check(FAMILY, one, spec, same_thing=True, safety_function=True).status == "pass"
    assert check(FAMILY, one, spec, safety_function=True).status == "unknown"


def test_the_sentence_gives_the_unit_before_the_percent() -> None:
    made = on(limit("voltage", "at least", Interval(440, None)), number("voltage", 480))
    assert made.reason == "voltage 480 V, wanted: at least 440 V; to spare: 40 V (9.1 %)"
    made = on(limit("voltage", "at least", Interval(440, None)), number("voltage", 370))
    assert made.reason == "voltage 370 V, wanted: at least 440 V; misses by 70 V (16 %); it breaks"


def test_temperatures_have_a_distance_but_no_percent() -> None:
    made = on(limit("heat", "at least", Interval(343.15, None)), number("heat", 358.15))
    assert made.margin is None
    assert made.reason.endswith("wanted: at least 70 °C; to spare: 15 °C")


def test_rounding_in_the_last_places_breaks_no_limit() -> None:
    one = limit("charge", "at least", Interval(3e-6, None))
    made = on(one, number("charge", 0.1e-6 + 0.2e-6 + 2.7e-6 - 1e-21))
    assert (made.status, made.spare) == ("pass", 0.0)
