"""What follows from a motor's plate: poles, frame dimensions, and what each connection takes on 50 and 60 Hz."""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.ac_motor.figures import most_power_at, poles_for, voltage_at_equal_flux
from partsdb.model import Spec, Value, number, word
from partsdb.quantities import to_si
from partsdb.source import Source
from partsdb.tables import load

FREQUENCIES = (25.0, 50.0, 60.0)
DIMENSIONS = ("shaft_height", "foot_across", "foot_along", "shaft_offset", "shaft_diameter")
_FRAMES = load("frames", __package__)
FRAMES = {row["frame"]: row for row in _FRAMES.rows}  # era, dimensions, status of feet and shaft
_SYNCHRONOUS = Source("synchronous speed 120 f/p (NEMA MG 1, IEC 60034)", "verified")
_SUFFIX = Source("NEMA MG 1 frame suffix: C for a face, none for feet", "reproduction")
_EQUAL_FLUX = Source("equal volts per hertz, power in proportion to frequency (NEMA MG 1)", "derived")
_ROTOR = Source("its plate gives figures of the rotor, which only slip rings lead out", "stated")
_UNSAID = Source("its plate names no other kind of motor", "stated")


def era_of(spec: Spec) -> str | None:
    """The era of the motor's frame (small, original, U, T, IEC); None when nobody knows it."""
    return FRAMES.get(spec.code("frame") or "", {}).get("era")


def dimensions(frame: str) -> dict[str, tuple[float, Source]]:
    """The dimensions [m] of a standard frame by attribute name, each with its source."""
    row = FRAMES[frame]
    shaft, feet = (_FRAMES.source_of({"status": row[f"{part}_status"]}) for part in ("shaft", "feet"))
    source = dict.fromkeys(DIMENSIONS, feet) | {"shaft_diameter": shaft}
    if row["era"] == "IEC":  # the frame number itself is the shaft height (IEC 60072-1, scope)
        source["shaft_height"] = _FRAMES.source
    return {name: (to_si(float(row[name]), row["unit"]), source[name]) for name in DIMENSIONS}


def follows(spec: Spec) -> Iterator[Value]:
    """A squirrel cage where nothing else is said, poles from speed, dimensions from the frame, volts and power on 25,
    50 and 60 Hz, overload power."""
    yield from _poles(spec)
    yield from _of_frame(spec)
    yield from _on_each_frequency(spec)
    yield from _extremes(spec)
    yield from _peak(spec)
    if spec.has("rotor_voltage") or spec.has("rotor_current"):
        yield word("motor_type", "wound rotor", _ROTOR)
    elif (
        spec.num("phases") != 1
    ):  # on one phase it must have some means of starting, and nobody has said which
        yield word("motor_type", "cage", _UNSAID)


def frequencies_of(spec: Spec, variant: int) -> tuple[float, ...]:
    """The frequencies [Hz] a connection is rated for: one, or both ends of "50/60"; () when unknown."""
    for v in spec.all("frequency"):
        if v.variant in (0, variant) and v.low is not None and v.high is not None:
            return (v.low,) if v.low == v.high else (v.low, v.high)
    return ()


def _poles(spec: Spec) -> Iterator[Value]:
    for v in spec.all("speed"):
        rated = frequencies_of(spec, v.variant)
        if v.low is not None and len(rated) == 1 and rated[0] > 0 and (poles := poles_for(v.low, rated[0])):
            yield number("poles", poles, _SYNCHRONOUS, variant=v.variant)


def _of_frame(spec: Spec) -> Iterator[Value]:
    frame, era = spec.code("frame") or "", era_of(spec)
    if era is not None:
        yield from (number(name, size, source) for name, (size, source) in dimensions(frame).items())
    if era not in (None, "IEC"):  # an IEC frame number says nothing of how the motor is held
        yield word("mount", "face" if frame.endswith("C") else "foot", _SUFFIX)


def _on_each_frequency(spec: Spec) -> Iterator[Value]:
    for v in (*spec.all("voltage"), *spec.all("power")):
        rated = frequencies_of(spec, v.variant)
        if v.low is None or not rated or min(rated) <= 0:
            continue
        move = voltage_at_equal_flux if v.attribute == "voltage" else most_power_at
        for hertz in FREQUENCIES:
            near = min(rated, key=lambda f: abs(f - hertz))
            value = v.low if near == hertz else move(v.low, near, hertz)
            source = v.source if near == hertz else _EQUAL_FLUX
            yield number(f"{v.attribute}_at_{hertz:g}", value, source, variant=v.variant)


def _extremes(spec: Spec) -> Iterator[Value]:
    volts = [(v.low, v.source) for v in spec.all("voltage") if v.low is not None]
    if volts:
        yield number("lowest_voltage", *min(volts, key=lambda pair: pair[0]))
        yield number("highest_voltage", *max(volts, key=lambda pair: pair[0]))


def _peak(spec: Spec) -> Iterator[Value]:
    factor = spec.num("service_factor")
    for v in spec.all("power"):
        if v.low is not None:
            # no motor carries less than its rated power; how much more is unknown until the plate says it
            high = v.low * factor if factor is not None else None
            yield Value("peak_power", v.low * (factor or 1.0), high, variant=v.variant, source=v.source)
