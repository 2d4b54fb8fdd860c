"""Words that no family reads are never passed over: they stop the part, or make a shelf piece suspect."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from partsdb.family import families
from partsdb.reading.account import odd_words, other_kind
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
