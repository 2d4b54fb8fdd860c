"""Orders under way: sunk, waited for, learnt from, and the change explained."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from partsdb.model import Need
from partsdb.planning import Placed, Problem, plan, replan
from partsdb.planning.arrivals import world
from support.planning_cases import NOW, bought, offer, problem, service, supplier

POST = service("post", transit=(2, 3), handling=(0, 1), freight="5")
NEXT = service("next", transit=(1, 1), handling=(0, 0), freight="20")
FIRST, SECOND = offer("o", "a", "50", stock="to order", lead=(3, 5)), offer("p", "b", "90", stock="in stock")
ASKED = problem(
    (Need("n", "the seal", install_hours=2.0),),
    (bought("post", "n", FIRST, "post"), bought("next", "n", SECOND, "next")),
    (FIRST, SECOND),
    (supplier("a", services=(POST, NEXT)), supplier("b", services=(POST, NEXT))),
    days=14,
    target=0.8,
)
BEFORE = plan(ASKED, runs=0)


def after(days: int, placed: Placed, **more: object) -> Problem:
    return replace(ASKED, now=NOW + timedelta(days=days), placed=(placed,), **more)  # type: ignore[arg-type]


def test_the_plan_before_waits_for_the_cheap_order() -> None:
    assert BEFORE.options == ("post",)


def test_what_is_paid_is_sunk() -> None:
    found = replan(after(1, Placed("post", NOW, paid=Decimal(55))), BEFORE, runs=0)
    assert not found.changed
    assert found.plan.outlay == 0 and found.plan.lines[0].order_by is None
    assert any("55" in said and "spent already" in said for said in found.changes)


def test_what_has_not_come_becomes_less_probable_day_by_day() -> None:
    p = [
        replan(after(days, Placed("post", NOW), target=0.01), BEFORE, runs=0).plan.lines[0].p_in_time
        for days in (0, 5, 8, 10, 12)
    ]
    assert p == sorted(p, reverse=True)
    assert p[-1] < 0.8 < 0.9 < p[0]


def test_a_late_order_brings_in_the_other_way_and_says_why() -> None:
    found = replan(after(12, Placed("post", NOW, state="late")), BEFORE, runs=0)
    assert found.changed
    assert "next" in found.plan.options and "post" in found.plan.options
    assert any("post: late; in time" in said for said in found.changes)
    assert any("now order next" in said for said in found.changes)
    assert any(said.startswith("being in time:") for said in found.changes)


def test_a_new_promise_is_believed_not_to_come_sooner() -> None:
    promised = Placed("post", NOW, state="late", promised=date(2026, 3, 30))
    made = replan(after(2, promised), BEFORE, runs=0).plan
    line = next(line for line in made.lines if line.option == "post")
    assert line.arrives[0][0] >= date(2026, 3, 30)


def test_a_received_part_is_here_and_nothing_more_is_bought() -> None:
    found = replan(after(6, Placed("post", NOW, "received", NOW + timedelta(days=6))), BEFORE, runs=1_000)
    assert found.plan.probability == 1.0 and found.plan.simulated == 1.0
    assert not found.changed
    assert any("it is here" in said for said in found.changes)


def test_nobody_waits_for_a_part_that_is_here_even_if_it_may_not_fit() -> None:
    doubtful = tuple(replace(option, fits=(0.8,)) for option in ASKED.options)
    here = Placed("post", NOW, "received", NOW + timedelta(days=6))
    made = plan(after(6, here, options=doubtful, target=0.5), runs=0)
    assert made.probability >= 0.8 and made.triggers == ()


def test_the_wrong_part_is_out_and_is_not_ordered_again() -> None:
    found = replan(after(6, Placed("post", NOW, "wrong")), BEFORE, runs=0)
    assert found.plan.options == ("next",)
    assert any("the wrong thing came" in said for said in found.changes)


def test_a_cancelled_order_is_out() -> None:
    assert replan(after(1, Placed("post", NOW, "cancelled")), BEFORE, runs=0).plan.options == ("next",)


def test_a_third_order_is_thought_of_only_once_one_of_two_is_late() -> None:
    third = offer("q", "b", "20")
    asked = replace(
        ASKED, options=(*ASKED.options, bought("third", "n", third, "next")), offers=(*ASKED.offers, third)
    )
    both = (Placed("post", NOW), Placed("next", NOW))
    waiting = plan(replace(asked, now=NOW + timedelta(days=9), placed=both, target=0.999), runs=0)
    assert "third" not in waiting.options
    late = (replace(both[0], state="late"), both[1])
    found = plan(replace(asked, now=NOW + timedelta(days=9), placed=late, target=0.999), runs=0)
    assert "third" in found.options


def test_waiting_makes_a_slow_spell_more_probable() -> None:
    calm = world(after(0, Placed("post", NOW))).priors["spell a"][1]
    slow = world(after(9, Placed("post", NOW, state="late"))).priors["spell a"][1]
    assert slow > calm


def test_a_call_before_the_money_is_spent_is_not_proposed_for_placed_orders() -> None:
    found = replan(after(1, Placed("post", NOW)), BEFORE, runs=0)
    assert found.plan.calls == ()


def test_when_everything_is_gone_the_answer_says_so() -> None:
    gone = (Placed("post", NOW, "wrong"), Placed("next", NOW, "cancelled"))
    found = replan(replace(ASKED, placed=gone), BEFORE, runs=0)
    assert found.plan.uncovered == ("n",) and found.plan.lines == ()
