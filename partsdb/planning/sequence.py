"""The order of fitting, and from it by when each need's goods must be in hand.

With fitters enough, only the stated precedence binds. With fewer, each fitter takes the needs given to him in
a fixed sequence (those whose goods come soonest first). Either way the work is a network of activities, the
job is in time exactly if every arrival is at or before its need-by, and need-by is the deadline less the job's
hours less the longest tail of the need: the critical path from it to the end [Taylor, Introduction to
Management Science, ch. 8]. A fitter who takes what has arrived does at least as well; the simulation shows it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.model import Line, Need
from partsdb.planning.problem import Problem, in_order


def longest_tails(hours: Mapping[str, float], before: Mapping[str, Sequence[str]]) -> dict[str, float]:
    """Longest path from the start of each activity to the end of the network [h].

    hours: duration of each activity; before: activity -> those that can only start after it.

    >>> longest_tails({"a": 2, "b": 3, "c": 1}, {"a": ["b", "c"]})
    {'b': 3, 'c': 1, 'a': 5}
    """
    tail: dict[str, float] = {}

    def follow(activity: str) -> float:
        if activity not in tail:
            tail[activity] = hours[activity] + max((follow(a) for a in before.get(activity, ())), default=0)
        return tail[activity]

    for activity in hours:
        follow(activity)
    return tail


def sequence(problem: Problem) -> tuple[str, ...]:
    """The needs in the order in which their goods can be hoped for, precedence kept."""
    soonest: dict[str, float] = {}
    for option in problem.options:
        days = max((_line_days(problem, line) for line in option.lines), default=0.0)
        soonest[option.need] = min(soonest.get(option.need, days), days)
    wanted = sorted(in_order(problem.needs), key=lambda need: soonest.get(need.id, 0.0))
    done: list[Need] = []
    while wanted:
        ready = next(n for n in wanted if all(a in {d.id for d in done} for a in n.after))
        wanted.remove(ready)
        done.append(ready)
    return tuple(need.id for need in done)


def followers(problem: Problem) -> dict[str, list[str]]:
    """Need -> needs that start only after it: stated precedence, and the sequence of each fitter."""
    before: dict[str, list[str]] = {need.id: [] for need in problem.needs}
    for need in problem.needs:
        for earlier in need.after:
            before[earlier].append(need.id)
    if problem.shop.fitters < len(problem.needs):
        for one, two in _chains(problem):
            if two not in before[one]:
                before[one].append(two)
    return before


def tails(problem: Problem) -> dict[str, float]:
    """Install tail of each need [h], its own hours included."""
    return longest_tails(hours(problem), followers(problem))


def hours(problem: Problem) -> dict[str, float]:
    """Install hours of each need [h]: the longest of its ways, so as never to hope."""
    longest = {need.id: need.install_hours for need in problem.needs}
    for option in problem.options:
        if option.install_hours is not None:
            longest[option.need] = max(longest[option.need], option.install_hours)
    return longest


def _chains(problem: Problem) -> list[tuple[str, str]]:
    """Consecutive needs of the same fitter: each need goes to the fitter with the least work so far."""
    busy = [0.0] * max(problem.shop.fitters, 1)
    last: list[str | None] = [None] * len(busy)
    links: list[tuple[str, str]] = []
    spent = hours(problem)
    for need in sequence(problem):
        fitter = busy.index(min(busy))
        previous = last[fitter]
        if previous is not None:
            links.append((previous, need))
        busy[fitter] += spent[need]
        last[fitter] = need
    return links


def _line_days(problem: Problem, line: Line) -> float:
    offer, service = problem.offer(line.offer_id), problem.service(line)
    handled = service.handling_days if offer.stock == "in stock" and not offer.repair else offer.lead_days
    return float(max(handled) + max(service.transit_days) + max(service.customs_days))
