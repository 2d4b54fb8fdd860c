"""How well the values on a transformer's plate agree: log factors of arrays [nat], unknown (NaN) counts as 0."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from partsdb.tables import load


def current_agrees(power: Any, volts: Any, amperes: Any, phases: Any) -> Any:
    """VA against secondary volts and amperes."""
    root = np.where(np.asarray(phases, dtype=float) == 3, math.sqrt(3), 1.0)
    off = np.log(power / (volts * amperes * root))
    return np.nan_to_num(np.maximum(-0.5 * (off / 0.05) ** 2, -8.0), nan=0.0)


def steps_down(primary: Any, secondary: Any) -> Any:
    """Nearly all step down: a secondary above its primary is rare, an equal one isolates only."""
    up = np.asarray(secondary, dtype=float) / np.asarray(primary, dtype=float)
    return np.where(up > 1.05, -3.0, np.where(up > 0.95, -1.0, 0.0))


def amperes_usual(power: Any, volts: Any) -> Any:
    """More than 400 A on a machine's transformer is rare: a point was lost (KVA .150)."""
    return np.where(np.asarray(power, dtype=float) / np.asarray(volts, dtype=float) > 400, -5.0, 0.0)


def phases_usual(power: Any, phases: Any) -> Any:
    """Large ones are mostly three-phase, small ones hardly ever [nat]."""
    size, count = np.asarray(power, dtype=float), np.asarray(phases, dtype=float)
    return np.where((size > 10e3) & (count == 1), -1.0, np.where((size < 1e3) & (count == 3), -2.0, 0.0))


_AT_HOME = {
    h: [
        float(r["values"])
        for r in load("transformer_sizes").rows
        if r["hertz"] == h and "|" not in r["values"]
    ]
    for h in ("50", "60")
}


def volts_at_home(volts: Any, hertz: Any) -> Any:
    """480 and 208 V belong to 60 Hz countries, 380 to 415 V to 50 Hz ones."""
    cycles = np.nan_to_num(np.asarray(hertz, dtype=float), nan=0.0)
    abroad = ((cycles == 60) & np.isin(volts, _AT_HOME["50"])) | (
        (cycles == 50) & np.isin(volts, _AT_HOME["60"])
    )
    return np.where(abroad, -1.2, 0.0)
