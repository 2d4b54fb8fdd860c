"""Control and power transformers, up to a few hundred kVA.

Plates give primary and secondary volts (several connections or taps: 240 X 480, 380/400/415), VA or kVA, cycles,
phases, sometimes insulation class, rise and impedance. Primary connections are variants; the ways to join a
split secondary are qualifiers ("parallel", "series"), because they are chosen independently. Flux goes with volts
per hertz: a 60 Hz unit on 50 Hz at the same volts carries 120 % and cooks. Control transformers must also
hold their volts while coils pull in. Buck-boost plates name what passes through the windings, not the load;
constant-voltage types are tuned to their frequency and fit nothing else.

Sources: insulation classes (IEC 60085), coil limits (TM 5-683), 40 CFR 761.2; tables/transformer_*.csv with their
status; physics/transformers.py and transformer_limits.py for formulas and rules.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.transformer import agreement
from partsdb.families.transformer.cures import cures
from partsdb.families.transformer.figures import (
    after_fitting,
    fault_figures,
    goes_with,
    life,
    shelf_test,
)
from partsdb.families.transformer.limits import (
    FLUX,
    INSULATION,
    PCB_RULE,
    require,
    strain_of,
)
from partsdb.family import (
    Attribute,
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
from partsdb.physics import transformers as physics
from partsdb.physics.transformers import rule
from partsdb.quantities import show, to_si
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

_WORDS = load("transformer_words").rows
_SIZES = load("transformer_sizes").rows


def _coded(name: str, title: str, *header: str, ladder: tuple[str, ...] = ()) -> Attribute:
    rows = [r for r in _WORDS if r["attribute"] == name]
    return Attribute(
        name,
        title,
        None,
        codes={r["code"]: r["title"] for r in rows},
        spellings={r["code"]: tuple(r["spellings"].split("|")) for r in rows if r["spellings"]},
        ladder=ladder,
        header=header or (name,),
    )


ATTRIBUTES = (
    Attribute(
        "primary_voltage", "primary volts", "V", True, 0.02, header=("primary", "primary volts", "input")
    ),
    Attribute(
        "secondary_voltage", "secondary volts", "V", True, 0.02, header=("secondary", "secondary volts")
    ),
    Attribute("apparent_power", "volt-amperes", "VA", True, 0.02, header=("va", "kva", "power", "rating")),
    Attribute("frequency", "frequency", "Hz", True, header=("frequency", "hz", "cycles")),
    Attribute("phases", "phases", "", header=("phases", "ph")),
    _coded("kind", "kind", "kind", "type"),
    _coded("insulation_class", "insulation class", "insulation class", "class", ladder=INSULATION),
    Attribute("temperature_rise", "winding rise at full load", "K", header=("rise", "temperature rise")),
    Attribute("secondary_current", "secondary amperes", "A", header=("secondary amps", "amps")),
    Attribute("inrush_power", "inrush it holds with 90 % of its volts", "VA", header=("inrush", "inrush va")),
    Attribute("impedance", "impedance", "%", header=("impedance", "%z")),
    _coded("cooling", "cooling"),
    _coded("content", "filling", "content", "pcb"),
    Attribute("made", "year made", "", header=("made", "year made")),
    Attribute("volts_per_hertz", "volts per hertz", ""),
    Attribute("primary_range", "primary connections from lowest to highest", "V"),
    Attribute("secondary_range", "secondary connections from lowest to highest", "V"),
    # what the place asks: no part carries these, so a limit on them stays open until somebody reads it
    Attribute("supply_voltage", "volts that feed it", "V"),
    Attribute("supply_frequency", "frequency of the supply", "Hz"),
    Attribute("control_voltage", "volts of the circuit it feeds", "V"),
    Attribute("load_apparent_power", "load, all coils and lamps held in", "VA"),
)

# --------------------------------------------------------------------------- what a plate may say

# field -> attributes, unit, probability that a plate leaves it out [-], penalty off the list [nat]
_FIELDS: Mapping[str, tuple[tuple[str, ...], str, float, float | None]] = {
    "primary": (("primary_voltage", *(f"primary_voltage#{n}" for n in (1, 2, 3))), "V", 0.08, -6.0),
    "secondary": (
        ("secondary_voltage", "secondary_voltage@parallel", "secondary_voltage@series"),
        "V",
        0.08,
        -6.0,
    ),
    "apparent_power": (("apparent_power",), "VA", 0.08, -4.0),
    "frequency": (("frequency",), "Hz", 0.15, None),
    "phases": (("phases",), "", 0.5, None),
    "insulation_class": (("insulation_class",), "", 0.7, None),
    "temperature_rise": (("temperature_rise",), "K", 0.75, None),
    "secondary_current": (("secondary_current",), "A", 0.8, -4.0),
    "impedance": (("impedance",), "%", 0.9, None),
    "kind": (("kind",), "", 0.6, None),
}
_LISTS = {
    "<PRI>": "(PRI|PRIM|PRIMARY|PRI.|HV|H.V.|INPUT|PRIMARY VOLTS|PRI. VOLTS|PRI VOLTS)",
    "<SEC>": "(SEC|SECONDARY|SEC.|LV|L.V.|OUTPUT|SECONDARY VOLTS|SEC. VOLTS|SEC VOLTS|SEK)",
    "<V>": "(V|VOLTS|VOLT|VAC)",
    "<X>": "(X|/| X | OR )",
}


def _rows(name: str, count: int, unit: str) -> Iterable[Row]:
    """The tables' sizes [SI] or words of one field: alone in the first place, several in the places behind it."""
    for r in _SIZES:
        if r["field"] == name:
            values = [to_si(float(v), unit) for v in r["values"].split("|")]
            if count == 1:
                ends = values[0] if len(values) == 1 else (values[0], values[1])
                yield Row((ends,), float(r["weight"]))
                continue
            open_places: list[float | None] = [None] * count
            at = 0 if len(values) == 1 else 1
            open_places[at : at + len(values)] = values
            yield Row(tuple(open_places), float(r["weight"]))
    for r in _WORDS:
        if r["attribute"] == name and float(r["weight"]) > 0:
            yield Row((r["code"],), float(r["weight"]))


def _template(text: str) -> str:
    for short, ways in _LISTS.items():
        text = text.replace(short, ways)
    return text


def _field(name: str) -> Field:
    attributes, unit, absent, off_grid = _FIELDS[name]
    writings = tuple(
        Writing(_template(r["template"]), float(r["logp"]))
        for r in load("transformer_writings").rows
        if r["field"] == name
    )
    rows = tuple(_rows(name, len(attributes), unit))
    default = (1.0,) if name == "phases" else None  # a plate that says nothing of phases is single-phase
    return Field(name, attributes, rows, writings, absent, off_grid, default)


FIELDS = (
    *(_field(name) for name in _FIELDS),
    label("TRANSFORMER", "TRANSFORMATOR", "TRANSFORMATEUR", "TRAFO", "VOLTAGE TRANSFORMER"),
)


CONSISTENCY = (
    Consistency(
        ("apparent_power", "secondary_voltage", "secondary_current", "phases"), agreement.current_agrees, FLUX
    ),
    Consistency(("apparent_power", "secondary_voltage"), agreement.amperes_usual, PRACTICE),
    Consistency(("primary_voltage", "secondary_voltage"), agreement.steps_down, PRACTICE),
    Consistency(("apparent_power", "phases"), agreement.phases_usual, PRACTICE),
    Consistency(("primary_voltage", "frequency"), agreement.volts_at_home, PRACTICE),
)

# --------------------------------------------------------------------------- what follows from a plate


def derive(spec: Spec) -> tuple[Value, ...]:
    """Volts per hertz of each connection, the span of connections, VA from V·A, inrush from impedance, filling."""
    return (*_flux_of(spec), *_spans(spec), *_power_of(spec), *_filling(spec))


def _flux_of(spec: Spec) -> Iterable[Value]:
    cycles = spec.first("frequency")
    if cycles is None or not cycles.low:
        return
    for v in spec.all("primary_voltage"):
        if v.high is not None:
            # arithmetic on what the plate says is as good as what it says
            source = Source(f"{v.source.citation}; volts by hertz", v.source.status)
            yield number("volts_per_hertz", v.high / cycles.low, source, variant=v.variant)


def _spans(spec: Spec) -> Iterable[Value]:
    for name, name_of_span in (
        ("primary_voltage", "primary_range"),
        ("secondary_voltage", "secondary_range"),
    ):
        found = [v for v in spec.all(name) if v.low is not None and v.high is not None]
        if found:
            low, high = min(v.low or 0.0 for v in found), max(v.high or 0.0 for v in found)
            yield span(name_of_span, low, high, found[0].source)


def _power_of(spec: Spec) -> Iterable[Value]:
    power, impedance = spec.num("apparent_power"), spec.num("impedance")
    volts, amperes = spec.all("secondary_voltage"), spec.num("secondary_current")
    formula = Source("S = V I", "derived")
    if power is None and amperes is not None and len(volts) == 1 and volts[0].middle:
        root = math.sqrt(3) if spec.num("phases") == 3 else 1.0
        power = volts[0].middle * amperes * root
        yield number("apparent_power", power, formula)
    if power is not None and impedance:
        most = physics.inrush_capacity(power, impedance, rule("inrush_drop").value)
        yield number("inrush_power", most, Source("behind its impedance, worst angle", "derived"))


def _filling(spec: Spec) -> Iterable[Value]:
    made, power = spec.num("made"), spec.num("apparent_power")
    if spec.code("cooling") == "dry":
        yield word("content", "no PCBs", Source("a dry unit holds no fluid", "reproduction"))
    elif made is not None:
        yield word("content", "no PCBs" if made >= 1980 else "PCB assumed", PCB_RULE)
    elif spec.code("cooling") is None and power is not None and power <= rule("small_va").value:
        yield word("content", "no PCBs", rule("small_va").source)


# --------------------------------------------------------------------------- life and causes


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """Supply frequency, wrong tap, overload."""
    return (*_from_supply(spec, duty), _overload(spec, duty))


def _from_supply(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    supply, marked, strain = asked(duty, "supply_frequency"), spec.first("frequency"), strain_of(spec, duty)
    cycles = marked.interval if marked is not None else None
    if supply is None or cycles is None:
        strength = 0.3 if cycles is None or cycles.upper - cycles.lower < 5 else 0.05
        why = f"marked {show(cycles.lower, 'Hz') if cycles else 'without hertz'}, and nobody has said the supply's"
    elif supply in cycles:
        strength, why = 0.02, f"marked for the supply's {show(supply, 'Hz')}"
    else:
        heats = strain is not None and strain.flux > rule("over_flux").value
        strength = 0.9 if heats else 0.3
        flux = (
            f"its iron carries {strain.flux:.0%} of its flux" if strain is not None else "its flux is changed"
        )
        why = f"a transformer for {show(cycles.lower, 'Hz')} on {show(supply, 'Hz')}: {flux}"
    yield Suspect(
        "supply-frequency",
        "the supply's frequency isn't what the parts were made for",
        why,
        "read the frequency off the supply, and the hertz on every wound part's plate",
        "a transformer for this frequency; coils and motors judged for it as well",
        strength,
        FLUX,
    )
    if supply is not None and cycles is not None and supply in cycles and strain is not None:
        yield Suspect(
            "wrong-tap",
            "fed on the wrong connection",
            f"its iron carries {strain.flux:.0%} of its flux",
            "volts at the primary, and the numbers on the terminals used",
            "the links moved to the right connection",
            0.8 if strain.flux > rule("over_flux").value else 0.05,
            FLUX,
        )


def _overload(spec: Spec, duty: Duty) -> Suspect:
    load, power = asked(duty, "load_apparent_power"), spec.num("apparent_power")
    strength = 0.2 if load is None or power is None else 0.85 if load > power else 0.05
    return Suspect(
        "overload",
        "more coils and lamps than it was made for",
        f"load {show(load, 'VA') if load is not None else 'not known'} on {show(power, 'VA') if power else '? VA'}",
        "secondary amperes with everything held in",
        "a larger transformer, or fewer loads on it",
        strength,
        PRACTICE,
    )


SYMPTOMS = (
    Symptom(
        "hot",
        "over-fluxed, overloaded, or shorted turns",
        ("primary amperes without load", "volts and hertz"),
    ),
    Symptom("hums", "loose iron, over-flux, DC in the circuit", ("volts per hertz against the plate",)),
    Symptom("dead", "blown fuse, open winding", ("fuse", "ohms of each winding, isolated")),
    Symptom("slow", "volts sag while coils pull in: too small, wrong tap", ("secondary volts at pull-in",)),
    Symptom("leaks", "fluid: PCB in old ones", ("don't touch it", "read the date")),
    Symptom("noisy", "arcing, burnt varnish: winding failing", ("switch off and isolate",)),
)

# --------------------------------------------------------------------------- what can hurt


HAZARDS = (
    Hazard(
        "several supplies",
        "A control cabinet may hold several supplies: isolate and lock every one, prove primary and secondary dead. "
        "Follow your local code; licensed work is for licensed people.",
        PRACTICE,
    ),
    Hazard(
        "backfeed",
        "A transformer works both ways: a test supply on its secondary puts the primary's volts on the mains side. "
        "Take the leads off before testing.",
        PRACTICE,
        figures=fault_figures,
    ),
    Hazard(
        "burns", "A hot one burns skin and its varnish smokes: let it cool, no flammables near it.", PRACTICE
    ),
    Hazard(
        "no isolation",
        "An autotransformer doesn't isolate: the mains stand on its output.",
        PRACTICE,
        (("kind", "is", "auto"),),
    ),
    Hazard(
        "pcb",
        "Fluid-filled and made before 2 July 1979, or of unknown date: PCB is assumed. Never open or drain it; keep it "
        "upright in a tray, hand it to a licensed disposer.",
        PCB_RULE,
        (("cooling", "is not", "dry"), ("content", "is not", "no PCBs")),
    ),
)

_DEAD = "isolate both sides, lock, prove dead, leads off"
MEASUREMENTS = (
    Measurement(
        "primary_voltage", "voltmeter on its primary terminals", 1.0, 0.03, 5, "live: 600 V CAT III, one hand"
    ),
    Measurement(
        "secondary_voltage",
        "voltmeter on its secondary terminals",
        0.5,
        0.05,
        5,
        "live: 600 V CAT III, one hand",
    ),
    Measurement("supply_voltage", "voltmeter at the isolator", 1.0, 0.02, 5, "live: 600 V CAT III, one hand"),
    Measurement("supply_frequency", "meter with hertz", 0.1, 0.001, 5, "live: 600 V CAT III"),
    Measurement(
        "control_voltage", "the volts printed on the coils", 0.5, 0.02, 3, "isolate, lock, prove dead"
    ),
    Measurement(
        "load_apparent_power", "clamp meter on the secondary, all coils held in", 1.0, 0.05, 10, "live work"
    ),
    Measurement(
        "secondary_current", "clamp meter on the secondary, all coils held in", 0.02, 0.03, 8, "live work"
    ),
)

# --------------------------------------------------------------------------- fitting


def title_of(spec: Spec) -> str:
    """A short trade name: "250 VA 240/480-120 V 60 Hz control"."""
    power, cycles = spec.num("apparent_power"), spec.first("frequency")
    sides = [
        "/".join(f"{v.middle:g}" for v in spec.all(side) if v.middle) or "?"
        for side in ("primary_voltage", "secondary_voltage")
    ]
    words = [show(power, "kVA" if power >= 5000 else "VA") if power else "? VA", f"{sides[0]}-{sides[1]} V"]
    if cycles is not None and cycles.low and cycles.high:
        words.append(
            show(cycles.low, "Hz") if cycles.low == cycles.high else f"{cycles.low:g}/{cycles.high:g} Hz"
        )
    return " ".join([*words, *((spec.code("kind") or "",) if spec.has("kind") else ())])


def _serves(offered: str, needed: str) -> bool:
    """A split secondary can be joined either way, so both its volts are on offer."""
    return not needed or offered == needed


FAMILY = Family(
    name="transformer",
    title="transformer",
    version=1,
    attributes=ATTRIBUTES,
    fields=FIELDS,
    measurements=MEASUREMENTS,
    hazards=HAZARDS,
    require=require,
    title_of=title_of,
    words=("control transformer", "power transformer", "trafo", "isolating transformer", "autotransformer"),
    prior=0.7,
    ask=(
        "supply_voltage",
        "supply_frequency",
        "control_voltage",
        "load_apparent_power",
        "load_inrush",
        "ambient",
    ),
    consistency=CONSISTENCY,
    derive=derive,
    cures=cures,
    qualifies=_serves,
    life=life,
    symptoms=SYMPTOMS,
    suspects=suspects,
    goes_with=goes_with,
    after_fitting=after_fitting,
    shelf_test=shelf_test,
    install_hours=2.0,
)
