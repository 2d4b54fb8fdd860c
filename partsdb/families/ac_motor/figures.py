"""Induction motors: speed and poles, torque, volts per hertz, code letters, insulation life.

All quantities in SI units: power [W], voltage [V], current [A], speed [rad/s], frequency [Hz], torque [N·m].
Tables: NEMA MG 1 (code letters), IEC 60085 (insulation classes).
"""

from __future__ import annotations

import math

from partsdb.intervals import Interval
from partsdb.physics.motors import HP, phase_factor
from partsdb.quantities import to_si
from partsdb.tables import load

POLES = (2, 4, 6, 8, 10, 12, 14, 16)
MOST_SLIP = 0.16  # how far a full-load speed may lie below the field's [-]


def synchronous_speed(frequency: float, poles: float) -> float:
    """Speed of the rotating field [rad/s]: 2π·2f/p.

    >>> round(synchronous_speed(60, 4) * 60 / (2 * math.pi), 6)
    1800.0
    """
    return 4 * math.pi * frequency / poles


def poles_for(speed: float, frequency: float) -> int | None:
    """The pole count whose synchronous speed lies just above a full-load speed; None when none does.

    The speed itself counts as synchronous (no-load speeds are printed on some plates).

    >>> poles_for(1425 * math.pi / 30, 50), poles_for(1725 * math.pi / 30, 60), poles_for(2200 * math.pi / 30, 60)
    (4, 4, None)
    """
    for poles in POLES:
        if -0.003 <= 1 - speed / synchronous_speed(frequency, poles) <= MOST_SLIP:
            return poles
    return None


def torque(power: float, speed: float) -> float:
    """Shaft torque [N·m] of a power [W] at a speed [rad/s]: P/ω (lb-ft = 5252 hp/rpm).

    >>> round(torque(10 * HP, 1750 * math.pi / 30) / 1.3558179483314004, 2)
    30.01
    """
    return power / speed


def voltage_at_equal_flux(rated_voltage: float, rated_frequency: float, frequency: float) -> float:
    """The voltage [V] that keeps V/f: a 460 V 60 Hz motor wants 383 V on 50 Hz.

    >>> round(voltage_at_equal_flux(460, 60, 50), 1)
    383.3
    """
    return rated_voltage * frequency / rated_frequency


def most_power_at(rated_power: float, rated_frequency: float, frequency: float) -> float:
    """The most power [W] a motor gives on another frequency at equal flux: P·f/fr downwards, never more than P.

    >>> most_power_at(6, 60, 50), most_power_at(5.0, 50, 60)
    (5.0, 5.0)
    """
    return rated_power * min(1.0, frequency / rated_frequency)


def locked_rotor_current(letter: str, power: float, voltage: float, phases: float) -> Interval:
    """Locked-rotor line current [A] that a code letter states: from its lower to its upper end (MG 1-10.37.2), which
    belongs to the next letter. Raises KeyError for a letter that is none.

    >>> span = locked_rotor_current("H", 10 * HP, 460, 3)
    >>> round(span.lower, 2), round(span.upper, 2)
    (79.07, 89.11)
    """
    row = {row["letter"]: row for row in load("code_letters", __package__).rows}[letter]
    scale = 1000 * power / HP / (voltage * phase_factor(phases))
    return Interval(float(row["from"]) * scale, float(row["below"]) * scale if row["below"] else None)


def insulation_limit(letter: str) -> float:
    """Highest winding temperature [K] of an insulation class (IEC 60085). Raises KeyError for an unknown letter.

    >>> round(insulation_limit("F") - 273.15, 6)
    155.0
    """
    limits = {row["class"]: row["limit_c"] for row in load("insulation_classes").rows}
    return to_si(float(limits[letter]), "°C")


def insulation_life(limit: float, temperature: float) -> float:
    """Average insulation life [h]: 20 000 h at the class limit [K], doubled for each 10 K below it (NEMA).

    >>> insulation_life(insulation_limit("B"), to_si(110, "°C"))
    80000.0
    """
    return round(20_000.0 * 2 ** ((limit - temperature) / 10), 3)
