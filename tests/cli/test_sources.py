"""Sources that disagree, and numbers that succeed one another, as a person meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from support.commands import Ran, partsdb

HEAD = (
    "kind,designation,maker,title,quantity,condition,capacitance,voltage_ac,frequency,service,construction\n"
)
ROW = "ac_capacitor,ZQ-25,Ottermoor,25 µF run capacitor,{n},{state},25 µF,{volts} V,50-60 Hz,run,film\n"
LOOK = 'equivalents "25 MFD" "440 VAC 60 CY" -d service=run --json'


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder the person works in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def db(folder: Path) -> Path:
    """A shelf that says 450 V of a part, and a maker's catalogue that says 250 V."""
    (folder / "drawer.csv").write_text(HEAD + ROW.format(n=1, state="new", volts=450), encoding="utf-8")
    (folder / "maker.csv").write_text(HEAD + ROW.format(n=0, state="", volts=250), encoding="utf-8")
    made = folder / "mine.db"
    done("import shelf drawer.csv", made)
    done("import catalogue maker.csv", made)
    return made


def done(line: str | list[str], db: Path) -> Ran:
    ran = partsdb(line, db)
    assert (ran.code, ran.err) == (0, ""), ran
    return ran


def outcome(db: Path) -> tuple[str, list[str]]:
    """The verdict on the piece in the drawer, and the notes beside the look-up."""
    found = json.loads(done(LOOK, db).out)
    return found["shelf"][0]["outcome"], found["truths"]


def test_disputed_values_stand_side_by_side_and_count_as_unknown(db):
    told = done("disputes", db).out
    assert "450 V: drawer.csv:2, read 2026-06-01 (delimited)" in told
    assert "250 V: maker.csv:2, read 2026-06-01 (delimited)" in told
    assert "open" in told
    verdict, notes = outcome(db)
    assert verdict == "can't say yet"
    assert any("ZQ-25" in note and "disputes" in note for note in notes)


def test_each_value_of_a_number_says_which_list_row_and_day_it_comes_from(db):
    done('shelf add "30 µF 450 V AC" --kind capacitor --designation ZQ-30', db)
    told = " ".join(done("numbers ZQ-25 --explain", db).out.split())
    for value, name in (("450 V", "drawer"), ("250 V", "maker")):
        assert f"AC volts {value}: {name}.csv:2, read 2026-06-01 (delimited)" in told
    values = json.loads(done("numbers ZQ-25 --json", db).out)["told"]
    assert {(v["origin"]["source"], v["origin"]["row"]) for v in values} == {("drawer", 2), ("maker", 2)}
    by_hand = json.loads(done("numbers ZQ-30 --json", db).out)["told"]
    assert by_hand
    assert all(value["origin"] is None for value in by_hand)


def test_a_person_settles_it_and_look_ups_use_that_value(db):
    done('settle ZQ-25 voltage_ac drawer --why "read off the piece"', db)
    told = done("disputes ZQ-25", db).out
    assert "= 450 V: drawer.csv:2" in told
    assert "- 250 V: maker.csv:2" in told
    assert "settled" in done("disputes ZQ-25", db).out
    verdict, notes = outcome(db)
    assert (
        verdict == "fits with work"
    )  # nobody has said what its terminals and case must be: they are looked at
    assert notes == []
    done('settle "zq 25" "voltage ac" "250 V" --why "the maker says so" --by Wilf', db)
    assert outcome(db)[0] == "don't fit"
    assert "by Wilf: the maker says so" in done("disputes", db).out


def test_a_rule_settles_what_it_can_decide_and_nothing_else(db):
    assert "Nothing open" in done("settle --rule measured", db).out
    assert outcome(db)[0] == "can't say yet"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("settle", "say what is right and why"),
        ("settle ZQ-25 voltage_ac drawer", "--why"),
        ("settle ZQ-25 voltage_ac nobody --why x", "is not one of the sources"),
        ('settle ZQ-25 voltage_ac "" --why x', "say what is right and why"),
        ("settle ZQ-25 capacitance drawer --why x", "nobody disputes"),
        ("settle ZZ-99 voltage_ac drawer --why x", "nobody disputes"),
        ("settle --rule dice", "there is no rule"),
        ("settle ZQ-25 voltage_ac drawer --rule measured", "can't both be asked"),
        ("numbers ZZ-99", "nothing on record says anything"),
    ],
)
def test_what_cant_be_settled_is_one_line_and_changes_nothing(line, says, db):
    before = done("disputes --json", db).out
    ran = partsdb(line, db)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert says in ran.err
    assert done("disputes --json", db).out == before


def test_a_number_shows_its_whole_history_and_where_it_is(db, folder):
    (folder / "history.csv").write_text(
        "how,old maker,old number,new maker,new number\n"
        "superseded by,Ottermoor,ZQ-20,Ottermoor,ZQ-25\n"
        "superseded by,Ottermoor,ZQ-15,Ottermoor,ZQ-20\n"
        "same as,Onvarik,T-900,Ottermoor,ZQ-25\n"
    )
    done("import successions history.csv", db)
    told = done("numbers zq15", db).out
    assert "superseded by Ottermoor ZQ-25" in told
    assert "1 on the shelf" in told
    assert "history.csv:2" in told
    assert [o["reached"]["number"] for o in json.loads(done("numbers T-900 --json", db).out)["others"]] == [
        "ZQ-25",
        "ZQ-20",
        "ZQ-15",
    ]


def test_an_older_number_finds_what_superseded_it(db, folder):
    (folder / "history.csv").write_text(
        "old maker,old number,new maker,new number\nOttermoor,ZQ-20,Ottermoor,ZQ-25\n"
    )
    done("import successions history.csv", db)
    note = " ".join(done('identify "ZQ-20"', db).out.split())
    assert "Ottermoor ZQ-20 was superseded by Ottermoor ZQ-25" in note
    assert "On record: 25 µF run capacitor" in note
    assert "25 µF" in done('shelf tested "ZQ-20"', db).out


def test_another_name_of_a_part_identifies_it(db, folder):
    done('settle ZQ-25 voltage_ac drawer --why "read off the piece"', db)
    (folder / "history.csv").write_text(
        "how,maker,number,to maker,to number\nsame as,Onvarik,TK9004417,Ottermoor,ZQ-25\n"
    )
    done("import successions history.csv", db)
    found = json.loads(done('identify "TK9004417" --json', db).out)
    assert found["hypotheses"][0]["spec"]["family"] == "ac_capacitor"


def test_names_with_sql_formulas_and_terminal_escapes_harm_nothing(db, folder):
    evil = "'); DROP TABLE parts;--"
    (folder / "drawer.csv").write_text(
        HEAD + ROW.format(n=1, state="new", volts=450).replace("ZQ-25", f'"{evil}"'), encoding="utf-8"
    )
    (folder / "maker.csv").write_text(
        HEAD + ROW.format(n=0, state="", volts=250).replace("ZQ-25", f'"{evil}"'), encoding="utf-8"
    )
    done("import shelf drawer.csv", db)
    done("import catalogue maker.csv", db)
    assert "DROP TABLE" in done("disputes", db).out
    done(["settle", evil, "voltage_ac", "maker", "--why", "\x1b[2J=1+1"], db)
    assert "\x1b" not in done("disputes", db).out
    assert "25 µF" in done("shelf list", db).out
