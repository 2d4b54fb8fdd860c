"""The exact probability against the simulation, which walks the calendars itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from partsdb.model import Need, Option
from partsdb.planning.arrivals import World, world
from partsdb.planning.planner import chosen_options
from partsdb.planning.problem import Placed, Problem
from partsdb.planning.search import search_of
from partsdb.planning.simulate import simulate
from partsdb.planning.solve import surest
from partsdb.records import Delivery
from support.planning_cases import LONDON, NOW, bought, invented, offer, problem, service, supplier

RUNS = 40_000
SIGMAS = 4.0
POINTS = 0.005


def agree(asked: Problem, seed: int = 1) -> tuple[float, float]:
    """(exact, simulated) probability of the surest plan; asserts that they agree at every number of days."""
    made = world(asked)
    search = search_of(made, all_days=True)
    choice = surest(search)
    assert choice is not None
    played = simulate(made, chosen_options(search, choice), seed=seed, runs=RUNS)
    assert played is not None
    allowed = SIGMAS * played.standard_error
    assert abs(choice.probability - played.probability) <= allowed
    for level in (1, 2, 5):
        assert abs(choice.p[level] - played.p[level]) <= max(allowed, 0.003)
    return choice.probability, played.probability


@pytest.mark.parametrize("seed", range(8))
def test_predicted_and_simulated_probability_agree(seed: int) -> None:
    exact, simulated = agree(invented(300 + seed, 5, 5, 3), seed)
    assert abs(exact - simulated) <= POINTS


@pytest.mark.parametrize("fitters", [1, 2])
def test_they_agree_when_few_fitters_keep_to_their_sequence(fitters: int) -> None:
    exact, simulated = agree(invented(41, 5, 5, 3, fitters=fitters))
    assert abs(exact - simulated) <= POINTS


def single(now: datetime = NOW, days: float = 8, **more: object) -> Problem:
    """One need, one foreign back-order by a parcel that passes customs."""
    carried = service("s", transit=(1, 2), customs=(0, 1), handling=(0, 0))
    seller = supplier("a", services=(carried,), country="DE", region="NW", zone="Europe/Berlin")
    sold = offer("o", "a", lead=(2, 5), stock="not stated")
    need, way = Need("n", "n"), bought("w", "n", sold, "s")
    return problem((need,), (way,), (sold,), (seller,), now=now, days=days, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 3, 27, 15, 30, tzinfo=LONDON),  # past the cut-off in Berlin, before the clock change
        datetime(2026, 4, 1, 9, tzinfo=LONDON),  # Easter
        datetime(2026, 5, 12, 9, tzinfo=LONDON),  # Ascension and Whit Monday in Germany
        datetime(2026, 12, 22, 9, tzinfo=LONDON),  # Christmas and its substitute day
    ],
)
def test_they_agree_over_holidays_and_clock_changes(now: datetime) -> None:
    exact, _ = agree(single(now, days=9))
    assert 0.05 < exact < 0.999


def test_they_agree_when_open_orders_are_among_the_evidence() -> None:
    past = tuple(
        Delivery(str(i), "a", date(2026, 2, 20), None if i else date(2026, 3, 4), (2, 5)) for i in range(3)
    )
    agree(single(days=12, deliveries=past))


@pytest.mark.parametrize("days", [3, 5])
def test_they_agree_on_an_order_that_has_not_come_yet(days: int) -> None:
    asked = replace(single(now=NOW + timedelta(days=days), days=6), placed=(Placed("w", NOW, state="late"),))
    exact, simulated = agree(asked)
    assert abs(exact - simulated) <= 0.02  # the shared states are updated one by one in the exact model


def test_they_agree_on_an_order_with_a_new_promise() -> None:
    promised = Placed("w", NOW, state="late", promised=date(2026, 3, 25))
    agree(replace(single(days=9, now=NOW + timedelta(days=3)), placed=(promised,)))


def test_they_agree_on_combinations_repairs_and_needs_that_may_not_exist() -> None:
    seller = supplier("a")
    first, second = offer("one", "a"), offer("two", "a", lead=(3, 6), stock="to order")
    rewound = replace(offer("coil", "a", lead=(2, 6), stock="to order"), repair=True)
    both = replace(
        bought("set", "m", first, "quick"),
        lines=(*bought("x", "m", first, "quick").lines, *bought("y", "m", second, "slow").lines),
        kind="combination",
        ready_hours=3.0,
    )
    mend = replace(bought("mend", "n", rewound, "quick"), kind="repair")
    needs = (Need("m", "m", install_hours=2.5, exists=0.6), Need("n", "n", (0.8, 0.15), 3.0, ("m",)))
    mend = replace(mend, fits=(1.0, 0.5))
    asked = problem(needs, (both, mend), (first, second, rewound), (seller,), days=14, job_hours=6.0)
    exact, simulated = agree(asked)
    assert abs(exact - simulated) <= 0.01


def test_free_choice_of_fitting_is_at_least_as_good_as_a_fixed_sequence() -> None:
    made = world(invented(41, 5, 5, 3, fitters=1))
    search = search_of(made, all_days=True)
    choice = surest(search)
    assert choice is not None
    played = simulate(made, chosen_options(search, choice), seed=3, runs=20_000)
    assert played is not None
    assert played.free >= played.probability - 1e-12


def test_the_same_seed_plays_the_same_runs() -> None:
    made = world(single())
    options = made.problem.options
    once, again = (simulate(made, options, seed=5, runs=5_000) for _ in range(2))
    assert once is not None and again is not None
    assert (once.p == again.p).all()
    other = simulate(made, options, seed=6, runs=5_000)
    assert other is not None and other.probability != once.probability


def shelf_world(hours: float, ready: float = 0.0) -> World:
    """A part in the drawer that takes `hours` to fit; the shop works 22 hours until the deadline."""
    way = Option("w", "n", "shelf", "drawer", ready_hours=ready)
    need = Need("n", "n", install_hours=hours)
    return world(problem((need,), (way,), days=2, now=datetime(2026, 3, 16, 11, tzinfo=LONDON)))


@pytest.mark.parametrize(
    ("hours", "ready", "sure"),
    [(21.9, 0.0, 1.0), (22.0, 0.0, 1.0), (22.1, 0.0, 0.0), (20.0, 2.0, 1.0), (20.0, 2.1, 0.0)],
)
def test_time_to_make_ready_and_to_fit_counts_to_the_minute(hours: float, ready: float, sure: float) -> None:
    """Monday eleven to Wednesday four: five and a half, eight and a half, and eight hours."""
    made = shelf_world(hours, ready)
    assert made.in_time(made.problem.options[0]).table[0] == sure
    played = simulate(made, made.problem.options, seed=1, runs=100)
    assert played is not None and played.probability == sure
