"""Coils of contactors, relays and solenoids: the control voltages on which they surely work."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.tables import load

LIMITS = load("coil_limits")


def control_frequency(duty: Duty) -> float | None:
    """Frequency [Hz] of the control circuit: a control transformer doesn't change the supply's."""
    own = number(duty, "control_frequency")
    return own if own is not None else number(duty, "supply_frequency")


def coil_window(low: float, high: float, flux: float = 1.0) -> tuple[float, float]:
    """Lowest and highest control voltage [V] at which a coil rated `low` to `high` surely works: 85 % of the lowest
    to 110 % of the highest (TM 5-683). flux: rated frequency of an AC coil over the frequency it runs on; volts per
    hertz are what the iron feels, so both ends move with 1/flux.

    >>> coil_window(230, 230), tuple(round(v, 1) for v in coil_window(230, 230, 60 / 50))
    ((195.5, 253.0), (162.9, 210.8))
    """
    least, most = (float(row["ratio"]) for row in LIMITS.rows)
    return round(least * low / flux, 6), round(most * high / flux, 6)
