"""Figures of one AC capacitor at its place: what its texts name, and how long it lives."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.ac_capacitor.formulas import (
    band,
    bleeder,
    class_hours,
    current,
    discharge_time,
    discharge_tool,
    energy_at_peak,
    life_hours,
    peak,
    resistor_text,
    rule,
)
from partsdb.kit import Fact, Figures, Place
from partsdb.model import Life, Spec, Value
from partsdb.quantities import show


def size_text(size: Value | Fact | None) -> str:
    """A capacitance or marked range: "25 µF", "88-108 µF"."""
    if size is None or size.low is None or size.high is None:
        return "? µF"
    low, high = show(size.low, "µF"), show(size.high, "µF")
    return high if low == high else f"{low.split()[0]}-{high}"


def figures(place: Place) -> Figures:
    """Charge, discharge, amperes to read, the band of the shelf test, and what speaks for each suspect."""
    was = place.was
    rated, marked = was.first("voltage_ac"), was.first("frequency")
    working, supply = place.number("working_voltage"), place.number("supply_frequency")
    volts, hertz = rated.low if rated else None, marked.low if marked else None
    top, air = was.num("temperature_max"), place.number("ambient")
    least, most = band(was, 0.06) or (None, None)
    return {
        **_charge(place),
        "amps": _amps(was, working or volts, supply or hertz),
        "amps_volts": _whole(working or volts),
        "amps_hertz": _whole(supply or hertz),
        "test_amps": _amps(was, volts, hertz),
        "test_volts": _whole(volts),
        "rated": show(volts, "V") if volts else None,
        "least": show(least, "µF") if least else None,
        "most": show(most, "µF") if most else None,
        "works": was.code("service") or "run",
        "resistor_inside": _yes(was.code("bleeder") == "built in"),
        "marked_hertz": show(hertz, "Hz") if hertz else "without frequency",
        "supply_hertz": show(supply, "Hz") if supply else "not known",
        "off_frequency": _yes(
            supply not in marked.interval if supply and marked and marked.interval else None
        ),
        "over_volts": _yes(None if not working or not volts else working > volts),
        "too_hot": _yes(None if air is None or top is None else air + rule("self_heating").value > top),
    }


def _yes(holds: bool | None) -> str | None:
    return None if holds is None else "yes" if holds else "no"


def _whole(x: float | None) -> str | None:
    return f"{x:.0f}" if x else None


def _amps(spec: Spec, volts: float | None, hertz: float | None) -> str | None:
    """What a clamp meter reads on a healthy one."""
    farads = spec.num("capacitance")
    return show(current(farads, volts, hertz), "A", 3) if farads and volts and hertz else None


def _charge(place: Place) -> dict[str, str | float | None]:
    """At its worst: the greatest capacitance, at the highest of the volts that it is marked for or may see."""
    size, rated, ohms = (place.was.first(name) for name in ("capacitance", "voltage_ac", "bleeder_ohms"))
    seen = [rated.high if rated else None, place.number("working_voltage"), place.number("supply_voltage")]
    farads, volts = size.high if size else None, max((v for v in seen if v), default=None)
    names = ("peak", "energy", "tool_ohms", "tool_seconds", "resistor", "resistor_seconds", "own_resistor")
    if not farads or not volts:
        return dict.fromkeys(names)
    fit, tool, own = bleeder(farads, volts), discharge_tool(farads, volts), None
    if ohms is not None and ohms.high:
        seconds = discharge_time(farads, ohms.high, volts, rule("residual_voltage").value)
        late = " (too slow: not within a minute)" if seconds > rule("residual_time").value else ""
        own = f"50 V in {seconds:.0f} s{late}"
    said = (show(peak(volts), "V", 3), show(energy_at_peak(farads, volts), "J", 2), show(tool.ohms, "kΩ"),
            f"{5 * tool.seconds:.0f}", resistor_text(fit), f"{fit.seconds:.0f}", own)  # fmt: skip
    return dict(zip(names, said, strict=True))


def life(spec: Spec, duty: Duty) -> Life:
    """Class life, scaled by the voltage power law and the 10 K rule; unknown without a class."""
    letter, source = spec.code("life_class") or "", rule("life_exponent").source
    if spec.code("service") == "start":
        most = rule("starts_per_hour")
        text = f"a start capacitor lives by its starts: at most {most.value:.0f} of 3 s an hour"
        return Life(None, None, None, most.source, text)
    if letter not in class_hours():
        return Life(None, None, None, source, "no class of operation is known, so no hours can be worked out")
    rated, working = spec.first("voltage_ac"), number(duty, "working_voltage")
    ratio = working / rated.low if working is not None and rated is not None and rated.low else None
    air, top = number(duty, "ambient"), spec.num("temperature_max")
    over = air + rule("self_heating").value - top if air is not None and top is not None else 0.0
    hours = class_hours()[letter]
    low, mid, high = life_hours(hours, 1.0 if ratio is None else ratio, over)
    volts = f"{ratio:.2f} of its volts" if ratio is not None else "its full volts (not measured)"
    heat = f"{over:+.0f} K from its temperature" if over else "its full temperature"
    return Life(
        low, mid, high, source, f"class {letter} {hours:.0f} h, at {volts}, {heat}: about {mid:.0f} h"
    )
