"""Figures of one AC capacitor at its place: charge, discharge, current, life, tests before and after fitting."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.model import Change, Life, Limit, Spec
from partsdb.physics.capacitors import (
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
    tolerances,
)
from partsdb.quantities import show
from partsdb.source import PRACTICE


def charge_figures(spec: Spec, duty: Duty) -> tuple[tuple[str, str], ...]:
    found = charge_of(spec, duty)
    if found is None:
        return ()
    size, volts = found
    top, fit, tool = peak(volts), bleeder(size, volts), discharge_tool(size, volts)
    figures = [
        ("charged to", show(top, "V", 3)),
        ("stored", show(energy_at_peak(size, volts), "J", 2)),
        (
            "discharge tool",
            f"{show(tool.ohms, 'kΩ')}, leads for 1000 V, hold it on for {5 * tool.seconds:.0f} s",
        ),
        ("resistor across it", f"{resistor_text(fit)}: 50 V in {fit.seconds:.0f} s"),
    ]
    ohms = spec.first("bleeder_ohms")
    if ohms is not None and ohms.high:
        seconds = discharge_time(size, ohms.high, volts, rule("residual_voltage").value)
        late = " (too slow: not within a minute)" if seconds > rule("residual_time").value else ""
        figures.append(("its own resistor", f"50 V in {seconds:.0f} s{late}"))
    return tuple(figures)


def charge_of(spec: Spec, duty: Duty) -> tuple[float, float] | None:
    """(capacitance [F], volts [V]) at their worst: the larger of the plate's and the measured voltage."""
    size, rated, working = spec.first("capacitance"), spec.first("voltage_ac"), asked(duty, "working_voltage")
    volts = [v for v in (working, rated.high if rated else None, asked(duty, "supply_voltage")) if v]
    return (size.high, max(volts)) if size is not None and size.high and volts else None


def life(spec: Spec, duty: Duty) -> Life:
    """Class life, scaled by the voltage power law and the 10 K rule; unknown without a class."""
    hours = class_hours().get(spec.code("life_class") or "")
    source = rule("life_exponent").source
    if spec.code("service") == "start":
        most = rule("starts_per_hour")
        text = f"a start capacitor lives by its starts: at most {most.value:.0f} of 3 s an hour"
        return Life(None, None, None, most.source, text)
    if hours is None:
        return Life(None, None, None, source, "no class of operation is known, so no hours can be worked out")
    rated, working = spec.first("voltage_ac"), asked(duty, "working_voltage")
    known = working is not None and rated is not None and rated.low
    ratio = working / rated.low if working is not None and rated is not None and rated.low else 1.0
    air, top = asked(duty, "ambient"), spec.num("temperature_max")
    over = air + rule("self_heating").value - top if air is not None and top is not None else 0.0
    low, mid, high = life_hours(hours, ratio, over)
    volts = f"{ratio:.2f} of its volts" if known else "its full volts (not measured)"
    heat = f"{over:+.0f} K from its temperature" if over else "its full temperature"
    text = f"class {spec.code('life_class')} {hours:.0f} h, at {volts}, {heat}: about {mid:.0f} h"
    return Life(low, mid, high, source, text)


def current_of(spec: Spec, duty: Duty) -> tuple[float, float, float] | None:
    """(A, V, Hz) a healthy one takes: at the measured volts where known, else at its rating."""
    size, rated, hertz = spec.first("capacitance"), spec.first("voltage_ac"), spec.first("frequency")
    volts = asked(duty, "working_voltage") or (rated.low if rated is not None else None)
    cycles = asked(duty, "supply_frequency") or (hertz.low if hertz is not None else None)
    if size is None or not size.middle or not volts or not cycles:
        return None
    return current(size.middle, volts, cycles), volts, cycles


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check, with figures."""
    lines = ["Before power: microfarads with a meter, case dry and straight, leads clear of metal"]
    if (found := current_of(spec, duty)) is not None:
        amps, volts, cycles = found
        lines.append(
            f"Clamp meter on its lead: {show(amps, 'A', 3)} at {volts:.0f} V and {cycles:.0f} Hz, within 10 %"
        )
    rated = spec.first("voltage_ac")
    if rated is not None and rated.low is not None:
        lines.append(f"Volts across it, running light: not above {show(rated.low, 'V')}")
    if spec.code("service") == "start":
        lines.append("Its current must stop within 3 s of switching on; else switch off at once")
    else:
        lines.append(
            "After an hour's work: case no hotter than the hand can bear, motor no hotter than before"
        )
    return tuple(lines)


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The test that makes a shelf part of unknown condition fit for use."""
    size = spec.first("capacitance")
    lines = [
        "Made before July 1979, or no date and neither dry film nor marked 'No PCBs': stop, don't use it",
        "Case straight and dry, no bulge, no crack, terminals tight",
    ]
    if size is not None and size.low is not None and size.high is not None:
        minus, plus = tolerances().get(spec.code("tolerance") or "", (0.06, 0.06))
        low, high = (
            (size.low, size.high) if size.low < size.high else (size.low * (1 - minus), size.low * (1 + plus))
        )
        lines.append(f"Capacitance meter: {show(low, 'µF')} to {show(high, 'µF')}")
    lines.append("Terminals to case at 500 V DC: above 100 MΩ (resistor built in doesn't matter here)")
    if (found := current_of(spec, {})) is not None:
        lines.append(
            f"Ten minutes at {found[1]:.0f} V, fused and covered: {show(found[0], 'A', 3)} within 10 %, not hot"
        )
    return tuple(lines)


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Discharge resistor, strap or new ends: what makes a capacitor that differs fit."""
    if limit.attribute == "bleeder":
        found = charge_of(offered, duty)
        if found is None:
            return ()
        r = bleeder(*found)
        return (
            Change(
                "bleeder",
                f"fit a discharge resistor across it: {resistor_text(r)}",
                0.3,
                rule("residual_time").source,
            ),
        )
    if limit.attribute in ("diameter", "length"):
        text = "fasten it with a strap or bracket where there is room and air; the old clip won't take it"
        return (Change(limit.attribute, text, 0.5, PRACTICE),)
    if limit.attribute == "terminals":
        return (Change("terminals", "crimp new insulated ends on the leads", 0.25, PRACTICE),)
    return ()


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with it."""
    found = ["insulated push-on ends or lugs for its leads", "strap or clip of the case's size"]
    if spec.code("service") == "start":
        ohms, watts = rule("start_bleeder_ohms").value, rule("start_bleeder_watts").value
        found.append(
            f"discharge resistor {show(ohms, 'kΩ')}, {watts:.0f} W across it, if the old one had one"
        )
    elif spec.code("bleeder") != "built in" and (charge := charge_of(spec, duty)) is not None:
        found.append(f"discharge resistor {resistor_text(bleeder(*charge))}, if the old one had one outside")
    if spec.code("service") == "start":
        found.append("start switch or relay, if its contacts are burnt")
    return tuple(found)
