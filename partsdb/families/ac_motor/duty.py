"""What a duty asks of a motor: frequency, volts, power; and how long its insulation lasts."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.ac_motor.values import FREQUENCIES, frequencies_of
from partsdb.model import Life, Spec
from partsdb.physics.motors import insulation_life, insulation_limit
from partsdb.quantities import show, to_si
from partsdb.source import Source, said
from partsdb.tables import load

Asked = tuple[float, str, Source]  # a number [SI], what it follows from, and its source
STANDARD_AMBIENT = to_si(40, "°C")
_COOLER = (
    0.0,
    10.0,
    25.0,
)  # how far under its class limit a fully loaded motor may run: worst, usual, best [K]


def frequency(spec: Spec, duty: Duty) -> float | None:
    """Frequency [Hz] of the place: the supply's, else the one the old motor was made for; None when neither is
    known or the plate allows several."""
    if (own := number(duty, "supply_frequency")) is not None:
        return own
    rated = {f for n in spec.variants() for f in frequencies_of(spec, n)}
    return rated.pop() if len(rated) == 1 else None


def on_frequency(attribute: str, hertz: float) -> str:
    """The attribute that holds a motor's volts or power on a frequency; the rated one on an odd frequency."""
    return f"{attribute}_at_{hertz:g}" if hertz in FREQUENCIES else attribute


def power(spec: Spec, duty: Duty, hertz: float) -> Asked | None:
    """The shaft power [W] the place asks: the load's, else all that the old motor gave on this frequency."""
    if (load_power := number(duty, "load_power")) is not None:
        return load_power, "duty: load power at the shaft", said()
    plate = spec.first(on_frequency("power", hertz)) or spec.first("power")
    if plate is None or plate.low is None:
        return None
    return plate.low, "plate: all that the old motor gave; the load isn't known", plate.source


def life(spec: Spec, duty: Duty) -> Life:
    """Running hours of the winding by the 10 K rule (physics.motors.insulation_life).

    Winding temperature: ambient + (class limit - 40 °C - reserve)·(load/rated power)²; losses go with the square
    of the current. low: no reserve, and class A when the class isn't known; mid, high: 10 and 25 K of reserve.
    An unknown load counts as full, an unknown ambient as 40 °C.
    """
    source = load("insulation_classes").source
    hertz = frequency(spec, duty)
    rated = spec.num(on_frequency("power", hertz)) if hertz else spec.num("power")
    asked, ambient = number(duty, "load_power"), number(duty, "ambient") or STANDARD_AMBIENT
    if not rated:
        return Life(None, None, None, source, "winding life needs the motor's power")
    load_ratio = asked / rated if asked is not None else 1.0
    letter = spec.code("insulation") or "A"
    limit = insulation_limit(letter)
    found = []
    for reserve in _COOLER:
        rise = (limit - STANDARD_AMBIENT - reserve) * load_ratio**2
        found.append(insulation_life(limit, ambient + rise))
    known = "" if spec.has("insulation") else " (class not known, A assumed)"
    text = (
        f"winding of class {letter}{known} at {load_ratio:.0%} load in {show(ambient, '°C')} air: "
        f"{found[0]:,.0f} to {found[2]:,.0f} h, about {found[1]:,.0f}; bearings seldom last as long"
    )
    return Life(found[0], found[1], found[2], source, text)
