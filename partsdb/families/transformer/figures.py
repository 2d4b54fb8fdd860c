"""Figures of one transformer at its place: what its texts name, and how long it lives."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.transformer.feed import connection_for, control_volts, feed_of, strain_of
from partsdb.families.transformer.formulas import (
    class_limits,
    hot_spots,
    life_hours,
    rated_current,
    rule,
)
from partsdb.kit import Figures, Place
from partsdb.model import Life, Spec
from partsdb.quantities import show


def figures(place: Place) -> Figures:
    """Volts and amperes to read and to fuse for, what a back feed and a short do, what speaks for each suspect."""
    spec, duty = place.was, place.duty
    feed, circuit = feed_of(spec, duty), control_volts(spec, duty)
    connection, strain = connection_for(spec, feed.volts), strain_of(spec, duty)
    primary = connection.middle if connection is not None else None
    secondary = next((v.middle for v in spec.all("secondary_voltage") if v.middle), None)
    marked, power, load = (
        spec.first("frequency"),
        spec.num("apparent_power"),
        place.number("load_apparent_power"),
    )
    tested = spec.num("primary_voltage") if secondary else None
    return {
        "feed_volts": _whole(feed.volts),
        "circuit_volts": _whole(circuit),
        "pull_in": _whole(circuit and circuit * rule("pull_in").value),
        "highest": _whole(circuit and circuit * rule("coil_highest").value),
        "primary_amps": _amperes(spec, primary and (feed.volts or primary)),
        "secondary_amps": _amperes(spec, circuit),
        "fed_volts": _whole(secondary),
        "back_volts": _whole(secondary and primary),
        "short_circuit": _short_circuit(spec, secondary),
        "test_volts": _whole(tested),
        "test_out": _whole(tested and secondary),
        "test_most": _whole(tested and secondary and secondary * 1.1),
        "marked_hertz": show(marked.low, "Hz") if marked is not None and marked.low else "without hertz",
        "off_frequency": _off_frequency(place),
        "flux": f"{strain.flux:.0%}" if strain is not None else None,
        "over_flux": None if strain is None else _yes(strain.flux > rule("over_flux").value),
        "overloaded": None if load is None or power is None else _yes(load > power),
    }


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def _whole(x: float | None) -> str | None:
    return f"{x:.0f}" if x else None


def _amperes(spec: Spec, volts: float | None) -> str | None:
    """Full-load current at these volts."""
    power = spec.num("apparent_power")
    return f"{rated_current(power, volts, spec.num('phases') or 1.0):.2f} A" if power and volts else None


def _short_circuit(spec: Spec, volts: float | None) -> str | None:
    """The current of a short on the secondary, behind the impedance."""
    power, impedance = spec.num("apparent_power"), spec.num("impedance")
    if not power or not impedance or not volts:
        return None
    return show(rated_current(power, volts, spec.num("phases") or 1.0) / impedance, "A", 3)


def _off_frequency(place: Place) -> str | None:
    """Whether the supply has another frequency than it is made for: yes, no, "either" when it takes any; None: nobody
    knows."""
    marked, supply = place.was.first("frequency"), place.number("supply_frequency")
    made_for = marked.interval if marked is not None else None
    if made_for is None:
        return None
    if supply is None:
        return "either" if made_for.upper - made_for.lower >= 5 else None
    return _yes(supply not in made_for)


def life(spec: Spec, duty: Duty) -> Life:
    """Insulation life at the hottest spot: class life at its limit, halved for every 10 K above."""
    strain, source = strain_of(spec, duty), rule("life_halving").source
    if strain is None:
        return Life(None, None, None, source, "volts or hertz are not known, so its heat can't be worked out")
    low, mid, high = life_hours(strain)
    worst, likely, _ = hot_spots(strain)
    known = "" if number(duty, "load_apparent_power") is not None else " (load not known: full load taken)"
    limit, _ = class_limits()[strain.insulation_class]
    text = (
        f"flux {strain.flux:.0%}, load {strain.load:.0%}{known}: hottest spot about {likely:.0f} °C, at worst"
        f" {worst:.0f} °C, class {strain.insulation_class} bears {limit:.0f}"
        f" °C: about {mid:,.0f} h"
    )
    return Life(low, mid, high, source, text)
