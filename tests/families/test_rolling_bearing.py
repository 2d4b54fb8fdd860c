"""Rolling bearing: what the old one and the place ask, each limit below, at and above; the traps of the trade."""

from __future__ import annotations

import tomllib
from math import pi
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.duty import Duty, checked
from partsdb.equivalence.cautions import cautions
from partsdb.equivalence.judge import in_place, judge
from partsdb.equivalence.ruling import ACCEPTED
from partsdb.families.rolling_bearing import FAMILY, designations
from partsdb.kit import checked as kit_checked
from partsdb.kit import requirement
from partsdb.model import Identification, KnownPart, Measured, Spec, Verdict, number, word
from partsdb.reading import identify, read
from partsdb.source import Source

RPM = 2 * pi / 60
MM = 1e-3
STATED = Source("box", "stated")
PLATES = tomllib.loads(
    (Path(__file__).parents[1] / "benchmarks/plates/rolling_bearing.toml").read_text("utf-8")
)["plate"]


def bearing(series: str, code: str, **facts: str | float) -> Spec:
    """A bearing by its designation, open, normal and straight unless said otherwise."""
    words = {"closure": "open", "clearance": "CN", "bore_shape": "cylindrical", **facts}
    values = [word("series", series), word("bore_code", code)]
    values += [
        word(k, v, STATED) if isinstance(v, str) else number(k, v, STATED)
        for k, v in words.items()
        if v != ""
    ]
    return Spec("rolling_bearing", tuple(values))


def verdict(old: Spec, new: Spec, duty: Duty | None = None, condition: str = "new", **how: bool) -> Verdict:
    duty = checked(duty or {})
    part = KnownPart("p", new, condition=condition)
    return judge(FAMILY, [requirement(FAMILY, old, duty)], part, duty, **how)


def decisive(found: Verdict) -> set[str]:
    return {c.limit.attribute for c in found.checks if c.status == "breach"}


def ball(**facts: str | float) -> Spec:
    """A 6206 with those marks."""
    return bearing("62", "06", **facts)


OLD = ball()
SWAP, WORK, TIME, NO = "straight swap", "fits with work", "temporary", "don't fit"
SIZE = {"bore", "outside", "width"}
ACCEPT_REJECT: list[tuple[str, Spec, Spec, str, set[str]]] = [
    ("the same bearing", OLD, OLD, SWAP, set()),
    ("a wider series of the same bore", OLD, bearing("63", "06"), NO, {"outside", "width"}),
    ("one bore code more is loose on the shaft", OLD, bearing("62", "07"), NO, SIZE),
    ("one bore code less doesn't go on", OLD, bearing("62", "05"), NO, SIZE),
    ("equal size, but self-aligning", OLD, bearing("12", "06"), TIME, {"type"}),
    ("equal size, angular contact carries one way only", OLD, bearing("72", "06"), NO, {"type"}),
    ("equal size, NU carries nothing endways", OLD, bearing("NU2", "06"), NO, {"type"}),
    ("deep groove where angular contact stood", bearing("72", "06"), OLD, NO, {"type"}),
    ("C3 where normal stood runs for a time", OLD, ball(clearance="C3"), TIME, {"clearance"}),
    ("C4 where normal stood", OLD, ball(clearance="C4"), NO, {"clearance"}),
    ("C2 where normal stood", OLD, ball(clearance="C2"), NO, {"clearance"}),
    ("C3 where C3 stood", ball(clearance="C3"), ball(clearance="C3"), SWAP, set()),
    ("normal where C3 stood", ball(clearance="C3"), OLD, NO, {"clearance"}),
    ("C4 where C3 stood", ball(clearance="C3"), ball(clearance="C4"), TIME, {"clearance"}),
    ("sealed where open stood: seals out", OLD, ball(closure="2RS"), WORK, {"closure"}),
    ("shields for open: shields out", OLD, ball(closure="2Z"), WORK, {"closure"}),
    ("open where sealed stood: a grease supply", ball(closure="2RS"), OLD, WORK, {"closure"}),
    ("shields where seals stood, if clean", ball(closure="2RS"), ball(closure="2Z"), TIME, {"closure"}),
    ("seals that don't rub where shields stood", ball(closure="2Z"), ball(closure="2RZ"), SWAP, set()),
    ("taper bore on a straight shaft", OLD, ball(bore_shape="K"), NO, {"bore_shape"}),
    ("straight bore on a sleeve", ball(bore_shape="K"), OLD, NO, {"bore_shape"}),
    ("P6 where P6 stood", ball(precision="P6"), ball(precision="P6"), SWAP, set()),
    ("P5 where P6 stood", ball(precision="P6"), ball(precision="P5"), SWAP, set()),
    ("normal where P6 stood", ball(precision="P6"), ball(precision="normal"), NO, {"precision"}),
    (
        "another contact angle",
        bearing("72", "06", contact_angle="40°"),
        bearing("72", "06", contact_angle="15°"),
        NO,
        {"contact_angle"},
    ),
    ("the same inch bearing", bearing("LJ", "1"), bearing("LJ", "1"), SWAP, set()),
]


@pytest.mark.parametrize(
    ("what", "old", "new", "outcome", "broken"), ACCEPT_REJECT, ids=[r[0] for r in ACCEPT_REJECT]
)
def test_accept_and_reject_table(what: str, old: Spec, new: Spec, outcome: str, broken: set[str]) -> None:
    found = verdict(old, new)
    assert found.outcome == outcome, [c.reason for c in found.checks]
    assert broken <= decisive(found)
    assert bool(broken) == bool(decisive(found))


def test_right_bore_but_wrong_clearance_and_seals_is_refused_for_its_clearance() -> None:
    found = verdict(ball(clearance="C3", closure="2RS"), ball(closure="open"))
    assert found.outcome == "don't fit"
    assert found.checks[0].limit.attribute == "clearance"
    assert found.checks[0].limit.weight == "safety"


def test_seals_where_open_stood_are_refused_for_shutting_grease_out_not_for_leaking() -> None:
    found = verdict(OLD, ball(closure="2RS"))
    reason = next(c.reason for c in found.checks if c.limit.attribute == "closure")
    assert "keep out the grease or oil that the housing gives" in reason


def test_a_ring_and_a_spacer_make_up_a_lighter_series_once_its_life_is_known() -> None:
    light = bearing("60", "05", dynamic_rating=11e3)
    duty: Duty = {
        "radial_load": 800.0,
        "axial_load": 0.0,
        "shaft_speed": 1500 * RPM,
        "wanted_life_hours": 10000.0,
    }
    found = verdict(bearing("62", "05"), light, duty)
    assert found.outcome == "fits with work", [c.reason for c in found.checks]
    texts = " ".join(c.text for c in found.changes)
    assert "ring for the housing, wall 2.5 mm" in texts
    assert "spacer ring 3 mm" in texts
    assert verdict(bearing("62", "05"), light).outcome == "don't fit"  # how strong it must be isn't known
    assert (
        verdict(bearing("62", "05"), bearing("60", "05"), duty).outcome == "don't fit"
    )  # how strong it is isn't


def test_a_ring_thinner_than_two_millimetres_is_not_offered() -> None:
    found = verdict(bearing("RLS", "8"), bearing("62", "05"))  # 57.15 in 52 leaves 2.6 mm, but 25 on 25.4 mm
    assert found.outcome == "don't fit"
    assert "bore" in decisive(found)


def test_unknown_clearance_of_the_old_one_is_asked_for_whatever_is_offered() -> None:
    for offered in ("C2", "CN", "C3", "C4"):
        found = verdict(ball(clearance=""), ball(clearance=offered))
        assert found.outcome == "can't say yet"
        assert [(q.about, q.weight) for q in found.questions] == [("clearance class", "safety")]


# what is forgotten of the old bearing (its number is gone as well, so that nothing follows from it), what is asked
SILENCES = [
    ("type", "type", "safety"),
    ("bore", "bore", "fit"),
    ("outside", "outside diameter", "fit"),
    ("width", "width", "fit"),
    ("closure", "seals", "function"),
    ("clearance", "clearance class", "safety"),
    ("bore_shape", "shape of the bore", "fit"),
]


@pytest.mark.parametrize(("forgotten", "about", "weight"), SILENCES, ids=[s[0] for s in SILENCES])
def test_what_nobody_knows_of_the_old_one_is_asked_for(forgotten: str, about: str, weight: str) -> None:
    known = FAMILY.complete(OLD).without("series", "bore_code")
    assert verdict(known, OLD).outcome == "straight swap"
    found = verdict(known.without(forgotten), OLD)
    assert found.outcome == "can't say yet"
    assert [(q.about, q.weight) for q in found.questions] == [(about, weight)]


def test_every_attribute_asked_for_stands_in_the_table_of_silences() -> None:
    silences = {a.name: a.silence for a in FAMILY.attributes}
    assert {name for name, s in silences.items() if s is not None and s.kind == "asked"} == {
        s[0] for s in SILENCES
    }
    assert {name: s.value for name, s in silences.items() if s is not None and s.kind == "taken"} == {
        "contact_angle": "30°",
        "precision": "normal",
    }


def test_a_bearing_whose_play_is_set_while_fitting_is_not_asked_for_its_clearance() -> None:
    for series in ("302", "72", "512"):
        old = bearing(series, "06", clearance="")
        assert verdict(old, old).outcome == "straight swap"


def test_an_angular_contact_number_without_a_letter_is_taken_for_thirty_degrees() -> None:
    unmarked = bearing("72", "06")
    limit = next(x for x in requirement(FAMILY, unmarked, {}).limits if x.attribute == "contact_angle")
    assert limit.accept == ("30°",) and limit.source.status == "common practice"
    assert verdict(unmarked, unmarked).outcome == "straight swap"
    assert verdict(unmarked, bearing("72", "06", contact_angle="40°")).outcome == "don't fit"
    assert "contact_angle" not in {x.attribute for x in requirement(FAMILY, OLD, {}).limits}


def test_unmarked_precision_is_normal_and_any_class_does() -> None:
    for offered in ("", "normal", "P5"):
        assert verdict(ball(precision=""), ball(precision=offered)).outcome == "straight swap"
    assert verdict(ball(precision="P6"), ball(precision="")).outcome == "can't say yet"


@pytest.mark.parametrize("offered", ["steel", "machined", "polyamide", ""])
def test_no_cage_is_asked_for_where_nothing_is_said_of_the_place(offered: str) -> None:
    assert verdict(ball(cage="steel"), ball(cage=offered)).outcome == "straight swap"
    told = FAMILY.after_fitting(FAMILY.complete(ball(cage=offered)), {})
    assert any("100 °C" in text for text in told) is (offered == "polyamide")


def test_a_hot_place_asks_for_the_cage_and_one_that_says_nothing_of_it_is_not_known_to_do() -> None:
    found = verdict(OLD, OLD, {"ambient": 273.15 + 110})
    assert found.outcome == "can't say yet"
    assert any("cage" in text for text in found.missing)


def test_rubbing_seals_stand_in_for_shields_only_where_the_speed_is_known_to_allow_it() -> None:
    old, new = ball(closure="2Z"), ball(closure="2RS")  # 30 mm x 5000 rpm = 150 000
    assert verdict(old, new, {"shaft_speed": 4000 * RPM}).outcome == "temporary"
    assert verdict(old, new).outcome == "don't fit"
    assert "where the speed is known" in next(
        c.reason for c in verdict(old, new).checks if c.status == "breach"
    )


def test_a_place_whose_seats_are_measured_needs_no_old_bearing_to_measure() -> None:
    known = FAMILY.complete(OLD).without("series", "bore_code", "bore", "outside")
    seats: Duty = {"shaft_diameter": 30.0 * MM, "housing_diameter": 62.01 * MM}
    assert verdict(known, OLD, seats).outcome == "straight swap"
    assert verdict(known, bearing("62", "07"), seats).outcome == "don't fit"


def test_a_sleeve_on_a_measured_journal_is_worked_out_from_the_journal() -> None:
    light = bearing("60", "07", dynamic_rating=11e3)  # 35 x 62 x 14 where 30 x 62 x 16 stood
    duty: Duty = {
        "radial_load": 800.0,
        "axial_load": 0.0,
        "shaft_speed": 1500 * RPM,
        "wanted_life_hours": 10000.0,
    }
    for shaft, wall in ((None, "2.5 mm"), (29.98, "2.51 mm")):
        place = duty if shaft is None else {**duty, "shaft_diameter": shaft * MM}
        found = verdict(OLD, light, place)
        assert found.outcome == "fits with work", [c.reason for c in found.checks]
        assert any(f"sleeve for the shaft, wall {wall}" in c.text for c in found.changes)


def test_the_terms_it_answers_are_those_its_rules_and_words_look_at() -> None:
    sizes = {"shaft_diameter", "housing_diameter"}
    loads = {"radial_load", "axial_load", "shaft_speed", "wanted_life_hours", "end"}
    assert FAMILY.answers == sizes | loads | {"ambient", "vibration", "fluid", "belt_count"}


def test_the_kit_finds_no_fault() -> None:
    assert kit_checked(FAMILY) is FAMILY


@pytest.mark.parametrize("attribute", ["clearance", "closure", "series"])
def test_what_nobody_knows_of_the_offered_one_is_never_in_its_favour(attribute: str) -> None:
    found = verdict(OLD, bearing("62", "06").without(attribute))
    assert found.outcome == "can't say yet"
    assert found.missing


# --------------------------------------------------------------------------- duty


LOADED: Duty = {
    "radial_load": 5000.0,
    "axial_load": 0.0,
    "shaft_speed": 1500 * RPM,
    "wanted_life_hours": 2400.0,
}


@pytest.mark.parametrize(
    ("rating", "outcome"),
    [(29.9e3, "temporary"), (30.0e3, "straight swap"), (30.1e3, "straight swap"), (10e3, "temporary")],
)
def test_dynamic_rating_below_at_and_above_what_the_wanted_life_needs(rating: float, outcome: str) -> None:
    # ISO 281: C = 30 kN, P = 5 kN, 1500 rpm gives 216 Mrev = 2400 h
    new = ball(dynamic_rating=rating)
    found = verdict(OLD, new, LOADED)
    assert found.outcome == outcome
    if outcome == "temporary":
        assert found.stated_hours is not None and found.life is not None and found.life.low is not None
        assert found.stated_hours < found.life.low < 2400


def test_rollers_too_lightly_loaded_are_told_so() -> None:
    old = bearing("NU2", "10", dynamic_rating=70e3)
    duty: Duty = {"radial_load": 1000.0, "axial_load": 0.0, "shaft_speed": 1500 * RPM}
    limit = next(x for x in requirement(FAMILY, old, duty).limits if x.kind == "at most")
    assert limit.accept.high == pytest.approx(50e3)  # type: ignore[union-attr]  # an interval by its kind
    assert "slide" in limit.breach
    assert (
        verdict(old, bearing("NU2", "10", dynamic_rating=50e3), duty).outcome == "temporary"
    )  # weaker than the old


def test_an_axial_load_turns_out_the_type_that_carries_none() -> None:
    found = in_place(FAMILY, bearing("NU2", "06"), {"end": "locating"})
    assert found.outcome == "don't fit"
    assert decisive(found) == {"type"}


def test_a_floating_end_without_axial_load_takes_the_other_roller_type_for_a_time() -> None:
    floating: Duty = {"end": "floating", "axial_load": 0.0}
    assert verdict(bearing("NU2", "06"), bearing("N2", "06"), floating).outcome == "temporary"
    assert verdict(OLD, bearing("NU2", "06"), floating).outcome == "temporary"
    assert verdict(OLD, bearing("NU2", "06"), {"end": "floating"}).outcome == "don't fit"


@pytest.mark.parametrize(("rpm", "passes"), [(4990, True), (5000, True), (5010, False)])
def test_rubbing_seals_below_at_and_above_the_speed_they_take(rpm: float, passes: bool) -> None:
    old = ball(closure="Z")  # 30 mm x 5000 rpm = 150 000
    limit = next(
        x
        for x in requirement(FAMILY, old, {"shaft_speed": rpm * RPM * (1 - 1e-9)}).limits
        if x.attribute == "closure"
    )
    assert isinstance(limit.reach, tuple)
    assert ("2RS" in limit.reach) is passes


def test_the_limiting_speed_is_asked_for_near_the_limit_of_cage_and_grease() -> None:
    def asked(rpm: float) -> list[str]:
        return [x.attribute for x in requirement(FAMILY, OLD, {"shaft_speed": rpm * RPM}).limits]

    assert "limiting_speed" not in asked(4100)
    assert "limiting_speed" in asked(4200)
    fast: Duty = {"shaft_speed": 4200 * RPM}
    assert verdict(OLD, OLD, fast).outcome == "can't say yet"
    for limiting, outcome in ((4190, "don't fit"), (4200, "straight swap"), (4210, "straight swap")):
        assert verdict(OLD, ball(limiting_speed=limiting * RPM), fast).outcome == outcome


@pytest.mark.parametrize(
    ("shaft", "outcome"),
    [
        (30.00, "straight swap"),
        (29.98, "straight swap"),
        (29.97, "fits with work"),
        (29.85, "don't fit"),
        (30.06, "don't fit"),
    ],
)
def test_the_measured_journal_decides_whether_the_ring_would_creep(shaft: float, outcome: str) -> None:
    assert verdict(OLD, OLD, {"shaft_diameter": shaft * MM}).outcome == outcome


@pytest.mark.parametrize(("housing", "outcome"), [(62.03, SWAP), (62.08, WORK), (62.2, NO), (61.97, NO)])
def test_the_measured_housing_decides_whether_the_outer_ring_would_creep(
    housing: float, outcome: str
) -> None:
    assert verdict(OLD, OLD, {"housing_diameter": housing * MM}).outcome == outcome


def test_a_polyamide_cage_is_refused_in_the_heat() -> None:
    hot: Duty = {"ambient": 273.15 + 110}
    assert verdict(OLD, ball(cage="polyamide"), hot).outcome == "don't fit"
    assert verdict(OLD, ball(cage="steel"), hot).outcome == "straight swap"
    assert verdict(OLD, ball(cage="polyamide"), {"ambient": 273.15 + 90}).outcome == "straight swap"


def test_a_place_that_protects_people_takes_no_stand_in() -> None:
    new = ball(clearance="C3")
    assert verdict(OLD, new, safety_function=True).outcome == "don't fit"
    assert verdict(OLD, OLD, safety_function=True).outcome == "straight swap"


def test_a_shelf_bearing_of_unknown_condition_is_tested_first() -> None:
    found = verdict(OLD, OLD, condition="unknown")
    assert found.outcome == "can't say yet"
    assert any("rust" in text for text in found.missing)


# --------------------------------------------------------------------------- what follows, what goes with it


def test_life_grows_by_the_cube_and_says_how_it_was_worked_out() -> None:
    assert FAMILY.life is not None
    full = FAMILY.complete(ball(dynamic_rating=30e3))
    life = FAMILY.life(full, LOADED)
    assert life.low == pytest.approx(2400)
    assert life.mid == pytest.approx(3.511 * 2400, rel=1e-3)
    assert "L10h" in life.text
    unknown = FAMILY.life(full, {"radial_load": 5000.0, "shaft_speed": 100.0})
    assert unknown.low is None  # the axial load isn't known


def test_designation_gives_type_and_sizes_and_never_overwrites_what_was_measured() -> None:
    full = FAMILY.complete(bearing("302", "07"))
    assert full.code("type") == "taper roller"
    assert [full.num(n) for n in ("bore", "outside", "width")] == pytest.approx([0.035, 0.072, 0.01825])
    assert full.first("width").source.status == "reproduction"  # type: ignore[union-attr]  # it is there
    measured = FAMILY.complete(bearing("302", "07").plus([number("width", 0.018)]))
    assert measured.all("width")[0].low == 0.018 and len(measured.all("width")) == 1


def test_no_pair_of_single_rows_is_as_narrow_as_the_double_row_it_would_stand_for() -> None:
    kinds = ("angular contact ball", "deep groove ball")
    single = {
        (round(s.bore, 6), round(s.outside, 6), s.width) for s in designations.sizes() if s.type in kinds
    }
    for double in (s for s in designations.sizes() if s.type == "double row angular contact ball"):
        same = [w for d, o, w in single if (d, o) == (round(double.bore, 6), round(double.outside, 6))]
        assert all(2 * w > double.width + 1 * MM for w in same if w > 0.6 * double.width)
    assert FAMILY.combinations == ()


def test_cautions_come_with_the_heat_a_ring_may_take() -> None:
    found = {c.hazard: c for c in cautions(FAMILY, bearing("62", "06"), {})}
    assert {"unguarded-rotation", "shaft-drops", "hot-ring", "greases-mixed"} <= set(found)
    figures = dict(found["hot-ring"].figures)
    assert figures["never above"].startswith("110 °C")
    sealed = {c.hazard: c for c in cautions(FAMILY, ball(closure="2RS"), {})}
    assert "greases-mixed" not in sealed and "burnt-seal" in sealed
    assert dict(sealed["hot-ring"].figures)["never above"].startswith("80 °C")


def test_after_fitting_names_seats_and_play_in_figures() -> None:
    text = "\n".join(FAMILY.after_fitting(FAMILY.complete(ball(clearance="C3")), {}))
    assert "30.002 to 30.011 mm" in text
    assert "62.000 to 62.030 mm" in text
    assert "13 to 28 µm" in text


def test_a_loose_journal_and_a_belt_raise_their_own_suspicion() -> None:
    full = FAMILY.complete(OLD)
    plain = {s.id: s.strength for s in FAMILY.suspects(full, {})}
    worn = {s.id: s.strength for s in FAMILY.suspects(full, {"shaft_diameter": 29.9 * MM, "belt_count": 3.0})}
    assert worn["seat-worn"] > plain["seat-worn"] and worn["belt-too-tight"] > plain["belt-too-tight"]
    assert all(s.ask and s.then for s in FAMILY.suspects(full, {}))


def test_titles_read_like_the_trade_writes_them() -> None:
    full = FAMILY.complete(ball(closure="2Z", clearance="C3"))
    assert FAMILY.title_of(full) == "6206-2Z/C3 deep groove ball bearing 30 × 62 × 16 mm"
    assert FAMILY.title_of(FAMILY.complete(bearing("NU2", "10"))).startswith("NU210 cylindrical roller")
    assert FAMILY.title_of(Spec("rolling_bearing")) == "rolling bearing, size not read"


def test_every_row_has_a_size_and_a_type() -> None:
    assert len(designations.sizes()) > 900
    for size in designations.sizes():
        assert 0 < size.bore < size.outside and 0 < size.width < size.outside
        assert size.type in designations.types()
    assert len({(s.series, s.bore_code) for s in designations.sizes()}) == len(designations.sizes())


def test_twelve_plates_name_attributes_and_words_of_this_family() -> None:
    assert len(PLATES) == 12
    for plate in PLATES:
        assert all(v in FAMILY.attribute(k).codes for k, v in plate["expect"].items())


# --------------------------------------------------------------------------- reading


def identified(texts: list[str], *measured: tuple[str, float]) -> Identification:
    seen = tuple(Measured(name, x * MM, 0.03 * MM) for name, x in measured)
    return identify(read(texts, seen), {FAMILY.name: FAMILY})


@pytest.mark.parametrize("plate", PLATES, ids=[" ".join(p["text"]) for p in PLATES])
def test_an_undamaged_ring_reads_as_typed(plate: dict[str, Any]) -> None:
    best = identified(plate["text"]).best
    assert best is not None
    assert {k: best.spec.code(k) for k in plate["expect"]} == plate["expect"]


@pytest.mark.parametrize(
    ("texts", "measured", "designation"),
    [
        (["6?06", "2Z C3"], [("outside", 62.0)], ("62", "06")),
        (["6?06", "2Z C3"], [("outside", 72.02)], ("63", "06")),
        (["...08"], [("bore", 40.0), ("width", 19.74)], ("302", "08")),
        (["?20?", "C3"], [("bore", 45.03), ("outside", 85.0)], ("62", "09")),
        (["NU ??0"], [("outside", 110.01)], ("NU3", "10")),
        (["62[08]6"], [("bore", 30.0)], ("62", "06")),
        (["LJ ..."], [("bore", 25.4)], ("LJ", "1")),
        (["511?6"], [("width", 11.0)], ("511", "06")),
    ],
)
def test_a_worn_number_and_calipers_settle_the_designation(
    texts: list[str], measured: list[tuple[str, float]], designation: tuple[str, str]
) -> None:
    best = identified(texts, *measured).best
    assert best is not None
    assert (best.spec.code("series"), best.spec.code("bore_code")) == designation


def test_calipers_alone_find_every_type_of_that_size_and_nothing_about_clearance() -> None:
    found = identified([], ("bore", 30.02), ("outside", 61.99), ("width", 16.0))
    sizes = {
        (h.spec.code("series"), h.spec.code("bore_code")) for h in found.hypotheses if h.probability > 0.02
    }
    assert {("62", "06"), ("72", "06"), ("NU2", "06"), ("12", "06")} <= sizes
    assert found.best is not None and found.best.spec.code("series") == "62"
    assert found.best.spec.code("clearance") is None


# --------------------------------------------------------------------------- laws

SIZES = st.sampled_from(designations.sizes())
WORDS = st.fixed_dictionaries(
    {
        "closure": st.sampled_from(list(FAMILY.attribute("closure").codes)),
        "clearance": st.sampled_from(list(FAMILY.attribute("clearance").codes)),
        "bore_shape": st.sampled_from(["cylindrical", "K"]),
        "precision": st.sampled_from(["normal", "P6", "P5"]),
    }
)


@settings(max_examples=50, deadline=None)
@given(SIZES, WORDS)
def test_every_bearing_is_a_straight_swap_for_itself(size: designations.Size, words: dict[str, str]) -> None:
    part = bearing(size.series, size.bore_code, **words)
    assert verdict(part, part).outcome == "straight swap"


@settings(max_examples=100, deadline=None)
@given(WORDS, WORDS, st.sampled_from(["closure", "clearance"]))
def test_forgetting_what_the_old_one_was_never_makes_a_refused_bearing_acceptable(
    was: dict[str, str], offered: dict[str, str], forgotten: str
) -> None:
    old, new = ball(**was), ball(**offered)
    if verdict(old, new).outcome == "don't fit":
        assert verdict(old.without(forgotten), new).outcome not in ACCEPTED


@settings(max_examples=50, deadline=None)
@given(SIZES)
def test_a_size_is_shown_no_surer_than_the_row_it_comes_from(size: designations.Size) -> None:
    asked = requirement(FAMILY, bearing(size.series, size.bore_code), {}).limits
    shown = {x.attribute: x.source for x in asked if x.attribute in ("bore", "outside", "width")}
    assert shown == dict.fromkeys(("bore", "outside", "width"), size.source)
