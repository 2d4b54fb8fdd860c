"""What follows from a motor's plate: poles, frame dimensions, and what each connection takes on 50 and 60 Hz."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, cast

import numpy as np

from partsdb.model import Spec, Value
from partsdb.model import number as number_value
from partsdb.model import word as word_value
from partsdb.physics.motors import (
    HP,
    full_load_current,
    most_power_at,
    poles_for,
    synchronous_speed,
    voltage_at_equal_flux,
)
from partsdb.quantities import to_si
from partsdb.source import Source, Status
from partsdb.tables import load

FREQUENCIES = (25.0, 50.0, 60.0)
DIMENSIONS = ("shaft_height", "foot_across", "foot_along", "shaft_offset", "shaft_diameter")
_SYNCHRONOUS = Source("synchronous speed 120 f/p (NEMA MG 1, IEC 60034)", "verified")
_SUFFIX = Source("NEMA MG 1 frame suffix: C for a face, none for feet", "reproduction")
_EQUAL_FLUX = Source("equal volts per hertz, power in proportion to frequency (NEMA MG 1)", "derived")


@dataclass(frozen=True, slots=True)
class Frame:
    """A standard frame: era and dimensions [m] by attribute name, each with its source."""

    name: str
    era: str
    dimensions: Mapping[str, tuple[float, Source]]

    @property
    def face(self) -> bool:
        """Whether the frame has a face with tapped holes (NEMA suffix C)."""
        return self.era != "IEC" and self.name.endswith("C")


@cache
def frames() -> Mapping[str, Frame]:
    """Every frame of the table: NEMA small, original, U and T, and IEC."""
    table, found = load("motor_frames"), {}
    for row in table.rows:
        feet, shaft = (
            Source(table.source.citation, cast(Status, row[s])) for s in ("feet_status", "shaft_status")
        )
        columns = ("height", "across", "along", "offset", "shaft")
        sizes = {
            name: (to_si(float(row[column]), row["unit"]), shaft if column == "shaft" else feet)
            for name, column in zip(DIMENSIONS, columns, strict=True)
        }
        if row["era"] == "IEC":  # the frame number itself is the shaft height (IEC 60072-1, scope)
            sizes["shaft_height"] = (sizes["shaft_height"][0], table.source)
        found[row["frame"]] = Frame(row["frame"], row["era"], sizes)
    return found


def follows(spec: Spec) -> tuple[Value, ...]:
    """A squirrel cage where nothing else is said, poles from speed, dimensions from the frame, volts and power on 25,
    50 and 60 Hz, overload power."""
    found = (*_poles(spec), *_dimensions(spec), *_on_each_frequency(spec), *_extremes(spec), *_peak(spec))
    # on one phase it must have some means of starting, and nobody has said which
    if spec.has("rotor_voltage") or spec.has("rotor_current"):
        return (*found, word_value("motor_type", "wound rotor", _ROTOR))
    return found if spec.num("phases") == 1 else (*found, word_value("motor_type", "cage", _UNSAID))


_ROTOR = Source("its plate gives figures of the rotor, which only slip rings lead out", "stated")
_UNSAID = Source("its plate names no other kind of motor", "stated")


def not_both(single: Any, dual: Any) -> Any:
    """Log factor of a plate that gives one figure for all connections and a pair of them besides [nat]."""
    both = ~(np.isnan(np.asarray(single, dtype=float)) | np.isnan(np.asarray(dual, dtype=float)))
    return np.where(both, -8.0, 0.0)


def frequencies_of(spec: Spec, variant: int) -> tuple[float, ...]:
    """The frequencies [Hz] a connection is rated for: one, or both ends of "50/60"; () when unknown."""
    for v in spec.all("frequency"):
        if v.variant in (0, variant) and v.low is not None and v.high is not None:
            return (v.low,) if v.low == v.high else (v.low, v.high)
    return ()


def _poles(spec: Spec) -> Iterable[Value]:
    for v in spec.all("speed"):
        rated = frequencies_of(spec, v.variant)
        if v.low is not None and len(rated) == 1 and rated[0] > 0 and (poles := poles_for(v.low, rated[0])):
            yield number_value("poles", poles, _SYNCHRONOUS, variant=v.variant)


def _dimensions(spec: Spec) -> Iterable[Value]:
    frame = frames().get(spec.code("frame") or "")
    if frame is None:
        return
    for name, (size, source) in frame.dimensions.items():
        yield number_value(name, size, source)
    if frame.era != "IEC":  # an IEC frame number says nothing of how the motor is held
        yield word_value("mount", "face" if frame.face else "foot", _SUFFIX)


def _on_each_frequency(spec: Spec) -> Iterable[Value]:
    for v in (*spec.all("voltage"), *spec.all("power")):
        rated = frequencies_of(spec, v.variant)
        if v.low is None or not rated or min(rated) <= 0:
            continue
        for hertz in FREQUENCIES:
            near = min(rated, key=lambda f: abs(f - hertz))
            there = near == hertz
            move = voltage_at_equal_flux if v.attribute == "voltage" else most_power_at
            value = v.low if there else move(v.low, near, hertz)
            name = f"{v.attribute}_at_{hertz:g}"
            yield number_value(name, value, v.source if there else _EQUAL_FLUX, variant=v.variant)


def _extremes(spec: Spec) -> Iterable[Value]:
    volts = [v for v in spec.all("voltage") if v.low is not None]
    if volts:
        for name, best in (("lowest_voltage", min), ("highest_voltage", max)):
            found = best(volts, key=lambda v: v.low or 0.0)
            yield number_value(name, found.low or 0.0, found.source)


def _peak(spec: Spec) -> Iterable[Value]:
    factor = spec.num("service_factor")
    for v in spec.all("power"):
        if v.low is not None:
            # no motor carries less than its rated power; how much more is unknown until the plate says it
            high = v.low * factor if factor is not None else None
            yield Value("peak_power", v.low * (factor or 1.0), high, variant=v.variant, source=v.source)


@cache
def _typical() -> Mapping[int, tuple[tuple[float, ...], tuple[float, ...]]]:
    """Efficiency times power factor against log power, from the NEC tables, by phases."""
    found = {}
    for phases, most, factor in ((1, 10.0, 1.0), (3, 200.0, math.sqrt(3))):
        powers = [
            HP * p for p in (1 / 6, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0) if p <= most
        ]
        ratios = tuple(p / (factor * 230 * full_load_current(p, 230, phases)[0]) for p in powers)
        found[phases] = (tuple(map(math.log, powers)), ratios)
    return found


def currents_agree(power: Any, voltage: Any, current: Any, phases: Any) -> Any:
    """Log factor: efficiency times power factor that the plate implies, against the NEC's typical motor.

    Old and small motors stray by a quarter; unknown phases count as three.

    >>> [round(float(x), 1) for x in currents_agree(np.array([7457.0, 7457.0]), 460.0, np.array([14.0, 28.0]), 3.0)]
    [0.0, -4.6]
    """
    power, current = np.asarray(power, dtype=float), np.asarray(current, dtype=float)
    one = np.asarray(phases, dtype=float) == 1
    factor = np.where(one, 1.0, math.sqrt(3))
    implied = power / (factor * np.asarray(voltage, dtype=float) * current)
    logs = np.log(power)
    typical = np.where(one, *(np.interp(logs, *_typical()[n]) for n in (1, 3)))
    pull = -0.5 * (np.log(implied / typical) / 0.23) ** 2
    return np.where(np.isnan(pull), 0.0, np.maximum(pull, -10.0))


def pair_agrees(first_volts: Any, second_volts: Any, first_amps: Any, second_amps: Any) -> Any:
    """Log factor of a dual-voltage plate: volts times amperes are the same in both connections.

    >>> [float(x) for x in pair_agrees(220.0, 440.0, np.array([14.0, 7.0]), np.array([7.0, 14.0]))]
    [0.0, -10.0]
    """
    pairs = ((first_volts, first_amps), (second_volts, second_amps))
    products = (np.asarray(v, float) * np.asarray(a, float) for v, a in pairs)
    off = np.log(np.divide(*products)) / 0.03
    return np.where(np.isnan(off), 0.0, np.maximum(np.minimum(0.5 - 0.5 * off**2, 0.0), -10.0))


def speed_agrees(speed: Any, frequency: Any) -> Any:
    """Log factor of a full-load speed and a frequency: some pole count must lie just above the speed.

    >>> speeds = np.array([1725.0, 1425.0, 1725.0]) * math.pi / 30
    >>> [round(float(x), 1) for x in speed_agrees(speeds, np.array([60.0, 50.0, 50.0]))]
    [0.0, 0.0, -6.0]
    """
    speed, frequency = np.broadcast_arrays(np.asarray(speed, float), np.asarray(frequency, float))
    best = np.full(speed.shape, -6.0)
    for poles in (2, 4, 6, 8, 10, 12):
        lag = 1 - speed / np.vectorize(synchronous_speed)(frequency, poles)
        usual, much = (lag > -0.003) & (lag <= 0.09), (lag > 0.09) & (lag < 0.14)
        best = np.where(usual, 0.0, np.where(much, np.maximum(best, -2.0), best))
    return np.where(np.isnan(speed) | np.isnan(frequency), 0.0, best)


# how much less a frame of the same size gave in earlier eras; a rule of thumb for reading plates only
_ERA_POWER = {"T": 1.0, "IEC": 1.1, "small": 0.6, "U": 0.5, "original": 0.25}


@cache
def _frame_power() -> Mapping[str, float]:
    """Usual four-pole power [W] of each frame from its size: 0.00856 hp · height^2.85 · along^1.09, in inches.

    Fitted to the usual T-frame assignments (from memory), within a fifth of all but the smallest; IEC ones agree.
    """
    usual = {}
    for frame in frames().values():
        height, along = (frame.dimensions[name][0] / 0.0254 for name in ("shaft_height", "foot_along"))
        usual[frame.name] = HP * 0.00856 * height**2.85 * along**1.09 * _ERA_POWER[frame.era]
    return usual


def frame_agrees(frame: Any, power: Any, speed: Any) -> Any:
    """Log factor of a frame and a power at a speed: usual ones are free of charge.

    >>> names = np.array(["145T", "445T", None], dtype=object)
    >>> [round(float(x), 1) for x in frame_agrees(names, 1300.0, 180.0)]
    [0.0, -8.0, 0.0]
    """
    usual = np.array([_frame_power().get(f, np.nan) for f in np.ravel(frame)]).reshape(np.shape(frame))
    ratio = np.log(np.asarray(power, float) / usual) - 0.8 * np.log(np.asarray(speed, float) / 180.0)
    off = np.maximum(np.abs(ratio) - 0.2, 0.0)
    return np.where(np.isnan(off), 0.0, np.maximum(-0.5 * (off / 0.4) ** 2, -8.0))
