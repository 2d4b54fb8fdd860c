"""The plan as it is printed: every figure of a line, and what stands there only when it is so."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from partsdb.model import Need, OrderLine, Plan
from partsdb.outputs.ordering import order_lines, plan_lines, timeline
from support.planning_cases import LONDON, NOW

PLAN = Plan(
    lines=(),
    cost=Decimal("70.00"),
    freight=Decimal("20.00"),
    currency="GBP",
    probability=0.934,
    expected_late=Decimal("12.30"),
    deadline=datetime(2026, 3, 26, 16, tzinfo=LONDON),
    now=NOW,
)
LINE = OrderLine(
    need="n",
    option="o",
    title="lip seal 30 × 52 × 7",
    kind="buy",
    cost=Decimal("50.00"),
    need_by=datetime(2026, 3, 24, 15, tzinfo=LONDON),
    p_in_time=0.93,
    supplier="Harbour Drives",
    service="next day",
    offer="o",
    order_by=datetime(2026, 3, 20, 15, tzinfo=LONDON),
    supplier_zone="Europe/London",
)


def shown(line: OrderLine) -> list[str]:
    return [text.strip() for text in order_lines(line, "the seal", PLAN, "Europe/London", 100)]


def test_a_line_says_what_from_whom_for_how_much_and_by_when() -> None:
    head, bought, by, needed = shown(LINE)
    assert head.startswith("the seal ") and head.endswith(" 93 %")
    assert bought == "lip seal 30 × 52 × 7 from Harbour Drives by next day, 50.00 GBP"
    assert by == "order by Fri 20 Mar 15:00"
    assert needed == "must be in by Tue 24 Mar 15:00"


@pytest.mark.parametrize(("quantity", "first"), [(1, "lip seal"), (2, "2 × lip seal"), (3, "3 × lip seal")])
def test_pieces_are_counted_from_two_on(quantity: int, first: str) -> None:
    assert shown(replace(LINE, quantity=quantity))[1].startswith(first)


def test_a_supplier_elsewhere_is_told_by_his_own_clock_too() -> None:
    abroad = shown(replace(LINE, supplier_zone="Europe/Berlin", rolled=True))
    assert "order by Fri 20 Mar 15:00 (Fri 20 Mar 16:00 there); today's cut-off has passed" in abroad


@pytest.mark.parametrize(
    ("change", "last"),
    [
        ({"ordered": True}, "ordered; must be in by Tue 24 Mar 15:00"),
        ({"ordered": True, "arrived": True}, "it is here"),
        ({"supplier": "", "order_by": None, "cost": Decimal(0)}, "lip seal 30 × 52 × 7 from the drawer"),
    ],
)
def test_a_line_says_how_far_it_is(change: dict[str, object], last: str) -> None:
    assert shown(replace(LINE, **change))[-1] == last  # type: ignore[arg-type]  # any field


def test_the_second_of_two_orders_is_marked() -> None:
    assert "the seal (order from two)" in shown(replace(LINE, hedge=True))[0]
    assert "order from two" not in shown(LINE)[0]


def test_the_head_has_the_plans_own_figures() -> None:
    made = replace(PLAN, simulated=0.9312, standard_error=0.0008, runs=100_000, target=0.95, reachable=False,
                   earliest=date(2026, 3, 30), uncovered=("m",))  # fmt: skip
    text = "\n".join(plan_lines(made, (Need("n", "the seal"), Need("m", "the coil")), "Europe/London", 100))
    rows = [" ".join(line.split()) for line in text.splitlines()]
    assert rows[0] == "PLAN as of Wed 18 Mar 10:30 due Thu 26 Mar 16:00"
    assert rows[1] == "ready in time 93 %"
    assert rows[2] == "the same, 100,000 simulated runs 93.1 % ± 0.1"
    assert rows[3] == "goods and carriage 70.00 GBP"
    assert rows[4] == "expected cost of being late 12.30 GBP"
    assert (
        "The target of 95 % can't be met by the deadline. Earliest day that reaches it: Mon 30 Mar."
        in rows[5]
    )
    assert "NO WAY FOUND FOR: the coil." in text


def test_the_timeline_shades_each_day_by_how_likely_it_is_in() -> None:
    """From the day of the plan on: Wednesday no, Thursday possible, Friday likely, Monday sure, Tuesday needed."""
    came = ((date(2026, 3, 19), 0.3), (date(2026, 3, 20), 0.6), (date(2026, 3, 23), 0.97))
    by_day = ((date(2026, 3, 26), 0.934), (date(2026, 3, 27), 0.99))
    made = replace(PLAN, lines=(replace(LINE, arrives=came),), by_day=by_day)
    when, days, line, ready, *_ = timeline(made, {"n": "the seal"}, "Europe/London", 72)
    assert when == "WHEN"
    assert days.split() == ["WTFssMTWT"]
    assert line.split()[-1] == "·░▒▒▒█|██"
    assert ready.split()[-1] == "········▒"


@pytest.mark.parametrize(
    ("p", "mark"), [(0.019, "·"), (0.02, "░"), (0.499, "░"), (0.5, "▒"), (0.949, "▒"), (0.95, "█")]
)
def test_the_shades_change_at_2_50_and_95_percent(p: float, mark: str) -> None:
    due = NOW + timedelta(days=1)
    made = replace(PLAN, deadline=due, lines=(replace(LINE, need_by=None, arrives=((due.date(), p),)),))
    assert timeline(made, {"n": "the seal"}, "Europe/London", 72)[2].split()[-1] == f"·{mark}"
