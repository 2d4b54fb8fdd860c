"""What a Plan says, on small problems whose answer can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cache

import pytest

from partsdb.errors import BadInput
from partsdb.model import Need, Option, Plan, WayOut
from partsdb.money import money
from partsdb.planning import Problem, plan
from partsdb.planning.arrivals import holds_out
from partsdb.planning.lines import Variations
from partsdb.planning.planner import work_out
from partsdb.records import Service
from support.planning_cases import LONDON, NOW, bought, invented, offer, pounds, problem, service, supplier

NEXT = service("next", transit=(1, 1), handling=(0, 0), freight="20")
POST = service("post", transit=(2, 4), handling=(0, 1), freight="5")
NEED = Need("n", "the seal", install_hours=2.0)


def one_need(*ways: Option, **more: object) -> Problem:
    """One need, two offers of one seller by post or next day, and what else is given."""
    seller = supplier("a", services=(POST, NEXT), minimum=str(more.pop("minimum", "0")))
    offers = (offer("o", "a", "50"), offer("late", "a", "30", stock="to order", lead=(8, 12)))
    return problem((NEED,), ways, offers, (seller,), **more)  # type: ignore[arg-type]


BY_NEXT = bought("next", "n", offer("o", "a"), "next")
BY_POST = bought("post", "n", offer("o", "a"), "post")
ORDERED_IN = bought("ordered in", "n", offer("late", "a"), "post")
DRAWER = Option("drawer", "n", "shelf", "drawer", (0.9,), (), (("piece", 1),))


@cache
def five_needs() -> Plan:
    return plan(invented(9, 5, 5, 3, target=0.6), runs=0)


def test_money_adds_up_to_the_penny() -> None:
    made = five_needs()
    assert sum(line.cost for line in made.lines) + made.freight + made.top_up == made.outlay
    assert made.cost <= made.outlay
    assert made.bound == made.cost


def test_a_minimum_order_is_topped_up_and_said() -> None:
    made = plan(one_need(BY_NEXT, minimum="80", target=0.5), runs=0)
    assert made.top_up == Decimal("30.00")
    assert made.outlay == Decimal("100.00")  # 50 of goods, 30 topped up, 20 of freight
    assert any("minimum order" in note for note in made.notes)


def test_what_is_not_used_is_expected_back_in_part() -> None:
    """A part that fits with 0.6 goes back four times in ten at 80 % of 50: sixteen pounds."""
    made = plan(one_need(replace(BY_NEXT, fits=(0.6,)), target=0.2), runs=0)
    assert made.outlay - made.cost == pytest.approx(Decimal("16"), abs=Decimal("0.05"))


def test_a_dear_late_day_buys_the_quick_service_and_a_cheap_one_does_not() -> None:
    dear = plan(one_need(BY_NEXT, BY_POST, days=5, late_day="500"), runs=0)
    cheap = plan(one_need(BY_NEXT, BY_POST, days=5, late_day="1"), runs=0)
    assert "next" in dear.options
    assert cheap.options == ("post",)


def test_the_step_up_is_bought_exactly_when_it_costs_less_than_the_lateness_it_saves() -> None:
    """The newsvendor's rule on one need: below, at and above the cost of a late day at which both are equal."""
    both = one_need(BY_NEXT, BY_POST, days=5, late_day="1")
    each = {way: plan(one_need(way, days=5, late_day="1"), runs=0) for way in (BY_NEXT, BY_POST)}
    saved = each[BY_POST].expected_late - each[BY_NEXT].expected_late
    made = work_out(both)
    assert made is not None
    p = {
        c.options: float((1 - c.factor.mean(made.search.world.priors)[:-1]).sum())
        for c in made.search.table[0]
    }
    even = 15 / (p[("post",)] - p[("next",)])  # freight 20 against 5, per late day saved
    assert saved > 0
    for cost, expected in ((even * 0.98, "post"), (even * 1.02, "next")):
        asked = replace(both, late_day=money(f"{cost:.4f}", "GBP"))
        assert plan(asked, runs=0).options == (expected,)


def test_the_order_time_is_the_last_that_leaves_the_probability_as_it_is() -> None:
    asked = one_need(BY_NEXT, days=8, target=0.5)
    line = plan(asked, runs=0).lines[0]
    found = work_out(asked)
    assert found is not None and line.order_by is not None
    made, varied = found.search.world, Variations(found.search, found.decided.choice)
    at = varied.with_factor("next", made.in_time(asked.options[0], line.order_by))
    after = varied.with_factor("next", made.in_time(asked.options[0], line.order_by + timedelta(minutes=1)))
    assert at >= varied.probability - 0.001 > after
    assert line.order_by > NOW and line.order_by.time() == time(15)
    assert line.supplier_zone == "Europe/London"


def test_a_passed_cut_off_rolls_to_the_next_working_day_and_says_so() -> None:
    friday = datetime(2026, 3, 20, 15, 30, tzinfo=LONDON)
    made = plan(one_need(BY_NEXT, now=friday, days=9, target=0.5), runs=0)
    assert made.lines[0].rolled
    assert any("cut-off has passed" in note for note in made.notes)
    assert made.lines[0].arrives[0][0] == date(2026, 3, 24)  # counts for Monday, comes on Tuesday
    before = plan(one_need(BY_NEXT, now=friday.replace(hour=15, minute=0), days=9, target=0.5), runs=0)
    assert not before.lines[0].rolled
    assert before.lines[0].arrives[0][0] == date(2026, 3, 23)


def test_a_need_without_any_way_is_named_and_spoils_the_probability() -> None:
    other = Need("m", "the coil")
    made = plan(replace(one_need(BY_NEXT, target=0.5), needs=(NEED, other)), runs=100)
    assert made.uncovered == ("m",)
    assert made.probability == 0.0 and made.simulated == 0.0 and not made.reachable
    assert [line.option for line in made.lines] == ["next"]
    assert any("the coil" in note for note in made.notes)


def test_an_uncovered_need_that_may_not_exist_leaves_that_chance() -> None:
    other = Need("m", "the coil", exists=0.25)
    made = plan(replace(one_need(DRAWER, target=0.5), needs=(NEED, other)), runs=0)
    assert made.probability == pytest.approx(0.9 * 0.75)
    assert made.rivals
    assert all(rival.probability == pytest.approx(0.9 * 0.75) for rival in made.rivals)


def test_no_rule_of_thumb_is_surer_than_a_need_without_any_way_allows() -> None:
    other = Need("m", "the coil")
    made = plan(replace(one_need(BY_NEXT, target=0.5), needs=(NEED, other)), runs=100)
    assert made.rivals and made.standard_error == 0.0
    assert all(rival.probability == 0.0 for rival in made.rivals)


def test_nothing_to_choose_is_an_answer() -> None:
    made = plan(one_need(target=0.5))
    assert (made.lines, made.probability, made.uncovered, made.reachable) == ((), 0.0, ("n",), False)
    nothing = plan(replace(one_need(), needs=(), target=0.5))
    assert nothing.probability == 1.0 and nothing.reachable


def test_an_unreachable_target_gives_the_best_the_earliest_day_and_what_buys_time() -> None:
    made = plan(one_need(ORDERED_IN, target=0.9, days=8), runs=0)
    assert not made.reachable
    assert made.probability < 0.5
    assert made.earliest is not None and made.earliest > made.deadline.date()
    by = dict(made.by_day)
    assert by[made.earliest] >= 0.9 > by[made.earliest - timedelta(days=1)]


def test_what_doubts_the_fit_is_not_cured_by_waiting() -> None:
    made = plan(one_need(DRAWER, target=0.95), runs=0)
    assert not made.reachable and made.earliest is None
    assert any("no later day reaches it" in note for note in made.notes)


def test_a_trigger_names_the_last_moment_and_what_still_saves_the_job() -> None:
    made = plan(one_need(ORDERED_IN, BY_NEXT, days=26, target=0.5), runs=0)
    assert made.options == ("ordered in",)
    trigger = made.triggers[0]
    assert "next" in trigger.do and trigger.probability >= 0.5 and trigger.by > NOW
    assert trigger.cost == Decimal("70.00")


def test_a_trigger_never_asks_before_the_part_could_have_come() -> None:
    for days in (6, 8, 12, 16, 20, 26):
        made = plan(one_need(ORDERED_IN, BY_NEXT, BY_POST, days=days, target=0.3), runs=0)
        for trigger in made.triggers:
            waited = [line for line in made.lines if line.need == trigger.need]
            assert trigger.by.date() >= min(line.arrives[0][0] for line in waited)


def test_where_nothing_else_helps_the_trigger_is_the_way_out() -> None:
    out = WayOut("have it made by the works next door", Decimal(400), NOW + timedelta(days=3))
    made = plan(replace(one_need(ORDERED_IN, days=12, target=0.1), way_out=(out,)), runs=0)
    assert (made.triggers[0].do, made.triggers[0].by) == (out.title, out.decide_by)
    assert made.way_out == (out,)


@pytest.mark.parametrize(("price", "leaves"), [(50, True), (100_000, False)])
def test_the_way_out_is_advised_only_where_waiting_costs_more(price: int, leaves: bool) -> None:
    out = WayOut("subcontract", Decimal(price), NOW + timedelta(days=3))
    made = plan(replace(one_need(ORDERED_IN, days=12, late_day="100"), way_out=(out,)), runs=0)
    assert (made.triggers[0].do == "subcontract") == leaves
    assert leaves or made.triggers[0].do.startswith("ring a")


def test_a_way_out_cheaper_than_the_plan_with_its_lateness_is_said() -> None:
    out = WayOut("subcontract", Decimal(90), NOW + timedelta(days=2))
    made = plan(replace(one_need(ORDERED_IN, days=6, late_day="100"), way_out=(out,)), runs=0)
    assert any("subcontract costs less" in note for note in made.notes)


def test_a_call_is_worth_what_knowing_the_stock_saves() -> None:
    """Stock is doubtful, the other way is dear: a no would turn the order to the other way."""
    asked = one_need(BY_NEXT, days=5, late_day="200")
    sure = supplier("b", services=(NEXT,))
    other = offer("p", "b", "120", stock="not stated", lead=(1, 2))
    both = replace(
        asked,
        suppliers=(*asked.suppliers, sure),
        offers=(*asked.offers, other),
        options=(BY_NEXT, bought("other", "n", other, "next")),
    )
    made = plan(both, runs=0)
    call = next(c for c in made.calls if c.offer == "o")
    assert call.value > 0 and call.before > NOW
    assert any("hand" in line for line in call.script)


def test_a_call_about_a_sure_thing_is_not_proposed() -> None:
    assert plan(one_need(ORDERED_IN, days=20, late_day="100"), runs=0).calls == ()


def test_rivals_stand_beside_the_plan_and_none_is_better_at_its_probability() -> None:
    made = five_needs()
    assert [rival.name for rival in made.rivals][:2] == ["cheapest first", "fastest first"]
    for rival in made.rivals:
        assert rival.cost >= made.cost or rival.probability < 0.6


def test_the_frontier_rises_in_cost_and_probability() -> None:
    made = five_needs()
    costs = [point.cost for point in made.frontier]
    probabilities = [point.probability for point in made.frontier]
    assert costs == sorted(costs) and probabilities == sorted(probabilities) and len(costs) > 2


def test_the_line_that_hurts_most_is_the_one_whose_certainty_helps_most() -> None:
    found = work_out(invented(9, 5, 5, 3, target=0.6))
    assert found is not None
    made = five_needs()
    varied = Variations(found.search, found.decided.choice)
    for line in made.lines:
        assert line.hurts == pytest.approx(varied.certain(line.option) - made.probability, abs=1e-9)
        assert varied.missing(line.option) <= made.probability + 1e-9


def test_a_budget_is_kept_and_a_budget_too_small_orders_nothing() -> None:
    made = plan(replace(one_need(BY_NEXT, BY_POST), budget=Decimal(60)), runs=0)
    assert made.options == ("post",) and made.outlay <= 60
    nothing = plan(replace(one_need(BY_NEXT), budget=Decimal(5)), runs=0)
    assert nothing.lines == () and nothing.uncovered == ("n",)


def test_a_foreign_price_is_converted_at_the_stated_rate() -> None:
    asked = one_need(BY_NEXT, target=0.5)
    euros = replace(asked.offers[0], price=money("40", "EUR"))
    abroad = replace(asked, offers=(euros, asked.offers[1]))
    assert plan(replace(abroad, rates={"EUR": Decimal("0.85")}), runs=0).lines[0].cost == Decimal("34.00")
    with pytest.raises(BadInput, match="no rate from EUR"):
        plan(abroad)


def test_whole_packs_are_bought() -> None:
    asked = one_need(replace(BY_NEXT, lines=(replace(BY_NEXT.lines[0], quantity=3),)), target=0.5)
    packed = replace(asked, offers=(replace(asked.offers[0], pack=2, price=pounds("10")), asked.offers[1]))
    assert plan(packed, runs=0).lines[0].cost == Decimal("40.00")


TEMPORARY = Option("t", "n", "temporary", "stand-in", survives=0.9, stated_hours=40.0, duty_hours=40.0)


@pytest.mark.parametrize(("duty", "expected"), [(39.0, 0.9), (40.0, 0.9), (40.1, 0.0)])
def test_a_temporary_part_counts_only_for_the_hours_it_is_stated_for(duty: float, expected: float) -> None:
    assert holds_out(replace(TEMPORARY, duty_hours=duty)) == expected


def test_a_temporary_part_without_stated_hours_bridges_nothing() -> None:
    assert holds_out(replace(TEMPORARY, stated_hours=None)) == 0.0
    assert holds_out(replace(TEMPORARY, stated_hours=None, duty_hours=0.0)) == 0.9


def test_two_needs_do_not_share_the_one_piece_in_the_drawer() -> None:
    other = Need("m", "the other seal", install_hours=1.0)
    second = replace(DRAWER, id="drawer 2", need="m")
    asked = replace(one_need(DRAWER, second, BY_NEXT, target=0.5), needs=(NEED, other))
    made = plan(asked, runs=0)
    assert set(made.options) == {"next", "drawer 2"}
    assert set(plan(replace(asked, stock={"piece": 2}), runs=0).options) == {"drawer", "drawer 2"}


def test_progress_is_told_and_runs_are_counted() -> None:
    told: list[str] = []
    made = plan(one_need(BY_NEXT, target=0.5), runs=2_000, seed=4, on_progress=told.append)
    assert told and (made.runs, made.seed) == (2_000, 4)
    assert made.simulated is not None and made.standard_error is not None
    assert abs(made.simulated - made.probability) <= 4 * made.standard_error


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"target": 1.5}, "not a probability"),
        ({"needs": (NEED, NEED)}, "same id"),
        ({"needs": (replace(NEED, after=("x",)),)}, "not among the needs"),
        ({"needs": (replace(NEED, after=("n",)),)}, "after itself"),
        ({"options": (BY_NEXT, BY_NEXT)}, "same id"),
        ({"options": (replace(BY_NEXT, fits=(1.0, 1.0)),)}, "readings"),
        ({"options": (replace(BY_NEXT, need="x"),)}, "not among the needs"),
        ({"offers": ()}, "no offer"),
        ({"now": datetime(2026, 3, 18)}, "no time zone"),  # noqa: DTZ001  # the fault that is looked for
    ],
)
def test_a_problem_that_does_not_hang_together_is_refused_in_one_line(
    change: dict[str, object], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        plan(replace(one_need(BY_NEXT, target=0.5), **change))  # type: ignore[arg-type]  # any field


def test_services_of_another_supplier_are_refused() -> None:
    elsewhere = replace(BY_NEXT, lines=(replace(BY_NEXT.lines[0], service_id="pigeon"),))
    with pytest.raises(BadInput, match="no service"):
        plan(one_need(elsewhere, target=0.5))
    assert isinstance(NEXT, Service)
