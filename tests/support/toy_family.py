"""A small family for tests of the stages: a storage jar. Every kind of limit, a cure, a life, combinations.

Its rules are chosen to be checked in the head, not to be true of anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from partsdb.attributes import Attribute, asked, no_matter
from partsdb.duty import Duty, number
from partsdb.family import (
    Combination,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Writing,
)
from partsdb.intervals import Interval, around
from partsdb.kit import Place, as_good_as, at_least, same, spans, within
from partsdb.model import Change, Life, Limit, LimitKind, Spec, Value, Weight, span, word
from partsdb.model import number as num
from partsdb.source import PRACTICE, Source, judgement

SOURCE = judgement("toy rule")
DERIVED = Source("toy table", "derived")
GRADES = ("D", "C", "B", "A")
_WEIGHTS: tuple[Weight, ...] = ("function", "safety", "function", "fit", "safety", "fit", "function", "life")

ATTRIBUTES = (
    Attribute("charge", "charge", "µF", True, 0.01, silence=asked("function", "it holds too little")),
    Attribute("voltage", "voltage", "V", True, silence=asked("safety", "it breaks down")),
    Attribute(
        "grade",
        "grade",
        None,
        codes={g: f"grade {g}" for g in GRADES},
        ladder=GRADES,
        silence=no_matter("a jar of no grade may be of any"),
    ),
    Attribute("bore", "bore", "mm", rel_tol=0.001, silence=no_matter("not every jar has one")),
    Attribute("supply", "supply", "Hz", silence=no_matter("not every jar has one")),
    Attribute(
        "mount",
        "mount",
        None,
        codes={"rail": "rail", "screws": "screws"},
        silence=no_matter("not every jar is mounted"),
    ),
    Attribute("heat", "highest temperature", "°C", silence=no_matter("most jars stand in the cool")),
    Attribute("hours", "rated hours", "", silence=no_matter("most jars outlive us")),
)


def _limit(
    attribute: str,
    kind: LimitKind,
    accept: Interval | tuple[str, ...],
    weight: Weight,
    *,
    reach: Interval | tuple[str, ...] | None = None,
    conditions: tuple[str, ...] = (),
    from_: str = "plate",
    qualifier: str = "",
) -> Limit:
    return Limit(
        attribute, kind, accept, weight, from_, SOURCE, f"wrong {attribute}", qualifier, reach, conditions
    )


def require(place: Place) -> Iterator[Limit | None]:
    """One limit an attribute; the supply voltage of the duty goes before the plate's."""
    charge, bore = place.plate("charge"), place.was.num("bore")
    if charge is not None and charge.number is not None:
        near = around(charge.number, 0.1)
        yield within(
            place,
            "charge",
            "function",
            "wrong charge",
            want=charge.to(near.lower, near.upper),
            reach=around(charge.number, 0.3),
            conditions=("attended",),
        )
    yield at_least(place, "voltage", "safety", "wrong voltage", term="supply_voltage")
    yield as_good_as(place, "grade", "function", "wrong grade")
    yield same(place, "bore", "fit", "wrong bore", reach=None if bore is None else Interval(bore, bore * 1.2))
    yield spans(place, "supply", "safety", "wrong supply")
    yield same(place, "mount", "fit", "wrong mount", reach=("rail", "screws"))
    yield at_least(place, "heat", "function", "wrong heat")
    yield at_least(place, "hours", "life", "wrong hours")


def derive(spec: Spec) -> tuple[Value, ...]:
    """Grade A is good for 400 V, by a table nobody has seen."""
    return (num("voltage", 400.0, DERIVED),) if spec.code("grade") == "A" else ()


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """A bush for a bore too large, an adapter for the mount."""
    if limit.attribute == "bore":
        return (Change("bore", "fit a bush", 0.5, PRACTICE),)
    if limit.attribute == "mount":
        return (Change("mount", "fit an adapter", 0.5, PRACTICE),)
    return ()


def life(spec: Spec, duty: Duty) -> Life:
    """As long as it says."""
    hours = spec.num("hours")
    return Life(hours, hours, hours, SOURCE)


def title_of(spec: Spec) -> str:
    """The charge in words."""
    charge = spec.num("charge")
    return "jar" if charge is None else f"{charge * 1e6:.4g} µF jar"


def _sum(elements: Sequence[Spec]) -> Spec:
    return _whole(elements, lambda ends: sum(ends), min)


def _harmonic(elements: Sequence[Spec]) -> Spec:
    return _whole(elements, lambda ends: 1 / sum(1 / e for e in ends), sum)


def _whole(elements: Sequence[Spec], charge, volts) -> Spec:  # type: ignore[no-untyped-def]  # two closures, local
    if len(elements) == 1:
        return elements[0]
    values: list[Value] = []
    charges = [c for e in elements if (c := e.first("charge")) is not None]
    low = [c.low for c in charges if c.low]
    high = [c.high for c in charges if c.high]
    if len(low) == len(high) == len(elements):
        values.append(span("charge", charge(low), charge(high), DERIVED))
    rated = [x for e in elements if (x := e.num("voltage")) is not None]
    if len(rated) == len(elements):
        values.append(num("voltage", volts(rated), DERIVED))
    grades = [g for e in elements if (g := e.code("grade")) is not None]
    if len(grades) == len(elements):
        values.append(word("grade", min(grades, key=GRADES.index), DERIVED))
    return Spec("toy", tuple(values))


def _same_share(
    elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty
) -> tuple[tuple[Limit, ...], ...]:
    kept = tuple(limit for limit in limits if limit.attribute in ("voltage", "grade"))
    return tuple(kept for _ in elements)


def _series_share(
    elements: Sequence[Spec], limits: Sequence[Limit], duty: Duty
) -> tuple[tuple[Limit, ...], ...]:
    """By 1/charge."""
    whole = _harmonic(elements).num("charge") or 0.0
    found = []
    for e in elements:
        part = whole / (e.num("charge") or 1.0)
        own = []
        for limit in limits:
            if limit.attribute == "voltage" and isinstance(limit.accept, Interval) and limit.accept.low:
                own.append(_limit("voltage", "at least", Interval(limit.accept.low * part, None), "safety"))
            elif limit.attribute == "grade":
                own.append(limit)
        found.append(tuple(own))
    return tuple(found)


def _build(elements: Sequence[Spec], duty: Duty) -> tuple[str, ...]:
    return (f"join {len(elements)} jars",)


def _suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    hertz = number(duty, "supply_frequency")
    known = spec.first("supply")
    if hertz is None or known is None or known.high is None or known.high >= hertz:
        return ()
    return (
        Suspect(
            "supply", "the wrong supply", f"made for {known.high:g} Hz", "hertz?", "a converter", 0.6, SOURCE
        ),
    )


FAMILY = Family(
    name="toy",
    title="storage jar",
    answers=frozenset({"supply_voltage"}),
    attributes=ATTRIBUTES,
    fields=(Field("charge", ("charge",), (Row((1e-6,)), Row((2e-6,))), (Writing("{charge:µF} MFD"),)),),
    measurements=(
        Measurement("charge", "capacitance meter", 0.0, 0.01, 3, "discharge it first"),
        Measurement("voltage", "voltmeter", 1.0, 0.0, 2, "live work"),
        Measurement("bore", "calipers", 2e-5, 0.0, 1, ""),
    ),
    hazards=(
        Hazard(
            "charge",
            "it stores a charge",
            SOURCE,
            (("voltage", ">=", 50.0),),
            lambda s, d: (("V", "x"),),
            "charged",
        ),
        Hazard("old", "old filling", SOURCE, (("grade", "is", "D"),)),
    ),
    require=require,
    title_of=title_of,
    words=("jar",),
    derive=derive,
    cures=cures,
    life=life,
    combinations=(
        Combination("parallel", "charge", "sum", 4, _sum, _same_share, "never unlike", _build, SOURCE),
        Combination(
            "series", "charge", "harmonic", 4, _harmonic, _series_share, "never unlike", _build, SOURCE
        ),
    ),
    suspects=_suspects,
    after_fitting=lambda s, d: ("listen",),
    goes_with=lambda s, d: ("a lid",),
    shelf_test=lambda s, d: ("hold it at 500 V for a minute",),
)


ASKING = replace(
    FAMILY,
    attributes=tuple(
        replace(a, silence=asked(w, f"wrong {a.name}")) for a, w in zip(ATTRIBUTES, _WEIGHTS, strict=True)
    ),
)


def jar(
    charge: float | tuple[float, float] | None = 10.0,
    voltage: float | None = 300.0,
    grade: str | None = "B",
    **others: float | str | tuple[float, float],
) -> Spec:
    """A jar: charge [µF], voltage [V]; others by attribute name in SI."""
    values: list[Value] = []
    if isinstance(charge, tuple):
        values.append(span("charge", charge[0] * 1e-6, charge[1] * 1e-6))
    elif charge is not None:
        values.append(num("charge", charge * 1e-6))
    if voltage is not None:
        values.append(num("voltage", voltage))
    if grade is not None:
        values.append(word("grade", grade))
    for name, x in others.items():
        if isinstance(x, str):
            values.append(word(name, x))
        elif isinstance(x, tuple):
            values.append(span(name, *x))
        else:
            values.append(num(name, x))
    return Spec("toy", tuple(values))
