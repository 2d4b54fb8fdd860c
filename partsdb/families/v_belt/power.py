"""What a V-belt carries: rated power by section, pulley and speed, and the factors that lower it. SI units.

References
----------
[1] ANSI/RMA IP-20: basic horsepower formulas of classical sections (power.csv).
[2] Arc of contact correction (arc_factors.csv).
[3] Service factors (service_factors.csv).

The power that a speed ratio above one adds is left out, so every figure here is a little low.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from partsdb.source import Source
from partsdb.tables import load
from partsdb.units import to_si

REVERSING = 1.2  # service factor's increase for reversing drives [-] [3]
LENGTH_EXPONENT = 0.24  # of the belt length's influence [-]; fitted to remembered values of [1]
INCH = 0.0254


@dataclass(frozen=True, slots=True)
class Drive:
    """A drive: pulley diameters and centre distance [m], speed of the small pulley [rad/s]."""

    small: float
    large: float
    centres: float
    turning: float


def basic_power(section: str, small: float, turning: float) -> float | None:
    """Rated power of one belt [W] at 180° of contact and base length [1]; None for a section without a formula.

    section: classical or cogged classical code; small: pitch diameter of the small pulley [m]; turning: its speed
    [rad/s]. 0 where the formula goes below zero (pulley too small, speed too high).

    >>> round(basic_power("B", 5.4 * 0.0254, 1750 * math.pi / 30) / 745.7, 2)
    5.43
    """
    row = next((r for r in load("power", __package__).rows if r["section"] == section), None)
    if row is None or turning <= 0 or small <= 0:
        return None
    d, r = small / INCH, turning * 30 / math.pi / 1000
    a, b, c, e = (float(row[key]) for key in "abce")
    rated = d * r * (a - b / d - c * (d * r) ** 2 - e * math.log10(d * r))
    return max(to_si(rated, "hp"), 0.0)


def arc_factor(drive: Drive) -> float:
    """Loss of power because the belt touches less than half of the small pulley [-] [2], between table rows.

    >>> round(arc_factor(Drive(0.125, 0.375, 0.5, 150.0)), 3)
    0.93
    """
    rows = load("arc_factors", __package__).rows
    leans, factors = ([float(r[key]) for r in rows] for key in ("lean", "factor"))
    return float(np.interp((drive.large - drive.small) / drive.centres, leans, factors))


def length_factor(section: str, inside: float) -> float:
    """Gain or loss of power with the belt's length [-]: a short belt is bent more often.

    inside: inside length [m].

    >>> round(length_factor("B", 35 * INCH), 2), length_factor("B", 90 * INCH)
    (0.80, 1.0)
    """
    row = next(r for r in load("power", __package__).rows if r["section"] == section)
    return float((inside / INCH / float(row["base_in"])) ** LENGTH_EXPONENT)


def set_power(section: str, count: int, inside: float, drive: Drive) -> float | None:
    """What `count` belts of that inside length [m] carry in this drive [W]; None without a formula for them."""
    one = basic_power(section, drive.small, drive.turning)
    return None if one is None else count * one * arc_factor(drive) * length_factor(section, inside)


def power_source(section: str) -> Source:
    """Where the section's formula comes from."""
    table = load("power", __package__)
    return table.source_of(next(r for r in table.rows if r["section"] == section))


def service_factor(load_class: int, hours_per_day: float, *, hard_start: bool, reversing: bool) -> float:
    """Design power over load power [-] [3], by load class 1 (light) to 4 (extra heavy) and running hours a day.

    >>> service_factor(2, 8, hard_start=False, reversing=False)
    1.1
    """
    rows = [r for r in load("service_factors", __package__).rows if int(r["load"]) == load_class]
    row = next((r for r in rows if hours_per_day <= float(r["hours"])), rows[-1])
    return float(row["hard" if hard_start else "soft"]) * (REVERSING if reversing else 1.0)
