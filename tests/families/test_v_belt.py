"""The V-belt: what its marks say, what a drive asks, and which belts may run there. Each limit below, at and above."""

from __future__ import annotations

import math

import pytest

from partsdb.duty import Duty, checked
from partsdb.equivalence import cautions, combinations, judge
from partsdb.families.v_belt import FAMILY, drives
from partsdb.families.v_belt import geometry as belts
from partsdb.families.v_belt.sections import lengths, tolerance
from partsdb.intervals import Interval
from partsdb.kit import checked as kit_checked
from partsdb.kit import requirement
from partsdb.model import KnownPart, Limit, Spec, Verdict, number, word
from partsdb.quantities import to_si
from partsdb.source import PRACTICE
from support.belts import INCH, belt, derived, metric

B68 = belt("B", 68)
SET = belt("B", 68, number("count", 3))
DRIVE: Duty = checked(
    {
        "belt_count": 3.0,
        "driver_diameter": 0.125,
        "driven_diameter": 0.3,
        "centre_distance": 0.55,
        "take_up": 0.06,
        "shaft_speed": to_si(1450, "rpm"),
        "load_power": 3000.0,
        "starting": "inched or reversed",
        "hours_per_day": 8.0,
    }
)
ONE: Duty = {**DRIVE, "belt_count": 1.0, "load_power": 1500.0}


def verdict(part: Spec, duty: Duty = ONE, old: Spec = B68) -> Verdict:
    return judge(FAMILY, [requirement(FAMILY, old, duty)], KnownPart("p", part), duty)


def outcome(part: Spec, duty: Duty = ONE, old: Spec = B68) -> str:
    return verdict(part, duty, old).outcome


def limit(attribute: str, spec: Spec = B68, duty: Duty = ONE) -> Limit | None:
    found = [x for x in requirement(FAMILY, spec, duty).limits if x.attribute == attribute]
    return found[0] if found else None


# --------------------------------------------------------------------------- groove


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (belt("B", 68), belt("B", 68), "straight swap"),
        (belt("B", 68), belt("BX", 68), "straight swap"),
        (belt("B", 68), belt("A", 69), "don't fit"),  # sinks in the groove
        (belt("B", 68), belt("C", 67), "don't fit"),  # rides out of it
        (belt("B", 68), belt("5V", 710), "don't fit"),  # another groove angle and width
        (belt("A", 44), belt("3V", 460), "don't fit"),
        (belt("C", 75), belt("CX", 75), "straight swap"),
        (belt("SPB", 1775), belt("XPB", 1775), "straight swap"),
        (belt("3V", 600), belt("3VX", 600), "straight swap"),
    ],
)
def test_a_belt_must_sit_in_the_same_groove(old: Spec, new: Spec, expected: str) -> None:
    assert outcome(new, {}, old) == expected


def test_a_wedge_belt_in_a_classical_groove_fits_once_the_groove_was_measured() -> None:
    found = verdict(belt("SPB", 1775), {})
    assert found.outcome == "fits with work"
    assert any("measure the groove" in change.text and "13 mm" in change.text for change in found.changes)


def test_a_classical_belt_doesn_t_carry_what_a_wedge_belt_carried() -> None:
    found = verdict(belt("B", 68), {}, belt("SPB", 1775))
    assert found.outcome == "temporary"
    assert any("half the usual load" in condition for condition in found.conditions)


# --------------------------------------------------------------------------- length


def offered_at(datum: float) -> Spec:
    """A B belt whose datum length [m] is stated."""
    return Spec("v_belt", (word("section", "B"), number("datum_length", datum), number("count", 1)))


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (-1.001, "don't fit"),
        (-1.0, "straight swap"),
        (0.0, "straight swap"),
        (1.0, "straight swap"),
        (1.001, "don't fit"),
    ],
)
def test_without_rails_a_belt_may_differ_as_much_as_its_mark_allows(steps: float, expected: str) -> None:
    datum = derived(B68, "datum_length")
    duty = {k: v for k, v in ONE.items() if k != "take_up"}
    assert outcome(offered_at(datum + steps * tolerance(datum)[0]), duty) == expected


def test_a_breach_of_length_without_known_rails_asks_for_them() -> None:
    found = verdict(belt("B", 70), {})
    assert found.outcome == "don't fit"
    assert any("take_up" in check.reason for check in found.checks)


@pytest.mark.parametrize("end", ["short", "long"])
@pytest.mark.parametrize(
    ("inside", "expected"), [(1e-6, "fits with work"), (0.0, "fits with work"), (-1e-4, "don't fit")]
)
def test_rails_make_up_for_half_their_travel_each_way(end: str, inside: float, expected: str) -> None:
    centres = belts.centre_distance(derived(B68, "datum_length"), 0.3, 0.125)
    low, high = belts.lengths_within(centres, 0.3, 0.125, 0.03, 0.03)
    assert outcome(offered_at(low + inside if end == "short" else high - inside)) == expected


def test_the_change_says_how_far_and_which_way_the_rails_move() -> None:
    longer, shorter = verdict(belt("B", 70)), verdict(belt("B", 66))
    assert [longer.outcome, shorter.outcome] == ["fits with work"] * 2
    assert any("26 mm out" in change.text for change in longer.changes)
    assert any("26 mm in" in change.text for change in shorter.changes)


def test_travel_without_pulley_sizes_counts_as_in_the_steepest_usual_drive() -> None:
    duty: Duty = {"take_up": 0.06}  # pulleys of 4 : 1 that stand 0.7 (D + d) apart give nine tenths of it
    datum = derived(B68, "datum_length")
    assert outcome(offered_at(datum + 0.054), duty) == "fits with work"
    assert outcome(offered_at(datum + 0.0541), duty) == "don't fit"
    for steep in (ONE, {**ONE, "driver_diameter": 0.1, "driven_diameter": 0.4}):
        centres = drives.centres_for(datum, drives.drive_of(steep))
        known = drives.reach_of_rails(datum, steep)
        assert centres is not None and known is not None
        assert known[1] - datum > 0.054


def test_inch_and_metric_names_of_one_size_replace_each_other() -> None:
    assert outcome(metric("17X1727"), {}) == "straight swap"
    assert outcome(metric("17X1725"), {}) == "straight swap"
    assert outcome(metric("17X1700"), {}) == "don't fit"  # 17x1700 is 27 mm short


def test_narrow_belts_are_compared_at_the_outside_that_their_number_says() -> None:
    old = belt("5V", 800)
    length = limit("outside_length", old, {})
    assert length is not None
    assert length.accept == Interval(80 * INCH - 0.7 * INCH, 80 * INCH + 0.7 * INCH)
    assert limit("datum_length", old, {}) is None
    near = {"take_up": 0.06}
    assert outcome(belt("5VX", 800), near, old) == "straight swap"
    moved = verdict(belt("5V", 815), near, old)
    assert moved.outcome == "fits with work"
    assert any("19 mm out" in change.text for change in moved.changes)


def test_a_belt_number_is_not_compared_across_systems() -> None:
    assert outcome(belt("A", 46), {}, belt("4L", 460)) == "don't fit"  # 46 inside is 48 outside
    assert outcome(belt("A", 44), {}, belt("4L", 460)) == "straight swap"


# --------------------------------------------------------------------------- power


def test_a_light_duty_belt_is_no_a_for_power() -> None:
    found = verdict(belt("4L", 460), {}, belt("A", 44))
    assert found.outcome == "temporary"
    assert found.stated_hours is None
    assert any("attended" in condition for condition in found.conditions)


@pytest.mark.parametrize(
    ("watts", "expected"), [(744.0, "fits with work"), (745.69, "fits with work"), (747.0, "temporary")]
)
def test_up_to_one_horsepower_a_belt_a_light_duty_belt_carries_it(watts: float, expected: str) -> None:
    # plain start, eight hours, heavy class: service factor 1.2
    duty: Duty = {"load_power": watts / 1.2, "starting": "plain", "hours_per_day": 8.0}
    assert outcome(belt("4L", 460), duty, belt("A", 44)) == expected


def test_a_classical_set_may_follow_wedge_belts_where_it_carries_the_load() -> None:
    light = {**ONE, "load_power": 1200.0}
    heavy = {**ONE, "load_power": 6000.0}
    assert limit("capacity", belt("SPB", 1775), light) != limit("capacity", belt("SPB", 1775), heavy)
    carries = limit("capacity", belt("SPB", 1775), light)
    assert carries is not None
    assert carries.accept == ("classical", "cogged or wedge", "cogged wedge")
    assert "1 × B carry" in carries.follows_from
    needs = limit("capacity", belt("SPB", 1775), heavy)
    assert needs is not None
    assert needs.accept == ("cogged or wedge", "cogged wedge")


def test_an_unknown_start_counts_as_a_hard_one_and_an_unknown_day_as_the_whole() -> None:
    told = limit("capacity", belt("A", 44), {"load_power": 500.0, "starting": "plain", "hours_per_day": 8.0})
    untold = limit("capacity", belt("A", 44), {"load_power": 500.0})
    assert told is not None
    assert untold is not None
    assert told.accept == ("light duty", "classical", "cogged or wedge", "cogged wedge")
    assert untold.accept == (
        "classical",
        "cogged or wedge",
        "cogged wedge",
    )  # 500 W × 1.6 is above one horsepower


# --------------------------------------------------------------------------- sets


@pytest.mark.parametrize(
    ("count", "expected"), [(2, "don't fit"), (3, "straight swap"), (4, "straight swap")]
)
def test_a_set_must_have_as_many_belts_as_the_drive(count: int, expected: str) -> None:
    assert outcome(belt("B", 68, number("count", count)), DRIVE) == expected


def test_single_belts_fit_only_together() -> None:
    found = verdict(B68, DRIVE)
    assert found.outcome == "fits with work"
    assert any("fit 3 of them at once" in change.text for change in found.changes)
    assert FAMILY.pieces(B68, DRIVE) == 3
    assert FAMILY.pieces(SET, {}) == 3
    assert FAMILY.pieces(B68, {}) == 1


def shelf(*pieces: tuple[str, Spec, int]) -> list[KnownPart]:
    return [KnownPart(id_, spec, quantity=n, condition="new") for id_, spec, n in pieces]


def sets_from(parts: list[KnownPart], duty: Duty = DRIVE) -> tuple[Verdict, ...]:
    return combinations(FAMILY, [requirement(FAMILY, B68, duty)], parts, duty, even_if_one_does=True)


def test_belts_of_one_match_number_make_a_set() -> None:
    fifty = belt("B", 68, number("match", 50))
    found = sets_from(shelf(("a", fifty, 1), ("b", fifty, 2)))
    assert [(v.outcome, sorted(v.parts)) for v in found] == [("fits with work", ["a", "b", "b"])]
    assert not any("measure the outside length" in change.text for change in found[0].changes)
    assert "never unmatched" in found[0].wiring.lower()


def test_belts_without_match_numbers_are_measured_first() -> None:
    found = sets_from(shelf(("a", B68, 3)))
    assert [v.outcome for v in found] == ["fits with work"]
    assert any("7.6 mm" in change.text for change in found[0].changes)


@pytest.mark.parametrize(
    "odd",
    [
        belt("B", 68, number("match", 52)),  # another match number
        belt("BX", 68, number("match", 50)),  # wrapped with cogged
        belt("B", 67, number("match", 50)),  # another length
        belt("5L", 710, number("match", 50)),
    ],
)
def test_one_odd_belt_never_makes_up_a_set(odd: Spec) -> None:
    fifty = belt("B", 68, number("match", 50))
    assert sets_from(shelf(("a", fifty, 2), ("odd", odd, 1))) == ()


def test_too_few_belts_make_no_set() -> None:
    assert sets_from(shelf(("a", belt("B", 68, number("match", 50)), 2))) == ()


# --------------------------------------------------------------------------- pulley, speed, rubber


@pytest.mark.parametrize(("small", "allowed"), [(0.130, 0.130), (0.125, 0.125), (0.115, 0.125)])
def test_a_belt_may_be_as_stiff_as_the_pulley_or_the_old_belt_allows(small: float, allowed: float) -> None:
    found = limit("least_pulley", B68, {"driver_diameter": small, "driven_diameter": 0.3})
    assert found is not None
    assert found.weight == "life"
    assert isinstance(found.accept, Interval)
    assert found.accept.high == pytest.approx(allowed)


def test_a_stiffer_belt_on_a_small_pulley_is_only_for_a_time() -> None:
    assert outcome(belt("SPB", 1775)) == "temporary"  # 140 mm wanted, 125 mm there
    assert outcome(belt("SPB", 1775), {**ONE, "driver_diameter": 0.14}) == "fits with work"


def at_speed(metres: float) -> Duty:
    """A duty with that belt speed [m/s] on a 200 mm pulley."""
    return {"driver_diameter": 0.2, "shaft_speed": metres / 0.1}


@pytest.mark.parametrize(
    ("speed", "expected"), [(25.0, "straight swap"), (29.9, "fits with work"), (30.1, "don't fit")]
)
def test_a_classical_belt_lifts_out_above_thirty_metres_a_second(speed: float, expected: str) -> None:
    old = belt("B", 68)
    assert outcome(old, at_speed(speed), old) == expected


def test_an_antistatic_belt_is_replaced_by_an_antistatic_belt_only() -> None:
    old = belt("B", 68, word("finish", "antistatic"))
    assert outcome(old, {}, old) == "straight swap"
    assert outcome(belt("B", 68, word("finish", "oil and heat")), {}, old) == "don't fit"
    unknown = verdict(B68, {}, old)
    assert unknown.outcome == "can't say yet"
    assert any("rubber" in fact for fact in unknown.missing)


# --------------------------------------------------------------------------- cautions, causes, figures


def test_guard_stored_energy_and_nip_are_always_named() -> None:
    assert {c.hazard for c in cautions(FAMILY, B68, {})} == {"unguarded rotation", "stored energy", "nip"}


@pytest.mark.parametrize(("speed", "word_"), [(33.0, "within"), (33.03, "above")])
def test_rim_speed_is_shown_against_what_cast_iron_stands(speed: float, word_: str) -> None:
    found = next(c for c in cautions(FAMILY, B68, at_speed(speed)) if c.hazard == "unguarded rotation")
    assert word_ in dict(found.figures)["usual limit of cast-iron pulleys"]


def test_inching_makes_a_slack_belt_and_a_known_overload_makes_overload_the_first_suspect() -> None:
    def strengths(duty: Duty) -> dict[str, float]:
        return {s.id: s.strength for s in FAMILY.suspects(FAMILY.complete(B68), duty)}

    assert strengths({"starting": "often"})["slack-belt"] > strengths({"starting": "plain"})["slack-belt"]
    over = strengths({**ONE, "load_power": 10_000.0})
    assert max(over, key=lambda name: over[name]) == "belt-overload"


def test_after_fitting_gives_deflection_and_centre_distance_for_this_drive() -> None:
    centres = belts.centre_distance(derived(B68, "datum_length"), 0.3, 0.125)
    span = belts.span_length(centres, 0.3, 0.125)
    texts = FAMILY.after_fitting(FAMILY.complete(B68), DRIVE)
    assert any(f"{span / 64 * 1000:.1f} mm" in text and "1/64" in text for text in texts)
    assert any(f"{centres * 1000:.1f} mm" in text for text in texts)
    assert any("1/64" in text for text in FAMILY.after_fitting(FAMILY.complete(B68), {}))


def test_a_belt_from_the_drawer_is_bent_and_measured() -> None:
    texts = FAMILY.shelf_test(FAMILY.complete(B68), DRIVE)
    assert any("no cracks" in text for text in texts)
    assert any("1821 mm is stretched" in text for text in texts)  # 1803 mm + 0.7 in
    assert any("7.6 mm" in text for text in texts)


def test_life_is_known_only_where_rating_and_load_are_and_halves_every_ten_degrees_above_sixty() -> None:
    assert FAMILY.life is not None
    spec = FAMILY.complete(B68)
    cool = FAMILY.life(spec, ONE)
    hot = FAMILY.life(spec, {**ONE, "ambient": to_si(80, "°C")})
    assert cool.mid is not None
    assert hot.mid == pytest.approx(cool.mid / 4)
    assert FAMILY.life(spec, {}).mid is None
    assert FAMILY.life(spec, {**ONE, "load_power": 50_000.0}).mid is None
    assert FAMILY.life(FAMILY.complete(belt("4L", 460)), ONE).mid is None


def test_every_duty_asked_for_is_in_the_vocabulary() -> None:
    assert checked(dict.fromkeys(FAMILY.ask, 1.0))


def test_every_belt_that_is_made_has_its_lengths() -> None:
    for row in FAMILY.fields[0].rows[::17]:
        values = dict(zip(FAMILY.fields[0].attributes, row.values, strict=True))
        section, nominal = values["section"], values["length"]
        assert isinstance(section, str)
        assert isinstance(nominal, float)
        datum = derived(Spec("v_belt", (word("section", section), number("length", nominal))), "datum_length")
        assert abs(datum - nominal) < 0.13
        assert math.isfinite(lengths("B", "inside inch", nominal).outside)


@pytest.mark.parametrize(
    ("quantity", "expected"), [(1, "don't fit"), (2, "don't fit"), (3, "fits with work")]
)
def test_a_drawer_with_fewer_belts_than_grooves_doesn_t_do(quantity: int, expected: str) -> None:
    drawer = KnownPart("drawer", B68, quantity=quantity, condition="new")
    found = judge(FAMILY, [requirement(FAMILY, B68, DRIVE)], drawer, DRIVE)
    assert found.outcome == expected


def test_a_set_in_the_drawer_counts_as_its_belts() -> None:
    drawer = KnownPart("drawer", SET, quantity=1, condition="new")
    assert judge(FAMILY, [requirement(FAMILY, B68, DRIVE)], drawer, DRIVE).outcome == "straight swap"


def test_belts_lying_apart_in_the_drawer_are_found_as_a_set() -> None:
    fifty = belt("B", 68, number("match", 50))
    apart = shelf(("a", fifty, 1), ("b", fifty, 1), ("c", fifty, 1))
    found = combinations(FAMILY, [requirement(FAMILY, B68, DRIVE)], apart, DRIVE)
    assert [v.parts for v in found] == [("a", "b", "c")]


# --------------------------------------------------------------------------- what nobody says


def said(section: str | None, **metres: float) -> Spec:
    """A belt known by its values alone, so that nothing follows from a number on it."""
    values = [number(name, x) for name, x in metres.items()]
    return Spec("v_belt", (*values, *([word("section", section)] if section else [])))


OVERLOADED: Duty = {**{k: v for k, v in DRIVE.items() if k != "belt_count"}, "load_power": 9000.0}


@pytest.mark.parametrize(
    ("old", "duty", "asked", "how"),
    [
        (said(None, datum_length=1.7729), {}, "section", "calipers"),
        (said(None, outside_length=1.803, top_width=0.0165, height=0.011), {}, "section", "calipers"),
        (said("B"), {}, "datum length", "tape"),
        (said("5V", datum_length=2.02), {}, "outside length", "tape"),
        (Spec("v_belt"), {}, "section", "calipers"),
        (Spec("v_belt"), {}, "datum length", "tape"),
        (B68, OVERLOADED, "number of belts in the drive", "count the grooves"),
        (B68, {**ONE, "driven_diameter": 0.9}, "size of the pulleys", "measure both"),
    ],
)
def test_what_decides_and_nobody_says_is_asked(old: Spec, duty: Duty, asked: str, how: str) -> None:
    found = verdict(belt("5V", 800) if old.code("section") == "5V" else B68, duty, old)
    assert found.outcome == "can't say yet"
    assert any(q.about == asked and how in q.ask for q in found.questions)
    assert any(asked in fact for fact in found.missing)


def test_a_tape_round_the_old_belt_answers_for_its_length() -> None:
    taped = said("B", outside_length=71 * INCH)
    assert derived(taped, "datum_length") == pytest.approx(69.8 * INCH)
    assert outcome(B68, {}, taped) == "straight swap"
    assert outcome(belt("B", 70), {}, taped) == "don't fit"


@pytest.mark.parametrize("duty", [{}, {"belt_count": 1.0}])
def test_a_belt_that_no_set_is_named_for_stood_alone_and_that_is_said(duty: Duty) -> None:
    assert outcome(B68, duty) == "straight swap"
    alone = limit("count", B68, duty)
    assert alone is not None
    assert alone.accept == Interval(1.0, None)
    assert ("taken as 1" in alone.follows_from) == (not duty)
    assert (alone.source == PRACTICE) == (not duty)


def test_a_load_that_one_belt_carries_asks_for_no_set() -> None:
    light = {**OVERLOADED, "load_power": 1200.0}
    assert not requirement(FAMILY, B68, light).questions
    assert not any(q.about.startswith("number") for q in requirement(FAMILY, B68, DRIVE).questions)


def test_belts_that_nobody_counted_on_the_drive_share_no_load() -> None:
    light: Duty = {"load_power": 1500.0, "starting": "plain", "hours_per_day": 8.0}
    a_set = belt("A", 44, number("count", 3))
    counted, assumed = limit("capacity", a_set, {**light, "belt_count": 3.0}), limit("capacity", a_set, light)
    assert counted is not None and assumed is not None
    assert isinstance(counted.accept, tuple) and isinstance(assumed.accept, tuple)
    assert (counted.accept[0], assumed.accept[0]) == ("light duty", "classical")


def test_an_unknown_start_counts_as_a_reversing_one() -> None:
    assert drives.design_power({"load_power": 1000.0, "hours_per_day": 8.0}) == pytest.approx(
        1000 * 1.4 * 1.2
    )
    assert drives.design_power({"load_power": 1000.0, "hours_per_day": 8.0, "starting": "often"}) == 1400.0


def test_a_rubber_that_nothing_is_said_of_is_plain_and_any_rubber_follows_it() -> None:
    for finish in ("antistatic", "oil and heat"):
        assert outcome(belt("B", 68, word("finish", finish)), {}) == "straight swap"
    oily = belt("B", 68, word("finish", "oil and heat"))
    assert outcome(B68, {}, oily) == "straight swap"
    assert limit("finish", B68, {}) is None


def test_the_speed_of_a_wedge_belt_is_asked_for_and_stops_nothing() -> None:
    old = belt("SPB", 1775)
    found = verdict(old, {}, old)
    assert found.outcome == "straight swap"
    assert [(q.about, q.weight) for q in found.questions] == [("belt speed", "life")]
    assert not verdict(old, at_speed(20), old).questions


def test_no_part_settles_what_is_asked_of_the_old_one() -> None:
    found = verdict(belt("B", 68, number("count", 3), word("finish", "antistatic")), {}, said("B"))
    assert found.outcome == "can't say yet"


def test_the_family_contradicts_itself_nowhere() -> None:
    assert kit_checked(FAMILY) is FAMILY
