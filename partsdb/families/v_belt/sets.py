"""Several V-belts as one matched set: what the set is, what each belt must be, how it is put together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from partsdb.duty import Duty
from partsdb.families.v_belt.sections import tolerance
from partsdb.family import Combination
from partsdb.intervals import Interval
from partsdb.model import Limit, Spec, Value, number, word
from partsdb.quantities import show
from partsdb.source import Source, judgement

MATCHING = Source("ANSI/RMA IP-20, matching limits (Machinery's Handbook, 31st edition, table 8)", "verified")
NEVER = (
    "never unmatched: old with new, two makers, wrapped with cogged, or two match numbers in one drive; the shortest "
    "belt carries the load and tears, the others slip"
)
_ALIKE = judgement("belts of one drive are of one section and one length")
_COUNTED = Source("belts counted", "stated")
_LENGTHS = ("length", "datum_length", "outside_length")


def whole(elements: Sequence[Spec]) -> Spec:
    """The set as one part: belts counted, lengths from shortest to longest, and whether they match.

    Elements of different sections have no section together, so such a set fits nowhere.
    """
    first, mixed = elements[0], len({e.code("section") for e in elements}) > 1
    kept = first.without("count", "matching", "match", *_LENGTHS, *(("section",) if mixed else ()))
    counted = number("count", sum(e.num("count") or 1.0 for e in elements), _COUNTED)
    together = [counted, word("matching", _matching(elements), MATCHING), *_spans(elements)]
    return kept.plus([word("section", "mixed", _ALIKE), *together] if mixed else together)


def _matching(elements: Sequence[Spec]) -> str:
    """One match number on all: matched; two numbers, lengths or sections: unmatched; else not known."""
    numbers, known = {e.num("match") for e in elements}, [e.num("datum_length") for e in elements]
    data = [x for x in known if x is not None]
    uneven = bool(data) and max(data) - min(data) > 1e-6
    if uneven or len({e.code("section") for e in elements}) > 1 or len(numbers - {None}) > 1:
        return "unmatched"
    return "matched" if None not in numbers else "not known"


def _spans(elements: Sequence[Spec]) -> Iterator[Value]:
    """Each length that all of them state, from the shortest to the longest."""
    for attribute in _LENGTHS:
        values = [v for e in elements for v in e.all(attribute)]
        lows = [v.low for v in values if v.low is not None and v.high is not None]
        highs = [v.high for v in values if v.low is not None and v.high is not None]
        if len(lows) >= len(elements):
            yield replace(values[0], low=min(lows), high=max(highs))


def share(elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty) -> Sequence[tuple[Limit, ...]]:
    """What each belt must be: all that the place asks but the number, and the first one's section and length."""
    each = [x for x in limits if x.attribute not in ("count", "matching")]
    section, datum = elements[0].code("section"), elements[0].num("datum_length")
    if section is not None:
        breach = "the set would be mixed"
        each.append(Limit("section", "one of", (section,), "function", "set: one section", _ALIKE, breach))
    if datum is not None:
        off = tolerance(datum)[1]
        accept, breach = (
            Interval(datum - off, datum + off),
            f"belts of one set differ by {show(off, 'mm', 2)} at most",
        )
        each.append(Limit("datum_length", "within", accept, "function", "set: one length", MATCHING, breach))
    return [tuple(each)] * len(elements)


def build(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    """How to put the set together."""
    datum = elements[0].num("datum_length")
    steps = ["take all of one maker and, where marked, one match number; all new or all of one former set"]
    if datum is not None:
        most = show(tolerance(datum)[1], "mm", 2)
        steps.append(f"lay them together on one pulley, slack down: they may differ by {most} at most")
    if _matching(elements) == "not known":
        steps.append("no match numbers: measure each outside length with one tape and keep only what agrees")
    return (*steps, "fit all at once with the rails slackened, never levered over the rim")


MATCHED = Combination("matched set", "count", "sum", 4, whole, share, NEVER, build, MATCHING)
