"""What a check says, in a fitter's words: the value, what is wanted, and what is to spare (unit before percent)."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.attributes import Attribute
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.kit import measured_with, quickest
from partsdb.model import Limit, Question, Spec, Status, Value
from partsdb.quantities import unit


def said(attribute: Attribute, value: Value) -> str:
    """The value as a person reads it: "440 V", "88 to 108 µF", the title of a code word."""
    return attribute.said(value.low, value.high, value.code)


def difference(attribute: Attribute, spare: float, margin: float | None = None) -> str:
    """A distance in the attribute's unit, without sign, and behind it what it is in the second unit and in
    percent: "40 V (9 %)". A difference of temperatures has no zero point."""
    behind = [_distance(spare, attribute.beside)] if attribute.beside else []
    if margin is not None:
        behind.append(f"{abs(margin):.2g} %" if abs(margin) < 10 else f"{abs(margin):.0f} %")
    return _distance(spare, attribute.unit or "") + (f" ({', '.join(behind)})" if behind else "")


def _distance(spare: float, symbol: str) -> str:
    number = f"{abs(spare) / unit(symbol).factor:.3g}" if symbol else f"{abs(spare):.3g}"
    if "e" in number:
        number = f"{float(number):.8f}".rstrip("0").rstrip(".") or "0"
    return f"{number} {symbol}".strip()


def wanted(attribute: Attribute, limit: Limit) -> str:
    """What the limit asks for: "at least 440 V", "run or start"."""
    if not isinstance(limit.accept, Interval):
        titles = [attribute.codes.get(code, code) for code in limit.accept]
        tail = " or better" if limit.kind == "same class or better" else ""
        return (titles[0] + tail if tail else " or ".join(titles)) if titles else "nothing that is made"
    span = attribute.spoken(limit.accept.low, limit.accept.high)
    if limit.kind in ("equal", "covers"):
        return span if limit.kind == "equal" else f"a range that covers {span}"
    return span


def reason(
    attribute: Attribute,
    limit: Limit,
    status: Status,
    value: Value | None,
    spare: float | None,
    margin: float | None,
    *,
    doubted: bool = False,
) -> str:
    """One sentence for one check."""
    what = attribute.title + (f" ({limit.qualifier})" if limit.qualifier else "")
    need = wanted(attribute, limit)
    if value is None:
        return f"{what} isn't known; wanted: {need}"
    have = f"{what} {said(attribute, value)}"
    if doubted:
        return f"{have} is only worked out ({value.source.citation}), not stated; wanted: {need}"
    if status == "unknown":
        return f"{have} may or may not do; wanted: {need}"
    if status == "pass":
        return f"{have}, wanted: {need}{_to_spare(attribute, limit, spare, margin)}"
    return f"{have}, wanted: {need}{_missed(attribute, limit, spare, margin)}; {limit.breach}"


_WEIGHTS = ("safety", "function", "fit", "life")


def blocking(question: Question) -> bool:
    """Whether nothing goes in before somebody knows: a question of life is only shown, one with a cure is work."""
    return question.weight == "safety" or (question.weight != "life" and question.cure is None)


def open_lines(questions: Iterable[Question]) -> tuple[str, ...]:
    """Open questions as a person reads them, the most dangerous first; several that are found out in the same way
    are one line: "on it or by looking: speed, mounting, enclosure"."""
    groups: dict[str, list[Question]] = {}
    for one in sorted(questions, key=lambda q: _WEIGHTS.index(q.weight)):
        groups.setdefault(one.ask, []).append(one)
    return tuple(
        f"{ask}: {', '.join(dict.fromkeys(q.about for q in group))}"
        if len(group) > 1
        else f"{group[0].about}: {ask}; {group[0].breach}"
        for ask, group in groups.items()
    )


def how_to_get(family: Family, limit: Limit) -> str:
    """How to settle what a limit asks: the tool and its caution where the family has one, else who to ask."""
    attribute = family.attribute(limit.attribute)
    what = attribute.title + (f" ({limit.qualifier})" if limit.qualifier else "")
    found = None if limit.qualifier else quickest(family, attribute.name)
    if found is not None:
        return f"{what}: {measured_with(found)}"
    return f"{what}: read it off the plate, or ask the maker or supplier"


def differences(family: Family, was: Spec, now: Spec) -> tuple[str, ...]:
    """What differs between what was there and what is offered, where both are known."""
    found = []
    for attribute in family.attributes:
        old = was.first(attribute.name)
        if old is None:
            continue
        # one of several volts in common is no difference: a winding chosen for its place is a choice, not another part
        stood = [v for v in was.all(attribute.name) if v.qualifier == old.qualifier]
        rivals = [v for v in now.all(attribute.name) if v.qualifier == old.qualifier]
        if rivals and not any(_same(attribute, a, b) for a in stood for b in rivals):
            found.append(f"{attribute.title} {said(attribute, rivals[0])}, was {said(attribute, old)}")
    return tuple(found)


def _same(attribute: Attribute, a: Value, b: Value) -> bool:
    if a.code is not None or b.code is not None:
        return a.code == b.code
    pairs = ((a.low, b.low), (a.high, b.high))
    tolerance = max(attribute.rel_tol, 1e-9)
    return all(x == y or (x and y and abs(x - y) <= tolerance * max(abs(x), abs(y))) for x, y in pairs)


def _to_spare(attribute: Attribute, limit: Limit, spare: float | None, margin: float | None) -> str:
    if spare is None or (spare == 0 and not isinstance(limit.accept, Interval)):
        return ""
    if not isinstance(limit.accept, Interval):
        return f"; to spare: {spare:.0f} class{'es' if spare != 1 else ''}"
    if spare == 0:
        return "; nothing to spare"
    return f"; to spare: {difference(attribute, spare, margin)}"


def _missed(attribute: Attribute, limit: Limit, spare: float | None, margin: float | None) -> str:
    if spare is None:
        return ""
    if not isinstance(limit.accept, Interval):
        return f"; {abs(spare):.0f} class{'es' if abs(spare) != 1 else ''} too low"
    return f"; misses by {difference(attribute, spare, margin)}"
