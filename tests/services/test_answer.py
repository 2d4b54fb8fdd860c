"""The short way: what was typed, when it must run, and the four lines."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from partsdb.errors import BadInput
from partsdb.records import Inquiry, Machine
from partsdb.services.answer import deadline_from, moment_from, pieces, recent_machines, unfinished

MONDAY = datetime(2026, 6, 1, 8, 40, tzinfo=UTC)
LONDON = "Europe/London"


@pytest.mark.parametrize(
    ("typed", "fragments", "measurements"),
    [
        ("25 MFD; 440 VAC", ("25 MFD", "440 VAC"), ()),
        ("25 MFD; measured 17 µF", ("25 MFD",), ("17 µF",)),
        ("62?6; bore 30 mm", ("62?6",), ("bore 30 mm",)),
        ("SIZE 2; COIL 110 V", ("SIZE 2", "COIL 110 V"), ()),
        ("don't know", (), ()),
        ("?", (), ()),
        (" ; ", (), ()),
    ],
)
def test_one_line_holds_fragments_and_measurements(typed, fragments, measurements):
    assert pieces(typed) == (fragments, measurements)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("fri 16:00", "2026-06-05T15:00:00+00:00"),
        ("mon 12:00", "2026-06-01T11:00:00+00:00"),
        ("tomorrow", "2026-06-02T16:00:00+00:00"),
        ("+3", "2026-06-04T16:00:00+00:00"),
        ("2026-06-10 16:00", "2026-06-10T15:00:00+00:00"),
        ("2026-12-10 16:00", "2026-12-10T16:00:00+00:00"),
    ],
)
def test_a_moment_is_read_as_a_person_says_it_in_the_shops_zone(said, meant):
    assert moment_from(said, MONDAY, LONDON) == datetime.fromisoformat(meant)


@pytest.mark.parametrize("said", ["", "soon", "fri noonish", "2026-05-01", "today 07:00", "fri 16:00 or so"])
def test_a_moment_that_is_none_or_past_is_refused(said):
    with pytest.raises(BadInput):
        moment_from(said, MONDAY, LONDON)


def test_a_late_days_cost_may_follow_the_moment():
    assert deadline_from("fri 16:00 400", MONDAY, LONDON)[1] == Decimal(400)
    assert deadline_from("fri 16:00", MONDAY, LONDON)[1] == Decimal(0)


def test_the_machine_that_failed_last_is_offered_first():
    machines = [Machine("a", "lathe"), Machine("b", "press"), Machine("c", "saw")]
    inquiries = [
        Inquiry("1", MONDAY, machine_id="b"),
        Inquiry("2", MONDAY + timedelta(days=1), machine_id="c"),
    ]
    assert [m.name for m in recent_machines(machines, inquiries)] == ["saw", "press", "lathe"]


def test_only_a_conversation_broken_off_today_is_taken_up_again():
    broken = Inquiry("1", MONDAY, answers={"asked": "yes"})
    assert unfinished([broken], MONDAY + timedelta(hours=1)) == broken
    assert unfinished([broken], MONDAY + timedelta(days=2)) is None
    assert unfinished([Inquiry("2", MONDAY)], MONDAY) is None
    assert unfinished([Inquiry("3", MONDAY, answers={"asked": "yes", "answered": "yes"})], MONDAY) is None
