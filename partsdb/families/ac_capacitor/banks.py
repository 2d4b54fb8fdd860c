"""Several capacitors acting as one: series and parallel on AC, as specifications and limits.

On AC series parts share the voltage by 1/C, so tolerances decide who gets most; the worst case is taken.
In parallel all see the same voltage and the weakest decides. A rating that one element doesn't carry, the
whole doesn't carry either.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from partsdb.duty import Duty, number
from partsdb.families.ac_capacitor.figures import size_text
from partsdb.families.ac_capacitor.formulas import (
    band,
    bleeder,
    covering_tolerance,
    in_series,
    resistor_text,
    rule,
    tolerances,
    worst_shares,
)
from partsdb.family import Combination
from partsdb.intervals import Interval
from partsdb.model import Limit, Spec, Value, span, word
from partsdb.quantities import show
from partsdb.source import Source
from partsdb.tables import load

SHARING = Source("AC divides by 1/C; worst case of the tolerances", "derived")
BUNDLE = Source("several cases side by side never fit one clip; 50 mm each where not known", "judgement")
AS_BUILT = Source("as built: one discharge resistor on every element", "stated")
WORKED_OUT = ("derived", "common practice", "from memory", "judgement")

Ends = Callable[[Sequence[float]], float]
_WHOLE_ONLY = frozenset({"capacitance", "bleeder", "diameter", "length", "terminals"})


def _worst_first(name: str) -> tuple[str, ...]:
    return tuple(r["code"] for r in load("words", __package__).rows if r["attribute"] == name)


# codes of which the whole has the worst, worst first; of the others it has what all elements have
_ORDERS: Mapping[str, tuple[str, ...]] = {
    "life_class": _worst_first("life_class"),
    "safety_class": _worst_first("safety_class"),
    "service": ("start", "run"),  # correction mixes with neither
    "construction": (),
    "content": (),
}


def shares(elements: Sequence[Spec]) -> tuple[float, ...] | None:
    """Worst fraction [-] of the whole voltage on each series element; None when a capacitance is unknown."""
    known = [b for e in elements if (b := band(e)) is not None and b[0] > 0]
    return worst_shares(known) if len(known) == len(elements) else None


# --------------------------------------------------------------------------- the whole as one capacitor


def in_series_whole(elements: Sequence[Spec]) -> Spec:
    """The specification of the elements in series. One element is itself."""
    return elements[0] if len(elements) == 1 else _whole(elements, in_series, shares(elements))


def in_parallel_whole(elements: Sequence[Spec]) -> Spec:
    """The specification of the elements in parallel. One element is itself."""
    return elements[0] if len(elements) == 1 else _whole(elements, math.fsum, (1.0,) * len(elements))


def _whole(elements: Sequence[Spec], combine: Ends, parts: tuple[float, ...] | None) -> Spec:
    width = math.fsum(e.num("diameter") or 0.05 for e in elements)
    values = [
        *_ends("capacitance", elements, combine, combine),
        *(_voltage(elements, parts) if parts else ()),
        *_tolerance(elements),
        *_ends("frequency", elements, max, min),
        *_ends("temperature_max", elements, min, min),
        *_ends("length", elements, max, max),
        *_codes(elements),
        word("bleeder", "fitted", AS_BUILT),
        span("diameter", width, width, BUNDLE),
    ]
    if all(e.num("phases") == 1 for e in elements):
        values.append(span("phases", 1, 1, _source("phases", elements)))
    return Spec(elements[0].family, tuple(values))


def _ends(name: str, elements: Sequence[Spec], lowest: Ends, highest: Ends) -> Iterator[Value]:
    """A range out of the elements' ranges; nothing when one of them isn't known or they have nothing in common."""
    found = [v for e in elements if (v := e.first(name)) is not None]
    lows, highs = [v.low for v in found if v.low is not None], [v.high for v in found if v.high is not None]
    if len(lows) == len(highs) == len(elements) and lowest(lows) <= highest(highs):
        yield span(name, lowest(lows), highest(highs), _source(name, elements))


def _voltage(elements: Sequence[Spec], parts: Sequence[float]) -> Iterator[Value]:
    """Both ends of what the whole can take: the weakest element decides; an unknown end stays unknown."""
    rated = [(e.first("voltage_ac"), part) for e, part in zip(elements, parts, strict=True)]
    lows = [v.low / part for v, part in rated if v and v.low is not None]
    highs = [v.high / part for v, part in rated if v and v.high is not None]
    low, high = min(lows) if len(lows) == len(elements) else None, min(highs, default=None)
    if low is not None or high is not None:
        yield span("voltage_ac", low, high, _source("voltage_ac", elements))


def _tolerance(elements: Sequence[Spec]) -> Iterator[Value]:
    """Sum and harmonic sum both stay inside the widest of the elements' tolerances."""
    pairs = [tolerances().get(e.code("tolerance") or "") for e in elements]
    known = [p for p in pairs if p is not None]
    code = covering_tolerance(max(m for m, _ in known), max(p for _, p in known)) if known else None
    if code is not None and len(known) == len(elements):
        yield word("tolerance", code, SHARING)


def _codes(elements: Sequence[Spec]) -> Iterator[Value]:
    for name, order in _ORDERS.items():
        codes = {e.code(name) for e in elements}
        worst = next((code for code in order if code in codes), None) if codes <= set(order) else None
        code = worst or (codes.pop() if len(codes) == 1 else None)
        if code is not None:
            yield word(name, code, _source(name, elements))


def _source(name: str, elements: Sequence[Spec]) -> Source:
    """What the elements' own ratings rest on: arithmetic on stated ratings is as good as the weakest of them."""
    sources = [v.source for e in elements if (v := e.first(name)) is not None]
    weakest = next((s for s in sources if s.status in WORKED_OUT), sources[0])
    return Source(f"{weakest.citation}; {SHARING.citation}", weakest.status)


# --------------------------------------------------------------------------- what each element must meet

Shared = tuple[tuple[Limit, ...], ...]


def series_share(elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty) -> Shared:
    """What each series element must meet: its worst share of the volts, and every other rating in full."""
    parts = shares(elements) or (1.0,) * len(elements)
    return tuple(tuple(_shared(limit, part) for limit in _each(limits)) for part in parts)


def parallel_share(elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty) -> Shared:
    """What each parallel element must meet: the full volts and every other rating."""
    return (_each(limits),) * len(elements)


def _each(limits: Sequence[Limit]) -> tuple[Limit, ...]:
    return tuple(limit for limit in limits if limit.attribute not in _WHOLE_ONLY)


def _shared(limit: Limit, part: float) -> Limit:
    if limit.attribute != "voltage_ac" or not isinstance(limit.accept, Interval):
        return limit
    reach = _scaled(limit.reach, part) if isinstance(limit.reach, Interval) else limit.reach
    follows = f"{limit.follows_from}; worst share {part:.0%} in the series"
    return replace(limit, accept=_scaled(limit.accept, part), reach=reach, follows_from=follows)


def _scaled(interval: Interval, by: float) -> Interval:
    return Interval(*(None if end is None else end * by for end in (interval.low, interval.high)))


# --------------------------------------------------------------------------- how to connect them


def build_series(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    """How to connect them in a line, with a discharge resistor for each."""
    names = " - ".join(f"[{_name(e)}]" for e in elements)
    return (
        f"In a line, the lead in at one end and out at the other: lead - {names} - lead",
        *_resistors(elements, shares(elements), in_series_whole(elements), duty),
        "Insulate every case: in a line the joints between them are live and no case may touch earth by chance",
        "Measure the volts across each one on the first run; none may exceed its own marking",
    )


def build_parallel(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    """How to connect them side by side, with a discharge resistor for each."""
    names = " and ".join(f"[{_name(e)}]" for e in elements)
    return (
        f"Side by side: {names}, one terminal of each joined to one lead, the other terminals to the other lead",
        *_resistors(elements, (1.0,) * len(elements), in_parallel_whole(elements), duty),
        "Join them before connecting and discharge each first: two charged differently spark when joined",
    )


def _resistors(
    elements: Sequence[Spec], parts: tuple[float, ...] | None, whole: Spec, duty: Duty
) -> Iterator[str]:
    """One line per element: ohms, watts and peak volts of its discharge resistor."""
    rated, working = whole.first("voltage_ac"), number(duty, "working_voltage")
    high = working * rule("high_supply").value if working else rated.low if rated else None
    if high is None or parts is None:
        yield "A discharge resistor across each: its size needs the volts across them, which are not known"
        return
    for element, part in zip(elements, parts, strict=True):
        size = element.first("capacitance")
        if size is not None and size.high is not None:
            fit = bleeder(size.high, high * part)
            yield f"Discharge resistor across [{_name(element)}]: {resistor_text(fit)} (to 50 V in {fit.seconds:.0f} s)"


def _name(spec: Spec) -> str:
    size, volts = size_text(spec.first("capacitance")), spec.first("voltage_ac")
    return f"{size} {show(volts.low, 'V')}" if volts and volts.low is not None else size


NEVER = (
    "a start capacitor in running service, one that may hold PCB, a polarised one; two in series of which one's "
    "microfarads are not known: the smallest takes the most volts (an unknown tolerance is reckoned as 10 %)"
)
COMBINATIONS = (
    Combination(
        "parallel", "capacitance", "sum", 4, in_parallel_whole, parallel_share, NEVER, build_parallel, SHARING
    ),
    Combination(
        "series", "capacitance", "harmonic", 4, in_series_whole, series_share, NEVER, build_series, SHARING
    ),
)
