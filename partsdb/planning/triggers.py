"""Where a plan breaks: until when to wait for a part, and what to do if it isn't here by then."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

import numpy as np

from partsdb.model import Option, Trigger, WayOut
from partsdb.planning.arrivals import World, holds_out
from partsdb.planning.columns import Pick, priced
from partsdb.planning.factors import Factor
from partsdb.planning.lines import amount, cut_offs, first_days, later
from partsdb.planning.search import Choice, Search, late_weights

SURE = 0.999  # a line this sure needs no second thoughts
SAVES = 0.5  # another way still saves the day while it is at least this probable
MOST_PUSHED = 20


def triggers(search: Search, choice: Choice) -> tuple[Trigger, ...]:
    """For each bought line that may be late: the last moment at which something else still saves the job."""
    options = {option.id: option for option in search.world.problem.options}
    found = []
    for column in search.columns(choice.places):
        if any(_is_here(search.world, o) for o in column.options):
            continue
        bought = [options[o] for o in column.options if options[o].lines]
        sure = column.factor.first(1).mean(search.world.priors)[0] >= SURE
        if bought and not sure:
            found.append(_trigger(search.world, choice, column, bought))
    return tuple(sorted((t for t in found if t is not None), key=lambda t: (t.by, t.need)))


def _trigger(world: World, choice: Choice, column: Pick, waited: Sequence[Option]) -> Trigger | None:
    titles = tuple(dict.fromkeys(option.title for option in waited))
    if_not = f"if {titles[0]} is not here by then"
    if len(titles) > 1:
        if_not = f"if none of {' and '.join(titles)} is here by then"
    other = _other_way(world, column, waited)
    if other is not None:
        by, p, option = other
        way = priced(world, option)
        cost = way.goods + way.other + sum(world.parcels[key].freight for key in way.parcels)
        return Trigger(column.need, by, if_not, _do(world, option), amount(cost), p)
    outs = [out for out in world.problem.way_out if out.decide_by > world.problem.now]
    if not outs:
        return None
    out = max(outs, key=lambda o: o.decide_by)
    if not _worth_leaving(world, choice, column, waited, out):
        names = " and ".join(dict.fromkeys(_seller(world, option) for option in waited))
        ring = f"ring {names} and ask where it is; waiting still costs less than the way out"
        return Trigger(column.need, out.decide_by, if_not, ring)
    return Trigger(column.need, out.decide_by, if_not, out.title, out.cost, 1.0)


def _other_way(world: World, column: Pick, waited: Sequence[Option]) -> tuple[datetime, float, Option] | None:
    """The other way that can be turned to last, (moment, P then, way), once anything can be known."""
    soonest = min(_first_day(world, option) for option in waited)
    best: tuple[datetime, float, Option] | None = None
    for option in world.options_of(column.need):
        if option.id in column.options or option.id in world.gone:
            continue
        last = last_chance(world, option)
        if last is None or last[0].date() < soonest:
            continue
        if best is None or last > best[:2]:
            best = (*last, option)
    return best


def _worth_leaving(world: World, choice: Choice, column: Pick, waited: Sequence[Option], out: WayOut) -> bool:
    """Whether, the part not being here when the way out must be decided, waiting on costs more than it.

    The need's probabilities are taken given that nothing has come; those of the rest of the plan as they are.
    Where no late day is priced there is nothing to weigh, and the way out is named.
    """
    each, weights = late_weights(world)
    if each == 0:
        return True
    day = (out.decide_by.astimezone(world.clock.zone).date() - world.base).days
    here = 1 - float(np.prod([1 - world.daily(option)[min(day, world.span - 1)] for option in waited]))
    own = column.factor.mean(world.priors)
    later_on = np.clip((own - here) / max(1 - here, 1e-9), 0.0, 1.0)
    rest = np.clip(choice.p / np.maximum(own, 1e-9), 0.0, 1.0)
    late = each * float(weights @ (1 - later_on * rest)[: len(weights)])
    return Decimal(round(late)) / 100 > out.cost


def _is_here(world: World, option: str) -> bool:
    return option in world.placed and world.placed[option].state == "received"


def _seller(world: World, option: Option) -> str:
    return world.supplier(option.lines[0].supplier_id).name


def _first_day(world: World, option: Option) -> date:
    """The first day on which an option's goods may well be in."""
    return world.clock.date(int(np.searchsorted(world.daily(option), 0.01)))


def _do(world: World, option: Option) -> str:
    if not option.lines:
        return f"fit {option.title}"
    line = option.lines[0]
    return f"order {option.title} from {world.supplier(line.supplier_id).name} by {world.problem.service(line).name}"


def last_chance(world: World, option: Option) -> tuple[datetime, float] | None:
    """(last moment, P then) at which turning to this way still has SAVES of being in time; None if past."""
    fit = sum(w * f for w, f in zip(_readings(world, option), option.fits, strict=True))
    if not option.lines:
        p = fit * holds_out(option)
        moment = world.need_by(option)
        return (moment, p) if p >= SAVES and moment > world.problem.now else None
    found: tuple[datetime, float] | None = None
    days = first_days(world, option)
    for _ in range(MOST_PUSHED):
        moment = min(cut_offs(world, option, days).values())
        p = fit * _mean(world, world.in_time(option, moment))
        if p < SAVES:
            break
        found = (moment.astimezone(world.clock.zone), p)
        days = later(world, option, days)
    return found


def _readings(world: World, option: Option) -> tuple[float, ...]:
    return next(need.readings for need in world.problem.needs if need.id == option.need)


def _mean(world: World, factor: Factor) -> float:
    return float(factor.first(1).mean(world.priors)[0])
