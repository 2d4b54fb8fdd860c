"""The planner's building blocks against published figures; the source stands beside each check."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from partsdb.planning.calendars import (
    cut_off_at,
    is_working,
    order_day,
    public_holidays,
    shop_clock,
)
from partsdb.planning.leadtimes import normal_cdf, student_t_cdf
from partsdb.planning.sequence import longest_tails
from partsdb.records import Calendar, Hours, Shop
from support.planning_cases import service, supplier

# --------------------------------------------------------------------------- networks

ARCS = {"1-2": 7, "1-3": 10, "2-4": 6, "3-4": 5, "3-5": 4, "4-5": 3, "5-6": 2}


def followers(arcs: dict[str, int]) -> dict[str, list[str]]:
    return {a: [b for b in arcs if b.split("-")[0] == a.split("-")[1]] for a in arcs}


def test_critical_path_of_taylors_network_is_20_along_1_3_4_5_6() -> None:
    """Taylor, Introduction to Management Science, ch. 8: seven activities on arcs."""
    tail = longest_tails(ARCS, followers(ARCS))
    assert max(tail.values()) == 20
    path = ["1-3"]
    while following := followers(ARCS)[path[-1]]:
        path.append(max(following, key=tail.__getitem__))
    assert path == ["1-3", "3-4", "4-5", "5-6"]


def test_slack_of_taylors_network_is_two_on_1_2_and_2_4_and_four_on_3_5() -> None:
    """The same example: slack = project length less the longest path through the activity."""
    tail = longest_tails(ARCS, followers(ARCS))
    back = longest_tails(ARCS, {b: [a for a in ARCS if b in followers(ARCS)[a]] for b in ARCS})
    slack = {a: 20 - (tail[a] + back[a] - ARCS[a]) for a in ARCS}
    assert slack == {"1-2": 2, "1-3": 0, "2-4": 2, "3-4": 0, "3-5": 4, "4-5": 0, "5-6": 0}


def test_a_project_of_mean_260_and_variance_319_is_in_time_for_270_with_71_percent() -> None:
    """PERT textbook example: z = 0.56, P = 0.712 (planning model's list of oracles)."""
    z = (270 - 260) / math.sqrt(319.43)
    assert round(z, 2) == 0.56
    assert float(normal_cdf(np.array([z]))[0]) == pytest.approx(0.712, abs=5e-4)


def test_the_newsvendors_quantity_1168_is_the_80_percent_point_of_his_demand() -> None:
    """Newsvendor textbook example: demand N(1000, 200), ratio 40 / (40 + 10) = 0.80, Q about 1168."""
    assert float(normal_cdf(np.array([(1168 - 1000) / 200]))[0]) == pytest.approx(40 / (40 + 10), abs=1e-3)


# --------------------------------------------------------------------------- Student's t

# NIST/SEMATECH e-Handbook of Statistical Methods, table of upper critical values of Student's t, as seen in
# the stored reprint pdfcoffee.com/student-t-distribution-table; the same figures in Soong, Fundamentals of
# Probability and Statistics for Engineers, table A.4.
T_TABLE = {
    1: (3.078, 6.314, 12.706, 31.821, 63.657),
    2: (1.886, 2.920, 4.303, 6.965, 9.925),
    3: (1.638, 2.353, 3.182, 4.541, 5.841),
    5: (1.476, 2.015, 2.571, 3.365, 4.032),
    10: (1.372, 1.812, 2.228, 2.764, 3.169),
    30: (1.310, 1.697, 2.042, 2.457, 2.750),
    100: (1.290, 1.660, 1.984, 2.364, 2.626),
}


@pytest.mark.parametrize("freedom", T_TABLE)
def test_students_t_gives_the_printed_tail_probabilities(freedom: int) -> None:
    p = 1 - student_t_cdf(np.array(T_TABLE[freedom]), float(freedom))
    assert p == pytest.approx([0.10, 0.05, 0.025, 0.01, 0.005], rel=2e-3)


# --------------------------------------------------------------------------- public holidays

# GB-ENG: gov.uk list of bank holidays (Banking and Financial Dealings Act 1971 and proclamations): the
# substitute days of 2026 and 2027 were seen in stored reports of that list; the others follow from its rules.
# DE-NW: publicholidays.de list of North Rhine-Westphalia 2026. US: 5 U.S.C. 6103 with its rule that a holiday
# on a Saturday is observed on Friday and one on a Sunday on Monday; 3 July 2026 seen in a city's calendar.
CLOSED = [
    *[("GB", "ENG", d) for d in ("2026-01-01", "2026-04-03", "2026-04-06", "2026-05-04", "2026-05-25")],
    *[("GB", "ENG", d) for d in ("2026-08-31", "2026-12-25", "2026-12-28", "2027-01-01", "2027-03-26")],
    *[("GB", "ENG", d) for d in ("2027-03-29", "2027-05-03", "2027-05-31", "2027-12-27", "2027-12-28")],
    *[("DE", "NW", d) for d in ("2026-01-01", "2026-04-03", "2026-04-06", "2026-05-01", "2026-05-14")],
    *[("DE", "NW", d) for d in ("2026-05-25", "2026-06-04", "2026-12-25")],
    *[("US", "", d) for d in ("2026-01-19", "2026-05-25", "2026-06-19", "2026-07-03", "2026-09-07")],
    *[("US", "", d) for d in ("2026-11-11", "2026-11-26", "2027-07-05", "2027-12-24")],
]
OPEN = [
    ("GB", "ENG", "2026-12-29"),  # the day after the substitute for Boxing Day
    ("GB", "ENG", "2026-05-14"),  # Ascension is a German holiday
    ("DE", "NW", "2026-12-28"),  # Germany knows no substitute days
    ("DE", "NW", "2026-01-06"),  # Epiphany: Bavaria, Baden-Württemberg, Saxony-Anhalt only
    ("DE", "NW", "2026-10-05"),  # 3 October 2026 is a Saturday and is not made up for
    ("US", "", "2026-04-03"),  # Good Friday is no federal holiday
]


@pytest.mark.parametrize(("country", "region", "day"), CLOSED)
def test_published_holidays_are_no_working_days(country: str, region: str, day: str) -> None:
    assert not is_working(Calendar("UTC", country, region), date.fromisoformat(day))


@pytest.mark.parametrize(("country", "region", "day"), OPEN)
def test_days_that_are_no_holiday_at_that_place_are_worked(country: str, region: str, day: str) -> None:
    assert is_working(Calendar("UTC", country, region), date.fromisoformat(day))


def test_epiphany_is_a_holiday_in_bavaria() -> None:
    """kalender-online.com, statutory holidays 2026: Baden-Württemberg, Bavaria, Saxony-Anhalt."""
    assert date(2026, 1, 6) in public_holidays("DE", "BY", 2026, 2026)


# --------------------------------------------------------------------------- clock changes

# EU and UK: Directive 2000/84/EC and the Summer Time Order 2002 (SI 2002/262): from 01:00 UTC on the last
# Sunday of March to 01:00 UTC on the last Sunday of October. US: Energy Policy Act 2005, second Sunday of
# March and first Sunday of November at 2 a.m. local time (from memory).
CHANGES = [
    ("Europe/London", datetime(2026, 3, 29, 1, tzinfo=UTC), 0, 1),
    ("Europe/London", datetime(2026, 10, 25, 1, tzinfo=UTC), 1, 0),
    ("Europe/London", datetime(2027, 3, 28, 1, tzinfo=UTC), 0, 1),
    ("Europe/London", datetime(2027, 10, 31, 1, tzinfo=UTC), 1, 0),
    ("Europe/Berlin", datetime(2026, 3, 29, 1, tzinfo=UTC), 1, 2),
    ("Europe/Berlin", datetime(2026, 10, 25, 1, tzinfo=UTC), 2, 1),
    ("America/New_York", datetime(2026, 3, 8, 7, tzinfo=UTC), -5, -4),
    ("America/New_York", datetime(2026, 11, 1, 6, tzinfo=UTC), -4, -5),
]


@pytest.mark.parametrize(("place", "change", "before", "after"), CHANGES)
def test_a_cut_off_is_at_its_local_hour_on_either_side_of_a_clock_change(
    place: str, change: datetime, before: int, after: int
) -> None:
    seller = supplier("x", country="US" if "America" in place else "GB", region="", zone=place)
    local = change.astimezone(ZoneInfo(place)).date()
    for day, offset in ((local - timedelta(days=2), before), (local + timedelta(days=1), after)):
        cut = cut_off_at(day, seller.calendar, service("s", cut_off=time(15)))
        assert cut.utcoffset() == timedelta(hours=offset)
        assert cut.astimezone(UTC).hour == 15 - offset


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        (date(2026, 3, 29), 7.0),  # the hour from one to two is missing
        (date(2026, 10, 25), 9.0),  # and is there twice
        (date(2026, 3, 22), 8.0),
    ],
)
def test_a_night_shift_over_a_clock_change_is_as_long_as_it_really_is(day: date, hours: float) -> None:
    """Directive 2000/84/EC: a shift from midnight to eight on a change Sunday has seven or nine hours."""
    always = Calendar("Europe/London", "GB", "ENG", weekdays=tuple(range(7)))
    window = (Hours(6, time(0), time(8)),)
    clock = shop_clock(Shop("night", always, window, window), day, 2)
    assert clock.minutes(datetime.combine(day, time(12), ZoneInfo("Europe/London"))) == hours * 60


# London cut-off three in the afternoon; the moment is given in UTC.
ORDERS = [
    ("2026-03-27T14:59", "2026-03-27", False),  # Friday, a minute before
    ("2026-03-27T15:00", "2026-03-27", False),  # at the cut-off
    ("2026-03-27T15:01", "2026-03-30", True),  # a minute after: Monday
    ("2026-03-30T13:59", "2026-03-30", False),  # summer time since Sunday: 14:59 local
    ("2026-03-30T14:01", "2026-03-31", True),
    ("2026-04-02T14:01", "2026-04-07", True),  # Maundy Thursday after the cut-off: Tuesday after Easter
    ("2026-12-24T15:01", "2026-12-29", True),  # Christmas, weekend, substitute for Boxing Day
    ("2026-12-28T09:00", "2026-12-29", True),  # ordered on the substitute day itself
    ("2027-12-24T15:01", "2027-12-29", True),  # both substitutes of 2027
]


@pytest.mark.parametrize(("moment", "day", "rolled"), ORDERS)
def test_orders_count_for_the_published_working_day(moment: str, day: str, rolled: bool) -> None:
    """UK bank holidays 2026 and 2027 (gov.uk) and SI 2002/262 as above."""
    at = datetime.fromisoformat(moment).replace(tzinfo=UTC)
    found = order_day(at, supplier("x").calendar, service("s", cut_off=time(15)))
    assert (found.day, found.rolled) == (date.fromisoformat(day), rolled)
