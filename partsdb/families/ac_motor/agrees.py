"""How well the numbers of a motor's plate agree: log factors for reading it [nat]. Simple ones stand in family.toml."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np

from partsdb.families.ac_motor.figures import synchronous_speed
from partsdb.families.ac_motor.plate import FRAMES, dimensions
from partsdb.family import Consistency
from partsdb.physics.motors import HP, full_load_current, phase_factor
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

_POWERS = {1: (1 / 6, 0.25, 0.5, 1, 2, 5, 10), 3: (1 / 6, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200)}  # [hp]


@cache
def _typical(phases: int) -> tuple[list[float], list[float]]:
    """Log power [W], and efficiency times power factor of the NEC's typical motors."""
    powers, per_ampere = [HP * p for p in _POWERS[phases]], 230 * phase_factor(phases)
    implied = [p / (per_ampere * full_load_current(p, 230, phases)[0]) for p in powers]
    return [math.log(p) for p in powers], implied


def currents_agree(power: Any, voltage: Any, current: Any, phases: Any) -> Any:
    """Log factor: efficiency times power factor that the plate implies, against the NEC's typical motor.

    Old and small motors stray by a quarter; unknown phases count as three.

    >>> [round(float(x), 1) for x in currents_agree(np.array([7457.0, 7457.0]), 460.0, np.array([14.0, 28.0]), 3.0)]
    [0.0, -4.6]
    """
    one = np.asarray(phases, dtype=float) == 1
    factor, logs = np.where(one, 1.0, math.sqrt(3)), np.log(np.asarray(power, dtype=float))
    implied = power / (factor * np.asarray(voltage, dtype=float) * np.asarray(current, dtype=float))
    typical = np.where(one, np.interp(logs, *_typical(1)), np.interp(logs, *_typical(3)))
    pull = -0.5 * (np.log(implied / typical) / 0.23) ** 2
    return np.where(np.isnan(pull), 0.0, np.maximum(pull, -10.0))


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
    for name, row in FRAMES.items():
        height, along = (dimensions(name)[size][0] / 0.0254 for size in ("shaft_height", "foot_along"))
        usual[name] = HP * 0.00856 * height**2.85 * along**1.09 * _ERA_POWER[row["era"]]
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


_NEC, _SYNC = load("motor_current_3ph").source, Source("synchronous speed 120 f/p", "verified")
CONSISTENCY = (
    Consistency(("speed", "frequency"), speed_agrees, _SYNC),
    Consistency(("power", "voltage", "current", "phases"), currents_agree, _NEC),
    Consistency(("power", "voltage#1", "current#1", "phases"), currents_agree, _NEC),
    Consistency(("frame", "power", "speed"), frame_agrees, PRACTICE),
)
