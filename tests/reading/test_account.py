"""Words that no family reads are never passed over: they stop the part, or make a shelf piece suspect."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from partsdb.equivalence import requirements
from partsdb.family import families
from partsdb.reading import identify, read
from partsdb.reading.account import odd_words, other_kind
from partsdb.reading.measuring import measured as taken
from partsdb.reading.pieces import pieces_of
from support.commands import partsdb

EVERY = families()
FILES = sorted((Path(__file__).parents[1] / "benchmarks" / "plates").glob("*.toml"))
PLATES = [(f.stem, p["text"]) for f in FILES for p in tomllib.loads(f.read_text(encoding="utf-8"))["plate"]]


@pytest.mark.parametrize(
    ("kind", "plate", "words"),
    [
        ("ac_motor", ["3 HP 1450 RPM", "BRAKE 150 NM"], ["BRAKE 150 NM"]),
        ("ac_motor", ["EX D IIC T4", "4 kW"], ["EX D IIC T4"]),
        ("ac_motor", ["4 kW", "Bremse"], ["Bremse"]),
        ("shaft_seal", ["35X52X7 HNBR"], ["HNBR"]),
        ("rolling_bearing", ["6205 VL0241"], ["VL0241"]),
        ("transformer", ["10 kVA", "Dyn11"], ["Dyn11"]),
        ("ac_capacitor", ["50 UF 440 VAC", "PCB FREE"], []),  # the family reads it itself
        ("shaft_seal", ["35X52X7 NBR"], []),
        ("shaft_seal", ["35X52X7 HN?R"], []),  # an illegible sign is nobody's word
        ("ac_motor", ["BRAKELESS 3 HP"], []),  # whole or not at all
    ],
)
def test_a_word_that_changes_the_part_is_found_whole(kind: str, plate: list[str], words: list[str]) -> None:
    found = odd_words(plate, EVERY[kind])
    assert [one.text for one in found] == words
    assert all(one.weight == "safety" and one.ask and one.says for one in found)


def test_no_word_of_the_hand_typed_plates_is_taken_for_one_that_changes_them() -> None:
    assert len(PLATES) >= 84
    for kind, text in PLATES:
        assert odd_words(text, EVERY[kind]) == (), text


def test_a_brake_motor_is_not_replaced_before_somebody_has_looked(tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert partsdb("shop set Mine", db).code == 0
    plate = '"3 HP" "1425 RPM" "220/380 V" "50 HZ" "3 PH" "FRAME 90L" "TEFC" "INS CLASS B" "CONT" "B3"'
    assert partsdb(f"shelf add {plate} --kind motor --condition new", db).code == 0
    said = partsdb(f'equivalents {plate} "BRAKE 150 NM" --kind motor', db, columns=100).out
    assert '"BRAKE 150 NM" on it' in said.split("FIND OUT FIRST")[1]
    assert "can't say yet" in said.split("IN THE DRAWER")[1]


@pytest.mark.parametrize(
    ("plate", "kind"),
    [
        (["TIMING BELT T10 780"], "timing belt"),
        (["PUMP MOTOR 3 HP"], None),  # the motor of a pump
        (["3 HP MOTOR", "PUMP"], None),  # wherever the noun of a known kind stands
        (["3 HP 1450 RPM"], None),
        (["OIL RESISTANT"], None),
        ([], None),
    ],
)
def test_a_noun_at_the_head_of_a_text_names_a_kind_nobody_has_rules_for(
    plate: list[str], kind: str | None
) -> None:
    found = other_kind(plate, EVERY.values())
    assert (found.kind if found else None) == kind


def test_no_hand_typed_plate_reads_like_a_kind_without_rules() -> None:
    for _, text in PLATES:
        assert other_kind(text, EVERY.values()) is None, text


def test_a_foreign_kind_is_told_and_stops_the_verdict_unless_the_kind_is_given(tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert partsdb("shop set Mine", db).code == 0
    said = partsdb('equivalents "TIMING BELT A 780"', db, columns=100).out
    assert "there are no rules for one here" in " ".join(said.split())
    given = partsdb('equivalents "TIMING BELT A 780" --kind belt', db, columns=100).out
    assert "there are no rules for one here" not in " ".join(given.split())


@pytest.mark.parametrize(
    "words", ["COIL BURNT", "SMELLS BURNT", "RUSTY", "CRACKED", "SPRING MISSING", "SPLIT"]
)
def test_words_of_damage_make_a_shelf_piece_suspect_and_say_so(tmp_path: Path, words: str) -> None:
    db = tmp_path / "x.db"
    said = partsdb(
        f'shelf add "NEMA SIZE 2" "COIL 110 V 60 CY" "{words}" --kind contactor --condition new',
        db,
        columns=100,
    )
    assert said.code == 0, said.err
    assert "Kept as suspect" in said.out
    assert '"condition": "suspect"' in partsdb("shelf list --json", db).out


# --------------------------------------------------------------------------- what became of each piece


@pytest.mark.parametrize(
    ("kind", "plate", "piece", "standing", "asked"),
    [
        ("ac_motor", ["3 HP 1450 RPM"], "HP", "used", False),
        ("ac_motor", ["3 HP 1450 RPM", "SER. NO. 88-1234"], "SER. NO. 88-1234", "harmless", False),
        ("ac_motor", ["3 HP 1450 RPM", "MADE IN ENGLAND"], "MADE IN ENGLAND", "harmless", False),
        ("ac_motor", ["3 HP 1450 RPM", "LRA 150 A"], "LRA 150 A", "not considered", False),
        ("ac_motor", ["3 HP 1450 RPM", "LRA: 150"], "LRA: 150", "not considered", False),
        ("ac_motor", ["3 HP 1450 RPM", "HARLOW & SONS"], "HARLOW", "not understood", False),
        ("ac_motor", ["3 HP 1450 RPM", "GLIMPF & CO."], "GLIMPF", "not understood", False),
        ("ac_motor", ["3 HP 1450 RPM", "GLIMPF"], "GLIMPF", "not understood", True),
        ("ac_motor", ["3 HP 1450 RPM", "BRAKE 150 NM"], "BRAKE 150 NM", "not understood", True),
        ("ac_motor", ["3 HP 1450 RPM", "12 BAR"], "12 BAR", "not understood", True),
        ("ac_motor", ["3 HP 1450 RPM", "12BAR"], "12BAR", "not understood", True),
        ("contactor", ["AC-3 400 V 25 A", "GLIMPF 1988"], "GLIMPF 1988", "not understood", True),
        ("ac_motor", ["3 HP 1450 RPM", "2-GLIMPF"], "2-GLIMPF", "not understood", True),
        ("ac_motor", ["3 HP 1450 RPM", "IEC 60079"], "IEC 60079", "not understood", True),
        ("contactor", ["AC-3 400 V 25 A", "40 % ED"], "40 % ED", "not understood", True),
        ("rolling_bearing", ["6205 XQ7"], "XQ7", "not understood", True),
        ("rolling_bearing", ["6205-XQ"], "6205-XQ", "not understood", True),
        ("rolling_bearing", ["6205 2RS XQ7"], "XQ7", "not understood", True),
        ("rolling_bearing", ["XQ7", "6205"], "XQ7", "not understood", False),  # not behind the number
        ("ac_capacitor", ["35/5 MFD 440 V"], "35/5", "not understood", True),
        ("ac_capacitor", ["45+5 µF 440 VAC"], "45+5", "not understood", True),
        ("shaft_seal", ["40x62x8", "NBR"], "NBR", "used", False),
    ],
)
def test_each_piece_is_accounted_for(
    kind: str, plate: list[str], piece: str, standing: str, asked: bool
) -> None:
    found = identify(read(plate), {kind: EVERY[kind]})
    assert found.best is not None
    own = [one for one in found.best.account if one.text == piece]
    assert [(one.standing, bool(one.ask)) for one in own] == [(standing, asked)], found.best.account


@pytest.mark.parametrize(("kind", "plate"), PLATES)
def test_the_classes_add_up_to_all_that_was_typed(kind: str, plate: list[str]) -> None:
    found = identify(read(plate), {kind: EVERY[kind]})
    for h in found.hypotheses[:5]:
        told = [piece.text for one in h.account for piece in pieces_of(one.text) if not one.misread]
        typed = [piece.text for text in plate for piece in pieces_of(text)]
        left_over = [text for text in typed if text not in told]
        split = [piece.text for one in h.account if one.misread for piece in pieces_of(one.text)]
        assert all(text in split for text in left_over), (left_over, h.account)


def test_what_stands_on_both_parts_is_no_question_between_them(tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert partsdb("shop set Mine", db).code == 0
    assert partsdb('shelf add "6205 VL0241" --kind bearing --condition new', db).code == 0
    same = partsdb('equivalents "6205 VL0241" --kind bearing', db, columns=100).out
    other = partsdb('equivalents "6205" --kind bearing', db, columns=100).out
    assert "straight swap" in same.split("IN THE DRAWER")[1]
    assert "can't say yet" in other.split("IN THE DRAWER")[1]
    assert '"VL0241" on it' in other


def test_what_is_read_in_part_is_not_stored(tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert partsdb("shop set Mine", db).code == 0
    refused = partsdb('shelf add "45+5 µF 440 VAC" --kind capacitor', db)
    assert refused.code == 2 and "'45+5'" in refused.err and "--set" in refused.err
    assert "Nothing on the shelf" in partsdb("shelf list", db).out
    given = partsdb('shelf add "45+5 µF 440 VAC" --kind capacitor --set "capacitance=45 µF"', db)
    assert given.code == 0 and "45 µF" in given.out


def test_damage_makes_a_shelf_piece_suspect_and_is_named(tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert partsdb("shop set Mine", db).code == 0
    added = partsdb('shelf add "6205-2RS" "RUSTY" --kind bearing --condition new', db, columns=100).out
    assert '"RUSTY"' in added and "suspect" in added
    said = partsdb('equivalents "6205-2RS" --kind bearing', db, columns=100).out
    assert "don't fit" in said.split("IN THE DRAWER")[1]


def test_the_old_part_s_damage_is_no_matter_to_the_new_one() -> None:
    found = identify(read(["6205-2RS", "RUSTY"]), {"rolling_bearing": EVERY["rolling_bearing"]})
    (wanted, *_) = requirements(EVERY["rolling_bearing"], found, {})
    assert not any("RUSTY" in q.about for q in wanted.questions)


def test_a_word_that_may_mean_damage_or_a_make_is_asked_about_on_either_part() -> None:
    family = EVERY["shaft_seal"]
    found = identify(read(["40x62x8 AS NBR", "SPLIT"]), {"shaft_seal": family})
    (wanted, *_) = requirements(family, found, {})
    assert any("SPLIT" in q.about for q in wanted.questions)


def test_without_its_main_field_nothing_is_a_part() -> None:
    family = EVERY["rolling_bearing"]
    found = identify(read(["R8 2RS"]), {"rolling_bearing": family})
    assert found.best is not None
    assert family.title_of(found.best.spec) == "rolling bearing, size not read"
    (wanted, *_) = requirements(family, found, {})
    assert any(q.weight == "safety" and "size" in q.about for q in wanted.questions)


@pytest.mark.parametrize(
    ("kind", "plate", "measured", "contradicted"),
    [
        ("v_belt", ["B60"], "top_width 13 mm", True),
        ("v_belt", ["B60"], "top_width 16.8 mm", False),
        ("shaft_seal", ["28x47x7 NBR"], "shaft 24 mm", True),
        ("shaft_seal", ["28x47x7 NBR"], "shaft 28.01 mm", False),
        ("rolling_bearing", ["6205"], "bore 30 mm", True),
        ("rolling_bearing", ["6205"], "bore 25.0 mm", False),
    ],
)
def test_plate_and_measurement_that_contradict_each_other_are_a_question(
    kind: str, plate: list[str], measured: str, contradicted: bool
) -> None:
    among = {kind: EVERY[kind]}
    found = identify(read(plate, taken([measured], among)), among)
    wanted = requirements(EVERY[kind], found, {})
    doubted = sum(
        one.weight
        for one in wanted
        if any("measured" in q.about or "you typed" in q.breach for q in one.questions)
    )
    assert (doubted > 0.5 * sum(one.weight for one in wanted)) is contradicted
