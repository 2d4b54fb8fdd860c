"""What a contactor's plate stands for: NEMA sizes (ICS 2), how long contacts last, what follows from the plate.

SI units: current [A], voltage [V], power [W], frequency [Hz]. Ratings are named as in physics.utilization.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from partsdb.model import Spec, Value, number, word
from partsdb.physics.coils import LIMITS, coil_window
from partsdb.physics.motors import HP, full_load_current
from partsdb.physics.utilization import qualifier, rating
from partsdb.source import Source, judgement
from partsdb.tables import load

NEMA = load("nema_sizes", __package__)
POWERS = load("nema_powers", __package__)
WEAR = load("contact_life", __package__)


AMPERES = {row["size"]: float(row["amps"]) for row in NEMA.rows}  # continuous [A], by NEMA size


def horsepower_of(size: str, phases: int) -> dict[float, float]:
    """Most motor power [W] of a NEMA size by nominal voltage [V].

    >>> round(horsepower_of("1", 3)[460.0] / HP, 3), sorted(horsepower_of("1", 1))
    (10.0, [115.0, 230.0])
    """
    rows = (row for row in POWERS.rows if (row["size"], row["phases"]) == (size, str(phases)))
    return {float(row["volts"]): float(row["hp"]) * HP for row in rows}


def size_agrees(sizes: Any, amperes: Any) -> Any:
    """Log factor [nat]: a NEMA size and a continuous current on one plate agree, or one of them is misread."""
    rated = np.array([AMPERES.get(size, math.nan) for size in np.ravel(sizes)])
    off = np.abs(np.log(np.asarray(amperes, dtype=float) / rated.reshape(np.shape(sizes))))
    return np.where(np.isnan(off) | (off < 0.02), 0.0, -6.0)


def contact_life(rated: float, current: float, inching_share: float) -> tuple[float, float, float]:
    """Operations a contactor's main contacts last [-]: low (copper contacts), middle (geometric mean), high (sintered).

    Wear adds up linearly: 1/N = ((1 - s)/N3 + s/N4) / k, with s the share of operations that break a
    stalled or reversing motor [-], N3 and N4 the operations at rated AC-3 current when none or all do, and
    k = (rated / current)^1.4, of the contactor's AC-3 current and the motor's full-load current [A]; an
    overloaded contactor gets k < 1.

    >>> contact_life(25, 25, 0.0)[0], round(contact_life(25, 25, 0.2)[0], -3)
    (1000000.0, 48000.0)
    """
    found = [
        (rated / current) ** float(r["exponent"])
        / ((1 - inching_share) / float(r["normal"]) + inching_share / float(r["inching"]))
        for r in WEAR.rows
    ]
    return min(found), math.sqrt(min(found) * max(found)), max(found)


def follows(spec: Spec) -> Iterator[Value]:
    """What follows from the plate: a NEMA size's amperes and horsepower; the control voltages a coil works on; AC
    from hertz; the highest voltage it is rated at; that what isn't called a starter holds no overload relay."""
    yield word("device", "contactor", judgement("nothing on it says that it holds an overload relay"))
    size = spec.code("nema_size")
    if size in AMPERES:
        yield from _of_size(size, single=spec.num("poles") in (1.0, 2.0))
    for v in spec.all("coil_voltage"):
        if v.low is not None and v.high is not None:
            low, high = coil_window(v.low, v.high)
            yield number("coil_pull_in", low, LIMITS.source, variant=v.variant)
            yield number("coil_highest", high, LIMITS.source, variant=v.variant)
    if spec.has("coil_frequency") and not spec.has("coil_kind"):
        yield word("coil_kind", "AC", Source("a coil marked with hertz is for alternating current", "stated"))
    rated = [
        (rating(v.qualifier).voltage or 0.0, v.source) for v in (*spec.all("current"), *spec.all("power"))
    ]
    if rated and (best := max(rated, key=lambda pair: pair[0]))[0]:
        yield number("voltage", *best)
    elif size is not None:
        yield number("voltage", 575.0, NEMA.source)


def _of_size(size: str, *, single: bool) -> Iterator[Value]:
    """Its continuous current; its powers, and on three phases the current of its largest motor (NEC 430.250), never
    above its continuous current."""
    yield number("current", AMPERES[size], NEMA.source, qualifier="continuous")
    for volts, power in horsepower_of(size, 1 if single else 3).items():
        name = qualifier("normal", volts)
        yield number("power", power, NEMA.source, qualifier=name)
        if not single:
            amperes = min(AMPERES[size], full_load_current(power, volts)[0])
            yield number("current", amperes, NEMA.source, qualifier=name)
