"""The history of numbers as a graph: what superseded what, which numbers are one part, which maker became which.

Walks are pure functions on Succession records. Circles are lists' mistakes (see `lineage`): walks end in spite of
them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.disagreement import Claim
from partsdb.lineage import plain
from partsdb.records import Part, Succession

Named = tuple[str, str]
"""Maker and number as they are compared; maker "" = any maker."""


@dataclass(frozen=True, slots=True)
class Reached:
    """A number reached from another: how, and whether it is newer (superseded ours), older, or the same part."""

    maker: str
    number: str
    relation: str
    steps: tuple[Succession, ...]


def numbers_of(maker: str, number: str, known: Sequence[Succession]) -> tuple[Reached, ...]:
    """Every other number this one goes by, was superseded by, or superseded; nearest first.

    A chain that goes forward and back again ("a sister that became the same thing") is not followed: two numbers
    superseded by one needn't serve each other's places.
    """
    return Numbers(known).of(maker, number)


class Numbers:
    """The history of all numbers, to follow many of them quickly."""

    def __init__(self, known: Sequence[Succession]) -> None:
        self._graph = _Graph(known)

    def of(self, maker: str, number: str) -> tuple[Reached, ...]:
        """As `numbers_of`."""
        return _reached(self._graph, (plain(maker), plain(number)))


def _reached(graph: _Graph, start: Named) -> tuple[Reached, ...]:
    found: dict[Named, Reached] = {}
    queue: list[tuple[Named, str, tuple[Succession, ...]]] = [(start, "same", ())]
    seen = {(start, "same")}
    while queue:
        at, relation, steps = queue.pop(0)
        for step, onward, turn in graph.steps(at):
            now = turn if relation == "same" else relation
            if turn not in ("same", now) or (onward, now) in seen or _is_start(onward, start):
                continue
            seen.add((onward, now))
            path = (*steps, step)
            found.setdefault(onward, Reached(*_written(step, onward), now, path))
            queue.append((onward, now, path))
    return tuple(found.values())


def _is_start(onward: Named, start: Named) -> bool:
    """Whether a walk came back; one that began without a maker does so at the number of any."""
    return onward == start or (not start[0] and onward[1] == start[1])


class _Graph:
    """Steps from a number, both ways."""

    def __init__(self, known: Iterable[Succession]) -> None:
        self.forward: dict[str, list[Succession]] = {}
        self.back: dict[str, list[Succession]] = {}
        for one in known:
            makers = one.kind == "maker became"
            self.forward.setdefault(f"={plain(one.maker)}" if makers else plain(one.number), []).append(one)
            self.back.setdefault(f"={plain(one.to_maker)}" if makers else plain(one.to_number), []).append(
                one
            )

    def steps(self, at: Named) -> Iterable[tuple[Succession, Named, str]]:
        """(step, where it leads, "newer" / "older" / "same") from a number."""
        maker, number = at
        for one in self.forward.get(number, ()):
            if _of_maker(maker, one.maker):
                to = (plain(one.to_maker) or maker, plain(one.to_number))
                yield one, to, "same" if one.kind == "same as" else "newer"
        for one in self.back.get(number, ()):
            if _of_maker(maker, one.to_maker):
                to = (plain(one.maker) or maker, plain(one.number))
                yield one, to, "same" if one.kind == "same as" else "older"
        for one in self.forward.get(f"={maker}", ()):
            yield one, (plain(one.to_maker), number), "same"
        for one in self.back.get(f"={maker}", ()):
            yield one, (plain(one.maker), number), "same"


def _of_maker(maker: str, stated: str) -> bool:
    return not maker or not stated or maker == plain(stated)


def _written(step: Succession, onward: Named) -> Named:
    """Maker and number as the step writes them, where it does."""
    for maker, number in ((step.to_maker, step.to_number), (step.maker, step.number)):
        if step.kind == "maker became" and plain(maker) == onward[0]:
            return maker, onward[1]
        if number and plain(number) == onward[1] and (not maker or plain(maker) == onward[0]):
            return maker or onward[0], number
    return onward


def step_text(step: Succession) -> str:
    """One step of a history, with who says so."""
    old = f"{step.maker} {step.number}".strip()
    new = f"{step.to_maker} {step.to_number}".strip()
    word = {"maker became": "became", "same as": "is the same as"}.get(step.kind, "was superseded by")
    since = f" since {step.since}" if step.since else ""
    return f"{old} {word} {new}{since}" + (f" ({step.source})" if step.source else "")


# --------------------------------------------------------------------------- parts and their numbers


def renumbered(parts: Sequence[Part], known: Sequence[Succession]) -> tuple[Part, ...]:
    """The parts with every other number they go by among their aliases.

    A number that only superseded theirs, or was superseded by it, is not the same part: `number_history` shows it.
    """
    if not known:
        return tuple(parts)
    history = Numbers(known)
    return tuple(_renumbered(part, history) for part in parts)


def _renumbered(part: Part, history: Numbers) -> Part:
    if not part.designation:
        return part
    own = {plain(number) for number in (part.designation, *part.aliases)}
    more = {
        plain(r.number): r.number
        for r in history.of(part.maker, part.designation)
        if r.relation == "same" and plain(r.number) not in own
    }
    return replace(part, aliases=(*part.aliases, *more.values())) if more else part


@dataclass(frozen=True, slots=True)
class OnRecord:
    """A number reached from the one asked for, and the parts on record that go by it."""

    reached: Reached
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class NumberHistory:
    """Everything a number went by. parts: those on record under the number itself; told: each of their values."""

    number: str
    maker: str
    parts: tuple[Part, ...]
    others: tuple[OnRecord, ...]
    told: tuple[Claim, ...] = ()


def number_history(
    parts: Sequence[Part], known: Sequence[Succession], number: str, maker: str = ""
) -> NumberHistory:
    """The history of a number, nearest first, with what is on record under each. No maker: of any maker."""
    others = tuple(
        OnRecord(one, _under(parts, one.number, one.maker)) for one in numbers_of(maker, number, known)
    )
    return NumberHistory(number, maker, _under(parts, number, maker), others)


def _under(parts: Sequence[Part], number: str, maker: str) -> tuple[Part, ...]:
    wanted, of = plain(number), plain(maker)
    return tuple(
        part
        for part in parts
        if wanted
        and wanted in {plain(n) for n in (part.designation, *part.aliases)}
        and (not of or not part.maker or plain(part.maker) == of)
    )
