"""Figures of the planner worked out by hand: fitters, what is learnt, second orders, the goods-in window."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal

import numpy as np
import pytest

from partsdb.model import Need, Option, Plan
from partsdb.planning import Problem, plan
from partsdb.planning.leadtimes import Optimism, normal_cdf, optimism
from partsdb.records import Delivery, Hours
from support.planning_cases import LONDON, NOW, WEEK, bought, offer, problem, service, supplier

# --------------------------------------------------------------------------- fitters

MONDAY = datetime(2026, 3, 16, 11, tzinfo=LONDON)  # till Wednesday four: 5.5 + 8.5 + 8 = 22 hours of the shop


def fitted(hours: tuple[float, ...], fitters: int, *, in_turn: bool = False) -> Plan:
    """The plan of parts from the drawer that take so long to fit; in_turn: each only after the one before."""
    needs = tuple(
        Need(f"n{i}", f"n{i}", install_hours=h, after=(f"n{i - 1}",) if in_turn and i else ())
        for i, h in enumerate(hours)
    )
    ways = tuple(Option(f"w{i}", f"n{i}", "shelf", f"piece {i}") for i in range(len(hours)))
    return plan(problem(needs, ways, days=2, now=MONDAY, fitters=fitters, target=0.5), runs=50)


@pytest.mark.parametrize(
    ("hours", "fitters", "in_time"),
    [
        ((11.0, 11.0), 1, True),  # one after the other: 22 hours
        ((11.0, 11.1), 1, False),
        ((11.0, 11.1), 2, True),
        ((8.0, 7.0, 7.0), 1, True),
        ((8.0, 7.0, 7.1), 1, False),
        ((12.0, 12.0, 10.0), 2, True),  # the third is fitted by the first who is free
        ((12.0, 12.0, 10.1), 2, False),
        ((12.0, 12.0, 10.1), 3, True),
        ((22.0, 22.0, 22.0), 3, True),
    ],
)
def test_as_many_parts_are_fitted_at_once_as_there_are_fitters(
    hours: tuple[float, ...], fitters: int, in_time: bool
) -> None:
    made = fitted(hours, fitters)
    assert made.probability == made.simulated == made.free_choice == float(in_time)


@pytest.mark.parametrize(("hours", "in_time"), [((11.0, 11.0), True), ((11.0, 11.1), False)])
def test_what_is_fitted_after_another_waits_for_it_however_many_fitters_there_are(
    hours: tuple[float, ...], in_time: bool
) -> None:
    made = fitted(hours, 4, in_turn=True)
    assert made.probability == made.simulated == float(in_time)


def test_the_need_by_of_a_one_man_shop_leaves_time_for_all_that_he_fits_after_it() -> None:
    """Of 22 hours he needs 8, 5 and 4: the first must be in hand 17 hours before the end, 5 hours from now."""
    made = fitted((8.0, 5.0, 4.0), 1)
    assert [line.need_by for line in sorted(made.lines, key=lambda line: line.need)] == [
        MONDAY.replace(hour=16),  # after 5 hours
        MONDAY.replace(day=17, hour=15, minute=30),  # 9 hours before the end
        MONDAY.replace(day=18, hour=12),  # 4 hours before the end
    ]


# --------------------------------------------------------------------------- what is learnt of lead times


def test_the_belief_after_one_delivery_is_the_one_worked_out_by_hand() -> None:
    """DeGroot, Optimal Statistical Decisions, ch. 9: from m = 0.4, k = 2, a = 2.5, b = 3.4 and w = 1.4,
    m = (0.8 + 1.4) / 3, k = 3, a = 3, b = 3.4 + 2·1·1² / (2·3); the next w has scale √(b·4 / (a·3))."""
    learnt = Optimism(0.4, 2.0, 2.5, 3.4).learnt([1.4])
    assert (learnt.m, learnt.k, learnt.a) == pytest.approx((2.2 / 3, 3.0, 3.0))
    assert learnt.b == pytest.approx(3.4 + 1 / 3)
    assert learnt.scale == pytest.approx(math.sqrt((3.4 + 1 / 3) * 4 / 9))


@pytest.mark.parametrize("seen", [(1.4,), (0.4, 1.1, -0.3), (2.0, 2.1, 1.9, 2.0, 2.2, 1.8), (-1.0, 3.0)])
def test_what_is_predicted_is_bayes_rule_worked_out_on_a_grid(seen: tuple[float, ...]) -> None:
    """Prior: variance inverse gamma (a, b), mean normal about m with variance / k; likelihood normal; no formula
    of a conjugate belief is used here."""
    prior = Optimism()
    variance = np.geomspace(0.01, 500, 700)[:, None]
    mean = np.linspace(-25, 25, 1501)[None, :]
    log = -(prior.a + 1) * np.log(variance) - prior.b / variance
    log = log - 0.5 * np.log(variance) - prior.k * (mean - prior.m) ** 2 / (2 * variance)
    for w in seen:
        log = log - 0.5 * np.log(variance) - (w - mean) ** 2 / (2 * variance)
    weight = np.exp(log - log.max()) * variance  # the grid is even in the variance's logarithm
    weight /= weight.sum()
    at = np.array([-1.0, 0.0, 0.5, 1.0, 2.0, 3.0])
    exact = [float((weight * normal_cdf((x - mean) / np.sqrt(variance))).sum()) for x in at]
    assert prior.learnt(seen).cdf(at) == pytest.approx(exact, abs=2e-3)


def test_deliveries_alike_make_surer_and_deliveries_that_differ_make_less_sure() -> None:
    """Four that took 4, 4, 4, 4 and four that took 2, 3, 5, 6 days: the mean of w is near, its spread isn't."""

    def learnt(*received: int) -> Optimism:
        came = [
            Delivery(str(i), "a", date(2026, 2, 2), date(2026, 2, day), (3, 6), service_id="quick")
            for i, day in enumerate(received)
        ]
        return optimism(supplier("a"), came, NOW)

    alike, apart = learnt(9, 9, 9, 9), learnt(5, 6, 10, 11)
    assert alike.scale < Optimism().scale
    assert apart.scale > 1.2 * alike.scale


# --------------------------------------------------------------------------- a second order

NEXT = service("next", transit=(1, 1), handling=(0, 0), freight="0")
LATER = service("later", transit=(9, 9), handling=(0, 0), freight="0")
NEED = Need("n", "the seal", install_hours=2.0)


def two_from_the_drawer(target: float) -> Plan:
    """A piece that fits with 0.6 and costs nothing; another with 0.5 that costs 12.50 to make ready."""
    first = Option("first", "n", "shelf", "first piece", (0.6,), (), (("one", 1),))
    second = Option(
        "second", "n", "shelf", "second piece", (0.5,), (), (("two", 1),), other_cost=Decimal("12.50")
    )
    return plan(problem((NEED,), (first, second), days=8, target=target), runs=5_000)


def test_the_worth_of_a_second_order_is_what_the_first_leaves_undone() -> None:
    """1 - 0.4·0.5 = 0.8: 20 points more, for 12.50."""
    made = two_from_the_drawer(0.55)
    assert made.options == ("first",) and made.probability == pytest.approx(0.6)
    assert "a second order, second piece, buys 20.0 points for 12.50 GBP" in made.notes
    assert "12.50 GBP more buys 20.0 points (1.60 for each)" in made.notes


def test_two_orders_for_one_need_fail_only_when_both_do() -> None:
    made = two_from_the_drawer(0.75)
    assert made.options == ("first", "second") and made.cost == Decimal("12.50")
    assert made.probability == pytest.approx(0.8)
    assert made.simulated == pytest.approx(0.8, abs=0.025)
    assert [line.hedge for line in made.lines] == [False, True]


@pytest.mark.parametrize(
    ("target", "options", "reachable"),
    [
        (0.6, ("first",), True),  # exactly what the free one gives
        (0.601, ("first", "second"), True),
        (0.8, ("first", "second"), True),
        (0.801, ("first", "second"), False),
    ],
)
def test_a_target_that_a_plan_just_reaches_is_reached(
    target: float, options: tuple[str, ...], reachable: bool
) -> None:
    made = two_from_the_drawer(target)
    assert (made.options, made.reachable) == (options, reachable)


def test_the_frontier_has_every_step_from_the_cheapest_plan_to_the_surest() -> None:
    """Pieces that fit with .4 for nothing, .7 for 10 and .9 for 30, two of them at most: .4; 1 - .6·.3 = .82 for 10;
    1 - .6·.1 = .94 for 30; 1 - .3·.1 = .97 for 40."""
    pieces = (("a", 0.4, 0), ("b", 0.7, 10), ("c", 0.9, 30))
    ways = tuple(
        Option(name, "n", "shelf", name, (fits,), (), ((name, 1),), other_cost=Decimal(cost))
        for name, fits, cost in pieces
    )
    made = plan(problem((NEED,), ways, days=8, target=0.8), runs=0)
    assert [(point.cost, point.options) for point in made.frontier] == [
        (0, ("a",)), (10, ("a", "b")), (30, ("a", "c")), (40, ("b", "c"))
    ]  # fmt: skip
    assert [point.probability for point in made.frontier] == pytest.approx([0.4, 0.82, 0.94, 0.97])
    assert made.options == ("a", "b")


def two_bought(target: float) -> Problem:
    """Both are put by; the first, for 50, fits with 0.6 and comes days before the second, for 100, with 0.5."""
    offers = (offer("o", "a", "50", stock="put by"), offer("p", "b", "100", stock="put by"))
    sellers = (supplier("a", services=(NEXT,)), supplier("b", services=(LATER,)))
    ways = (
        bought("first", "n", offers[0], "next", (0.6,)),
        bought("second", "n", offers[1], "later", (0.5,)),
    )
    return problem((NEED,), ways, offers, sellers, days=40, target=target)


def test_of_two_orders_what_does_not_fit_or_comes_second_goes_back() -> None:
    """The first is kept with 0.6, the second with 0.4·0.5 = 0.2; four fifths of the price come back:
    0.8·(50·0.4 + 100·0.8) = 80 of 150."""
    made = plan(two_bought(0.75), runs=0)
    assert made.options == ("first", "second")
    assert made.probability == pytest.approx(0.8, abs=1e-3)
    assert made.outlay == Decimal("150.00")
    assert made.outlay - made.cost == pytest.approx(Decimal("80"), abs=Decimal("0.05"))


def test_of_two_that_come_on_one_day_the_first_named_is_tried_first() -> None:
    """Handling and carriage both overrun by 0, 1 or 2 days with .95, .035, .015, so 0 to 4 days together with .9025,
    .0665, .029725, .00105, .000225; the second comes strictly before the first with q = .0901. Kept:
    .6·(1 - .5 q) = .5730 and .5·(1 - .6 (1 - q)) = .2270; back come 0.8·(50·.4270 + 100·.7730) = 78.92."""
    asked = two_bought(0.75)
    alike = replace(asked, suppliers=(asked.suppliers[0], replace(asked.suppliers[1], services=(NEXT,))))
    ways = (asked.options[0], bought("second", "n", asked.offers[1], "next", (0.5,)))
    made = plan(replace(alike, options=ways), runs=0)
    assert made.options == ("first", "second")
    assert made.outlay - made.cost == pytest.approx(Decimal("78.92"), abs=Decimal("0.02"))


# --------------------------------------------------------------------------- the goods-in window

ALL_DAY = ((time(8), time(15)),)
TWICE = ((time(8), time(10)), (time(13), time(15)))


@pytest.mark.parametrize(
    ("ready", "windows", "same_day"),
    [
        (time(14), ALL_DAY, True),
        (time(15), ALL_DAY, True),  # at the gate as it closes
        (time(15, 1), ALL_DAY, False),
        (time(11), TWICE, True),  # the second window is still to come
        (time(15, 1), TWICE, False),
    ],
)
def test_what_is_fetched_after_goods_in_has_closed_waits_for_the_next_day(
    ready: time, windows: tuple[tuple[time, time], ...], same_day: bool
) -> None:
    """Due today at four, to be fitted in an hour after goods-in: .95 keep the word "the same day" (OVERRUN)."""
    fetched = service("fetched", cut_off=ready, handling=(0, 0), transit=(0, 0), freight="0")
    sold = offer("o", "a", stock="put by")
    asked = problem(
        (Need("n", "n", install_hours=1.0),),
        (bought("w", "n", sold, "fetched"),),
        (sold,),
        (supplier("a", services=(fetched,)),),
        days=0,
        target=0.5,
    )
    received = tuple(Hours(day, opens, closes) for day in WEEK for opens, closes in windows)
    made = plan(replace(asked, shop=replace(asked.shop, goods_in=received)), runs=20_000)
    assert made.probability == pytest.approx(0.95 if same_day else 0.0)
    assert made.simulated == pytest.approx(0.95 if same_day else 0.0, abs=0.01)
    assert made.lines[0].arrives[0][0].day == (18 if same_day else 19)


def test_goods_are_in_hand_when_the_last_window_of_their_day_closes() -> None:
    """Due at four: fitting takes an hour after three, not after the ten of the first window."""
    sold = offer("o", "a", stock="put by")
    seller = supplier("a", services=(service("fetched", cut_off=time(11), transit=(0, 0), handling=(0, 0)),))
    received = tuple(Hours(day, opens, closes) for day in WEEK for opens, closes in TWICE)
    for hours, p in ((1.0, 0.95), (1.1, 0.0)):
        need = Need("n", "n", install_hours=hours)
        asked = problem((need,), (bought("w", "n", sold, "fetched"),), (sold,), (seller,), days=0, target=0.5)
        made = plan(replace(asked, shop=replace(asked.shop, goods_in=received)), runs=2_000)
        assert made.probability == pytest.approx(p)
        assert made.simulated == pytest.approx(p, abs=0.03)
