"""Adding a family is adding a folder: found by being there, identified, judged and planned with no other change."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import partsdb.families as folder
from partsdb.family import families
from support.commands import partsdb as command
from support.extra_families import FOLDER, NAMES

SUPPLIERS = """name,zone,country,service,cut-off,transit days,freight,currency
Vellacourt Sundries,Europe/London,GB,van,15:00,1-2,6.00,GBP
"""


@dataclass(frozen=True)
class Part:
    """A part of an extra family as a person meets it: typed plate, place, shelf, a supplier's list, the outcome."""

    kind: str
    plate: str
    duty: str
    shelf: str
    offers: str
    outcomes: dict[str, str]
    shelf_outcome: str
    caution: str
    bought: str


PARTS = {
    "pilot_lamp": Part(
        kind="lamp",
        plate='"2? V" "2 W" "BA9S"',
        duty='--duty "control_voltage=24 V"',
        shelf="48 V 2 W BA9S",
        offers="""supplier,kind,part number,price,stock,lamp_voltage (V),lamp_power (W),cap
Vellacourt Sundries,lamp,VL-24-2,1.10,in stock,24,2,BA9s
Vellacourt Sundries,lamp,VL-24-5,1.30,in stock,24,5,BA9s
Vellacourt Sundries,lamp,VL-48-2,1.30,in stock,48,2,BA9s
""",
        outcomes={
            "24 V 2 W BA9s": "straight swap",
            "24 V 5 W BA9s": "don't fit",
            "48 V 2 W BA9s": "don't fit",
        },
        shelf_outcome="don't fit",
        caution="hot",
        bought="24 V 2 W",
    ),
    "cartridge_fuse": Part(
        kind="fuse",
        plate='"gG 16 A" "10x?8" "5?0 V AC"',
        duty='--duty "supply_voltage=400 V" --duty supply_kind=AC --duty "fault_current=10 kA"',
        shelf="gG 20 A 10x38 500 V AC 100 kA",
        offers="""supplier,kind,part number,price,stock,amps,class,size,volts (V),ac/dc,breaking capacity (kA)
Vellacourt Sundries,fuse,VF-16,2.10,in stock,16,gG,10x38,500,AC,100
Vellacourt Sundries,fuse,VF-25,2.10,in stock,25,gG,10x38,500,AC,100
Vellacourt Sundries,fuse,VM-16,2.30,in stock,16,aM,10x38,500,AC,100
Vellacourt Sundries,fuse,VD-16,4.30,in stock,16,gG,10x38,440,DC,20
""",
        outcomes={
            "16 A gG 10x38 500 V AC": "straight swap",
            "25 A gG 10x38 500 V AC": "don't fit",
            "16 A aM 10x38 500 V AC": "don't fit",
            "16 A gG 10x38 440 V DC": "don't fit",
        },
        shelf_outcome="don't fit",
        caution="isolate",
        bought="16 A gG 10x38 500 V AC",
    ),
}


@pytest.fixture
def _beside(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The extra folders beside the real families, as if they had been put there."""
    monkeypatch.setattr(folder, "__path__", [*folder.__path__, str(FOLDER)])
    families.cache_clear()
    yield
    families.cache_clear()


def ran(line: str, db: Path) -> str:
    done = command(line, db)
    assert done.code == 0, (line, done.err)
    return done.out


def test_every_extra_family_is_tried():
    assert PARTS.keys() == set(NAMES)


@pytest.mark.usefixtures("_beside")
@pytest.mark.parametrize("name", PARTS)
def test_a_new_family_is_identified_judged_and_planned(name, tmp_path, monkeypatch):
    part = PARTS[name]
    monkeypatch.chdir(tmp_path)
    (tmp_path / "suppliers.csv").write_text(SUPPLIERS, encoding="utf-8")
    (tmp_path / "offers.csv").write_text(part.offers, encoding="utf-8")
    db = tmp_path / "parts.db"
    assert name in ran("words", db)
    found = json.loads(ran(f"identify {part.plate} --kind {part.kind} --json", db))
    assert {h["spec"]["family"] for h in found["hypotheses"]} == {name}
    ran("shop set Mine", db)
    ran("machine add press", db)
    ran(f'position add press "run {part.kind}" --kind {part.kind} {part.duty}', db)
    ran(f'shelf add "{part.shelf}" --kind {part.kind} --condition new', db)
    ran("import suppliers suppliers.csv", db)
    ran("import offers offers.csv", db)
    judged = json.loads(ran(f"equivalents {part.plate} --machine press --position run --json", db))
    outcomes = {o["verdict"]["title"]: o["verdict"]["outcome"] for o in judged["offers"]}
    assert {title: outcomes.get(title) for title in part.outcomes} == part.outcomes
    assert judged["shelf"][0]["outcome"] == part.shelf_outcome
    assert judged["cautions"][0]["hazard"] == part.caution
    ran("job add prints press --due 2026-06-05T16:00+01:00 --late-day 50", db)
    ran(f"job want prints {part.plate} --title {part.kind} --position run", db)
    plan = json.loads(ran("plan prints --runs 1000 --json", db))
    assert plan["uncovered"] == []
    assert part.bought in plan["lines"][0]["title"]


@pytest.mark.parametrize("name", NAMES)
def test_without_its_folder_the_family_is_not_there(name, tmp_path):
    assert name not in command("words", tmp_path / "x.db").out
