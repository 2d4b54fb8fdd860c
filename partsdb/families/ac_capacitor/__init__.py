"""AC capacitors: motor run, motor start and power-factor correction.

Plates give microfarads (MFD, MF and µF all mean the same on old plates; start capacitors carry a range),
AC volts, cycles, and sometimes kvar, class, tolerance and temperature. Heat, over-voltage and age kill them;
they lose capacitance before they fail. The voltage on a run capacitor is higher than the supply, because the
auxiliary winding resonates with it: it must be measured or read off the plate, never guessed from the supply.

Sources: IEC 60252-1 and -2 (motor), IEC 60831-1 (correction), NEC 460.6 (discharge), 40 CFR 761.2 (PCB), with
their status in tables/capacitor_*.csv; physics/capacitors.py and capacitor_banks.py hold the formulas.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.ac_capacitor import banks
from partsdb.families.ac_capacitor.figures import (
    after_fitting,
    charge_figures,
    cures,
    goes_with,
    life,
    shelf_test,
)
from partsdb.families.ac_capacitor.limits import DISCHARGE, PCB_RULE, require, size_text
from partsdb.family import (
    Attribute,
    Combination,
    Consistency,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Symptom,
    Writing,
    label,
)
from partsdb.model import Spec, Value, number, span, word
from partsdb.physics import capacitors as physics
from partsdb.physics.capacitors import rule
from partsdb.quantities import show, to_si
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

FORMULA = Source("Q = 2 pi f C V²", "derived")
DRY = Source(
    "metallised film is dry and PCB free, electrolytics hold watery electrolyte: makers' sheets",
    "reproduction",
)

_WORDS = load("capacitor_words").rows


def _coded(name: str, title: str, *header: str, ladder: bool = False, identity: bool = False) -> Attribute:
    rows = [r for r in _WORDS if r["attribute"] == name]
    return Attribute(
        name,
        title,
        None,
        identity,
        codes={r["code"]: r["title"] for r in rows},
        spellings={r["code"]: tuple(r["spellings"].split("|")) for r in rows if r["spellings"]},
        ladder=tuple(r["code"] for r in rows) if ladder else (),
        header=header or (name,),
    )


ATTRIBUTES = (
    Attribute("capacitance", "capacitance", "µF", True, 0.005, header=("capacitance", "uf", "mfd", "µf")),
    Attribute("voltage_ac", "AC volts", "V", True, header=("voltage", "volts", "vac", "voltage_ac", "v ac")),
    Attribute("frequency", "frequency", "Hz", True, header=("frequency", "hz", "cycles")),
    _coded("service", "service", "service", "duty", identity=True),
    Attribute("voltage_dc", "DC volts", "V", True, header=("vdc", "voltage_dc", "dc volts", "v dc")),
    Attribute(
        "test_voltage", "volts it was tested with, which it never works at", "V", header=("test voltage",)
    ),
    Attribute("kvar", "reactive power", "kvar", True, 0.03, header=("kvar",)),
    _coded("tolerance", "tolerance", "tolerance", "tol"),
    Attribute("temperature_max", "highest temperature", "°C", header=("temperature", "max temp", "°c")),
    _coded("life_class", "class of operation", "class", ladder=True),
    _coded("safety_class", "class of safety protection", "safety class", ladder=True),
    Attribute("phases", "phases", "", header=("phases", "ph")),
    _coded("construction", "construction", "construction", "dielectric"),
    _coded("content", "filling", "content", "pcb"),
    _coded("bleeder", "discharge resistor", "bleeder", "discharge resistor", ladder=True),
    Attribute("bleeder_ohms", "ohms of its discharge resistor", "kΩ", header=("bleeder ohms",)),
    Attribute("diameter", "case diameter", "mm", header=("diameter", "d mm")),
    Attribute("length", "case length", "mm", header=("length", "height", "l mm")),
    _coded("terminals", "terminals"),
    Attribute("made", "year made", "", header=("made", "year made")),
    # what the place asks: no part carries these, so a limit on them stays open until somebody measures
    Attribute("working_voltage", "voltage across it, running, measured on a healthy capacitor", "V"),
    Attribute("wanted_capacitance", "capacitance the motor needs", "µF"),
)
_UNIT = {a.name: a.unit or "" for a in ATTRIBUTES}
# probability that a plate leaves the field out [-], and the penalty for a size that isn't in the table [nat]
_ABSENT: Mapping[str, tuple[float, float | None]] = {
    "capacitance": (0.05, -4.0),
    "voltage_ac": (0.08, -5.0),
    "frequency": (0.3, None),
    "service": (0.5, None),
    "voltage_dc": (0.9, -3.0),
    "test_voltage": (0.97, -3.0),
    "kvar": (0.9, None),
    "tolerance": (0.6, None),
    "temperature_max": (0.6, None),
    "life_class": (0.75, None),
    "safety_class": (0.75, None),
    "construction": (0.75, None),
    "content": (0.85, None),
    "bleeder": (0.9, None),
}
FARADS = "(MFD|µF|UF|MF|MFD.|MICROFARADS)"


def _rows(attribute: str) -> Iterable[Row]:
    """The tables' sizes [SI] or words of one attribute."""
    for r in load("capacitor_sizes").rows:
        if r["attribute"] == attribute:
            low, high = (to_si(float(r[end]), _UNIT[attribute]) for end in ("low", "high"))
            yield Row((low if low == high else (low, high),), float(r["weight"]))
    for r in _WORDS:
        if r["attribute"] == attribute and float(r["weight"]) > 0:
            yield Row((r["code"],), float(r["weight"]))


def _field(name: str) -> Field:
    writings = tuple(
        Writing(r["template"].replace("FARADS", FARADS), float(r["logp"]))
        for r in load("capacitor_writings").rows
        if r["field"] == name
    )
    absent, off_grid = _ABSENT[name]
    return Field(name, (name,), tuple(_rows(name)), writings, absent, off_grid)


FIELDS = (
    *(_field(name) for name in _ABSENT),
    label("CAPACITOR", "CONDENSER", "KONDENSATOR", "CONDENSATEUR"),
)

# --------------------------------------------------------------------------- how well values agree


def _kvar_agrees(capacitance: Any, volts: Any, hertz: Any, power: Any) -> Any:
    """kvar against 2 pi f C V²; a plate may give µF per phase, then it is three times as much."""
    off = np.log(power / physics.reactive_power(capacitance, volts, hertz))
    off = np.minimum(np.abs(off), np.abs(off - math.log(3)))
    return np.nan_to_num(np.maximum(-0.5 * (off / 0.05) ** 2, -8.0), nan=0.0)


def _size_suits(capacitance: Any, service: Any) -> Any:
    """Run capacitors are small, start capacitors large: 150 µF in run and 10 µF in start are rare."""
    known = np.nan_to_num(np.asarray(capacitance, dtype=float), nan=50e-6)
    odd = ((service == "run") & (known > 105e-6)) | ((service == "start") & (known < 20e-6))
    return np.where(odd, -4.0, 0.0)


def _volts_suit(volts: Any, service: Any) -> Any:
    """Start capacitors are made for 110 to 330 V; run capacitors seldom for less than 220 V."""
    known = np.nan_to_num(np.asarray(volts, dtype=float), nan=250.0)
    odd = ((service == "run") & (known < 210)) | ((service == "start") & (known > 400))
    return np.where(odd, -2.0, 0.0)


_AT_HOME = {
    hertz: [float(r["low"]) for r in load("capacitor_sizes").rows if r["hertz"] == hertz]
    for hertz in ("50", "60")
}


def _volts_at_home(volts: Any, hertz: Any) -> Any:
    """370 and 440 V belong to 60 Hz countries, 400 and 450 V to 50 Hz ones."""
    cycles = np.nan_to_num(np.asarray(hertz, dtype=float), nan=0.0)
    abroad = ((cycles == 60) & np.isin(volts, _AT_HOME["50"])) | (
        (cycles == 50) & np.isin(volts, _AT_HOME["60"])
    )
    return np.where(abroad, -1.5, 0.0)


CONSISTENCY = (
    Consistency(("capacitance", "voltage_ac", "frequency", "kvar"), _kvar_agrees, FORMULA),
    Consistency(("capacitance", "service"), _size_suits, PRACTICE),
    Consistency(("voltage_ac", "service"), _volts_suit, PRACTICE),
    Consistency(("voltage_ac", "frequency"), _volts_at_home, PRACTICE),
)

# --------------------------------------------------------------------------- what follows from a plate


def derive(spec: Spec) -> tuple[Value, ...]:
    """Service, filling, capacitance from kvar, and the bound on AC volts of a part rated for DC only."""
    return (*_derived_size(spec), *_derived_words(spec))


def _derived_size(spec: Spec) -> Iterable[Value]:
    volts_dc, rated, hertz = spec.first("voltage_dc"), spec.first("voltage_ac"), spec.first("frequency")
    power = spec.num("kvar")
    if rated is None and volts_dc is not None and volts_dc.high is not None:
        yield span("voltage_ac", None, physics.most_ac_of_film(volts_dc.high), rule("film_dc_to_ac").source)
    if power is None or rated is None or rated.low is None or hertz is None or hertz.low is None:
        return
    if not spec.has("capacitance") and hertz.low == hertz.high:
        yield number("capacitance", physics.capacitance_of(power, rated.low, hertz.low), FORMULA)


def _derived_words(spec: Spec) -> Iterable[Value]:
    made, built, size = spec.num("made"), spec.code("construction"), spec.first("capacitance")
    if built == "electrolytic" or (size is not None and size.low != size.high):
        yield word("service", "start", PRACTICE)
    elif spec.has("kvar"):
        yield word("service", "correction", PRACTICE)
    if built in ("film", "electrolytic"):
        yield word("content", "no PCBs", DRY)
    elif made is not None:
        yield word("content", "no PCBs" if made >= 1980 else "PCB assumed", PCB_RULE)
    elif spec.has("life_class") or spec.has("safety_class"):
        yield word(
            "content", "no PCBs", Source("classes on the plate are younger than 1979", "common practice")
        )
    if spec.has("bleeder_ohms"):
        yield word("bleeder", "built in", Source("its ohms were read", "measured"))


# --------------------------------------------------------------------------- cures, life, causes


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """Supply frequency, over-voltage, heat, age, or a start switch that doesn't open."""
    return (*_from_supply(spec, duty), *_from_itself(spec, duty))


def _from_supply(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    plate, supply = spec.first("frequency"), asked(duty, "supply_frequency")
    marked = plate.interval if plate is not None else None
    strength = 0.15
    if supply is not None and marked is not None:
        strength = 0.02 if supply in marked else 0.6
    yield Suspect(
        "supply-frequency",
        "the supply's frequency isn't what the parts were made for",
        f"capacitor marked {show(plate.low or 0.0, 'Hz') if plate else 'without frequency'},"
        f" supply {show(supply, 'Hz') if supply else 'not known'}: current and voltage across it are not as designed",
        "read the frequency off the supply, and the hertz on every wound part's plate",
        "parts made for the supply's frequency, or another supply",
        strength,
        FORMULA,
    )
    rated, working = spec.first("voltage_ac"), asked(duty, "working_voltage")
    over = 0.25
    if rated is not None and rated.low is not None and working is not None:
        over = 0.9 if working > rated.low else 0.1
    yield Suspect(
        "over-voltage",
        "more volts across the capacitor than it is marked for",
        "resonance with the auxiliary winding, light load and high supply raise it",
        "measure across a healthy capacitor, motor running light",
        "a capacitor of higher voltage, the microfarads being equal",
        over,
        PRACTICE,
    )


def _from_itself(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    air, top, made = asked(duty, "ambient"), spec.num("temperature_max"), spec.num("made")
    hot = 0.2 if air is None or top is None else 0.8 if air + rule("self_heating").value > top else 0.05
    yield Suspect(
        "heat",
        "the place is too hot for it",
        "a hot motor, a blocked fan or the sun on the box",
        "measure the air beside the capacitor after an hour's work",
        "a capacitor for a higher temperature, or a cooler place for it",
        hot,
        rule("life_halving").source,
    )
    yield Suspect(
        "age",
        "it is simply old",
        "film and paper lose capacitance over the years",
        "read the date on the case",
        "the other capacitors of the same age",
        0.6 if made is not None and made < 1990 else 0.3,
        PRACTICE,
    )
    if spec.code("service") == "start":
        yield Suspect(
            "start-switch",
            "the start switch or relay doesn't open",
            "a start capacitor stands three seconds, not a minute",
            "clamp meter on its lead: the current must drop to nothing once the motor is up to speed",
            "a centrifugal switch or start relay",
            0.7,
            rule("start_seconds").source,
        )


SYMPTOMS = (
    Symptom(
        "hums",
        "motor hums and won't start: run or start capacitor open",
        ("measure microfarads, discharged",),
    ),
    Symptom(
        "dead",
        "won't start, starts by hand in either direction",
        ("measure microfarads", "try the start switch"),
    ),
    Symptom("slow", "weak torque, slow start: capacitance lost", ("microfarads against the plate",)),
    Symptom(
        "hot", "motor or capacitor hot: too many microfarads, start capacitor left in", ("clamp its lead",)
    ),
    Symptom(
        "leaks", "bulged or oily case: failed, PCB in old ones", ("don't touch the oil", "read the date")
    ),
    Symptom("noisy", "crackling or smell: inner flash-over", ("switch off, isolate, discharge",)),
)

# --------------------------------------------------------------------------- what can hurt


HAZARDS = (
    Hazard(
        "stored charge",
        "It stays charged. Isolate, lock, prove dead, discharge through a resistor (never a screwdriver), measure, and "
        "leave the terminals shorted: some charge comes back by itself. Follow your local code; licensed work is for "
        "licensed people.",
        DISCHARGE,
        figures=charge_figures,
    ),
    Hazard(
        "live measurement",
        "The voltage across it is measured live and is higher than the supply: meter and leads for 600 V CAT III, "
        "clip on while dead, hands off while running.",
        PRACTICE,
    ),
    Hazard(
        "pcb",
        "It may be filled with PCB (made before 2 July 1979, or date unknown). Never open it, never use it again; "
        "gloves for oil, keep it upright in a sealed tray, hand it to a licensed disposer.",
        PCB_RULE,
        (("content", "is not", "no PCBs"),),
    ),
    Hazard(
        "bursting",
        "A start capacitor left in circuit boils and bursts: cover on before power.",
        PRACTICE,
        (("service", "is", "start"),),
    ),
)

_DEAD = "isolate, lock, prove dead, discharge through a resistor and take one lead off first"
MEASUREMENTS = (
    Measurement("capacitance", "capacitance meter", 0.02e-6, 0.02, 4, _DEAD, "below", 0.25),
    Measurement(
        "working_voltage",
        "voltmeter, motor running",
        1.0,
        0.015,
        12,
        "live: leads clipped on while dead, 600 V CAT III; only across a healthy capacitor of the right size",
    ),
    Measurement("wanted_capacitance", "motor plate, or a meter on a healthy twin", 0.1e-6, 0.05, 15, _DEAD),
    Measurement("bleeder_ohms", "ohmmeter", 100.0, 0.02, 3, _DEAD),
    Measurement("diameter", "calipers", 0.2e-3, 0.0, 1, "don't touch the terminals before it is discharged"),
    Measurement("length", "rule", 1e-3, 0.0, 1, "don't touch the terminals before it is discharged"),
)

# --------------------------------------------------------------------------- fitting


def title_of(spec: Spec) -> str:
    """A short trade name: "25 µF 440 V AC run"."""
    size, rated, volts_dc = spec.first("capacitance"), spec.first("voltage_ac"), spec.num("voltage_dc")
    words = [size_text(size) if size is not None else "? µF"]
    if rated is not None and rated.low is not None:
        words.append(f"{show(rated.low, 'V')} AC")
    elif volts_dc is not None:
        words.append(f"{show(volts_dc, 'V')} DC only")
    return " ".join([*words, *((spec.code("service") or "",) if spec.has("service") else ())])


NEVER = (
    "a start capacitor in running service, one that may hold PCB, a polarised one; two in series of which one's "
    "microfarads are not known: the smallest takes the most volts (an unknown tolerance is reckoned as 10 %)"
)
COMBINATIONS = (
    Combination(
        "parallel",
        "capacitance",
        "sum",
        4,
        banks.in_parallel_whole,
        banks.parallel_share,
        NEVER,
        banks.build_parallel,
        banks.SHARING,
    ),
    Combination(
        "series",
        "capacitance",
        "harmonic",
        4,
        banks.in_series_whole,
        banks.series_share,
        NEVER,
        banks.build_series,
        banks.SHARING,
    ),
)

FAMILY = Family(
    name="ac_capacitor",
    title="AC capacitor",
    version=1,
    attributes=ATTRIBUTES,
    fields=FIELDS,
    measurements=MEASUREMENTS,
    hazards=HAZARDS,
    require=require,
    title_of=title_of,
    words=("capacitor", "condenser", "run capacitor", "start capacitor", "phase-shift capacitor", "cap"),
    prior=1.0,
    ask=("working_voltage", "service", "supply_frequency", "supply_voltage", "ambient"),
    consistency=CONSISTENCY,
    derive=derive,
    cures=cures,
    life=life,
    combinations=COMBINATIONS,
    symptoms=SYMPTOMS,
    suspects=suspects,
    goes_with=goes_with,
    after_fitting=after_fitting,
    shelf_test=shelf_test,
    install_hours=0.75,
)
