"""Lists as they are printed: each state in its own words, and nothing said that isn't so."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from partsdb.errors import Finding
from partsdb.model import Spec
from partsdb.money import money
from partsdb.outputs.lists import (
    hours_text,
    import_lines,
    job_lines,
    machine_lines,
    order_lines,
    part_lines,
    position_lines,
    shop_lines,
    stand_in_lines,
    supplier_lines,
)
from partsdb.records import Delivery, Hours, Job, Machine, Part, Position, Temporary
from support.planning_cases import LONDON, service, shop, supplier

ORDER = Delivery("d", "s", date(2026, 3, 2), None, (3, 6), wanted_id="w", offer_id="o")
NAMES = {"w": "lip seal", "s": "Harbour Drives"}


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ({}, "on its way"),
        ({"promised_on": date(2026, 3, 9)}, "late, promised 2026-03-09"),
        ({"received_on": date(2026, 3, 6), "promised_on": date(2026, 3, 9)}, "received 2026-03-06"),
        ({"received_on": date(2026, 3, 6), "right": True}, "received 2026-03-06"),
        ({"received_on": date(2026, 3, 6), "right": False}, "wrong part came"),
        ({"cancelled": True, "promised_on": date(2026, 3, 9)}, "cancelled"),
    ],
)
def test_an_order_is_told_by_how_far_it_is(change: dict[str, object], state: str) -> None:
    line = order_lines([replace(ORDER, **change)], NAMES, 72)[0]  # type: ignore[arg-type]  # any field
    assert line == "lip seal, from Harbour Drives" + state.rjust(72 - len("lip seal, from Harbour Drives"))


@pytest.mark.parametrize(
    ("today", "state"),
    [(date(2026, 5, 3), "replace by"), (date(2026, 5, 4), "OVERDUE"), (date(2026, 5, 5), "OVERDUE")],
)
def test_a_stand_in_is_overdue_from_its_day_on(today: date, state: str) -> None:
    fitted = Temporary(
        "t", "p", ("part",), datetime(2026, 4, 1, tzinfo=LONDON), date(2026, 5, 4), None, ("attended only",)
    )
    first, second = stand_in_lines([fitted], {"p": "winder, run capacitor"}, today, 60)
    assert first.split("  ")[-1].strip() == f"{state} 04 May 2026"
    assert second == "  attended only"


def test_an_import_says_what_it_did_and_what_it_left() -> None:
    one = Finding("list.csv:3", "price", "x", "an amount")
    two = Finding("list.csv:4", "price", "y", "an amount")
    counts = {"new": 3, "changed": 0, "the same": 2}
    assert import_lines("list.csv", counts, (), (), 72) == ["list.csv: 3 new, 2 the same"]
    assert import_lines("list.csv", counts, (), (), 72, dry=True) == ["list.csv: would be 3 new, 2 the same"]
    assert import_lines("list.csv", {"new": 0}, (), (), 72) == ["list.csv: nothing to do"]
    assert import_lines("list.csv", counts, (), (), 72, again=True) == [
        "list.csv: this very list is in already; nothing to do."
    ]
    told = import_lines(
        "list.csv", counts, ("a new one",), (one,), 99, mend="m.csv", ignored=("colour", "rack")
    )
    assert told[1] == "  a new one"
    assert "  columns not read: colour, rack" in told
    assert told[-1] == "The bad row is in m.csv: correct it there and import that file."
    told = import_lines("list.csv", counts, (), (one, two), 99, mend="m.csv", unkept="the folder is full")
    assert told[-2:] == [
        "The bad rows are in m.csv: correct them there and import that file.",
        "The bad rows are not kept for mending: the folder is full",
    ]


def test_a_shelf_part_has_its_count_and_place_and_a_catalogue_part_says_so() -> None:
    new = Part("a", "x", Spec("x"), title="6206", quantity=1, condition="new", place="box 4")
    listed = Part("b", "x", Spec("x"), designation="6207", quantity=0)
    lines = [" ".join(line.split()) for line in part_lines([new, listed], {}, 60)]
    assert lines == ["6206 1 × new, box 4", "6207 0 × catalogue"]


def test_machines_places_and_jobs_say_what_is_known_of_them() -> None:
    known = Machine("m", "Winder", 1958, "GB", 415.0, 50.0)
    lines = [" ".join(line.split()) for line in machine_lines([known, Machine("n", "Saw")], 60)]
    assert lines == ["Winder 1958, GB, 415 V 50 Hz", "Saw"]
    safe = Position("p", "m", "brake coil", "rolling_bearing", safety_function=True)
    plain = Position("q", "m", "seat", "rolling_bearing", duty={"starting": "plain"})
    assert position_lines(known, [safe, plain], 60) == [
        "Winder",
        "  brake coil (rolling bearing, protects people)",
        "  seat (rolling bearing)",
        "    how it is worked: plain",
    ]
    assert position_lines(known, [], 60) == ["Winder", "  no position yet"]
    due = datetime(2026, 6, 5, 16, tzinfo=ZoneInfo("Europe/London"))
    assert [" ".join(line.split()) for line in job_lines([Job("j", "ropes", "m", due, 12.5, money("340", "GBP"))],
            "Europe/London", 72)] == [
        "ropes due Fri 5 Jun 16:00", "runs 12.5 h after the repair; a late day costs 340.00 GBP"
    ]  # fmt: skip


def test_the_shop_tells_its_hours_and_what_nobody_said() -> None:
    told = "\n".join(shop_lines(shop(3), 200))
    assert "Europe/London, holidays of GB ENG" in told
    assert "  work: Mon 08:00-16:30, Tue 08:00-16:30" in told
    assert "  goods in: Mon 08:00-15:00" in told
    assert "supply: not said, not said" in told
    assert "fitters: 3" in told and "units: metric" in told
    assert hours_text((Hours(6, time(9), time(12, 5)),)) == "Sun 09:00-12:05"
    assert LONDON.key == "Europe/London"


def test_a_supplier_has_each_service_with_its_cut_off_days_and_freight() -> None:
    post = service("post", cut_off=time(14, 30), transit=(2, 4), freight="5.50")
    head, told = supplier_lines([supplier("Harbour Drives", services=(post,))], 60)
    assert " ".join(head.split()) == "Harbour Drives GB, 0000"
    assert told == "  - post: order before 14:30, 2 to 4 days, 5.50 GBP"
