"""Several V-belts as one matched set: what the set is, what each belt must be, how it is put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from partsdb.duty import Duty
from partsdb.families.v_belt.sections import tolerance
from partsdb.intervals import Interval
from partsdb.model import Limit, Spec, Value, number, word
from partsdb.quantities import show
from partsdb.source import Source, judgement

MATCHING = Source("ANSI/RMA IP-20, matching limits (Machinery's Handbook, 31st edition, table 8)", "verified")
NEVER = (
    "never unmatched: old with new, two makers, wrapped with cogged, or two match numbers in one drive; the shortest "
    "belt carries the load and tears, the others slip"
)
MATCHES = {
    "single": "one belt",
    "one set": "sold as one set",
    "matched": "one match number",
    "not known": "match not known",
    "unmatched": "unmatched",
}
_ALIKE = judgement("belts of one drive are of one section and one length")
_OWN = ("count", "matching", "match", "datum_length", "outside_length", "length")


def whole(elements: Sequence[Spec]) -> Spec:
    """The set as one part: belts counted, lengths from shortest to longest, and whether they match.

    Elements of different sections have no section together, so such a set fits nowhere.
    """
    first = elements[0]
    kept = [v for v in first.values if v.attribute not in _OWN]
    if len({e.code("section") for e in elements}) > 1:
        kept = [v for v in kept if v.attribute != "section"] + [word("section", "mixed", _ALIKE)]
    counted = number("count", sum(e.num("count") or 1.0 for e in elements), _ALIKE_COUNT)
    return Spec(
        first.family, (*kept, counted, word("matching", _matching(elements), MATCHING), *_lengths(elements))
    )


_ALIKE_COUNT = Source("belts counted", "stated")


def _matching(elements: Sequence[Spec]) -> str:
    """One match number on all: matched; two numbers, lengths or sections: unmatched; else not known."""
    numbers = {e.num("match") for e in elements}
    if len({e.code("section") for e in elements}) > 1 or _spread(elements) > 1e-6:
        return "unmatched"
    if len(numbers - {None}) > 1:
        return "unmatched"
    return "matched" if None not in numbers else "not known"


def _spread(elements: Sequence[Spec]) -> float:
    """Difference of the longest and shortest nominal datum length [m]."""
    known = [x for x in (e.num("datum_length") for e in elements) if x is not None]
    return max(known) - min(known) if known else 0.0


def _lengths(elements: Sequence[Spec]) -> tuple[Value, ...]:
    found = []
    for attribute in ("length", "datum_length", "outside_length"):
        values = [v for e in elements for v in e.all(attribute) if v.low is not None and v.high is not None]
        if len(values) >= len(elements):
            low = min(v.low for v in values if v.low is not None)
            high = max(v.high for v in values if v.high is not None)
            found.append(replace(values[0], low=low, high=high))
    return tuple(found)


def share(elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty) -> Sequence[tuple[Limit, ...]]:
    """What each belt must be: all that the place asks but the number, and the first one's section and length."""
    asked = tuple(x for x in limits if x.attribute not in ("count", "matching"))
    section, datum = elements[0].code("section"), elements[0].num("datum_length")
    alike = []
    if section is not None:
        alike.append(
            Limit(
                "section",
                "one of",
                (section,),
                "function",
                "set: one section",
                _ALIKE,
                "the set would be mixed",
            )
        )
    if datum is not None:
        within = tolerance(datum)[1]
        alike.append(
            Limit(
                "datum_length",
                "within",
                Interval(datum - within, datum + within),
                "function",
                "set: one length",
                MATCHING,
                f"belts of one set differ by {show(within, 'mm', 2)} at most",
            )
        )
    return [(*asked, *alike)] * len(elements)


def build(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    """How to put the set together."""
    datum = elements[0].num("datum_length")
    steps = ["take all of one maker and, where marked, one match number; all new or all of one former set"]
    if datum is not None:
        limit = show(tolerance(datum)[1], "mm", 2)
        steps.append(f"lay them together on one pulley, slack down: they may differ by {limit} at most")
    if _matching(elements) == "not known":
        steps.append("no match numbers: measure each outside length with one tape and keep only what agrees")
    return (*steps, "fit all at once with the rails slackened, never levered over the rim")
