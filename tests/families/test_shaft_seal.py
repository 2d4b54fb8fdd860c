"""Shaft seal: what the metal, the fluid and the shaft ask, each limit below, at and above; the traps of the trade."""

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
from partsdb.families.shaft_seal import FAMILY
from partsdb.families.shaft_seal.figures import materials
from partsdb.kit import faults, requirement
from partsdb.model import Identification, KnownPart, Measured, Spec, Verdict, number, word
from partsdb.quantities import parse
from partsdb.reading import identify, read
from partsdb.source import Source

RPM = 2 * pi / 60
MM = 1e-3
STATED = Source("box", "stated")
SWAP, WORK, TIME, NO, UNSURE = "straight swap", "fits with work", "temporary", "don't fit", "can't say yet"
PLATES = tomllib.loads((Path(__file__).parents[1] / "benchmarks/plates/shaft_seal.toml").read_text("utf-8"))[
    "plate"
]
SIZES: list[tuple[float, float, float]] = [row.values for row in FAMILY.fields[0].rows]  # type: ignore[misc]  # numbers all


def celsius(t: float) -> float:
    return t + 273.15


def seal(shaft: float = 30, bore: float = 52, width: float = 7, **facts: str | float) -> Spec:
    """A seal by its size in millimetres: rubber-covered with dust lip, nitrile, plain, unless said otherwise."""
    size = {"shaft": shaft * MM, "bore": bore * MM, "width": width * MM}
    words = {"material": "NBR", "design": "AS", "helix": "none", **facts}
    values = [number(k, v, STATED) for k, v in size.items()]
    values += [
        word(k, v, STATED) if isinstance(v, str) else number(k, v, STATED)
        for k, v in words.items()
        if v != ""
    ]
    return Spec("shaft_seal", tuple(values))


def verdict(old: Spec, new: Spec, duty: Duty | None = None, condition: str = "new", **how: bool) -> Verdict:
    duty = checked(duty or {})
    return judge(
        FAMILY, [requirement(FAMILY, old, duty)], KnownPart("p", new, condition=condition), duty, **how
    )


def breaches(found: Verdict) -> set[str]:
    return {c.limit.attribute for c in found.checks if c.status == "breach"}


OLD = seal()
ACCEPT_REJECT: list[tuple[str, Spec, Spec, str, set[str]]] = [
    ("the same seal", OLD, OLD, SWAP, set()),
    ("a shaft size less", OLD, seal(28), NO, {"shaft"}),
    ("a shaft size more leaves no wall for a sleeve", OLD, seal(32), NO, {"shaft"}),
    ("a shaft five millimetres more: a sleeve", OLD, seal(35), WORK, {"shaft"}),
    ("a bore size less leaves no wall for a ring", seal(30, 50), seal(30, 47), NO, {"bore"}),
    ("a bore five millimetres less: a ring", OLD, seal(30, 47), WORK, {"bore"}),
    ("a bore size more doesn't go in", OLD, seal(30, 55), NO, {"bore"}),
    ("a wider seal stands proud", OLD, seal(30, 52, 10), NO, {"width"}),
    ("a narrower seal, set flush", seal(30, 52, 10), OLD, WORK, {"width"}),
    ("a seal of less than half the width", seal(30, 52, 12), OLD, NO, {"width"}),
    ("rubber-covered for metal", seal(design="B"), seal(design="A"), SWAP, set()),
    ("metal for rubber-covered: sealant", seal(design="A"), seal(design="B"), WORK, {"design"}),
    ("a dust lip more", seal(design="A"), seal(design="AS"), SWAP, set()),
    ("a dust lip less, where it stays clean", OLD, seal(design="A"), TIME, {"design"}),
    ("FKM for NBR while the cold isn't known", OLD, seal(material="FKM"), NO, {"material"}),
    ("NBR for FKM", seal(material="FKM"), OLD, NO, {"material"}),
    ("NBR for leather: the shaft polished", seal(material="leather"), OLD, WORK, {"material"}),
    ("leather for leather", seal(material="leather"), seal(material="leather"), SWAP, set()),
    ("leather for NBR", OLD, seal(material="leather"), NO, {"material"}),
    ("PTFE covers everything NBR bears", OLD, seal(material="PTFE"), SWAP, set()),
    ("one-way ribs where none were", OLD, seal(helix="right"), NO, {"helix"}),
    ("the same one-way ribs", seal(helix="right"), seal(helix="right"), SWAP, set()),
    ("the other hand", seal(helix="right"), seal(helix="left"), NO, {"helix"}),
    ("a plain lip for one-way ribs", seal(helix="right"), OLD, SWAP, set()),
    ("1 inch is not 25 mm", seal(25.4, 50.8, 9.525), seal(25, 52, 10), NO, {"shaft", "bore", "width"}),
]


@pytest.mark.parametrize(
    ("what", "old", "new", "outcome", "broken"), ACCEPT_REJECT, ids=[r[0] for r in ACCEPT_REJECT]
)
def test_accept_and_reject_table(what: str, old: Spec, new: Spec, outcome: str, broken: set[str]) -> None:
    found = verdict(old, new)
    assert found.outcome == outcome, [c.reason for c in found.checks]
    assert breaches(found) == broken


# --------------------------------------------------------------------------- duty: the metal


@pytest.mark.parametrize(
    ("shaft", "outcome"),
    [
        (30.06, NO),
        (30.05, SWAP),
        (30.00, SWAP),
        (29.87, SWAP),
        (29.80, WORK),
        (29.40, WORK),
        (29.20, NO),
        (25.0, WORK),
    ],
)
def test_the_measured_shaft_decides_below_at_and_above_its_tolerance(shaft: float, outcome: str) -> None:
    assert verdict(OLD, OLD, {"shaft_diameter": shaft * MM}).outcome == outcome


@pytest.mark.parametrize(
    ("housing", "outcome"),
    [(51.96, NO), (51.98, SWAP), (52.00, SWAP), (52.07, SWAP), (52.10, NO), (57.0, WORK)],
)
def test_the_measured_housing_decides_below_at_and_above_its_tolerance(housing: float, outcome: str) -> None:
    assert verdict(OLD, OLD, {"housing_diameter": housing * MM}).outcome == outcome


def test_the_metal_outweighs_the_size_of_the_old_seal() -> None:
    wrong_old = seal(28, 52, 7)
    duty: Duty = {"shaft_diameter": 29.95 * MM}
    assert verdict(wrong_old, OLD, duty).outcome == SWAP
    assert in_place(FAMILY, wrong_old, duty).outcome == NO


@pytest.mark.parametrize(("depth", "outcome"), [(9.7, NO), (9.8, SWAP), (12.0, SWAP)])
def test_a_wider_seal_needs_the_depth_for_it(depth: float, outcome: str) -> None:
    assert verdict(OLD, seal(30, 52, 10), {"housing_depth": depth * MM}).outcome == outcome


def test_an_unknown_seat_says_what_to_measure() -> None:
    found = verdict(OLD.without("shaft"), OLD)
    assert found.outcome == UNSURE
    assert any("shaft diameter: measure it" in text for text in found.missing)


@pytest.mark.parametrize(
    ("groove", "outcome", "cure"),
    [("none", SWAP, ""), ("light", WORK, "spacer ring"), ("deep", WORK, "repair sleeve for 30 mm")],
)
def test_a_grooved_shaft_needs_more_than_the_right_seal(groove: str, outcome: str, cure: str) -> None:
    found = verdict(OLD, OLD, {"shaft_groove": groove})
    assert found.outcome == outcome
    assert cure in " ".join(c.text for c in found.changes)


# --------------------------------------------------------------------------- duty: fluid, heat, speed, pressure


@pytest.mark.parametrize(
    ("material", "heat", "outcome"),
    [
        ("NBR", 99, SWAP),
        ("NBR", 100, SWAP),
        ("NBR", 101, TIME),
        ("NBR", 121, NO),
        ("FKM", 150, SWAP),
        ("FKM", 200, SWAP),
        ("FKM", 221, NO),
    ],
)
def test_lip_material_below_at_and_above_its_temperature(material: str, heat: float, outcome: str) -> None:
    duty: Duty = {"fluid": "mineral oil", "fluid_temperature": celsius(heat)}
    assert verdict(OLD, seal(material=material), duty).outcome == outcome


@pytest.mark.parametrize(
    ("material", "fluid", "outcome"),
    [
        ("NBR", "grease", SWAP),
        ("NBR", "synthetic oil", NO),
        ("FKM", "synthetic oil", SWAP),
        ("FKM", "water", NO),
        ("VMQ", "grease", NO),
    ],
)
def test_lip_material_by_fluid(material: str, fluid: str, outcome: str) -> None:
    duty: Duty = {"fluid": fluid, "fluid_temperature": celsius(60)}
    assert verdict(OLD, seal(material=material), duty).outcome == outcome


def test_a_fluid_nobody_named_asks_for_the_makers_word() -> None:
    found = verdict(OLD, OLD, {"fluid": "other"})
    assert found.outcome == UNSURE
    assert any("maker" in text for text in found.missing)
    assert verdict(seal(material=""), OLD).outcome == UNSURE


@pytest.mark.parametrize(("rpm", "outcome"), [(7600, SWAP), (7639, SWAP), (7650, TIME), (9560, NO)])
def test_lip_speed_below_at_and_above_what_nitrile_bears_in_oil(rpm: float, outcome: str) -> None:
    # pi x 30 mm x 7639.4 rpm = 12 m/s
    duty: Duty = {"fluid": "mineral oil", "fluid_temperature": celsius(60), "shaft_speed": rpm * RPM}
    assert verdict(seal(design="AS"), seal(design="AS"), duty).outcome == outcome


def test_lip_speed_says_how_much_is_to_spare() -> None:
    duty: Duty = {"fluid": "mineral oil", "fluid_temperature": celsius(60), "shaft_speed": 1500 * RPM}
    check = next(c for c in verdict(OLD, OLD, duty).checks if c.limit.attribute == "lip_speed")
    assert check.spare == pytest.approx(12 - 2.356, abs=1e-3)
    grease = verdict(OLD, OLD, {**duty, "fluid": "grease"})
    check = next(c for c in grease.checks if c.limit.attribute == "lip_speed")
    assert check.spare == pytest.approx(12 - 2 * 2.356, abs=1e-3)


def test_a_dust_lip_is_not_added_where_the_shaft_is_fast() -> None:
    fast: Duty = {"shaft_speed": 5200 * RPM, "fluid": "mineral oil", "fluid_temperature": celsius(60)}
    assert verdict(seal(design="A"), seal(design="AS"), fast).outcome == NO
    assert verdict(seal(design="A"), seal(design="A"), fast).outcome == SWAP
    slower: Duty = {**fast, "shaft_speed": 5000 * RPM}  # 7.85 m/s, the table says 8
    assert verdict(seal(design="A"), seal(design="AS"), slower).outcome == SWAP


@pytest.mark.parametrize(
    ("bar", "stated", "outcome"),
    [(0.5, None, SWAP), (0.51, None, UNSURE), (3.0, 2.9, NO), (3.0, 3.0, SWAP), (3.0, 3.1, SWAP)],
)
def test_pressure_below_at_and_above_what_a_standard_lip_bears(
    bar: float, stated: float | None, outcome: str
) -> None:
    new = OLD if stated is None else seal(pressure_max=stated * 1e5)
    assert verdict(OLD, new, {"pressure": bar * 1e5, "shaft_speed": 1000 * RPM}).outcome == outcome


def test_at_an_unknown_or_high_speed_a_standard_lip_bears_less_pressure() -> None:
    assert verdict(OLD, OLD, {"pressure": 0.2e5}).outcome == SWAP
    assert verdict(OLD, OLD, {"pressure": 0.3e5}).outcome == UNSURE


@pytest.mark.parametrize(("rotation", "outcome"), [("both ways", NO), ("one way", SWAP)])
def test_one_way_ribs_are_refused_on_a_reversing_shaft(rotation: str, outcome: str) -> None:
    ribbed = seal(helix="left")
    assert verdict(ribbed, ribbed, {"rotation": rotation}).outcome == outcome
    assert verdict(ribbed, seal(helix="both"), {"rotation": rotation}).outcome == SWAP


def test_an_unmarked_lip_is_taken_for_plain_but_looked_at_first() -> None:
    found = verdict(seal(helix="right"), seal(helix=""))
    assert found.outcome == WORK
    assert any("ribs of the lip" in c.text for c in found.changes)


@pytest.mark.parametrize("attribute", ["shaft", "bore", "width", "material", "design"])
def test_what_nobody_knows_of_the_offered_one_is_never_in_its_favour(attribute: str) -> None:
    assert verdict(OLD, OLD.without(attribute)).outcome == UNSURE


# --------------------------------------------------------------------------- what nobody says

OIL: Duty = {"fluid": "mineral oil", "fluid_temperature": celsius(60), "shaft_speed": 1500 * RPM}
BIG = seal(60, 80, 8)
SILENCES: list[tuple[str, Spec, Spec, Duty, str, str]] = [
    ("the shaft", OLD.without("shaft"), OLD, {}, UNSURE, "shaft diameter"),
    ("the bore", OLD.without("bore"), OLD, {}, UNSURE, "housing bore"),
    ("the width", OLD.without("width"), OLD, {}, UNSURE, "width"),
    ("the lip and what it keeps in", seal(material=""), OLD, {}, UNSURE, "lip material"),
    ("the lip and the heat", seal(material=""), OLD, {"fluid": "mineral oil"}, UNSURE, "lip material"),
    ("the lip, of a known duty: was it leather?", seal(material=""), OLD, OIL, WORK, "lip material"),
    ("what a named fluid does", OLD, OLD, {"fluid": "other"}, UNSURE, "what the lip bears"),
    ("the type: the strictest does", seal(design=""), OLD, {}, SWAP, ""),
    ("the type: another is no swap", seal(design=""), seal(design="A"), {}, TIME, ""),
    ("the type, on a shaft that may be fast", seal(60, 80, 8, design=""), BIG, {}, UNSURE, "type"),
    ("the type, on a slow shaft", seal(60, 80, 8, design=""), BIG, {"shaft_speed": 700 * RPM}, SWAP, ""),
    ("the speed of a big shaft without a dust lip", seal(60, 80, 8, design="A"), BIG, {}, NO, ""),
    ("the speed of a big shaft with one", BIG, BIG, {}, SWAP, ""),
    ("the ribs: a plain lip", OLD.without("helix"), OLD, {}, SWAP, ""),
    ("the ribs: none for one way", OLD.without("helix"), seal(helix="left"), {}, NO, ""),
    ("the pressure of both", OLD, OLD, {}, SWAP, ""),
    ("the pressure of the place: as the old one", seal(pressure_max=3e5), OLD, {}, UNSURE, ""),
    ("the pressure of the place: less", seal(pressure_max=3e5), seal(pressure_max=2e5), {}, NO, ""),
    ("the pressure of the place: as much", seal(pressure_max=3e5), seal(pressure_max=3e5), {}, SWAP, ""),
    ("the pressure of the place: a plain lip's", seal(pressure_max=0.2e5), OLD, {}, SWAP, ""),
    (
        "the speed: a slower lip in the same oil",
        seal(material="FKM"),
        OLD,
        {**OIL, "shaft_speed": 300.0},
        SWAP,
        "",
    ),
    ("the speed", seal(material="FKM"), OLD, {k: OIL[k] for k in ("fluid", "fluid_temperature")}, NO, ""),
]


@pytest.mark.parametrize(
    ("what", "old", "new", "duty", "outcome", "asked"), SILENCES, ids=[r[0] for r in SILENCES]
)
def test_what_nobody_says_is_asked_or_taken_strictly(
    what: str, old: Spec, new: Spec, duty: Duty, outcome: str, asked: str
) -> None:
    found = verdict(old, new, duty)
    assert found.outcome == outcome, [c.reason for c in found.checks]
    assert [q.about for q in found.questions] == ([asked] if asked else [])


def test_every_asked_attribute_stands_in_the_table() -> None:
    titles = {a.title for a in FAMILY.attributes if a.silence is not None and a.silence.kind == "asked"}
    assert titles == {"shaft diameter", "housing bore", "width", "lip material"}
    assert titles <= {row[-1] for row in SILENCES}


def test_no_offered_part_can_answer_for_the_place() -> None:
    everything = seal(pressure_max=5e5, lip_track="fresh", lip_speed=40.0, temperature_max=celsius(250))
    assert verdict(seal(material=""), everything).outcome == UNSURE
    assert verdict(Spec("shaft_seal"), everything).outcome == UNSURE


def test_the_seal_that_sits_there_is_judged_by_what_is_known_of_it() -> None:
    assert in_place(FAMILY, seal(material=""), {}).outcome == SWAP
    untyped = seal(60, 80, 8, design="", material="FKM")
    assert in_place(FAMILY, untyped, {"shaft_speed": 2900 * RPM}).outcome == SWAP
    assert in_place(FAMILY, OLD, {"fluid": "other"}).outcome == UNSURE


def test_a_turned_sleeve_needs_its_wall_whether_the_shaft_was_measured_or_not() -> None:
    old, new = seal(28, 52, 7), seal(32, 52, 7)
    assert verdict(old, new).outcome == WORK  # a wall of 2 mm
    assert verdict(old, new, {"shaft_diameter": 28 * MM}).outcome == WORK
    assert verdict(old, seal(31, 52, 7), {"shaft_diameter": 28 * MM}).outcome == NO


def test_leather_s_rough_shaft_and_the_heat_are_both_told() -> None:
    found = verdict(
        seal(material="leather"), OLD, {"fluid": "mineral oil", "fluid_temperature": celsius(110)}
    )
    assert found.outcome == TIME
    assert any("polish" in c.text for c in found.changes)
    assert any("every day" in text for text in found.conditions)


def test_the_family_has_no_fault() -> None:
    assert faults(FAMILY) == ()


# --------------------------------------------------------------------------- what goes with it


def test_a_shelf_seal_of_unknown_condition_is_bent_and_dated_first() -> None:
    found = verdict(OLD, OLD, condition="unknown")
    assert found.outcome == WORK
    assert any("7 years" in c.text for c in found.changes)


def test_fits_are_given_in_figures() -> None:
    text = "\n".join(FAMILY.after_fitting(FAMILY.complete(OLD), {}))
    assert "shaft 29.87 to 30.00 mm" in text
    assert "housing 52.000 to 52.046 mm" in text
    assert "0.20 to 0.35 mm larger outside" in text
    assert "0.13 to 0.23 mm larger outside" in "\n".join(
        FAMILY.after_fitting(FAMILY.complete(seal(design="B")), {})
    )


def test_cautions_follow_the_material() -> None:
    assert "burnt-seal" not in {c.hazard for c in cautions(FAMILY, OLD, {})}
    assert "burnt-seal" in {c.hazard for c in cautions(FAMILY, seal(material="FKM"), {})}
    assert "burnt-seal" in {c.hazard for c in cautions(FAMILY, seal(material=""), {})}
    assert {"hot-oil", "unguarded-rotation"} <= {c.hazard for c in cautions(FAMILY, OLD, {})}


def test_a_sleeve_and_a_bearing_are_ordered_with_it() -> None:
    text = " ".join(FAMILY.goes_with(FAMILY.complete(OLD), {}))
    assert "sleeve" in text and "bearing" in text
    assert "sleeve" not in " ".join(FAMILY.goes_with(FAMILY.complete(OLD), {"shaft_groove": "none"}))


def test_heat_and_grooves_move_the_suspicion() -> None:
    full = FAMILY.complete(OLD)
    plain = {s.id: s.strength for s in FAMILY.suspects(full, {})}
    seen = {
        s.id: s.strength
        for s in FAMILY.suspects(full, {"shaft_groove": "deep", "fluid_temperature": celsius(95)})
    }
    smooth = {s.id: s.strength for s in FAMILY.suspects(full, {"shaft_groove": "none"})}
    assert smooth["shaft-grooved"] < plain["shaft-grooved"]
    assert seen["shaft-grooved"] > plain["shaft-grooved"] and seen["oil-too-hot"] > plain["oil-too-hot"]


def test_titles_read_like_the_trade_writes_them() -> None:
    assert FAMILY.title_of(OLD) == "30 × 52 × 7 mm oil seal AS NBR"
    assert FAMILY.title_of(Spec("shaft_seal")) == "shaft seal, size not read"


def test_every_row_has_a_shaft_inside_its_bore() -> None:
    assert len(SIZES) > 300
    for shaft, bore, width in SIZES:
        assert 5 * MM < width < 20 * MM
        assert shaft + 6 * MM < bore < 4 * shaft


# --------------------------------------------------------------------------- reading


def identified(texts: list[str], *measured: tuple[str, float, float]) -> Identification:
    seen = tuple(Measured(name, x * MM, sd * MM) for name, x, sd in measured)
    return identify(read(texts, seen), {FAMILY.name: FAMILY})


@pytest.mark.parametrize("plate", PLATES, ids=[" ".join(p["text"]) for p in PLATES])
def test_an_undamaged_seal_reads_as_typed(plate: dict[str, Any]) -> None:
    best = identified(plate["text"]).best
    assert best is not None
    for name, expected in plate["expect"].items():
        if FAMILY.attribute(name).unit is None:
            assert expected in FAMILY.attribute(name).codes
            assert best.spec.code(name) == expected
        else:
            assert best.spec.num(name) == pytest.approx(parse(expected)[0].low, rel=1e-3)


def test_twelve_plates() -> None:
    assert len(PLATES) == 12


def test_a_worn_marking_and_a_micrometer_settle_the_size() -> None:
    found = identified(["?5 x ?2 x 7"], ("shaft", 34.97, 0.03)).best
    assert found is not None
    assert [found.spec.num(n) for n in ("shaft", "bore", "width")] == pytest.approx([0.035, 0.052, 0.007])


def test_the_metal_alone_finds_the_size() -> None:
    found = identified([], ("shaft", 39.95, 0.03), ("bore", 62.03, 0.05), ("width", 8.05, 0.15)).best
    assert found is not None
    assert [found.spec.num(n) for n in ("shaft", "bore", "width")] == pytest.approx([0.040, 0.062, 0.008])


def test_a_size_of_no_table_is_read_as_it_stands() -> None:
    found = identified(["33x54x9 NBR"]).best
    assert found is not None
    assert [found.spec.num(n) for n in ("shaft", "bore", "width")] == pytest.approx([0.033, 0.054, 0.009])


# --------------------------------------------------------------------------- laws

SEALS = st.builds(
    lambda size, material, design, helix: seal(
        size[0] / MM, size[1] / MM, size[2] / MM, material=material, design=design, helix=helix
    ),
    st.sampled_from(SIZES),
    st.sampled_from(list(materials())),
    st.sampled_from(list(FAMILY.attribute("design").codes)),
    st.sampled_from(list(FAMILY.attribute("helix").codes)),
)


@settings(max_examples=50, deadline=None)
@given(SEALS)
def test_every_seal_is_a_straight_swap_for_itself(one: Spec) -> None:
    assert verdict(one, one).outcome == SWAP


@settings(max_examples=50, deadline=None)
@given(SEALS, SEALS, st.sampled_from(["material", "design", "shaft", "bore", "width"]))
def test_forgetting_what_the_old_one_was_never_makes_a_refused_seal_acceptable(
    old: Spec, new: Spec, forgotten: str
) -> None:
    here = seal(**{n: (old.num(n) or 0) / MM for n in ("shaft", "bore", "width")}, material="NBR")
    offered = here.without("material", "design", "helix").plus(
        v for v in new.values if v.attribute in ("material", "design", "helix")
    )
    place = here.without("material", "design", "helix").plus(
        v for v in old.values if v.attribute in ("material", "design", "helix")
    )
    if verdict(place, offered).outcome == NO:
        assert verdict(place.without(forgotten), offered).outcome in (NO, UNSURE)
