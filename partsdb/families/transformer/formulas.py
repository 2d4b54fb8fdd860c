"""Formulas of transformers: current, output, inrush, boosting, heat and life.

SI units, r.m.s. values. The rules' numbers come from rules.csv, each with its status.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.physics.rules import Rule, rules
from partsdb.tables import load


def rule(name: str) -> Rule:
    """The rule of that name in rules.csv. Raises KeyError."""
    return rules("rules", __package__)[name]


@cache
def class_limits() -> Mapping[str, tuple[float, float]]:
    """Insulation class, worst first -> (highest winding temperature [°C], life there [h])."""
    return {
        r["class"]: (float(r["limit_c"]), float(r["life_hours"])) for r in load("insulation_classes").rows
    }


@cache
def class_rises() -> Mapping[str, float]:
    """Insulation class -> usual average winding rise at full load [K]."""
    return {r["class"]: float(r["rise"]) for r in load("rises", __package__).rows}


def rated_current(apparent_power: float, voltage: float, phases: float = 1) -> float:
    """I = S / V, or S / (sqrt(3) V) for three phases [A]; S in [VA], V between lines [V].

    >>> round(rated_current(45e3, 480, 3), 2)
    54.13
    """
    return apparent_power / (voltage * (math.sqrt(3) if phases == 3 else 1))


def output(supply: float, primary: float, secondary: float) -> float:
    """Secondary volts when a connection for `primary` volts is fed with `supply` volts [V].

    >>> output(400, 480, 120)
    100.0
    """
    return secondary * supply / primary


def selection_inrush(sealed: float, inrush: float) -> float:
    """Inrush to choose a control transformer by: sqrt(sealed² + inrush²) [VA].

    >>> selection_inrush(30, 40)
    50.0
    """
    return math.hypot(sealed, inrush)


def inrush_capacity(apparent_power: float, impedance: float, drop: float) -> float:
    """Most inrush [VA] for a voltage drop [-] behind an impedance [-], load and impedance in line: the worst case.

    >>> inrush_capacity(1000, 0.05, 0.10)
    2000.0
    """
    return apparent_power * drop / impedance


def boosted_load(apparent_power: float, change: float, result: float) -> float:
    """Load [VA] that a transformer of S [VA] can carry when its winding adds or takes off `change` volts [V].

    S V_result / V_change: only the change passes through the windings, so the nameplate is not the load.

    >>> boosted_load(1000, 24, 240)
    10000.0
    """
    return apparent_power * result / change


def booster_for(load_current: float, change: float) -> float:
    """Nameplate [VA] of a transformer in series that changes a load current [A] by `change` volts [V]."""
    return load_current * change


@dataclass(frozen=True, slots=True)
class Heating:
    """How the losses of a transformer are taken to split and grow: a judgement, so always used as a band."""

    iron_share: float
    flux_exponent: float

    def factor(self, load: float, flux: float, frequency_ratio: float) -> float:
        """Losses against rated losses [-]: copper with load², iron with flux^n and frequency^1.3.

        >>> Heating(0.3, 4).factor(1.0, 1.0, 1.0)
        1.0
        """
        iron = flux**self.flux_exponent * frequency_ratio ** rule("frequency_exponent").value
        return (1 - self.iron_share) * load * load + self.iron_share * float(iron)


def heating_band() -> tuple[Heating, Heating, Heating]:
    """The worst, likely and best split of losses."""
    return (
        Heating(rule("iron_share_most").value, rule("flux_exponent_most").value),
        Heating(rule("iron_share").value, rule("flux_exponent").value),
        Heating(rule("iron_share_least").value, rule("flux_exponent_least").value),
    )


@dataclass(frozen=True, slots=True)
class Strain:
    """What a transformer bears: load against rating [-], flux against rated [-], frequency against rated [-],
    air around it [K], insulation class, its rise at full load [K]."""

    load: float
    flux: float
    frequency_ratio: float
    ambient: float
    insulation_class: str
    rise: float


def hot_spots(strain: Strain) -> tuple[float, float, float]:
    """Hottest winding temperature [°C], worst, likely and best: air + rise x losses + hot-spot allowance.

    >>> [round(t) for t in hot_spots(Strain(1, 1, 1, 313.15, "A", 55))]
    [105, 105, 105]
    """
    air = strain.ambient - 273.15 + rule("hot_spot").value
    band = [h.factor(strain.load, strain.flux, strain.frequency_ratio) for h in heating_band()]
    hot = sorted((air + strain.rise * f for f in band), reverse=True)
    return hot[0], air + strain.rise * band[1], hot[-1]


def life_hours(strain: Strain) -> tuple[float, float, float]:
    """Least, likely and greatest insulation life [h]: class life at its limit, halved for every 10 K above.

    >>> [round(h) for h in life_hours(Strain(1, 1, 1, 313.15, "A", 55))]
    [20000, 20000, 20000]
    """
    limit, hours = class_limits()[strain.insulation_class]
    most, every = rule("life_most_hours").value, rule("life_halving").value
    worst, likely, best = (min(hours * 2 ** ((limit - t) / every), most) for t in hot_spots(strain))
    return worst, likely, best
