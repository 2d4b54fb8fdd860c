"""What must hold of every plan, on problems drawn at random."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.planning import Placed, Problem, plan, replan
from partsdb.planning.arrivals import world
from partsdb.planning.planner import Worked, work_out
from partsdb.planning.simulate import simulate
from partsdb.planning.solve import cheapest
from support.planning_cases import invented

SEEDS = st.integers(0, 100_000)
modest = settings(max_examples=7, deadline=None)
quick = settings(max_examples=4, deadline=None)


def tiny(seed: int, **more: object) -> Problem:
    return invented(seed, 3, 4, 2, abroad=False, **more)  # type: ignore[arg-type]


def worked(problem: Problem) -> Worked:
    found = work_out(problem)
    assert found is not None
    return found


@modest
@given(seed=SEEDS, days=st.integers(1, 4))
def test_a_later_deadline_never_makes_the_surest_plan_less_sure_or_the_plan_dearer(
    seed: int, days: int
) -> None:
    asked = tiny(seed, target=0.7)
    later = replace(asked, deadline=asked.deadline + timedelta(days=days))
    before, after = worked(asked), worked(later)
    assert after.decided.surest.probability >= before.decided.surest.probability - 1e-9
    if before.decided.reachable:
        assert after.decided.reachable
        assert after.decided.choice.money.cost <= before.decided.choice.money.cost


@modest
@given(seed=SEEDS, days=st.integers(1, 4))
def test_a_later_deadline_never_raises_cost_and_lateness_together(seed: int, days: int) -> None:
    asked = tiny(seed, target=None, late_day="40", lost="400")
    later = replace(asked, deadline=asked.deadline + timedelta(days=days))
    assert worked(later).decided.choice.total <= worked(asked).decided.choice.total + 1.0


@modest
@given(seed=SEEDS, more=st.integers(0, 200))
def test_a_larger_budget_never_makes_the_plan_less_sure(seed: int, more: int) -> None:
    asked = tiny(seed, target=None)
    least = worked(replace(asked, target=1e-9)).decided.choice.money.outlay
    budget = Decimal(least) / 100 + 20
    small = worked(replace(asked, budget=budget)).decided.choice
    large = worked(replace(asked, budget=budget + more)).decided.choice
    assert large.probability >= small.probability - 1e-9
    assert small.money.outlay <= budget * 100


@modest
@given(seed=SEEDS, low=st.floats(0.05, 0.95), high=st.floats(0.05, 0.95))
def test_a_stricter_target_never_costs_less(seed: int, low: float, high: float) -> None:
    low, high = sorted((low, high))
    found = worked(tiny(seed, target=low))
    easy, hard = cheapest(found.search, low), cheapest(found.search, high)
    if hard is not None:
        assert easy is not None
        assert easy.money.cost <= hard.money.cost


@modest
@given(seed=SEEDS)
def test_no_unit_of_stock_is_spent_twice(seed: int) -> None:
    asked = tiny(seed, target=None, late_day="40")
    chosen = set(plan(asked, runs=0).options)
    spent: dict[str, int] = {}
    for option in asked.options:
        if option.id in chosen:
            for stock, units in option.uses:
                spent[stock] = spent.get(stock, 0) + units
    made = world(asked)
    assert all((limit := made.capacity(stock)) is None or units <= limit for stock, units in spent.items())


@quick
@given(seed=SEEDS, way=st.sampled_from(["target", "lateness", "budget"]))
def test_replanning_with_no_news_changes_nothing(seed: int, way: str) -> None:
    asked = {
        "target": tiny(seed, target=0.6),
        "lateness": tiny(seed, target=None, late_day="40"),
        "budget": replace(tiny(seed, target=None), budget=Decimal(250)),
    }[way]
    before = plan(asked, runs=500)
    again = replan(asked, before, runs=500)
    assert again.plan == before
    assert not again.changed
    assert again.changes == ("nothing changes",)


@quick
@given(seed=SEEDS)
def test_placing_what_was_planned_changes_nothing_more(seed: int) -> None:
    asked = tiny(seed, target=None, late_day="40")
    before = plan(asked, runs=0)
    bought = {line.option for line in before.lines if line.supplier}
    placed = tuple(Placed(option, asked.now) for option in sorted(bought))
    again = replan(replace(asked, placed=placed), before, runs=0)
    assert not again.changed
    assert set(again.plan.options) == set(before.options)
    assert abs(again.plan.probability - before.probability) < 1e-9


@modest
@given(seed=SEEDS, more=st.integers(1, 6))
def test_the_simulated_rate_falls_as_lead_times_grow(seed: int, more: int) -> None:
    """Common random numbers: the same seed draws the same luck."""
    asked = tiny(seed)
    slower = replace(
        asked,
        offers=tuple(
            replace(offer, lead_days=(offer.lead_days[0] + more, offer.lead_days[1] + more))
            for offer in asked.offers
        ),
    )
    first = [next(o for o in asked.options if o.need == need.id) for need in asked.needs]
    rates = []
    for problem in (asked, slower):
        played = simulate(world(problem), first, seed=11, runs=4_000)
        assert played is not None
        rates.append(played.probability)
    assert rates[1] <= rates[0]
