"""A shop that works in inches: set once, shown beside the metric, and never guessed from a bare number."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from support.commands import partsdb

SEAL = "position add saw seal --kind seal"


@pytest.fixture
def db(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop that works in inches, with a seal in the drawer."""
    monkeypatch.chdir(tmp_path)
    made = tmp_path / "mine.db"
    done("shop set Mine --units inch", made)
    done("machine add saw", made)
    done('shelf add "30-52-7" --kind seal --condition new', made)
    return made


def done(line: str, db: Path) -> str:
    ran = partsdb(line, db)
    assert ran.code == 0, (line, ran.err)
    return ran.out


def refused(line: str, db: Path) -> str:
    ran = partsdb(line, db)
    assert (ran.code, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1
    return ran.err


def test_lists_checks_and_advice_show_inches_beside_millimetres(db):
    assert "30 mm (1.181 in)" in done("shelf list", db)
    told = " ".join(done('equivalents "30-52-7" --kind seal --explain', db).split())
    assert "30 mm (1.181 in)" in told
    assert "52 mm (2.047 in)" in told
    assert "units: inches beside the metric" in done("shop show", db)


def test_what_is_stored_and_told_to_machines_stays_the_same(db):
    inch = json.loads(done("shelf list --json", db))
    done("shop set --units metric", db)
    assert json.loads(done("shelf list --json", db)) == inch
    assert "in)" not in done("shelf list", db)


def test_a_margin_has_both_units_and_its_percent_in_one_bracket(db):
    told = " ".join(done('equivalents -m "shaft=35 mm" -m "bore=52 mm" --kind seal --explain', db).split())
    assert "misses by 5 mm (0.197 in, 14 %)" in told


@pytest.mark.parametrize(
    "line",
    [
        'identify "30-52-7" -m "shaft 30"',
        'shelf add --kind seal --set "shaft=30"',
        'position add saw seal --kind seal --duty "ambient=40"',
        'equivalents "30-52-7" --kind seal --duty "fluid_temperature=90"',
    ],
)
def test_a_bare_number_that_may_be_either_is_refused(db, line):
    assert "may be" in refused(line, db)


@pytest.mark.parametrize(
    "line",
    [
        'identify "30-52-7" -m "shaft 1.181 in"',
        f'{SEAL} --duty "ambient=104 °F"',
        f"{SEAL} --duty supply_voltage=230",
    ],
)
def test_a_number_with_its_unit_or_that_has_only_one_is_taken(db, line):
    done(line, db)


def test_in_a_metric_shop_a_bare_number_is_metric(tmp_path):
    made = tmp_path / "mine.db"
    done("shop set Mine", made)
    done('identify "30-52-7" -m "shaft 30"', made)


def test_a_duty_is_shown_in_both(db):
    done(f'{SEAL} --duty "ambient=40 °C"', db)
    assert "40 °C (104 °F)" in done("position list saw", db)


def test_units_nobody_uses_are_refused_and_nothing_changes(db):
    assert "metric, inch" in refused("shop set --units furlongs", db)
    assert "inches" in done("shop show", db)
