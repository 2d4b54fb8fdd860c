"""The planner against every plan there is: all combinations of all columns, on small tight problems."""

from __future__ import annotations

import math

import numpy as np
import pytest

from partsdb.planning.arrivals import World, world
from partsdb.planning.columns import columns_of
from partsdb.planning.factors import Factor, constant, drawn, joint
from partsdb.planning.frontier import frontier
from partsdb.planning.greedy import best_step_first
from partsdb.planning.milp import bound_logs
from partsdb.planning.search import Search, late_weights, search_of
from partsdb.planning.solve import cheapest, least_total, surest
from support.planning_cases import invented
from support.planning_enumeration import everything

CASES = range(100)


def small(seed: int, **more: object) -> World:
    return world(invented(1000 + seed, 4, 6, 2, abroad=seed % 5 == 1, **more))  # type: ignore[arg-type]


def nothing(_: str) -> None:
    """No progress is shown."""


def test_the_cheapest_plan_is_the_optimum_of_a_hundred_enumerated_cases() -> None:
    ratios, proved = [], 0
    for seed in CASES:
        made = small(seed)
        every = everything(made)
        best = float(every.p[0][every.allowed].max())
        target = best * (1 - 0.02 * (1 + seed % 4))
        reaches = every.allowed & (every.p[0] >= target - 1e-9)
        found = cheapest(search_of(made, all_days=False), target)
        assert found is not None
        assert found.probability >= target - 1e-9
        assert found.bound is not None and found.bound <= every.cost[reaches].min() + 0.5
        ratios.append(found.money.cost / every.cost[reaches].min())
        proved += found.proved
        if found.proved:
            assert ratios[-1] <= 1 + 1e-12
    assert proved == len(CASES)
    assert max(ratios) <= 1 + 1e-12


@pytest.mark.parametrize("seed", range(6))
def test_the_surest_plan_is_the_surest_of_all(seed: int) -> None:
    made = small(seed)
    every = everything(made)
    found = surest(search_of(made, all_days=True))
    assert found is not None and found.proved
    assert found.probability == pytest.approx(float(every.p[0][every.allowed].max()), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_cost_and_lateness_together_are_the_least_of_all(seed: int) -> None:
    made = small(seed, target=None, late_day="60", lost="250")
    every = everything(made, made.levels)
    each, weights = late_weights(made)
    late = each * sum(w * (1 - p) for w, p in zip(weights, every.p, strict=False))
    search = search_of(made, all_days=True)
    sure = surest(search)
    assert sure is not None
    found = least_total(search, min(frontier(search, sure, nothing), key=lambda choice: choice.total))
    least = float((every.cost + late)[every.allowed].min())
    assert found.proved
    assert found.total == pytest.approx(least, abs=0.01)


@pytest.mark.parametrize("seed", range(4))
def test_within_a_budget_the_plan_is_the_surest_that_can_be_paid(seed: int) -> None:
    made = small(seed)
    every = everything(made)
    budget = int(np.quantile(every.outlay[every.allowed], 0.02))
    found = surest(search_of(made, all_days=True, budget=budget))
    assert found is not None
    assert found.money.outlay <= budget
    paid = every.allowed & (every.outlay <= budget)
    assert found.probability == pytest.approx(float(every.p[0][paid].max()), abs=1e-9)


def random_choices(search: Search, seed: int, many: int) -> list[tuple[int, ...]]:
    rng = np.random.default_rng(seed)
    return [tuple(int(rng.integers(len(columns))) for columns in search.table) for _ in range(many)]


@pytest.mark.parametrize("seed", range(5))
def test_the_marginal_product_is_never_above_and_the_bound_never_below_the_probability(seed: int) -> None:
    """Association and Hölder's inequality, on plans drawn at random, for some numbers of late days."""
    made = world(invented(seed, 6, 5, 3))
    search = search_of(made, all_days=True)
    for level in (0, 3):
        bounds = bound_logs(made, search.table, level)
        for places in random_choices(search, seed, 60):
            exact = float(search.choice(places).p[level])
            columns = search.columns(places)
            marginal = math.prod(float(c.factor.mean(made.priors)[level]) for c in columns)
            bound = sum(values[c] for values, c in zip(bounds, places, strict=True))
            assert marginal <= exact + 1e-12
            assert math.log(max(exact, 1e-300)) <= bound + 1e-9


@pytest.mark.parametrize("seed", [504, 507])
def test_a_plan_too_large_to_be_proved_is_never_dearer_than_the_best_rule_by_hand(seed: int) -> None:
    search = search_of(world(invented(seed, 9, 6, 4, doubt=False, days=11), 1), all_days=True)
    sure = surest(search)
    assert sure is not None
    target = 0.85 * sure.probability
    greedy, found = best_step_first(search, target), cheapest(search, target)
    assert greedy is not None and found is not None and found.bound is not None
    assert found.bound <= found.money.cost <= greedy.money.cost
    assert found.probability >= target - 1e-9


@pytest.mark.parametrize("seed", range(3))
def test_dropping_dominated_columns_loses_no_best_plan(seed: int) -> None:
    """By enumeration: the cheapest plan at any probability is as cheap among the kept columns."""
    made = small(seed)
    every = everything(made)
    search = search_of(made, all_days=True)
    for target in (0.3, 0.5, 0.7):
        reaches = every.allowed & (every.p[0] >= target - 1e-9)
        if reaches.any():
            found = cheapest(search, target)
            assert found is not None and found.money.cost == every.cost[reaches].min()


def test_pairs_of_the_same_supplier_are_among_the_columns() -> None:
    made = world(invented(3, 2, 6, 2))
    options = {option.id: option for option in made.problem.options}
    sellers = [
        {line.supplier_id for name in column.options for line in options[name].lines}
        for need in made.problem.needs
        for column in columns_of(made, need, all_days=False, prune=False)
        if len(column.options) == 2
    ]
    assert any(len(pair) == 1 for pair in sellers) and any(len(pair) == 2 for pair in sellers)


def test_joint_probability_is_the_sum_over_all_states_by_hand() -> None:
    priors = {"a": np.array([0.3, 0.7]), "b": np.array([0.6, 0.4])}
    one = Factor(("a",), np.array([[0.9], [0.5]]))
    two = Factor(("a", "b"), np.array([[[0.8], [0.1]], [[1.0], [0.4]]]))
    by_hand = 0.3 * 0.9 * (0.6 * 0.8 + 0.4 * 0.1) + 0.7 * 0.5 * (0.6 * 1.0 + 0.4 * 0.4)
    assert joint([one, two, constant(np.array([0.5]))], priors)[0] == pytest.approx(0.5 * by_hand)


def test_drawn_states_agree_with_the_exact_sum() -> None:
    search = search_of(world(invented(5, 6, 5, 3)), all_days=True)
    places = random_choices(search, 1, 1)[0]
    factors = [column.factor for column in search.columns(places)]
    exact = joint(factors, search.world.priors)
    assert drawn(factors, search.world.priors) == pytest.approx(exact, abs=0.006)
