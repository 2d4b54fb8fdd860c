from __future__ import annotations

from datetime import date, datetime, time, timedelta

import numpy as np
import pytest

from partsdb.errors import BadInput
from partsdb.model import Need
from partsdb.planning.arrivals import world
from partsdb.planning.calendars import next_working, public_holidays, shop_clock, working_days, zone
from partsdb.records import Calendar, Service
from support.planning_cases import LONDON, bought, offer, problem, service, shop, supplier

ENGLAND = Calendar("Europe/London", "GB", "ENG")
MONDAY = date(2026, 3, 16)


@pytest.mark.parametrize(
    ("day", "steps", "expected"),
    [
        (0, 0, 0),  # Monday itself
        (0, 4, 4),  # Friday
        (0, 5, 7),  # Monday after
        (5, 0, 7),  # Saturday counts from Monday
        (5, 1, 8),
    ],
)
def test_working_days_are_counted_over_weekends(day: int, steps: int, expected: int) -> None:
    assert working_days(ENGLAND, MONDAY, 60).at_or_after(day, steps) == expected


@pytest.mark.parametrize(
    ("day", "steps", "expected"), [(0, 0, 0), (4, 1, 7), (5, 0, 5), (5, 1, 7), (5, 2, 8)]
)
def test_carriage_counts_days_strictly_after(day: int, steps: int, expected: int) -> None:
    assert working_days(ENGLAND, MONDAY, 60).after(day, steps) == expected


def test_a_day_past_the_table_is_never_reached() -> None:
    days = working_days(ENGLAND, MONDAY, 10)
    assert days.at_or_after(0, 50) == days.span


def test_closures_of_a_works_are_no_working_days() -> None:
    closed = Calendar("Europe/London", "GB", "ENG", closures=(MONDAY,))
    assert next_working(closed, MONDAY) == MONDAY + timedelta(days=1)


def test_a_calendar_without_weekdays_is_refused() -> None:
    with pytest.raises(BadInput, match="no working day"):
        next_working(Calendar("Europe/London", "GB", "ENG", weekdays=()), MONDAY)


def test_unknown_zones_and_countries_are_refused_in_one_line() -> None:
    with pytest.raises(BadInput, match="not a time zone"):
        zone("Europe/Lundun")
    with pytest.raises(BadInput, match="no public holidays are known"):
        public_holidays("XX", "", 2026, 2026)


def test_shop_minutes_run_only_while_the_shop_is_open() -> None:
    clock = shop_clock(shop(), MONDAY, 30)
    at = [datetime(2026, 3, 16, h, tzinfo=LONDON) for h in (7, 8, 12, 16, 20)]
    assert [clock.minutes(moment) for moment in at] == [0, 0, 240, 480, 510]
    assert clock.minutes(datetime(2026, 3, 23, 8, tzinfo=LONDON)) == 5 * 510


def test_the_latest_moment_of_a_count_of_minutes_reads_back() -> None:
    clock = shop_clock(shop(), MONDAY, 30)
    for minutes in (30.0, 509.0, 511.0, 2500.0):
        assert clock.minutes(clock.latest(minutes)) == pytest.approx(minutes)


def test_a_count_that_ends_with_a_day_is_that_days_close_and_not_the_next_opening() -> None:
    clock = shop_clock(shop(), MONDAY, 30)
    assert clock.latest(510.0) == datetime(2026, 3, 16, 16, 30, tzinfo=LONDON)
    assert clock.latest(510.5) > datetime(2026, 3, 17, 8, 0, tzinfo=LONDON)


def test_a_shop_without_hours_is_refused() -> None:
    from dataclasses import replace

    with pytest.raises(BadInput, match="no working hours"):
        shop_clock(replace(shop(), hours=()), MONDAY, 30)


def arrival(
    now: datetime, carried: Service, handled: int, country: str = "GB", place: str = "Europe/London"
) -> date:
    """Day of goods-in with the stated (least) carriage, for so many handling days."""
    seller = supplier(
        "a", services=(carried,), country=country, region="ENG" if country == "GB" else "NW", zone=place
    )
    sold = offer("o", "a")
    made = world(
        problem((Need("n", "n"),), (bought("w", "n", sold, carried.id),), (sold,), (seller,), now=now)
    )
    option = made.problem.options[0]
    parcel = made.parcel(option.lines[0], option)
    return made.clock.date(int(parcel.arrives[handled, 0]))


EASTER = datetime(2026, 4, 2, 10, tzinfo=LONDON)  # Maundy Thursday


@pytest.mark.parametrize(
    ("now", "carried", "handled", "expected"),
    [
        (EASTER, service("s", transit=(1, 1)), 0, date(2026, 4, 7)),  # over Good Friday and Easter Monday
        (EASTER, service("s", transit=(1, 1)), 1, date(2026, 4, 8)),
        (EASTER, service("s", transit=(2, 2)), 0, date(2026, 4, 8)),
        (EASTER.replace(hour=16), service("s", transit=(1, 1)), 0, date(2026, 4, 8)),  # past the cut-off
        (EASTER, service("s", transit=(1, 1), customs=(1, 1)), 0, date(2026, 4, 8)),
        (EASTER, service("s", cut_off=time(14), transit=(0, 0)), 0, date(2026, 4, 2)),  # fetched the same day
        (EASTER, service("s", cut_off=time(16), transit=(0, 0)), 0, date(2026, 4, 7)),  # ... after goods-in
    ],
)
def test_arrivals_walk_the_real_calendars(
    now: datetime, carried: Service, handled: int, expected: date
) -> None:
    assert arrival(now, carried, handled) == expected


def test_a_foreign_suppliers_holiday_delays_only_its_handling() -> None:
    # Ascension Day, Thursday 14 May 2026, is a holiday in Germany and not in England
    wednesday = datetime(2026, 5, 13, 10, tzinfo=LONDON)
    carried = service("s", transit=(1, 1))
    assert arrival(wednesday, carried, 1, "DE", "Europe/Berlin") == date(2026, 5, 18)
    assert arrival(wednesday, carried, 1) == date(2026, 5, 15)


def test_the_cut_off_is_in_the_suppliers_zone() -> None:
    # 14:30 in London is 15:30 in Berlin: past a cut-off at three
    now = datetime(2026, 3, 18, 14, 30, tzinfo=LONDON)
    carried = service("s", transit=(1, 1))
    assert arrival(now, carried, 0) == date(2026, 3, 19)
    assert arrival(now, carried, 0, "DE", "Europe/Berlin") == date(2026, 3, 20)


def test_a_repair_travels_there_first() -> None:
    from dataclasses import replace

    seller = supplier("a", services=(service("s", transit=(2, 2)),))
    sold = replace(offer("o", "a", stock="to order"), repair=True)
    asked = problem((Need("n", "n"),), (bought("w", "n", sold, "s"),), (sold,), (seller,))
    made = world(asked)
    option = asked.options[0]
    parcel = made.parcel(option.lines[0], option)
    plain = world(replace(asked, offers=(replace(sold, repair=False),)))
    there = plain.parcel(option.lines[0], option)
    assert made.clock.date(int(parcel.arrives[0, 0])) == date(2026, 3, 24)  # Wed + 2 there + 2 back
    assert plain.clock.date(int(there.arrives[0, 0])) == date(2026, 3, 20)
    assert parcel.freight == 2 * there.freight


def test_goods_of_a_day_are_in_hand_when_goods_in_closes() -> None:
    clock = shop_clock(shop(), MONDAY, 30)
    assert clock.received[0] == 7 * 60  # eight to three
    assert np.isinf(clock.received[5])  # Saturday
