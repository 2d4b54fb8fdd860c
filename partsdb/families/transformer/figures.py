"""Figures of one transformer at its place: strain, life, fuses, tests before and after fitting."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.transformer.limits import connection_for, control_volts, feed_of, strain_of
from partsdb.model import Life, Spec
from partsdb.physics import transformers as physics
from partsdb.physics.transformers import rule
from partsdb.quantities import show


def life(spec: Spec, duty: Duty) -> Life:
    """Insulation life at the hottest spot: class life at its limit, halved for every 10 K above."""
    strain, source = strain_of(spec, duty), rule("life_halving").source
    if strain is None:
        return Life(None, None, None, source, "volts or hertz are not known, so its heat can't be worked out")
    low, mid, high = physics.life_hours(strain)
    worst, likely, _ = physics.hot_spots(strain)
    known = "" if asked(duty, "load_apparent_power") is not None else " (load not known: full load taken)"
    limit, _ = physics.class_limits()[strain.insulation_class]
    text = (
        f"flux {strain.flux:.0%}, load {strain.load:.0%}{known}: hottest spot about {likely:.0f} °C, at worst"
        f" {worst:.0f} °C, class {strain.insulation_class} bears {limit:.0f}"
        f" °C: about {mid:,.0f} h"
    )
    return Life(low, mid, high, source, text)


def fault_figures(spec: Spec, duty: Duty) -> tuple[tuple[str, str], ...]:
    """The other side's volts when it is fed backwards, and the current of a short where impedance is known."""
    feed, secondary = feed_of(spec, duty), [v.middle for v in spec.all("secondary_voltage") if v.middle]
    connection, power, impedance = (
        connection_for(spec, feed.volts),
        spec.num("apparent_power"),
        spec.num("impedance"),
    )
    figures = []
    if connection is not None and connection.middle and secondary:
        back = physics.output(secondary[0], secondary[0], connection.middle)
        figures.append((f"{secondary[0]:.0f} V put on its secondary", f"{back:.0f} V on its primary"))
    if power and impedance and secondary:
        amps = physics.rated_current(power, secondary[0], spec.num("phases") or 1.0) / impedance
        figures.append(("short on the secondary", show(amps, "A", 3)))
    return tuple(figures)


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """Fuses for both sides, and the links for the connection."""
    power, feed, wanted = spec.num("apparent_power"), feed_of(spec, duty), control_volts(spec, duty)
    connection, phases = connection_for(spec, feed.volts), spec.num("phases") or 1.0
    found = ["links for the primary connection, ferrules, a bonding lead for its core"]
    if power and connection is not None and connection.middle:
        amps = physics.rated_current(power, feed.volts or connection.middle, phases)
        found.append(
            f"primary fuses for {amps:.2f} A full load (slow, they must bear the switch-on rush; local code)"
        )
    if power and wanted:
        found.append(f"secondary fuse for {physics.rated_current(power, wanted, phases):.2f} A full load")
    return tuple(found)


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check, with figures."""
    feed, wanted = feed_of(spec, duty), control_volts(spec, duty)
    lines = ["Before power: links as its own diagram shows for the volts that feed it, core bonded to earth"]
    if wanted is not None:
        low, high = wanted * rule("pull_in").value, wanted * rule("coil_highest").value
        lines.append(
            f"Secondary: {wanted:.0f} V; never under {low:.0f} V while the largest coil pulls in, or over {high:.0f} V"
        )
    if (strain := strain_of(spec, duty)) is not None and feed.volts is not None:
        lines.append(
            f"Flux {strain.flux:.0%} of its marking at {feed.volts:.0f} V: no hum louder than the old one's"
        )
    if spec.code("kind") == "buck-boost":
        lines.append(
            "Its plate is what passes through the windings: the load may be volts out / volts changed times that"
        )
    lines.append("After an hour: too hot to hold for more than a second means overload or over-flux")
    return tuple(lines)


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The test that makes a shelf part of unknown condition fit for use."""
    lines = [
        "No burnt smell, no cracked varnish, terminals tight; primary to secondary and to core above 100 MΩ at 500 V"
    ]
    primary, secondary = spec.first("primary_voltage"), spec.first("secondary_voltage")
    if primary is not None and primary.middle and secondary is not None and secondary.middle:
        out = physics.output(primary.middle, primary.middle, secondary.middle)
        lines.append(f"Fused, {primary.middle:.0f} V on: {out:.0f} to {out * 1.1:.0f} V out without load")
    lines.append("Half an hour without load: hand-warm, primary current a small part of its full load")
    return tuple(lines)
