"""The cartridge fuse, from the words of two plates to a verdict: each rule below, at and above, and each silence."""

from __future__ import annotations

import pytest

from partsdb.equivalence import cautions, judge, requirements
from partsdb.family import families
from partsdb.model import Hypothesis, KnownPart, Verdict
from partsdb.reading import identify, read
from partsdb.reading.measuring import duty_from
from support.extra_families import extra_families

FAMILY = extra_families()["cartridge_fuse"]
SWAP, NO, OPEN = "straight swap", "don't fit", "can't say yet"

GG = "gG 16 A | 10x38 | 500 V AC | 100 kA"
AM = "aM 16 A | 10x38 | 500 V AC | 100 kA"
T2 = "T2AL250V~ | 5x20"
AC = "supply_voltage=400 V, supply_kind=AC, fault_current=10 kA"
DC = "supply_voltage=220 V, supply_kind=DC, fault_current=10 kA"
SMALL = "supply_voltage=230 V, supply_kind=AC, fault_current=35 A"
UNFED = "supply_voltage=400 V, supply_kind=AC"

# the old plate, its place, the plate of the one offered, the verdict, and words of the reason ("" for a swap)
TABLE: list[tuple[str, str, str, str, str]] = [
    (GG, AC, GG, SWAP, ""),
    # amperes: fewer blow, more protect nothing
    (GG, AC, "gG 12 A | 10x38 | 500 V AC | 100 kA", NO, "it blows on its ordinary load"),
    (GG, AC, "gG 20 A | 10x38 | 500 V AC | 100 kA", NO, "more amperes protect nothing"),
    (GG, AC, "gG | 10x38 | 500 V AC | 100 kA", OPEN, "rated current"),
    ("gG | 10x38 | 500 V AC | 100 kA", AC, GG, OPEN, "never from the blown wire"),
    ("T2AH250V~ | 5x20", SMALL, "T2.5AH250V~ | 5x20", NO, "more amperes protect nothing"),
    # speed or class: the same
    (GG, AC, AM, NO, "aM and aR break short circuits only"),
    (AM, AC, GG, NO, "a faster one blows at each start"),
    (AM, AC, AM, SWAP, ""),
    (GG, AC, "gL 16 A | 10x38 | 500 V~ | 100 kA", SWAP, ""),
    (T2, SMALL, "F2AL250V~ | 5x20", NO, "a faster one blows at each start"),
    (T2, SMALL, "TT2AL250V~ | 5x20", NO, "a slower one lets more through"),
    (GG, AC, "16 A | 10x38 | 500 V AC | 100 kA", OPEN, "speed or class"),
    ("16 A | 10x38 | 500 V AC | 100 kA", AC, GG, OPEN, "a slower one lets more through"),
    # body: the same
    (GG, AC, "gG 16 A | 14x51 | 500 V AC | 100 kA", NO, "doesn't sit in the clips"),
    (GG, AC, "gG 16 A | 8x32 | 500 V AC | 100 kA", NO, "doesn't sit in the clips"),
    (GG, AC, "gG 16 A | 500 V AC | 100 kA", OPEN, "body"),
    ("gG 16 A | 500 V AC | 100 kA", AC, GG, OPEN, "doesn't sit in the clips"),
    # volts: at least the supply's, else the old one's
    (GG, AC, "gG 16 A | 10x38 | 380 V AC | 100 kA", NO, "the arc doesn't go out"),
    (GG, AC, "gG 16 A | 10x38 | 400 V AC | 100 kA", SWAP, ""),
    (GG, AC, "gG 16 A | 10x38 | 690 V AC | 100 kA", SWAP, ""),
    (GG, AC, "gG 16 A | 10x38 | 100 kA | AC", OPEN, "volts"),
    (GG, "fault_current=10 kA", "gG 16 A | 10x38 | 400 V AC | 100 kA", NO, "the arc doesn't go out"),
    (GG, "fault_current=10 kA", GG, SWAP, ""),
    ("gG 16 A | 10x38 | AC", "fault_current=10 kA", GG, OPEN, "the arc doesn't go out"),
    ("gG 16 A | 10x38 | AC", AC, GG, SWAP, ""),
    # breaking capacity: at least the fault current of the place; unstated it stays a question
    (GG, AC, "gG 16 A | 10x38 | 500 V AC | 9.9 kA", NO, "bursts on a short circuit"),
    (GG, AC, "gG 16 A | 10x38 | 500 V AC | 10 kA", SWAP, ""),
    (GG, AC, "gG 16 A | 10x38 | 500 V AC | 20 kA", SWAP, ""),
    (GG, AC, "gG 16 A | 10x38 | 500 V AC", OPEN, "breaking capacity"),
    (GG, UNFED, GG, OPEN, "prospective fault current"),
    (GG, UNFED, "gG 16 A | 10x38 | 500 V AC | 120 kA", OPEN, "prospective fault current"),
    # a miniature breaks what its letter says: L 35 A or ten times its amperes, E 150 A, H 1500 A
    (T2, SMALL, T2, SWAP, ""),
    (T2, SMALL.replace("35 A", "36 A"), T2, NO, "bursts on a short circuit"),
    (T2, SMALL.replace("35 A", "150 A"), "T2AE250V~ | 5x20", SWAP, ""),
    (T2, SMALL.replace("35 A", "151 A"), "T2AE250V~ | 5x20", NO, "bursts on a short circuit"),
    (T2, SMALL.replace("35 A", "1500 A"), "T2AH250V~ | 5x20", SWAP, ""),
    (T2, SMALL.replace("35 A", "1501 A"), "T2AH250V~ | 5x20", NO, "bursts on a short circuit"),
    ("T5AL250V~ | 5x20", SMALL.replace("35 A", "50 A"), "T5AL250V~ | 5x20", SWAP, ""),
    ("T5AL250V~ | 5x20", SMALL.replace("35 A", "51 A"), "T5AL250V~ | 5x20", NO, "bursts on a short circuit"),
    # direct current: what is for AC only never serves, however many volts; what says neither isn't known to
    (GG, DC, GG, NO, "burns on"),
    (GG, DC, "gG 16 A | 10x38 | 690 V AC | 100 kA", NO, "burns on"),
    (GG, DC, "gG 16 A | 10x38 | 250 V DC | 100 kA", SWAP, ""),
    (GG, DC, "gG 16 A | 10x38 | 250 V AC/DC | 100 kA", SWAP, ""),
    (GG, DC, "gG 16 A | 10x38 | 125 V DC | 100 kA", NO, "the arc doesn't go out"),
    (GG, DC, "gG 16 A | 10x38 | 500 V | 100 kA", OPEN, "for AC or DC"),
    (GG, AC, "gG 16 A | 10x38 | 500 V DC | 100 kA", NO, "burns on"),
    (GG.replace(" AC", ""), "supply_voltage=400 V, fault_current=10 kA", GG, OPEN, "AC or DC"),
    (GG.replace("AC", "AC/DC"), "fault_current=10 kA", GG, NO, "burns on"),
    # half plates: what the missing glyph decides stays open
    ("gG 1? A | 10x38 | 500 V AC | 100 kA", AC, GG, OPEN, "more amperes protect nothing"),
    ("gG 1? A | 10x38 | 500 V AC | 100 kA", AC, "gG 25 A | 10x38 | 500 V AC | 100 kA", NO, "more amperes"),
    ("gG 16 A | 10x?8 | 5?0 V AC | 1?0 kA", AC, GG, SWAP, ""),
    ("?2AL250V~ | 5x20", SMALL, T2, OPEN, "a slower one lets more through"),
    ("gG 16 A | 10x38 | 500 V ?C | 100 kA", "fault_current=10 kA", GG, OPEN, "burns on"),
    ("gG 16 A | 10x38 | 500 V ?C | 100 kA", AC, GG, SWAP, ""),
    ("gG 16 A | ... | 500 V AC | 100 kA", AC, GG, OPEN, "doesn't sit in the clips"),
]


def best(plate: str) -> Hypothesis:
    found = identify(read(plate.split(" | ")), {"cartridge_fuse": FAMILY}).best
    assert found is not None, plate
    return found


def verdict(old: str, place: str, offered: str) -> Verdict:
    duty = duty_from(place.split(", "))
    wanted = requirements(FAMILY, identify(read(old.split(" | ")), {"cartridge_fuse": FAMILY}), duty)
    return judge(FAMILY, wanted, KnownPart("offered", best(offered).spec), duty)


def reasons(found: Verdict) -> str:
    """What stands against it: breaches and unknowns, what is open, what is to be found out."""
    against = [f"{c.limit.breach}; {c.reason}" for c in found.checks if c.status != "pass"]
    return " / ".join(
        [*against, *(f"{q.about}: {q.breach} ({q.ask})" for q in found.questions), *found.missing]
    )


@pytest.mark.parametrize(("old", "place", "offered", "outcome", "because"), TABLE)
def test_accept_and_reject_table(old: str, place: str, offered: str, outcome: str, because: str) -> None:
    found = verdict(old, place, offered)
    assert found.outcome == outcome, reasons(found)
    assert because in reasons(found)


@pytest.mark.parametrize(
    ("plate", "title"),
    [
        ("FUSE LINK | gG | 16A | 10 x 38 | 500V~ | 120kA", "16 A gG 10x38 500 V AC"),
        ("T2AL250V", "2 A T 250 V"),
        ("F500mAH250V~", "0.5 A F 250 V AC"),
        ("T 3,15 A L 250 V | 5x20", "3.15 A T 5x20 250 V"),
        ("gL/gG 63A | 22x58 | 690 V AC", "63 A gG 22x58 690 V AC"),
        ("aM 25 AMP | 14 X 51 | 500 VOLTS AC", "25 A aM 14x51 500 V AC"),
        ("SICHERUNG | 6 A | 440 V DC", "6 A 440 V DC"),
    ],
)
def test_a_plate_is_read_as_it_is_written(plate: str, title: str) -> None:
    assert FAMILY.title_of(best(plate).spec) == title


def test_a_part_that_misses_a_glyph_is_not_read_as_sure() -> None:
    assert best("gG 1? A | 10x38 | 500 V AC").probability < 0.5


def test_the_fault_current_is_asked_as_a_matter_of_safety_with_the_tool() -> None:
    asked = {q.settled_by: q for q in verdict(GG, UNFED, GG).questions}
    assert asked["fault_current"].weight == "safety"
    assert "loop tester" in asked["fault_current"].ask


def test_every_fuse_brings_its_hazards_each_in_a_line() -> None:
    told = {c.hazard: c for c in cautions(FAMILY, best(GG).spec, {})}
    assert told.keys() == {"isolate", "never-bigger", "asbestos"}
    assert all(0 < len(c.short) <= 56 for c in told.values())
    assert "foil" in told["never-bigger"].short


def test_where_a_motor_fuse_sat_the_overload_relay_is_named() -> None:
    assert any("overload relay" in line for line in verdict(AM, AC, AM).goes_with)
    assert not any("overload relay" in line for line in verdict(GG, AC, GG).goes_with)


def test_a_kind_that_is_here_claims_its_own_name_back_from_the_kinds_nobody_knows() -> None:
    """The word FUSE speaks for "something else" until a family is called so: no list is edited for it."""
    plate = read(["FUSE 10 A gG 500 V", "10x38"])
    every = {**families(), "cartridge_fuse": FAMILY}
    without, with_it = identify(plate, families()), identify(plate, every)
    assert with_it.best is not None
    assert with_it.best.spec.family == "cartridge_fuse"
    assert with_it.leftover < 0.1 < without.leftover
