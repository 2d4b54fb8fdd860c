from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from partsdb.planning.leadtimes import (
    SPELL_WEIGHTS,
    Optimism,
    handling,
    handling_seen,
    optimism,
    quoted,
    spells,
    spread_days,
    stock_probability,
)
from partsdb.records import Delivery
from support.planning_cases import NOW, offer, service, supplier

W = np.linspace(-4, 6, 41)
SELLER = supplier("a")


def delivery(name: str, received: date | None, said: bool = False, was: bool | None = False) -> Delivery:
    return Delivery(name, "a", date(2026, 2, 2), received, (3, 6), said, was, service_id="quick")


def test_without_open_orders_the_grid_is_student_t() -> None:
    exact = Optimism().learnt([0.4, 1.1, -0.3])
    never = Optimism(exact.m, exact.k, exact.a, exact.b, (-60.0,))  # passed by everything
    assert never.cdf(W) == pytest.approx(exact.cdf(W), abs=2e-4)


def test_learning_in_two_steps_is_learning_at_once() -> None:
    once = Optimism().learnt([0.4, 1.1, -0.3])
    twice = Optimism().learnt([0.4]).learnt([1.1, -0.3])
    assert (once.m, once.k, once.a, once.b) == pytest.approx((twice.m, twice.k, twice.a, twice.b))


def test_an_open_order_makes_the_next_one_later_and_is_never_dropped() -> None:
    plain, waiting = Optimism(), Optimism().learnt([], [1.5])
    assert (waiting.cdf(W) <= plain.cdf(W) + 1e-6).all()
    assert waiting.cdf(np.array([1.0]))[0] < plain.cdf(np.array([1.0]))[0] - 0.02


def test_the_longer_an_order_is_open_the_later_the_next_is_expected() -> None:
    at = np.array([1.0])
    probabilities = [float(Optimism().learnt([], [w]).cdf(at)[0]) for w in (-1.0, 0.0, 1.0, 2.0)]
    assert probabilities == sorted(probabilities, reverse=True)


def test_late_deliveries_make_the_next_later_and_prompt_ones_sooner() -> None:
    late = optimism(SELLER, [delivery(str(i), date(2026, 2, 20)) for i in range(3)], NOW)
    prompt = optimism(SELLER, [delivery(str(i), date(2026, 2, 6)) for i in range(3)], NOW)
    assert late.m > Optimism().m > prompt.m


def test_what_was_in_stock_says_nothing_of_back_orders() -> None:
    assert optimism(SELLER, [delivery("x", date(2026, 2, 4), said=True, was=True)], NOW) == Optimism()


def test_an_open_order_is_counted_up_to_yesterday() -> None:
    assert len(optimism(SELLER, [delivery("x", None)], NOW).open_orders) == 1
    assert optimism(SELLER, [delivery("x", None)], NOW, without="x").open_orders == ()


def test_handling_seen_takes_off_weekends_and_carriage() -> None:
    # Monday 2 February to Monday 9 February: five working days, one of them in the post
    assert handling_seen(SELLER, delivery("x", date(2026, 2, 9)), NOW.date()) == 4.0


@pytest.mark.parametrize(("low", "high"), [(0, 0), (1, 1), (5, 10), (10, 5), (20, 40)])
def test_a_quoted_range_holds_its_middle_between_its_ends(low: int, high: int) -> None:
    quote = quoted(low, high)
    assert min(low, high) - 0.01 <= quote.shift + quote.middle <= max(low, high) + 0.01
    assert quote.standard(quote.shift + quote.middle) == pytest.approx(0.0, abs=0.9)


@pytest.mark.parametrize(("claim", "units", "wanted"), [("in stock", None, 1), ("in stock", 2, 2)])
def test_stated_stock_is_mostly_believed(claim: str, units: int | None, wanted: int) -> None:
    p = stock_probability(offer("o", "a", stock=claim, units=units), wanted, [], NOW.date())
    assert p == pytest.approx(0.9)


def test_stock_is_not_believed_when_fewer_pieces_are_stated_than_wanted() -> None:
    assert stock_probability(offer("o", "a", units=1), 2, [], NOW.date()) == 0.0


def test_what_is_to_be_ordered_in_is_not_in_stock() -> None:
    assert stock_probability(offer("o", "a", stock="to order"), 1, [], NOW.date()) == 0.0


def test_a_supplier_whose_stock_was_not_there_is_believed_less() -> None:
    false = [delivery(str(i), date(2026, 2, 12), said=True, was=False) for i in range(3)]
    true = [delivery(str(i), date(2026, 2, 4), said=True, was=True) for i in range(3)]
    believed = [stock_probability(offer("o", "a"), 1, past, NOW.date()) for past in (false, [], true)]
    assert believed[0] < believed[1] < believed[2]


def test_an_old_quotation_is_believed_less() -> None:
    from dataclasses import replace

    old = replace(offer("o", "a"), quoted_on=date(2025, 12, 18))
    new = replace(offer("o", "a"), quoted_on=NOW.date())
    assert stock_probability(old, 1, [], NOW.date()) < stock_probability(new, 1, [], NOW.date())


@pytest.mark.parametrize("stated", [(0, 0), (1, 1), (0, 2), (3, 5), (5, 3)])
def test_days_of_a_stated_range_sum_to_one_and_never_fall_below_it(stated: tuple[int, int]) -> None:
    days = spread_days(*stated)
    assert days.sum() == pytest.approx(1.0)
    assert days[: min(stated)].sum() == 0.0


def test_a_stated_zero_is_exact() -> None:
    assert spread_days(0, 0).tolist() == [1.0]


def test_spells_mixed_by_their_weights_are_the_line_again_and_slow_is_later() -> None:
    cdf = np.linspace(0, 1, 101)
    normal, slow = spells(cdf)
    assert SPELL_WEIGHTS @ np.stack([normal, slow]) == pytest.approx(cdf)
    assert (slow <= cdf + 1e-12).all()
    assert (np.diff(normal) >= -1e-12).all()


def test_handling_is_sooner_when_the_part_is_in_stock() -> None:
    belief = Optimism()
    there = handling(offer("o", "a"), service("s"), 1, belief, [], NOW.date()).cdf(30)
    gone = handling(offer("o", "a", stock="to order"), service("s"), 1, belief, [], NOW.date()).cdf(30)
    assert (there >= gone - 1e-12).all()
    assert (np.diff(there) >= -1e-12).all()
    assert there[1] > 0.8 > gone[4]
