"""The nominal voltage of a supply that was measured: ratings are stated for nominal systems, which vary about them."""

from __future__ import annotations

from functools import cache

from partsdb.source import Source
from partsdb.tables import load

NEAR = 0.03  # a reading this near [-] is a supply of that name; systems lie no closer than twice that, names may; ours


@cache
def _nominal() -> tuple[float, ...]:
    return tuple(float(row["nominal"]) for row in load("supply_systems").rows)


def nominal(volts: float) -> float:
    """The nominal voltage [V] of the supply that reads `volts` [V]; `volts` itself where no system lies near.

    >>> nominal(418), nominal(231), nominal(415), nominal(372.5), nominal(300)
    (415.0, 230.0, 415, 380.0, 300)
    """
    near = min(_nominal(), key=lambda name: abs(volts / name - 1))
    return volts if volts == near or abs(volts / near - 1) > NEAR else near


def source() -> Source:
    """Where the systems come from, with their tolerance."""
    return load("supply_systems").source
