"""What a place asks of a motor: frequency, volts, power; how long its insulation lasts; the figures its texts name."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.ac_motor.figures import insulation_life, insulation_limit, locked_rotor_current, torque
from partsdb.families.ac_motor.plate import FREQUENCIES, frequencies_of
from partsdb.kit import Fact, Figures, Place
from partsdb.model import Life, Spec
from partsdb.physics.motors import on_other_frequency
from partsdb.quantities import show, to_si
from partsdb.tables import load

STANDARD_AMBIENT = to_si(40, "°C")
# how far under its class limit a fully loaded motor may run: worst, usual, best [K]
_COOLER = (0.0, 10.0, 25.0)


def place_frequency(place: Place) -> Fact | None:
    """Frequency [Hz] of the place: the supply's, else the one the old motor was made for; None when neither is known
    or the plate allows several."""
    rated = {f for n in place.was.variants() for f in frequencies_of(place.was, n)}
    plate = place.plate("frequency")
    return place.term("supply_frequency") or (plate.to(rated.pop()) if plate and len(rated) == 1 else None)


def on_frequency(attribute: str, hertz: float) -> str:
    """The attribute that holds a motor's volts or power on a frequency; the rated one on an odd frequency."""
    return f"{attribute}_at_{hertz:g}" if hertz in FREQUENCIES else attribute


def place_volts(place: Place) -> Fact | None:
    """The place's volts: a single-phase motor whose plate says so hangs between a phase and neutral."""
    volts = place.term("supply_voltage")
    if volts is None or not volts.number or place.was.num("phases") != 1 or place.number("phases") == 3:
        return volts
    between = volts.number / 3**0.5
    rated = [v.low for v in place.was.all("voltage") if v.low]
    fits = {x: any(abs(r / x - 1) <= 0.1 for r in rated) for x in (volts.number, between)}
    if fits[between] and not fits[volts.number]:
        return volts.to(between, because="between a phase and neutral")
    return volts


def place_power(place: Place, hertz: Fact | None) -> Fact | None:
    """The shaft power [W] the place asks: the load's, else all that the old motor gave on this frequency."""
    load = place.term("load_power")
    if hertz is None or load is not None:
        return None if hertz is None else load
    name = on_frequency("power", hertz.number or 0.0)
    rated = place.plate(name if place.was.has(name) else "power")
    if rated is None or rated.low is None:
        return None
    return rated.to(rated.low, because="all that the old motor gave; the load isn't known")


def life(spec: Spec, duty: Duty) -> Life:
    """Running hours of the winding by the 10 K rule (figures.insulation_life).

    Winding temperature: ambient + (class limit - 40 °C - reserve)·(load/rated power)²; losses go with the square
    of the current. low: no reserve, and class A when the class isn't known; mid, high: 10 and 25 K of reserve.
    An unknown load counts as full, an unknown ambient as 40 °C.
    """
    source = load("insulation_classes").source
    hertz = number(duty, "supply_frequency") or spec.num("frequency")
    rated = spec.num(on_frequency("power", hertz)) if hertz else spec.num("power")
    asked, ambient = number(duty, "load_power"), number(duty, "ambient") or STANDARD_AMBIENT
    if not rated:
        return Life(None, None, None, source, "winding life needs the motor's power")
    load_ratio = asked / rated if asked is not None else 1.0
    letter = spec.code("insulation") or "A"
    limit = insulation_limit(letter)
    rises = ((limit - STANDARD_AMBIENT - reserve) * load_ratio**2 for reserve in _COOLER)
    low, mid, high = (insulation_life(limit, ambient + rise) for rise in rises)
    known = "" if spec.has("insulation") else " (class not known, A assumed)"
    text = (
        f"winding of class {letter}{known} at {load_ratio:.0%} load in {show(ambient, '°C')} air: "
        f"{low:,.0f} to {high:,.0f} h, about {mid:,.0f}; bearings seldom last as long"
    )
    return Life(low, mid, high, source, text)


def figures(place: Place) -> Figures:
    """What the texts name: torque, amperes and volts by connection, starting current, and what speaks for a supply
    that isn't the motor's."""
    was, hertz, supply = place.was, place.number("supply_frequency"), place.number("supply_voltage")
    power, speed, rated = was.num("power"), was.num("speed"), was.first("frequency")
    volts, amperes = ([v.low for v in was.all(name) if v.low] for name in ("voltage", "current"))
    made_for = rated.low if rated is not None and rated.low == rated.high else None
    nearest = min(volts, key=lambda v: abs(v - (supply or v)), default=None)
    start = supply or max(volts, default=None)
    return {
        **on_other_frequency(made_for, hertz, nearest, supply),
        "torque": f"{torque(power, speed):.0f} N·m" if power and speed else None,
        "rated_amperes": " or ".join(f"{a:.3g}" for a in amperes) or None,
        "rated_volts": " or ".join(f"{v:g}" for v in volts) or None,
        "off_volts": "yes" if supply and volts and all(not 0.9 <= supply / v <= 1.1 for v in volts) else None,
        "speed_share": f"{hertz / made_for:.0%}" if hertz and made_for else None,
        "starting_current": _starting_current(was, start),
        "starting_volts": show(start, "V") if start else None,
    }


def _starting_current(was: Spec, volts: float | None) -> str | None:
    power, letter, phases = was.num("power"), was.code("code_letter"), was.num("phases") or 3.0
    if not (power and volts and letter) or phases not in (1.0, 2.0, 3.0):
        return None
    most = locked_rotor_current(letter, power, volts, phases).high
    return f"{most:.0f} A" if most else None
