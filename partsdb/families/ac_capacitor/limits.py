"""What the place of an AC capacitor asks: the rules from plate and duty to limits.

The voltage comes from a measurement across a healthy capacitor, else from the plate, and never from the
supply; heat and frequency from the duty, else from the plate. What is unknown stays open.
"""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.duty import word as asked_word
from partsdb.families.ac_capacitor.banks import LADDERS
from partsdb.intervals import Interval, point
from partsdb.model import Limit, Spec, Value, Weight
from partsdb.physics.capacitors import rule, tolerances
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement
from partsdb.tables import load

PCB_RULE = Source("40 CFR 761.2(a)(4): PCB assumed when made before 2 July 1979", "verified")
DISCHARGE = rule("residual_time").source
FORMULA = Source("I = 2 pi f C V", "derived")
PLATE = Source("the plate", "stated")
TERMINALS = tuple(r["code"] for r in load("capacitor_words").rows if r["attribute"] == "terminals")


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The envelope: microfarads, AC volts, frequency, service, heat, class, filling, discharge, case."""
    return (
        *_need_size(spec, duty),
        *_need_volts(spec, duty),
        *_need_frequency(spec, duty),
        *_need_service(spec, duty),
        *_need_heat(spec, duty),
        *_need_classes(spec),
        *_need_discharge(spec, duty),
        *_need_case(spec),
    )


def service_of(spec: Spec, duty: Duty) -> str:
    """run, start or correction; an unknown service is taken as continuous."""
    return asked_word(duty, "service") or spec.code("service") or "run"


def _need_size(spec: Spec, duty: Duty) -> Iterable[Limit]:
    value, service = spec.first("capacitance"), service_of(spec, duty)
    if value is None or value.low is None or value.high is None:
        yield Limit(
            "wanted_capacitance",
            "at least",
            Interval(None, None),
            "function",
            "the plate's microfarads are not known",
            judgement("an unknown size can't be matched"),
            "without the microfarads nothing can be matched: read the motor's plate or measure a healthy one",
        )
        return
    minus, plus, why = _tolerance(spec, service)
    low, high = (value.low, value.high) if value.low < value.high else (
        value.low * (1 - minus), value.low * (1 + plus)
    )  # fmt: skip
    least, most = value.low * (1 - rule("reach_below").value), value.high * (1 + rule("reach_above").value)
    yield Limit(
        "capacitance",
        "within",
        Interval(low, high),
        "function",
        f"plate: {size_text(value)}, {why.citation}",
        why,
        "too little: weak torque, slow start; too much: the auxiliary winding overheats",
        reach=Interval(min(low, least), max(high, most)),
        conditions=(
            "attended, light load, winding and capacitor felt for heat every quarter of an hour",
            "current in the capacitor's lead no more than the motor maker allows, or than the old one took",
        ),
    )


def _tolerance(spec: Spec, service: str) -> tuple[float, float, Source]:
    """(minus, plus) [-] that the place allows: the plate's, but never more than 10 %; else what is usual."""
    code = spec.code("tolerance")
    if service == "start" or code is None or code not in tolerances():
        minus = rule(f"{service}_tolerance_minus")
        return minus.value, rule(f"{service}_tolerance_plus").value, minus.source
    most = rule("most_tolerance")
    minus_plate, plus_plate = tolerances()[code]
    why = Source(f"plate: {code}", "stated") if max(minus_plate, plus_plate) <= most.value else most.source
    return min(minus_plate, most.value), min(plus_plate, most.value), why


def _need_volts(spec: Spec, duty: Duty) -> Iterable[Limit]:
    """From the voltage measured across a healthy one, raised to high supply; else from the plate; else open."""
    rated, working = spec.first("voltage_ac"), asked(duty, "working_voltage")
    plate = rated.low if rated is not None else None
    breach = "the dielectric breaks down: bursting, fire; a supply voltage is no measure of what it sees"
    if working is not None:
        yield from _measured_volts(working, plate, breach)
    elif plate is not None:
        follows = f"plate: {show(plate, 'V')} AC"
        yield Limit("voltage_ac", "at least", Interval(plate, None), "safety", follows, PLATE, breach)
    else:
        yield _open_volts(duty, breach)


def _measured_volts(working: float, plate: float | None, breach: str) -> Iterable[Limit]:
    """The measured voltage decides; a plate that asks for more stays visible and costs a straight swap."""
    high = rule("high_supply")
    said = f"the plate said {show(plate, 'V')}" if plate is not None else "the plate's volts are not known"
    yield Limit(
        "voltage_ac",
        "at least",
        Interval(working * high.value, None),
        "safety",
        f"duty: {show(working, 'V')} across it, {high.value:g} times for high supply; {said}",
        high.source,
        breach,
        reach=Interval(working, None),
        conditions=("attended, supply voltage watched: not above the value at which it was measured",),
    )
    if plate is not None and plate > working * high.value:
        yield Limit(
            "voltage_ac",
            "at least",
            Interval(plate, None),
            "life",
            f"plate: {show(plate, 'V')} AC, more than the {show(working, 'V')} measured asks for",
            PLATE,
            "less margin than the maker chose: measure again at high supply and light load",
            reach=Interval(working * high.value, None),
            conditions=("voltage across it measured again at light load, where it is highest",),
        )


def _open_volts(duty: Duty, breach: str) -> Limit:
    """Neither the plate nor a measurement says the volts; the supply alone can't."""
    supply = asked(duty, "supply_voltage")
    known = f"only the supply is known ({show(supply, 'V')})" if supply is not None else "no voltage is known"
    return Limit(
        "working_voltage",
        "at least",
        Interval(None, None),
        "safety",
        f"{known}; the auxiliary winding raises it by resonance, so it must be measured",
        judgement("supply volts never rate a run capacitor"),
        f"measure across a healthy capacitor of the right size with the motor running light; {breach}",
    )


def _need_frequency(spec: Spec, duty: Duty) -> Iterable[Limit]:
    """Current and heat go with frequency, so a rating for more serves less."""
    plate, supply = spec.first("frequency"), asked(duty, "supply_frequency")
    if supply is None and (plate is None or plate.low is None or plate.high is None):
        return
    low, high = (supply, supply) if supply is not None else (plate.low, plate.high) if plate else (None, None)
    more = rule("overcurrent")
    follows = f"duty: {show(supply, 'Hz')}" if supply is not None else "plate"
    breach = "at a higher frequency than marked it carries more current and runs hotter"
    if high is None or high < 55:  # 50 Hz and below: a 60 Hz or a 50/60 Hz marking serves as well
        yield Limit("frequency", "at least", Interval(low, None), "life", follows, FORMULA, breach)
        return
    yield Limit(
        "frequency",
        "covers",
        Interval(low, high),
        "life",
        follows,
        FORMULA,
        breach,
        reach=point(high / 1.2),
        conditions=(
            f"current up to 1.2 times marked, within the {more.value:g} times that {more.source} allows",
        ),
    )


def _need_service(spec: Spec, duty: Duty) -> Iterable[Limit]:
    """Nothing is asked in a start place: whatever may run continuously may also start."""
    service = service_of(spec, duty)
    if service == "start":
        return
    follows = f"plate: {service}" if spec.code("service") else "service not known: taken as continuous"
    yield Limit(
        "service",
        "one of",
        (service,),
        "safety",
        f"duty: {service}" if asked_word(duty, "service") else follows,
        PRACTICE,
        "a start capacitor left in circuit boils and bursts within minutes"
        if service == "run"
        else "not made for the inrush and harmonics of the mains",
    )


def _need_heat(spec: Spec, duty: Duty) -> Iterable[Limit]:
    air, plate = asked(duty, "ambient"), spec.first("temperature_max")
    need = air + rule("self_heating").value if air is not None else plate.low if plate is not None else None
    if need is None:
        return
    source = rule("self_heating").source if air is not None else PLATE
    follows = f"duty: {show(air, '°C')} around it, 10 K for its own heat" if air is not None else "plate"
    yield Limit(
        "temperature_max",
        "at least",
        Interval(need, None),
        "life",
        follows,
        source,
        "its life halves every 10 K",
    )


_CLASSES: tuple[tuple[str, Weight, str], ...] = (
    ("life_class", "life", "a shorter life than the one it replaces"),
    ("safety_class", "safety", "it may fail short and catch fire where the old one disconnected itself"),
)


def _need_classes(spec: Spec) -> Iterable[Limit]:
    for name, weight, breach in _CLASSES:
        code, ladder = spec.code(name), LADDERS[name]
        if code in ladder:
            yield Limit(
                name,
                "same class or better",
                ladder[ladder.index(code) :],
                weight,
                f"plate: {code}",
                load("capacitor_classes").source,
                breach,
                reach=ladder if weight == "life" else None,
                conditions=("replace it at the stated hours",) if weight == "life" else (),
            )
    yield Limit(
        "content",
        "one of",
        ("no PCBs",),
        "function",
        "law: a capacitor that may hold PCB is never put back into use",
        PCB_RULE,
        "PCB must be assumed: don't fit, don't open, hand it to a licensed disposer",
    )
    if (phases := spec.first("phases")) is not None:
        yield Limit(
            "phases",
            "equal",
            Interval(phases.low, phases.high),
            "safety",
            "plate",
            PLATE,
            "another number of elements and terminals",
        )


def _need_discharge(spec: Spec, duty: Duty) -> Iterable[Limit]:
    """A discharge resistor where the old one had it, and always on correction capacitors."""
    correction = service_of(spec, duty) == "correction"
    if not correction and spec.code("bleeder") not in ("built in", "fitted"):
        return
    yield Limit(
        "bleeder",
        "one of",
        ("fitted", "built in"),
        "safety",
        "law: 50 V or less after a minute" if correction else "plate: the old one had a discharge resistor",
        DISCHARGE if correction else PLATE,
        "it stays charged after the supply is off",
        reach=("none", "fitted", "built in"),
    )


def _need_case(spec: Spec) -> Iterable[Limit]:
    for name, reach in (("diameter", 6.0), ("length", 3.0)):  # there is room beside the old clip, or a box
        value = spec.first(name)
        if value is not None and value.high is not None:
            yield Limit(
                name,
                "at most",
                Interval(None, value.high),
                "fit",
                "the old one's case",
                PLATE,
                "too big for its clip or box",
                reach=Interval(None, value.high * reach),
            )
    code = spec.code("terminals")
    if code is not None:
        yield Limit(
            "terminals",
            "one of",
            (code,),
            "fit",
            "the old one's terminals",
            PLATE,
            "the leads need other ends",
            reach=TERMINALS,
        )


def size_text(value: Value) -> str:
    """A capacitance or marked range in µF."""
    if value.low is None or value.high is None:
        return "unknown µF"
    low, high = show(value.low, "µF"), show(value.high, "µF")
    return high if low == high else f"{low.split()[0]}-{high}"
