"""Which number came after which, and which maker after which: whether one more step leads back to where it began.

Makers and numbers are compared plainly. A step without a maker holds for every maker, so a circle is one when it
closes for some maker, named or not. Pure functions on Succession records.
"""

from __future__ import annotations

import unicodedata
from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

from partsdb.records import Succession

Named = tuple[str, str]
"""Maker and number as they are compared; a maker's own steps have number "=" and its name."""

FAR = 10_000
"""Numbers looked at before a history from outside counts as too long to follow; real ones have some dozens."""


@lru_cache(maxsize=65_536)
def plain(text: str) -> str:
    """A designation as it is looked up: letters and digits only, one case.

    >>> plain("6206-2Z / C3")
    '62062zc3'
    """
    return "".join(c for c in unicodedata.normalize("NFKC", text).casefold() if c.isalnum())


class TooLong(Exception):
    """A history has more steps than are followed."""


class Lineage:
    """Steps that are known, to be asked about one more."""

    def __init__(self, known: Iterable[Succession] = ()) -> None:
        self._onward: dict[str, list[_Step]] = {}
        self._back: dict[str, list[_Step]] = {}
        for one in known:
            self.add(one)

    def add(self, one: Succession) -> None:
        """Takes a step in; whatever makes no order (two numbers of one part) is passed over."""
        step = _step_of(one)
        if step is not None:
            self._onward.setdefault(step.start[1], []).append(step)
            self._back.setdefault(step.end[1], []).append(step)

    def way_back(self, one: Succession, most: int | None = None) -> tuple[Succession, ...] | None:
        """The steps by which one gets from where that step leads back to where it starts, as few as possible; () when
        it starts where it ends, None when it closes no circle.

        most: how many numbers are looked at. Raises TooLong when that isn't enough.
        """
        step = _step_of(one)
        if step is None:
            return None
        left = _Left(most)
        if step.start[1] != step.end[1] and not self._numbers_meet(step.end[1], step.start[1], left):
            return None
        for maker in self._makers_for(step, left):
            found = self._walk(step, maker, left)
            if found is not None:
                return found
        return None

    def _numbers_meet(self, start: str, goal: str, left: _Left) -> bool:
        """Whether the number is reached, whoever's it is. Both ends are looked at by turns, because one of them is
        soon done in nearly every history."""
        ahead, behind = _Front(start, self._onward, 1), _Front(goal, self._back, 0)
        while ahead.queue and behind.queue:
            left.take(2)
            if ahead.advance() & behind.seen or behind.advance() & ahead.seen:
                return True
        return False

    def _makers_for(self, step: _Step, left: _Left) -> Sequence[str]:
        """The makers for whom the step may close a circle; "" = one that is named nowhere."""
        if step.start[0]:
            return (step.start[0],)
        found = {"", step.end[0]}
        front = _Front(step.end[1], self._onward, 1)
        while front.queue:
            left.take()
            for one in self._onward.get(front.queue[0], ()):
                found |= {one.start[0], one.end[0]}
            front.advance()
        return sorted(found)

    def _walk(self, step: _Step, maker: str, left: _Left) -> tuple[Succession, ...] | None:
        """The way back when the step starts from that maker's number."""
        goal = (step.start[0] or maker, step.start[1])
        first = (step.end[0] or maker, step.end[1])
        came: dict[Named, tuple[Named, _Step] | None] = {first: None}
        queue = deque([first])
        while queue:
            left.take()
            at = queue.popleft()
            if at == goal:
                return tuple(_trail(came, at))
            for one in (*self._onward.get(at[1], ()), step):
                if one.start[1] != at[1] or one.start[0] not in ("", at[0]):
                    continue
                onward = (one.end[0] or at[0], one.end[1])
                if onward not in came:
                    came[onward] = (at, one)
                    queue.append(onward)
        return None


def circles(known: Iterable[Succession]) -> tuple[tuple[str, ...], ...]:
    """Numbers, or makers, that supersede each other in a circle; one circle for every step that closes one, in the
    order it runs."""
    lineage, found = Lineage(), []
    for one in known:
        way = lineage.way_back(one)
        if way is None:
            lineage.add(one)
            continue
        labels = [label(each) for each in (*way, one)]
        first = labels.index(min(labels))
        found.append((*labels[first:], *labels[:first]))
    return tuple(found)


def label(step: Succession) -> str:
    """What a step starts from, as it is written."""
    return f"{step.maker} {step.number}".strip()


def end_label(step: Succession) -> str:
    """What a step leads to, as it is written."""
    return f"{step.to_maker} {step.to_number}".strip()


class _Step:
    """A step as it is compared."""

    __slots__ = ("end", "record", "start")

    def __init__(self, start: Named, end: Named, record: Succession) -> None:
        self.start, self.end, self.record = start, end, record


def _step_of(one: Succession) -> _Step | None:
    if one.kind == "superseded by":
        start = (_compared(one.maker), _compared(one.number))
        return _Step(start, (_compared(one.to_maker), _compared(one.to_number)), one)
    if one.kind == "maker became":
        return _Step(("", f"={_compared(one.maker)}"), ("", f"={_compared(one.to_maker)}"), one)
    return None


def _compared(text: str) -> str:
    """Plain; a text without letters and digits stands for itself."""
    return plain(text) or text


def _trail(came: Mapping[Named, tuple[Named, _Step] | None], at: Named) -> Iterator[Succession]:
    """The steps to that place, in their order."""
    steps = []
    while (before := came[at]) is not None:
        at = before[0]
        steps.append(before[1].record)
    return reversed(steps)


class _Front:
    """How far a search among numbers has come in one direction."""

    def __init__(self, start: str, steps: Mapping[str, Sequence[_Step]], ahead: int) -> None:
        self._steps, self._ahead = steps, ahead
        self.seen = {start}
        self.queue = deque([start])

    def advance(self) -> set[str]:
        """Looks past one more number; returns the numbers that are new."""
        if not self.queue:
            return set()
        steps = self._steps.get(self.queue.popleft(), ())
        fresh = {(one.end if self._ahead else one.start)[1] for one in steps} - self.seen
        self.seen |= fresh
        self.queue.extend(sorted(fresh))
        return fresh


class _Left:
    """How many more numbers may be looked at; None = all there are."""

    def __init__(self, most: int | None) -> None:
        self._most = most

    def take(self, count: int = 1) -> None:
        """Raises TooLong when there are none left."""
        if self._most is not None:
            self._most -= count
            if self._most < 0:
                raise TooLong
