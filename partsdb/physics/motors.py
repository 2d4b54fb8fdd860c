"""Alternating-current induction motors: speed, slip, torque, current, volts per hertz, code letters, frames.

All quantities in SI units: power [W], voltage [V], current [A], speed [rad/s], frequency [Hz], torque [N·m].
Tables: NEC 430.248 and 430.250 (currents), NEMA MG 1 (code letters, frames), IEC 60072-1 (frames).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import cache

from partsdb.intervals import Interval
from partsdb.quantities import to_si
from partsdb.source import Source
from partsdb.tables import Table, load

HP = to_si(1, "hp")
POLES = (2, 4, 6, 8, 10, 12, 14, 16)


def synchronous_speed(frequency: float, poles: float) -> float:
    """Speed of the rotating field [rad/s]: 2π·2f/p.

    >>> round(synchronous_speed(60, 4) * 60 / (2 * math.pi), 6)
    1800.0
    """
    return 4 * math.pi * frequency / poles


def slip(speed: float, frequency: float, poles: float) -> float:
    """How far the shaft lags behind the field, as a ratio [-]; negative above synchronous speed.

    >>> round(slip(1725 * math.pi / 30, 60, 4), 6)
    0.041667
    """
    return 1 - speed / synchronous_speed(frequency, poles)


def poles_for(speed: float, frequency: float, most_slip: float = 0.16) -> int | None:
    """The pole count whose synchronous speed lies just above a full-load speed; None when none does.

    The speed itself counts as synchronous (no-load speeds are printed on some plates).

    >>> poles_for(1425 * math.pi / 30, 50), poles_for(1725 * math.pi / 30, 60), poles_for(2200 * math.pi / 30, 60)
    (4, 4, None)
    """
    for poles in POLES:
        lag = slip(speed, frequency, poles)
        if -0.003 <= lag <= most_slip:
            return poles
    return None


def torque(power: float, speed: float) -> float:
    """Shaft torque [N·m] of a power [W] at a speed [rad/s]: P/ω (lb-ft = 5252 hp/rpm).

    >>> round(torque(10 * HP, 1750 * math.pi / 30) / 1.3558179483314004, 2)
    30.01
    """
    return power / speed


def flux_ratio(voltage: float, frequency: float, rated_voltage: float, rated_frequency: float) -> float:
    """Magnetic flux against rated flux [-]: (V/f) / (Vr/fr). Above 1.1 iron saturates and windings heat.

    >>> round(flux_ratio(460, 50, 460, 60), 6)
    1.2
    """
    return (voltage / frequency) / (rated_voltage / rated_frequency)


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


def current_for(power: float, voltage: float, phases: float, efficiency: float, power_factor: float) -> float:
    """Line current [A] of a shaft power: P / (η·cosφ·V·k), k = √3 on three phases, 2 on two, 1 on one.

    >>> round(current_for(7457, 460, 3, 0.895, 0.85), 4)
    12.3028
    """
    return power / (efficiency * power_factor * voltage * _phase_factor(phases))


def efficiency_times_pf(power: float, voltage: float, current: float, phases: float) -> float:
    """What a plate's power, volts and amperes say of efficiency times power factor [-]: P / (V·I·k).

    >>> round(efficiency_times_pf(7457, 460, 14, 3), 3)
    0.669
    """
    return power / (voltage * current * _phase_factor(phases))


def _phase_factor(phases: float) -> float:
    """Apparent power over volts times line amperes [-]. Raises ValueError for any but 1, 2 or 3 phases."""
    factors = {1.0: 1.0, 2.0: 2.0, 3.0: math.sqrt(3)}
    if float(phases) not in factors:
        raise ValueError(f"a motor has 1, 2 or 3 phases, not {phases:g}")
    return factors[float(phases)]


def full_load_current(power: float, voltage: float, phases: float = 3) -> tuple[float, Source]:
    """Typical line current [A] of a cage motor of that shaft power, and the table it comes from.

    Between rows by straight line in power, beyond the ends in proportion; between voltages in inverse
    proportion to the nearest column. Single phase: NEC 430.248. Three phases: NEC 430.250, but for 380-415,
    500 and 690 V a table of 50 Hz motors. The plate's own current always goes before this one.

    >>> full_load_current(10 * HP, 460)[0], full_load_current(2 * HP, 230, 1)[0], full_load_current(7500, 400)[0]
    (14.0, 12.0, 14.8)
    """
    if phases == 1:
        return _from_table(load("motor_current_1ph"), "hp", HP, power, voltage)
    if _iec_voltage(voltage):
        return _from_table(load("motor_current_iec"), "kw", 1000.0, power, voltage)
    return _from_table(load("motor_current_3ph"), "hp", HP, power, voltage)


def _iec_voltage(voltage: float) -> bool:
    return 370 <= voltage <= 425 or 490 <= voltage <= 520 or 650 <= voltage <= 700


def _from_table(table: Table, key: str, unit: float, power: float, voltage: float) -> tuple[float, Source]:
    columns = sorted(float(c) for c in table.rows[0] if c != key)
    by_nearness = sorted(columns, key=lambda c: abs(math.log(voltage / c)))
    column = by_nearness[0]
    points = [(float(r[key]) * unit, float(r[f"{column:g}"])) for r in table.rows if r[f"{column:g}"]]
    amperes = _interpolate(points, power)
    # inside the column's system band the table's figure holds as it stands (NEC 430.250, heading)
    factor = 1.0 if abs(voltage / column - 1) <= 0.05 else column / voltage
    return amperes * factor, table.source


def _interpolate(points: Sequence[tuple[float, float]], x: float) -> float:
    xs = [p[0] for p in points]
    at = bisect_left(xs, x * (1 - 1e-9))
    if at == 0 or at == len(points):
        near = points[0] if at == 0 else points[-1]
        return near[1] * x / near[0]
    (x0, y0), (x1, y1) = points[at - 1], points[at]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@cache
def code_letters() -> tuple[tuple[str, float], ...]:
    """NEMA code letters with the upper end of their locked-rotor kVA per hp (half-open), lowest first."""
    return tuple((row["letter"], float(row["below"] or "inf")) for row in load("nema_code_letters").rows)


def code_letter(kva_per_hp: float) -> str:
    """The NEMA code letter of a locked-rotor apparent power [kVA/hp] (MG 1-10.37.2).

    >>> code_letter(3.14), code_letter(3.15), code_letter(30)
    ('A', 'B', 'V')
    """
    return next(letter for letter, below in code_letters() if kva_per_hp < below)


def locked_rotor_current(letter: str, power: float, voltage: float, phases: float) -> Interval:
    """Locked-rotor line current [A] that a code letter states: from its lower to its upper end.

    >>> span = locked_rotor_current("H", 10 * HP, 460, 3)
    >>> round(span.lower, 2), round(span.upper, 2)
    (79.07, 89.11)
    """
    ends = [0.0]
    for known, below in code_letters():
        if known == letter:
            scale = 1000 * power / HP / (voltage * _phase_factor(phases))
            high = None if math.isinf(below) else below * scale
            return Interval(ends[-1] * scale, high)
        ends.append(below)
    raise KeyError(letter)


@cache
def insulation_limit(letter: str) -> float:
    """Highest winding temperature [K] of an insulation class (IEC 60085). Raises KeyError for an unknown letter.

    >>> round(insulation_limit("F") - 273.15, 6)
    155.0
    """
    return {row["class"]: to_si(float(row["limit_c"]), "°C") for row in load("insulation_classes").rows}[
        letter
    ]


def insulation_life(limit: float, temperature: float) -> float:
    """Average insulation life [h]: 20 000 h at the class limit [K], doubled for each 10 K below it (NEMA).

    >>> insulation_life(insulation_limit("B"), to_si(110, "°C"))
    80000.0
    """
    return round(20_000.0 * 2 ** ((limit - temperature) / 10), 3)
