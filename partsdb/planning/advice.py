"""What to do beside ordering: whom to ring first, what a little more money or time buys, the way out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from partsdb.model import Call, Option
from partsdb.planning.arrivals import world
from partsdb.planning.calendars import cut_off_at, zone
from partsdb.planning.frontier import as_total
from partsdb.planning.lines import amount
from partsdb.planning.problem import Problem
from partsdb.planning.search import Choice, Search, search_of
from partsdb.planning.solve import improved

MOST_CALLS = 3
CALL_MINUTES = 5.0


# --------------------------------------------------------------------------- calls


@dataclass(frozen=True, slots=True)
class _Answer:
    """The best plan once an answer is known: its worth [minor units] and its options."""

    worth: float
    options: tuple[str, ...]


def calls(search: Search, choice: Choice, failing: float) -> tuple[Call, ...]:
    """Calls worth making before ordering, the most valuable first.

    A call turns "probably in stock" into yes or no before the money is spent. Its value is what the best plan
    costs now less what it costs on average once the answer is known, lateness counted (a two-stage decision).
    """
    now = as_total(choice, failing)
    found = [_call(search, choice, offer, failing, now) for offer in _uncertain(search, choice)]
    worth = sorted((call for call in found if call is not None), key=lambda call: (-call.value, call.offer))
    return tuple(worth[:MOST_CALLS])


def _uncertain(search: Search, choice: Choice) -> list[str]:
    """Offers of the plan's lines whose stock is not sure, those that matter most first; placed ones apart."""
    options = {option.id: option for option in search.world.problem.options}
    found: dict[str, float] = {}
    for column in search.columns(choice.places):
        for option in (options[o] for o in column.options if o not in search.world.placed):
            for line in option.lines:
                p = search.world.handling(line).in_stock
                if 0.02 < p < 0.98:
                    doubt = p * (1 - p) * (1 - column.p + 1e-3)
                    found[line.offer_id] = max(found.get(line.offer_id, 0.0), doubt)
    return sorted(found, key=lambda offer: (-found[offer], offer))[: MOST_CALLS + 1]


def _call(search: Search, choice: Choice, offer_id: str, failing: float, now: float) -> Call | None:
    base = search.world
    line, option = next(
        (line, option)
        for option in base.problem.options
        for line in option.lines
        if line.offer_id == offer_id and option.id in _held(search, choice)
    )
    p = base.handling(line).in_stock
    yes = _once_known(search, choice, offer_id, 1.0, failing)
    no = _once_known(search, choice, offer_id, 0.0, failing)
    value = now - (p * yes.worth + (1 - p) * no.worth)
    if value < 100:  # less than one pound isn't worth lifting the receiver
        return None
    supplier = base.supplier(line.supplier_id)
    day = base.parcel(line, option).counts_for.day
    before = min(cut_off_at(day, supplier.calendar, service) for service in supplier.services)
    return Call(
        supplier.name,
        offer_id,
        before.astimezone(base.clock.zone),
        amount(value),
        CALL_MINUTES,
        _script(base.problem, option, line.quantity, before),
        _change(base.problem, _held(search, choice), yes.options),
        _change(base.problem, _held(search, choice), no.options),
    )


def _held(search: Search, choice: Choice) -> tuple[str, ...]:
    return tuple(o for column in search.columns(choice.places) for o in column.options)


def _once_known(search: Search, choice: Choice, offer: str, p: float, failing: float) -> _Answer:
    """The best plan near the present one when the offer's stock is known."""
    known = world(search.world.problem)
    known.stock_known = {**search.world.stock_known, offer: p}
    other = search_of(known, all_days=True, budget=search.budget)
    start = [
        _closest(other, n, set(column.options)) for n, column in enumerate(search.columns(choice.places))
    ]
    if not other.allowed(start):
        return _Answer(as_total(choice, failing), _held(search, choice))
    best = improved(other, other.choice(start), lambda c: as_total(c, failing), passes=3)
    return _Answer(as_total(best, failing), _held(other, best))


def _closest(search: Search, need: int, options: set[str]) -> int:
    """Place of the column most like a set of options."""
    columns = search.table[need]
    return min(
        range(len(columns)),
        key=lambda c: (len(options.symmetric_difference(columns[c].options)), columns[c].cost),
    )


def _script(problem: Problem, option: Option, quantity: int, before: datetime) -> tuple[str, ...]:
    until = before.astimezone(zone(problem.shop.calendar.zone)).strftime("%H:%M")
    return (
        f"I'm after {quantity} of {option.title}. Have you got it in your hand, not just on the screen?",
        "Read me what is printed on it, with every letter after the number.",
        f"Can you put it by in my name until {until}?",
        "When does the counter close, and when does today's parcel go?",
        "How do you want to be paid so that it goes today?",
        "If it turns out wrong, do you take it back?",
    )


def _change(problem: Problem, before: Sequence[str], after: Sequence[str]) -> str:
    titles = {option.id: option.title for option in problem.options}
    added = [titles[o] for o in after if o not in before]
    left = [titles[o] for o in before if o not in after]
    if not added and not left:
        return "order as planned"
    parts = ([f"order {', '.join(added)}"] if added else []) + ([f"leave {', '.join(left)}"] if left else [])
    return "; ".join(parts)


# --------------------------------------------------------------------------- what more would buy


def what_more_buys(search: Search, choice: Choice, frontier: Sequence[Choice]) -> tuple[str, ...]:
    """Sentences: what a little more money, another day, and one more hedge would buy."""
    currency = search.world.problem.currency
    said = []
    dearer = [
        c for c in frontier if c.probability > choice.probability + 5e-4 and c.money.cost > choice.money.cost
    ]
    if dearer:
        step = max(
            dearer, key=lambda c: (c.probability - choice.probability) / (c.money.cost - choice.money.cost)
        )
        more = amount(step.money.cost - choice.money.cost)
        gain = 100 * (step.probability - choice.probability)
        said.append(f"{more} {currency} more buys {gain:.1f} points ({gain / float(more):.2f} for each)")
    if search.world.levels > 1 and choice.p[1] > choice.probability + 5e-4:
        said.append(f"one more day buys {100 * (choice.p[1] - choice.probability):.1f} points")
    hedge = _best_hedge(search, choice)
    if hedge is not None:
        said.append(hedge)
    return tuple(said)


def _best_hedge(search: Search, choice: Choice) -> str | None:
    """The second order for one need that adds most probability for its money."""
    titles = {option.id: option.title for option in search.world.problem.options}
    best: tuple[float, str] | None = None
    for need, column in enumerate(search.columns(choice.places)):
        for c, other in enumerate(search.table[need]):
            if not set(column.options) < set(other.options):
                continue
            places = (*choice.places[:need], c, *choice.places[need + 1 :])
            if not search.allowed(places):
                continue
            changed = search.choice(places)
            gain, more = changed.probability - choice.probability, changed.money.cost - choice.money.cost
            if gain > 5e-4 and (best is None or gain / max(more, 1) > best[0]):
                added = next(titles[o] for o in other.options if o not in column.options)
                money = f"{amount(more)} {search.world.problem.currency}"
                best = (
                    gain / max(more, 1),
                    f"a second order, {added}, buys {100 * gain:.1f} points for {money}",
                )
    return None if best is None else best[1]


def what_buys_time(search: Search, choice: Choice, target: float) -> tuple[str, ...]:
    """When the target can't be met: changes of one need, by days gained per unit of money, best first."""
    titles = {option.id: option.title for option in search.world.problem.options}
    found: list[tuple[float, str]] = []
    now = _days_to(choice, target)
    for need, column in enumerate(search.columns(choice.places)):
        for c, other in enumerate(search.table[need]):
            places = (*choice.places[:need], c, *choice.places[need + 1 :])
            if c == choice.places[need] or not search.allowed(places):
                continue
            changed = search.choice(places)
            gain, more = now - _days_to(changed, target), changed.money.cost - choice.money.cost
            if gain > 0.05:
                added = ", ".join(titles[o] for o in other.options if o not in column.options)
                money = f"{amount(max(more, 0))} {search.world.problem.currency}"
                found.append((gain / max(more, 1), f"{added or 'less'}: {gain:.1f} days for {money}"))
    found.sort(key=lambda item: -item[0])
    return tuple(text for _, text in found[:3])


def _days_to(choice: Choice, target: float) -> float:
    """Days late at which the plan reaches the target, between whole days by proportion."""
    for level, p in enumerate(choice.p):
        if p >= target:
            if level == 0:
                return 0.0
            before = float(choice.p[level - 1])
            return level - 1 + (target - before) / max(float(p) - before, 1e-9)
    return float(len(choice.p))


def way_out_notes(search: Search, choice: Choice) -> tuple[str, ...]:
    """Whether a way out costs less than the plan with its lateness, and until when it can be taken."""
    said = []
    for out in search.world.problem.way_out:
        by = out.decide_by.astimezone(search.world.clock.zone).strftime("%a %d %b %H:%M")
        if out.decide_by <= search.world.problem.now:
            said.append(f"{out.title}: the last hour to decide has passed ({by})")
        elif choice.late > 0 and Decimal(round(choice.total)) / 100 > out.cost:
            said.append(f"{out.title} costs less than this plan with its lateness: decide by {by}")
    return tuple(said)
