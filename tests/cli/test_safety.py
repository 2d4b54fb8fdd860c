"""A place that protects people: no stand-in, no worked-out rating, and a licensed person decides."""

from __future__ import annotations

import json
from pathlib import Path

from support.commands import partsdb


def ran(line: str, db: Path) -> str:
    done = partsdb(line, db)
    assert done.code == 0, (line, done.err)
    return done.out


def _shop(db: Path, safety: str) -> None:
    ran("machine add hoist --year 1958 --country GB", db)
    ran(f'position add hoist "lift motor capacitor" --kind capacitor --duty service=run {safety}', db)
    ran('shelf add "28 µF 450 V AC run" --kind capacitor --set construction=film --condition new', db)
    ran('shelf add "30 µF 450 V AC run" --kind capacitor --set construction=film --condition new', db)


LOOK = 'equivalents "30 MFD" "440 VAC" --machine hoist --position lift'


def test_a_stand_in_elsewhere_is_none_where_it_protects_people(tmp_path):
    _shop(tmp_path / "plain.db", "")
    _shop(tmp_path / "safe.db", "--safety")
    plain = json.loads(ran(f"{LOOK} --json", tmp_path / "plain.db"))["shelf"]
    safe = json.loads(ran(f"{LOOK} --json", tmp_path / "safe.db"))["shelf"]
    outcomes = {v["title"]: v["outcome"] for v in plain}
    guarded = {v["title"]: v["outcome"] for v in safe}
    assert outcomes["28 µF 450 V AC run"] == "temporary"
    assert guarded["28 µF 450 V AC run"] == "don't fit"
    assert "temporary" not in guarded.values()


def test_what_is_accepted_there_says_that_a_licensed_person_decides(tmp_path):
    _shop(tmp_path / "safe.db", "--safety")
    assert "licensed person decides" in " ".join(ran(LOOK, tmp_path / "safe.db").split())
