"""What a switching rating answers for: utilization categories (IEC 60947-4-1) and supply systems.

A rating is named by a qualifier "category@volts", e.g. "AC-3@400V"; "continuous" has no volts. Tables:
utilization_categories.csv, supply_bands.csv.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.tables import load


@cache
def _categories() -> Mapping[str, tuple[frozenset[str], str]]:
    """Category -> the categories it serves, and what it is in words."""
    rows = load("utilization_categories").rows
    return {row["category"]: (frozenset(row["serves"].split("|")), row["title"]) for row in rows}


def category_title(category: str) -> str:
    """What a category is, in words; the name itself when it isn't listed.

    >>> category_title("AC-4")
    'cage motor, inched or reversed'
    """
    return _categories().get(category, (frozenset(), category))[1]


@dataclass(frozen=True, slots=True)
class Rating:
    """A qualifier taken apart: category, and the voltage [V] it is stated at (None: at any)."""

    category: str
    voltage: float | None


def rating(qualifier: str) -> Rating:
    """The category and voltage a qualifier names.

    >>> rating("AC-3@400V"), rating("continuous")
    (Rating(category='AC-3', voltage=400.0), Rating(category='continuous', voltage=None))
    """
    category, _, volts = qualifier.partition("@")
    return Rating(category, float(volts.removesuffix("V")) if volts else None)


def qualifier(category: str, voltage: float | None) -> str:
    """The qualifier of a category at a voltage: the inverse of `rating`.

    >>> qualifier("AC-4", 400.0)
    'AC-4@400V'
    """
    return category if voltage is None or category == "continuous" else f"{category}@{voltage:g}V"


def serves(offered: str, needed: str) -> bool:
    """Whether a rating under the offered qualifier answers for the needed one.

    The same or a heavier category, and at least the voltage (or the same system band: a rating at 460 V is
    meant for 480 V systems). AC-4 serves AC-3, never the reverse; AC never serves DC; AC-1 is not a motor rating.

    >>> serves("AC-4@400V", "AC-3@400V"), serves("AC-3@400V", "AC-4@400V"), serves("AC-3@230V", "AC-3@400V")
    (True, False, False)
    """
    if offered == needed:
        return True
    have, want = rating(offered), rating(needed)
    if want.category not in _categories().get(have.category, (frozenset(), ""))[0]:
        return False
    if want.voltage is None or have.voltage is None:
        return "continuous" in (have.category, want.category)
    return have.voltage >= want.voltage * (1 - 1e-6) or same_band(have.voltage, want.voltage)


@cache
def _bands() -> tuple[tuple[float, float], ...]:
    return tuple((float(row["low"]), float(row["high"])) for row in load("supply_bands").rows)


def same_band(a: float, b: float) -> bool:
    """Whether two voltages are names of one supply system (440-480, 380-415 ...).

    >>> same_band(460, 480), same_band(380, 400), same_band(415, 440)
    (True, True, False)
    """
    return any(low <= min(a, b) and max(a, b) <= high for low, high in _bands())
