"""What feeds a transformer and what it feeds, from the duty, else from its plate; and what it then bears."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.duty import Duty, number
from partsdb.families.transformer.formulas import Strain, class_rises, rule
from partsdb.model import Spec, Value
from partsdb.physics.motors import flux_ratio
from partsdb.quantities import show


@dataclass(frozen=True, slots=True)
class Feed:
    """What feeds the place: volts [V] and hertz [Hz], None when neither duty nor plate says."""

    volts: float | None
    hertz: float | None
    from_duty: bool

    @property
    def said(self) -> str:
        """Where it comes from, in words."""
        volts = show(self.volts, "V") if self.volts is not None else "unknown volts"
        hertz = show(self.hertz, "Hz") if self.hertz is not None else "unknown hertz"
        return f"{'duty' if self.from_duty else 'plate'}: {volts}, {hertz}"


def feed_of(spec: Spec, duty: Duty) -> Feed:
    """The feed: the duty's, else that of a plate with one connection; of 50/60 Hz the lower, which asks more."""
    plates, cycles = spec.all("primary_voltage"), spec.first("frequency")
    volts, hertz = number(duty, "supply_voltage"), number(duty, "supply_frequency")
    known = volts is not None or hertz is not None
    if volts is None and len(plates) == 1:
        volts = plates[0].middle
    if hertz is None and cycles is not None:
        hertz = cycles.low
    return Feed(volts, hertz, known)


def control_volts(spec: Spec, duty: Duty) -> float | None:
    """The secondary volts the place works with [V]: the duty's, else those of a plate with one secondary."""
    plates, wanted = spec.all("secondary_voltage"), number(duty, "control_voltage")
    return wanted if wanted is not None else plates[0].middle if len(plates) == 1 else None


def connection_for(spec: Spec, volts: float | None) -> Value | None:
    """The primary connection nearest to the volts that feed it; the first when they aren't known."""
    found = [v for v in spec.all("primary_voltage") if v.middle]
    if volts is None:
        return found[0] if found else None
    return min(found, key=lambda v: abs((v.middle or 0.0) - volts), default=None)


def strain_of(spec: Spec, duty: Duty) -> Strain | None:
    """What it bears at this duty: an unknown load is full load, an unknown class is A, unknown air 40 °C."""
    feed, marked = feed_of(spec, duty), spec.first("frequency")
    connection = connection_for(spec, feed.volts)
    if connection is None or not connection.high or marked is None or not marked.low or not feed.hertz:
        return None
    load, power = number(duty, "load_apparent_power"), spec.num("apparent_power")
    code = spec.code("insulation_class")
    letter = code if code is not None and code in class_rises() else "A"
    return Strain(
        load / power if load is not None and power else 1.0,
        flux_ratio(feed.volts or connection.high, feed.hertz, connection.high, marked.low),
        feed.hertz / marked.low,
        number(duty, "ambient") or rule("ambient").value,
        letter,
        spec.num("temperature_rise") or class_rises()[letter],
    )
