"""Contactors and starters: utilization categories, NEMA sizes, coil limits, contact life.

SI units: current [A], voltage [V], power [W], frequency [Hz]. Tables: NEMA ICS 2 (sizes), IEC 60947-4-1
(categories), TM 5-683 (coil voltage range), a maker's endurance table (contact life, common practice).
A rating is named by a qualifier "category@volts", e.g. "AC-3@400V"; "continuous" has no volts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from partsdb.model import Spec, Value
from partsdb.model import number as number_value
from partsdb.model import word as word_value
from partsdb.physics.motors import HP, full_load_current
from partsdb.source import Source
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


@dataclass(frozen=True, slots=True)
class NemaSize:
    """A NEMA size: continuous current [A] and most shaft power [W] by nominal voltage [V], three phases and one."""

    size: str
    amperes: float
    three_phase: Mapping[float, float]
    single_phase: Mapping[float, float]
    source: Source


@cache
def nema_sizes() -> Mapping[str, NemaSize]:
    """Every NEMA size of ICS 2, 00 to 9."""
    table = load("nema_sizes")
    sizes = {}
    for row in table.rows:
        three = {v: float(row[f"hp{v:g}"]) * HP for v in (200.0, 230.0, 460.0) if row[f"hp{v:g}"]}
        if 460.0 in three:
            three[575.0] = three[460.0]  # the standard prints one column for 460 and 575 V
        one = {v: float(row[f"hp1ph{v:g}"]) * HP for v in (115.0, 230.0) if row[f"hp1ph{v:g}"]}
        sizes[row["size"]] = NemaSize(row["size"], float(row["amps"]), three, one, table.source)
    return sizes


def nema_motor_current(size: NemaSize, voltage: float) -> float:
    """The largest three-phase motor current [A] a NEMA size may start and stop at a voltage of its table:
    the current (NEC 430.250) of the largest horsepower it is rated for, never above its continuous current.

    >>> nema_motor_current(nema_sizes()["1"], 460.0)
    14.0
    """
    return min(size.amperes, full_load_current(size.three_phase[voltage], voltage)[0])


def smallest_nema_size(amperes: float) -> str | None:
    """The smallest NEMA size whose continuous current covers a resistive load [A]; None above size 9.

    >>> smallest_nema_size(75), smallest_nema_size(45), smallest_nema_size(3000)
    ('3', '2', None)
    """
    return next((s.size for s in nema_sizes().values() if s.amperes >= amperes), None)


@cache
def _coil_ratio(limit: str) -> float:
    return next(float(r["ratio"]) for r in load("coil_limits").rows if r["limit"] == limit)


def coil_window(low: float, high: float, flux: float = 1.0) -> tuple[float, float]:
    """Lowest and highest control voltage [V] at which a coil rated `low` to `high` surely works.

    85 % of the lowest to 110 % of the highest rated voltage (TM 5-683). flux: rated frequency of an AC coil
    over the frequency it runs on; volts per hertz are what the iron feels, so both ends move with 1/flux.

    >>> coil_window(230, 230)
    (195.5, 253.0)
    >>> tuple(round(v, 1) for v in coil_window(230, 230, 60 / 50))
    (162.9, 210.8)
    """
    return round(_coil_ratio("pull_in") * low / flux, 6), round(_coil_ratio("highest") * high / flux, 6)


@dataclass(frozen=True, slots=True)
class ContactLife:
    """Operations until the contacts are worn: a pessimistic, a middle and an optimistic figure [-]."""

    low: float
    mid: float
    high: float
    source: Source


def contact_life(rated_current: float, current: float, inching_share: float) -> ContactLife:
    """Operations a contactor's main contacts last [-].

    Wear adds up linearly: 1/N = ((1 - s)/N3 + s/N4) / k, with s the share of operations that break a
    stalled or reversing motor [-], N3 and N4 the operations at rated AC-3 current when none or all do, and
    k = (rated / actual current)^1.4. low: copper contacts, high: sintered, mid: geometric mean. `current`
    is the motor's full-load current [A]; an overloaded contactor gets k < 1.

    >>> life = contact_life(25, 25, 0.0)
    >>> life.low, life.high
    (1000000.0, 1200000.0)
    >>> round(contact_life(25, 25, 0.2).low, -3)
    48000.0
    """
    table = load("contact_life")
    found = [
        (rated_current / current) ** float(r["exponent"])
        / ((1 - inching_share) / float(r["normal"]) + inching_share / float(r["inching"]))
        for r in table.rows
    ]
    low, high = min(found), max(found)
    return ContactLife(low, math.sqrt(low * high), high, table.source)


def follows(spec: Spec) -> tuple[Value, ...]:
    """NEMA size -> its amperes and horsepower; coil voltage -> the control voltages it works on; AC from hertz."""
    return (*_from_size(spec), *_from_coil(spec), *_highest_voltage(spec))


def _from_size(spec: Spec) -> Iterable[Value]:
    size = nema_sizes().get(spec.code("nema_size") or "")
    if size is None:
        return
    yield number_value("current", size.amperes, size.source, qualifier="continuous")
    single = spec.num("poles") in (1.0, 2.0)
    for volts, power in (size.single_phase if single else size.three_phase).items():
        name = qualifier("normal", volts)
        yield number_value("power", power, size.source, qualifier=name)
        if not single:
            yield number_value("current", nema_motor_current(size, volts), size.source, qualifier=name)


def _from_coil(spec: Spec) -> Iterable[Value]:
    for v in spec.all("coil_voltage"):
        if v.low is None or v.high is None:
            continue
        low, high = coil_window(v.low, v.high)
        yield number_value("coil_pull_in", low, load("coil_limits").source, variant=v.variant)
        yield number_value("coil_highest", high, load("coil_limits").source, variant=v.variant)
    if spec.has("coil_frequency") and not spec.has("coil_kind"):
        yield word_value(
            "coil_kind", "AC", Source("a coil marked with hertz is for alternating current", "stated")
        )


def _highest_voltage(spec: Spec) -> Iterable[Value]:
    rated = [(rating(v.qualifier).voltage or 0.0, v) for v in (*spec.all("current"), *spec.all("power"))]
    if rated and (best := max(rated, key=lambda pair: pair[0]))[0]:
        yield number_value("voltage", best[0], best[1].source)
    elif spec.code("nema_size"):
        yield number_value("voltage", 575.0, load("nema_sizes").source)


def size_agrees(sizes: Any, amperes: Any) -> Any:
    """A NEMA size and a continuous current on one plate agree with ICS 2, or one of them is misread."""
    rated = np.array([nema_sizes()[s].amperes if s in nema_sizes() else np.nan for s in np.ravel(sizes)])
    off = np.abs(np.log(np.asarray(amperes, dtype=float) / rated.reshape(np.shape(sizes))))
    return np.where(np.isnan(off), 0.0, np.where(off < 0.02, 0.0, -6.0))


def kilowatts_agree(volts: float) -> Callable[[Any, Any], Any]:
    """Log factor of kilowatts and amperes at one voltage [V]: P / (√3·V·I) lies about 0.65 on contactors' plates,
    within a tenth (amperes are rounded up to the frame's), a little looser below 300 V.

    >>> agree = kilowatts_agree(400)
    >>> [round(float(x), 1) for x in agree(np.array([11000.0, 11000.0, np.nan]), np.array([25.0, 40.0, 25.0]))]
    [0.0, -10.0, 0.0]
    """
    spread = 0.10 if volts > 300 else 0.14

    def agree(power: Any, amperes: Any) -> Any:
        ratio = np.asarray(power, dtype=float) / (math.sqrt(3) * volts * np.asarray(amperes, dtype=float))
        pull = -0.5 * (np.log(ratio / 0.65) / spread) ** 2
        return np.where(np.isnan(pull), 0.0, np.maximum(pull, -10.0))

    return agree


def amperes_related(centre: float, spread: float, worst: float = -6.0) -> Callable[[Any, Any], Any]:
    """Log factor of two ratings of one contactor whose ratio lies about `centre`, within `spread` (log) [-].

    >>> equal = amperes_related(1.0, 0.05)
    >>> [round(float(x), 1) for x in equal(np.array([18.0, 12.0, np.nan]), np.array([18.0, 18.0, 18.0]))]
    [0.0, -6.0, 0.0]
    """

    def agree(first: Any, second: Any) -> Any:
        ratio = np.asarray(first, dtype=float) / np.asarray(second, dtype=float)
        pull = -0.5 * (np.log(ratio / centre) / spread) ** 2
        return np.where(np.isnan(pull), 0.0, np.maximum(pull, worst))

    return agree
