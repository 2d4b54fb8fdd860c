"""Adding a family is adding a file: found by being there, identified, judged and planned with no other change."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

import partsdb.families as folder
from partsdb.family import families
from support.commands import partsdb as command

EXTRA = Path(__file__).parents[1] / "support" / "more_families"

SUPPLIERS = """name,zone,country,service,cut-off,transit days,freight,currency
Vellacourt Sundries,Europe/London,GB,van,15:00,1-2,6.00,GBP
"""
OFFERS = """supplier,kind,part number,price,stock,lamp_voltage (V),lamp_power (W),cap
Vellacourt Sundries,lamp,VL-24-2,1.10,in stock,24,2,BA9s
Vellacourt Sundries,lamp,VL-24-5,1.30,in stock,24,5,BA9s
Vellacourt Sundries,lamp,VL-48-2,1.30,in stock,48,2,BA9s
"""


@pytest.fixture
def _beside(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The extra file beside the real families, as if it had been put into their folder."""
    monkeypatch.setattr(folder, "__path__", [*folder.__path__, str(EXTRA)])
    families.cache_clear()
    yield
    families.cache_clear()


def ran(line: str, db: Path) -> str:
    done = command(line, db)
    assert done.code == 0, (line, done.err)
    return done.out


@pytest.mark.usefixtures("_beside")
def test_a_new_family_is_identified_judged_and_planned(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "suppliers.csv").write_text(SUPPLIERS, encoding="utf-8")
    (tmp_path / "offers.csv").write_text(OFFERS, encoding="utf-8")
    db = tmp_path / "lamps.db"
    assert "pilot_lamp" in ran("words", db)
    found = json.loads(ran('identify "2? V" "2 W" "BA9S" --kind lamp --json', db))
    assert {h["spec"]["family"] for h in found["hypotheses"]} == {"pilot_lamp"}
    ran("shop set Mine", db)
    ran("machine add press", db)
    ran('position add press "run lamp" --kind lamp --duty "control_voltage=24 V"', db)
    ran('shelf add "48 V 2 W BA9S" --kind lamp --condition new', db)
    ran("import suppliers suppliers.csv", db)
    ran("import offers offers.csv", db)
    judged = json.loads(ran('equivalents "2? V" "2 W" "BA9S" --machine press --position run --json', db))
    outcomes = {o["verdict"]["title"]: o["verdict"]["outcome"] for o in judged["offers"]}
    assert outcomes["24 V 2 W BA9s"] == "straight swap"
    assert outcomes["24 V 5 W BA9s"] == "don't fit"
    assert judged["shelf"][0]["outcome"] == "don't fit"
    assert judged["cautions"][0]["hazard"] == "hot"
    ran("job add prints press --due 2026-06-05T16:00+01:00 --late-day 50", db)
    ran('job want prints "2? V" "2 W" "BA9S" --title lamp --position run', db)
    plan = json.loads(ran("plan prints --runs 1000 --json", db))
    assert plan["uncovered"] == []
    assert "24 V 2 W" in plan["lines"][0]["title"]


def test_without_its_file_the_family_is_not_there(tmp_path):
    assert "pilot_lamp" not in command("words", tmp_path / "x.db").out
