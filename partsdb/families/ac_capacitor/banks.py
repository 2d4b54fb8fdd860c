"""Several capacitors acting as one: series and parallel on AC, as specifications and limits.

On AC series parts share the voltage by 1/C, so tolerances decide who gets most; the worst case is taken.
In parallel all see the same voltage and the weakest decides. A rating that one element doesn't carry, the
whole doesn't carry either.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from partsdb.duty import Duty, number
from partsdb.intervals import Interval
from partsdb.model import Limit, Spec, Value, span, word
from partsdb.physics.capacitors import (
    bleeder,
    covering_tolerance,
    in_parallel,
    in_series,
    resistor_text,
    rule,
    tolerances,
    worst_shares,
)
from partsdb.quantities import show
from partsdb.source import Source

SHARING = Source("AC divides by 1/C; worst case of the tolerances", "derived")
BUNDLE = Source("several cases side by side never fit one clip; 50 mm each where not known", "judgement")
WORKED_OUT = ("derived", "common practice", "from memory", "judgement")
AS_BUILT = Source("as built: one discharge resistor on every element", "stated")

LADDERS = {"life_class": ("D", "C", "B", "A"), "safety_class": ("S0", "S1", "S2", "S3")}
SERVICE_ORDER = ("start", "run")  # worst first; correction mixes with neither
_WHOLE_ONLY = frozenset(
    {"capacitance", "bleeder", "diameter", "length", "terminals", "working_voltage", "wanted_capacitance"}
)


def band(spec: Spec) -> tuple[float, float] | None:
    """Least and greatest capacitance [F] the element can have: its marked range, else its tolerance.

    An unknown tolerance is taken as ±10 %. None when the capacitance is unknown.
    """
    value = spec.first("capacitance")
    if value is None or value.low is None or value.high is None:
        return None
    if value.low < value.high:
        return value.low, value.high
    most = rule("most_tolerance").value
    minus, plus = tolerances().get(spec.code("tolerance") or "", (most, most))
    return value.low * (1 - minus), value.low * (1 + plus)


def shares(elements: Sequence[Spec]) -> tuple[float, ...] | None:
    """Worst fraction [-] of the whole voltage on each series element; None when a capacitance is unknown."""
    bands = [band(e) for e in elements]
    known = [b for b in bands if b is not None and b[0] > 0]
    return worst_shares(known) if len(known) == len(elements) else None


def in_series_whole(elements: Sequence[Spec]) -> Spec:
    """The specification of the elements in series. One element is itself."""
    if len(elements) == 1:
        return elements[0]
    return _whole(elements, in_series, shares(elements))


def in_parallel_whole(elements: Sequence[Spec]) -> Spec:
    """The specification of the elements in parallel. One element is itself."""
    if len(elements) == 1:
        return elements[0]
    return _whole(elements, in_parallel, (1.0,) * len(elements))


def _whole(
    elements: Sequence[Spec], combine: Callable[[Sequence[float]], float], parts: tuple[float, ...] | None
) -> Spec:
    width = math.fsum(e.num("diameter") or 0.05 for e in elements)
    values = [
        *_capacitance(elements, combine),
        *_voltage(elements, parts),
        *_tolerance(elements),
        *_frequency(elements),
        *(v for name, order in LADDERS.items() for v in _worst(name, elements, order)),
        *_worst("service", elements, SERVICE_ORDER),
        *_same("construction", elements),
        *_same("content", elements),
        *_least("temperature_max", elements),
        *(_phases(elements)),
        word("bleeder", "fitted", AS_BUILT),
        span("diameter", width, width, BUNDLE),
        *_least("length", elements, max),
    ]
    return Spec(elements[0].family, tuple(values))


def _capacitance(elements: Sequence[Spec], combine: Callable[[Sequence[float]], float]) -> tuple[Value, ...]:
    ends = [(v.low, v.high) if (v := e.first("capacitance")) else (None, None) for e in elements]
    low, high = [a for a, _ in ends if a], [b for _, b in ends if b]
    if len(low) < len(elements) or len(high) < len(elements):
        return ()
    return (span("capacitance", combine(low), combine(high), _source("capacitance", elements)),)


def _voltage(elements: Sequence[Spec], parts: tuple[float, ...] | None) -> tuple[Value, ...]:
    """Both ends of what the whole can take: the weakest element decides; an unknown end stays unknown."""
    rated = [e.first("voltage_ac") for e in elements]
    if parts is None:
        return ()
    lows = [v.low / p if v and v.low is not None else None for v, p in zip(rated, parts, strict=True)]
    highs = [v.high / p for v, p in zip(rated, parts, strict=True) if v and v.high is not None]
    low = None if None in lows else min(x for x in lows if x is not None)
    high = min(highs, default=None)
    return (
        ()
        if low is None and high is None
        else (span("voltage_ac", low, high, _source("voltage_ac", elements)),)
    )


def _tolerance(elements: Sequence[Spec]) -> tuple[Value, ...]:
    """Sum and harmonic sum both stay inside the widest of the elements' tolerances."""
    pairs = [tolerances().get(e.code("tolerance") or "") for e in elements]
    known = [p for p in pairs if p is not None]
    if len(known) < len(elements):
        return ()
    code = covering_tolerance(max(m for m, _ in known), max(p for _, p in known))
    return (word("tolerance", code, SHARING),) if code else ()


def _frequency(elements: Sequence[Spec]) -> tuple[Value, ...]:
    ends = [v for e in elements if (v := e.first("frequency")) is not None]
    if len(ends) < len(elements):
        return ()
    low, high = max(v.low or 0.0 for v in ends), min(v.high or math.inf for v in ends)
    return (span("frequency", low, high, _source("frequency", elements)),) if low <= high < math.inf else ()


def _worst(name: str, elements: Sequence[Spec], order: Sequence[str]) -> tuple[Value, ...]:
    codes = [e.code(name) for e in elements]
    ranks = [order.index(c) for c in codes if c in order]
    if len(ranks) < len(elements):
        return _same(name, elements)
    return (word(name, order[min(ranks)], _source(name, elements)),)


def _same(name: str, elements: Sequence[Spec]) -> tuple[Value, ...]:
    codes = {e.code(name) for e in elements}
    code = next(iter(codes))
    return (word(name, code, _source(name, elements)),) if len(codes) == 1 and code is not None else ()


def _least(
    name: str, elements: Sequence[Spec], pick: Callable[[Iterable[float]], float] = min
) -> tuple[Value, ...]:
    lows = [v.low for e in elements if (v := e.first(name)) is not None and v.low is not None]
    if len(lows) < len(elements):
        return ()
    return (span(name, pick(lows), pick(lows), _source(name, elements)),)


def _source(name: str, elements: Sequence[Spec]) -> Source:
    """What the elements' own ratings rest on: arithmetic on stated ratings is as good as the weakest of them."""
    sources = [v.source for e in elements if (v := e.first(name)) is not None]
    weakest = next((s for s in sources if s.status in WORKED_OUT), sources[0])
    return Source(f"{weakest.citation}; {SHARING.citation}", weakest.status)


def _phases(elements: Sequence[Spec]) -> tuple[Value, ...]:
    counts = {e.num("phases") for e in elements}
    return (span("phases", 1, 1, _source("phases", elements)),) if counts == {1.0} else ()


def series_share(
    elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty
) -> tuple[tuple[Limit, ...], ...]:
    """What each series element must meet: its worst share of the volts, and every other rating in full."""
    parts = shares(elements) or (1.0,) * len(elements)
    return tuple(tuple(_shared(limit, p) for limit in _each(limits)) for p in parts)


def parallel_share(
    elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty
) -> tuple[tuple[Limit, ...], ...]:
    """What each parallel element must meet: the full volts and every other rating."""
    return tuple(tuple(_each(limits)) for _ in elements)


def _each(limits: Sequence[Limit]) -> list[Limit]:
    return [limit for limit in limits if limit.attribute not in _WHOLE_ONLY]


def _shared(limit: Limit, part: float) -> Limit:
    if limit.attribute != "voltage_ac" or not isinstance(limit.accept, Interval):
        return limit
    reach = limit.reach
    return replace(
        limit,
        accept=_scaled(limit.accept, part),
        reach=_scaled(reach, part) if isinstance(reach, Interval) else reach,
        follows_from=f"{limit.follows_from}; worst share {part:.0%} in the series",
    )


def _scaled(interval: Interval, by: float) -> Interval:
    return Interval(*(None if end is None else end * by for end in (interval.low, interval.high)))


def build_series(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    """How to connect them in a line, with a discharge resistor for each."""
    parts = shares(elements)
    names = " - ".join(f"[{_name(e)}]" for e in elements)
    return (
        f"In a line, the lead in at one end and out at the other: lead - {names} - lead",
        *_resistors(elements, parts, in_series_whole(elements), duty),
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
) -> tuple[str, ...]:
    """One line per element: ohms, watts and peak volts of its discharge resistor."""
    rated = whole.first("voltage_ac")
    working = number(duty, "working_voltage")
    high = working * rule("high_supply").value if working else rated.low if rated else None
    if high is None or parts is None:
        return (
            "A discharge resistor across each: its size needs the volts across them, which are not known",
        )
    lines = []
    for element, part in zip(elements, parts, strict=True):
        value = element.first("capacitance")
        if value is None or value.high is None:
            continue
        r = bleeder(value.high, high * part)
        text = resistor_text(r)
        lines.append(f"Discharge resistor across [{_name(element)}]: {text} (to 50 V in {r.seconds:.0f} s)")
    return tuple(lines)


def _name(spec: Spec) -> str:
    value, volts = spec.first("capacitance"), spec.first("voltage_ac")
    if value is None or value.low is None or value.high is None:
        return "capacitor"
    low, high = show(value.low, "µF"), show(value.high, "µF")
    size = high if low == high else f"{low.split()[0]}-{high}"
    return f"{size} {show(volts.low, 'V')}" if volts and volts.low is not None else size
