"""Motors, as far as several families ask: volts per hertz, and the current a motor of some power draws.

SI units: power [W], voltage [V], current [A], frequency [Hz]. Tables: NEC 430.248 and 430.250, a 50 Hz table.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence

from partsdb.quantities import to_si
from partsdb.source import Source
from partsdb.tables import Table, load

HP = to_si(1, "hp")


def flux_ratio(voltage: float, frequency: float, rated_voltage: float, rated_frequency: float) -> float:
    """Magnetic flux against rated flux [-]: (V/f) / (Vr/fr). Above 1.1 iron saturates and windings heat.

    >>> round(flux_ratio(460, 50, 460, 60), 6)
    1.2
    """
    return (voltage / frequency) / (rated_voltage / rated_frequency)


def on_other_frequency(
    made_for: float | None, hertz: float | None, rated: float | None, volts: float | None
) -> dict[str, str | float | None]:
    """What texts name of a winding made for one frequency [Hz] that runs on another, or on one that nobody has said:
    off_frequency ("yes"), its flux against rated flux (`flux_ratio`; volts [V] that aren't known count as right)."""
    off = made_for is not None and made_for != hertz
    at, right = volts or rated or 1.0, rated or volts or 1.0
    ratio = flux_ratio(at, hertz, right, made_for) if made_for and hertz and off else None
    return {
        "off_frequency": "yes" if off else None,
        "flux": f"{ratio:.0%}" if ratio else None,
        "flux_ratio": ratio,
    }


def phase_factor(phases: float) -> float:
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
