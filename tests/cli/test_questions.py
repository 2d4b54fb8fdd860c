"""What nobody knows is told first, no part answers it, and what was measured at the place counts as its duty."""

from __future__ import annotations

from pathlib import Path

import pytest

from support.commands import partsdb

CATALOGUE = """kind,part number,voltage_ac (V),capacitance (µF),service,working voltage (V),control voltage (V)
capacitor,QV-25-250,250,25,run,250,230
capacitor,QV-25-440,440,25,run,440,230
"""


@pytest.fixture
def db(tmp_path: Path) -> Path:
    (tmp_path / "catalogue.csv").write_text(CATALOGUE, encoding="utf-8")
    database = tmp_path / "shop.db"
    for line in (
        "shop set Mine --supply 415V --hertz 50",
        'shelf add "25 MFD 250 VAC RUN" --kind capacitor --condition new',
        f"import catalogue {tmp_path / 'catalogue.csv'}",
    ):
        done = partsdb(line, database)
        assert done.code == 0, (line, done.err)
    return database


def told(line: str, db: Path) -> str:
    done = partsdb(line, db, columns=100)
    assert done.code == 0, (line, done.err)
    return done.out


def test_a_column_of_a_list_never_answers_what_only_the_place_can(db: Path) -> None:
    said = told('equivalents "25 MFD" "RUN" --kind capacitor', db)
    assert "FIND OUT FIRST" in said
    assert "straight swap" not in said and "fits with work" not in said


def test_what_is_measured_at_the_place_counts_as_what_it_asks(db: Path) -> None:
    said = told('equivalents "25 MFD" "RUN" --kind capacitor -m "working_voltage 372 V"', db)
    assert "250 V" in said.split("BUT NOT YET OR NEVER")[1]
    assert "misses by" in said


def test_what_can_hurt_and_has_no_rule_is_asked_first(db: Path) -> None:
    said = told('equivalents "25 MFD" "440 VAC" "RUN" --kind capacitor -d supply_kind=DC', db)
    assert "supply kind DC: ask the maker for its DC rating" in " ".join(said.split())


def test_what_was_said_and_isnt_considered_is_told(db: Path) -> None:
    said = told('equivalents "25 MFD" "440 VAC" "RUN" --kind capacitor -d "pressure=3 bar"', db)
    assert "not considered, as no rule of this kind looks at it: pressure across the seal 3 bar" in " ".join(
        said.split()
    )


def test_nothing_is_called_settled_while_a_question_is_open(db: Path) -> None:
    assert "Nothing more you could read" not in told('equivalents "25 MFD" "RUN" --kind capacitor', db)
