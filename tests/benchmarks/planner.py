"""Planner figures against their targets: speed, hedging against the best hand rule, agreement, coverage.

Run by hand: python tests/benchmarks/planner.py [speed|rule|agree|coverage]. One process; every figure that is
printed was measured in that run.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np

from partsdb.planning.arrivals import world
from partsdb.planning.greedy import best_step_first
from partsdb.planning.leadtimes import Optimism, optimism, quoted
from partsdb.planning.planner import chosen_options
from partsdb.planning.search import Search, search_of
from partsdb.planning.simulate import simulate
from partsdb.planning.solve import cheapest, quick, surest
from partsdb.records import Delivery
from support.planning_cases import NOW, invented, supplier


def first_answer(search: Search) -> tuple[float, float]:
    """(probability asked, cost found) of a first plan, without proof: 0.95 of what can be had."""
    best = surest(search)
    assert best is not None
    choice = quick(search, 0.95 * best.probability)
    assert choice is not None
    return 0.95 * best.probability, float(choice.money.cost)


def timed(seed: int, needs: int, options: int) -> tuple[float, float, Search, float, float]:
    """(seconds, processor seconds, search, target, cost) of a first answer."""
    problem = invented(seed, needs, options, 8, target=None, doubt=False, days=14.0 + needs / 20)
    start, spent = time.perf_counter(), time.process_time()
    search = search_of(world(problem, 1), all_days=True)
    target, cost = first_answer(search)
    return time.perf_counter() - start, time.process_time() - spent, search, target, cost


def speed() -> None:
    """Seconds to a first answer (median of seeds), and to a proof within 1 % on the large ones."""
    timed(0, 4, 4)  # imports and holidays apart
    for needs, options, seeds, must, aim in (
        (20, 10, 5, 0.5, 0.2),
        (200, 10, 3, 3.0, 1.0),
        (200, 20, 1, 30.0, 10.0),
    ):
        runs = [timed(7 + seed, needs, options) for seed in range(seeds)]
        wall, cpu = float(np.median([r[0] for r in runs])), float(np.median([r[1] for r in runs]))
        print(
            f"first answer {needs} x {options}: {wall:.2f} s, {cpu:.2f} s of processor "
            f"(median of {seeds}; {runs[0][2].size} columns kept; must {must}, aim {aim})"
        )
        if needs == 200:
            _, _, search, target, cost = runs[0]
            start, spent = time.perf_counter(), time.process_time()
            found = cheapest(search, target)
            wall, cpu = time.perf_counter() - start, time.process_time() - spent
            assert found is not None and found.bound is not None
            print(
                f"  at {target:.3f}: within {100 * (found.money.cost / found.bound - 1):.2f} % of the best possible "
                f"after {wall:.1f} s more, {cpu:.1f} s of processor; the first answer was "
                f"{100 * (cost / found.money.cost - 1):.2f} % dearer"
            )


def rule() -> None:
    """Cost against the best rule by hand, at the probability asked for and at the one it reached."""
    for by_product, title in ((False, "joint probability"), (True, "product of the needs' own")):
        asked, reached = [], []
        for seed in range(24):
            search = search_of(world(invented(500 + seed, 5, 6, 3), 1), all_days=True)
            best = surest(search)
            assert best is not None
            target = 0.92 * best.probability
            greedy = best_step_first(search, target, by_product=by_product)
            if greedy is None:
                continue
            for found, at in ((asked, target), (reached, greedy.probability - 1e-9)):
                ours = cheapest(search, at)
                assert ours is not None
                found.append(100 * (1 - ours.money.cost / greedy.money.cost))
        print(
            f"against best step first by {title}, {len(asked)} cases: at the probability asked for "
            f"{np.mean(asked):.1f} % cheaper (worst {min(asked):.1f}), at the one it reached "
            f"{np.mean(reached):.1f} % (worst {min(reached):.1f}); must >= 5, never below 0, aim 8"
        )


def agree() -> None:
    """Predicted against simulated probability."""
    differences, scaled = [], []
    for seed in range(40):
        made = world(invented(700 + seed, 5, 5, 3))
        search = search_of(made, all_days=False)
        choice = surest(search)
        assert choice is not None
        played = simulate(made, chosen_options(search, choice), seed=seed, runs=100_000)
        assert played is not None
        differences.append(100 * abs(choice.probability - played.probability))
        scaled.append((choice.probability - played.probability) / played.standard_error)
    print(
        f"predicted against simulated, {len(differences)} plans of 100,000 runs: mean {np.mean(differences):.2f}, "
        f"largest {max(differences):.2f} points (must 0.5, aim 0.3); in standard errors: mean "
        f"{np.mean(scaled):+.2f}, deviation {np.std(scaled):.2f}"
    )


Truth = Callable[[np.random.Generator, float, float, float], float]


def lognormal_truth(rng: np.random.Generator, low: float, high: float, bias: float) -> float:
    """Days of an invented truth: lognormal about the quoted middle, moved by the supplier's bias."""
    return float(np.sqrt(low * high) * np.exp(bias + rng.normal(0, 0.3)))


def gamma_truth(rng: np.random.Generator, low: float, high: float, bias: float) -> float:
    """Another: gamma, with one order in fifteen that was forgotten and takes twice as long."""
    days = rng.gamma(9.0, (low + high) / 2 * np.exp(bias) / 9.0)
    return float(days * (2.0 if rng.random() < 1 / 15 else 1.0))


def coverage() -> None:
    """How often the next delivery is within the predicted 90 % quantile, on invented truths held out."""
    for title, truth in (("lognormal", lognormal_truth), ("gamma with mishaps", gamma_truth)):
        for past in (0, 2, 5, 10):
            hits = [_held_out(np.random.default_rng((past, seed)), truth, past) for seed in range(1500)]
            print(
                f"coverage of the 90 % quantile, {title}, {past} past deliveries: {np.mean(hits):.3f} "
                "(must 0.86 to 0.94 from two on)"
            )


def _held_out(rng: np.random.Generator, truth: Truth, past: int) -> float:
    """Share of one draw's probability that lies within the quantile: whole days, so the edge counts in part."""
    bias = float(rng.normal(0.1, 0.25))
    seen: list[float] = []
    for _ in range(past):
        low, high = _quote(rng)
        seen.append(quoted(low, high).standard(round(truth(rng, low, high, bias))))
    belief = Optimism().learnt(seen)
    low, high = _quote(rng)
    cdf = belief.cdf(quoted(low, high).standards(np.arange(400) + 0.5))
    edge = int(np.searchsorted(cdf, 0.9))
    day = round(truth(rng, low, high, bias))
    if day != edge:
        return float(day < edge)
    below = float(cdf[edge - 1]) if edge else 0.0
    return (0.9 - below) / (float(cdf[edge]) - below)


def _quote(rng: np.random.Generator) -> tuple[int, int]:
    low = int(rng.integers(3, 15))
    return low, int(np.ceil(low * rng.uniform(1.3, 2.2)))


def censoring() -> None:
    """What dropping open orders would do to the same coverage: the mistake the model avoids."""
    kept, dropped = [], []
    for seed in range(400):
        rng = np.random.default_rng(seed)
        seller = supplier("a")
        past = [_delivery(rng, seller.id, i) for i in range(6)]
        for found, among in ((kept, past), (dropped, [d for d in past if d.received_on])):
            belief = optimism(seller, among, NOW)
            found.append(float(belief.cdf(np.array([1.3]))[0]))
    print(
        f"P(within 1.3 spreads) with open orders censored {np.mean(kept):.3f}, dropped {np.mean(dropped):.3f}"
    )


def _delivery(rng: np.random.Generator, seller: str, i: int) -> Delivery:
    ordered = NOW.date() - timedelta(days=int(rng.integers(5, 40)))
    received = ordered + timedelta(days=int(rng.gamma(4.0, 4.0)) + 2)
    return Delivery(
        str(i), seller, ordered, received if received < NOW.date() else None, (5, 8), service_id="slow"
    )


if __name__ == "__main__":
    chosen = sys.argv[1:] or ["speed", "rule", "agree", "coverage"]
    parts = {
        "speed": (speed,),
        "rule": (rule,),
        "agree": (agree,),
        "coverage": (coverage, censoring),
    }
    for name in chosen:
        for part in parts[name]:
            part()
