"""The drawer is not the plate: what is on record may sharpen what a part was, and never says what its place asks."""

from __future__ import annotations

import random
import re
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from partsdb.equivalence import demands
from partsdb.family import families
from partsdb.model import word
from partsdb.outputs.finding import identification_lines
from partsdb.reading import identify, read
from partsdb.records import Part
from partsdb.results import Found, Known
from partsdb.services.inquiries import Said, look_up, new_inquiry
from support.neighbours import neighbour

EVERY = families()
NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
FILES = sorted((Path(__file__).parents[1] / "benchmarks" / "plates").glob("*.toml"))
PLATES = [
    (f.stem, tuple(p["text"]))
    for f in FILES
    for p in tomllib.loads(f.read_text(encoding="utf-8"))["plate"][::3]
]


def look(plate: tuple[str, ...], kind: str, *parts: Part) -> Found:
    return look_up(new_inquiry(Said(plate, (), kind), NOW), Known(parts=parts), advise=False)


def asked(found: Found) -> list[tuple[float, object]]:
    return [(round(one.weight, 9), demands(one)) for one in found.requirements]


@pytest.mark.parametrize(("kind", "plate"), PLATES)
def test_adding_parts_to_the_records_never_moves_what_a_place_asks(kind: str, plate: tuple[str, ...]) -> None:
    family, rng = EVERY[kind], random.Random(11)
    alone = look(plate, kind)
    assert alone.requirements
    read = alone.identification.by_plate[0].spec
    parts = [
        Part(f"p{n}", kind, neighbour(family, family.complete(read), rng, forget=0.1, change=0.3), f"ZQ-{n}")
        for n in range(6)
    ]
    beside = look(plate, kind, *parts)
    assert asked(beside) == asked(alone)
    assert [c.hazard for c in beside.cautions] == [c.hazard for c in alone.cautions]


def test_an_enclosure_that_only_the_drawer_s_motor_has_is_asked_of_the_old_one() -> None:
    plate = ("3 HP", "1425 RPM", "400 V", "50 HZ", "3 PH", "FRAME 90L")
    open_ = next(v for v in EVERY["ac_motor"].fields if v.name == "enclosure").rows[0].values[0]
    read = look(plate, "ac_motor").identification.by_plate[0].spec
    part = Part(
        "p", "ac_motor", read.plus([word("enclosure", str(open_))]), "ZQ-1", quantity=1, condition="new"
    )
    (wanted, *_) = look(plate, "ac_motor", part).requirements
    assert not any(limit.attribute == "enclosure" for limit in wanted.limits)
    assert any(q.settled_by == "enclosure" for q in wanted.questions)


def test_with_its_number_on_the_plate_a_part_s_values_count_and_say_where_they_are_from() -> None:
    plate = ("ZQ-1177", "25 MFD 440 VAC")
    read = look(plate, "ac_capacitor").identification.by_plate[0].spec
    full = read.plus([word("terminals", sorted(EVERY["ac_capacitor"].attribute("terminals").codes)[0])])
    part = Part("p", "ac_capacitor", full, "ZQ-1177")
    (wanted, *_) = look(plate, "ac_capacitor", part).requirements
    (limit,) = [x for x in wanted.limits if x.attribute == "terminals"]
    assert limit.follows_from == "on record for ZQ-1177"
    (wanted, *_) = look(("ZQ-11?7", "25 MFD 440 VAC"), "ac_capacitor", part).requirements
    assert not any(x.attribute == "terminals" for x in wanted.limits)
    assert any(q.settled_by == "terminals" for q in wanted.questions)


def test_settled_is_only_what_asks_the_same_whatever_is_on_record() -> None:
    """20 against 25 µF at even odds isn't settled because the drawer is empty, or holds other things."""
    found = look_up(new_inquiry(Said(("2? MFD", "440 VAC 60 CY"), (), "ac_capacitor"), NOW), Known())
    assert not found.identification.settled
    other = Part("p", "rolling_bearing", look(("6205",), "rolling_bearing").identification.by_plate[0].spec)
    found = look_up(
        new_inquiry(Said(("2? MFD", "440 VAC 60 CY"), (), "ac_capacitor"), NOW), Known(parts=(other,))
    )
    assert not found.identification.settled


def test_what_is_told_adds_up() -> None:
    """Other variants of the known kinds are no "something else"."""
    found = identify(read(["?? MFD", "4?0 V"]), EVERY, keep=3)
    assert found.unlisted > 0.1
    total = sum(h.probability for h in found.hypotheses) + found.unlisted + found.leftover
    assert total == pytest.approx(1.0)
    lines = "\n".join(identification_lines(found, EVERY, 70))
    told = [int(share) for share in re.findall(r"(\d+) %$", lines, re.MULTILINE)]
    assert 97 <= sum(told) <= 103


@pytest.mark.parametrize(("kind", "asked"), [("", True), ("contactor", False)])
def test_a_plate_that_another_kind_may_carry_as_well_is_asked_about(kind: str, asked: bool) -> None:
    (wanted, *_) = look(("25 AMPS", "600 V"), kind).requirements
    assert (
        any(q.about.startswith("which it is: contactor, or transformer") for q in wanted.questions) is asked
    )
