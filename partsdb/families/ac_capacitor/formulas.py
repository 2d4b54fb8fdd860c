"""Formulas of AC capacitors: charge, current, discharge, series and parallel, life.

All in SI units, voltages and currents as r.m.s. unless a name says peak. The rules' numbers come from
rules.csv beside this file, each with its source and status.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from partsdb.ladders import series
from partsdb.model import Spec
from partsdb.physics.rules import Rule, rules
from partsdb.quantities import show
from partsdb.tables import load


def rule(name: str) -> Rule:
    """The rule of that name in rules.csv. Raises KeyError."""
    return rules("rules", __package__)[name]


@cache
def class_hours() -> Mapping[str, float]:
    """Class of operation, worst first -> probable life [h] at rated voltage and temperature."""
    return {row["class"]: float(row["hours"]) for row in load("classes", __package__).rows}


@cache
def tolerances() -> Mapping[str, tuple[float, float]]:
    """Tolerance as written -> (minus, plus), ratios of the marked capacitance [-]."""
    return {r["code"]: (float(r["minus"]), float(r["plus"])) for r in load("tolerances", __package__).rows}


def band(spec: Spec, unknown: float | None = None) -> tuple[float, float] | None:
    """Least and greatest capacitance [F] that a capacitor can have: its marked range, else its tolerance.

    unknown: tolerance either way [-] where it states none; None: the widest that a place allows. The answer is None
    when the capacitance isn't known.
    """
    size = spec.first("capacitance")
    if size is None or size.low is None or size.high is None:
        return None
    if size.low < size.high:
        return size.low, size.high
    usual = rule("most_tolerance").value if unknown is None else unknown
    minus, plus = tolerances().get(spec.code("tolerance") or "", (usual, usual))
    return size.low * (1 - minus), size.low * (1 + plus)


def covering_tolerance(minus: float, plus: float) -> str | None:
    """The narrowest tolerance in the table that holds -minus .. +plus [-], or None.

    >>> covering_tolerance(0.05, 0.10)
    '-5 +10 %'
    """
    fit = [(m + p, code) for code, (m, p) in tolerances().items() if m >= minus and p >= plus]
    return min(fit)[1] if fit else None


def reactive_power(capacitance: float, voltage: float, frequency: float) -> float:
    """Q = 2 pi f C V² [var] of C [F] at V [V] and f [Hz]; for three phases, C is the sum over the phases.

    >>> round(reactive_power(10e-6, 440, 60), 1)
    729.9
    """
    return 2 * math.pi * frequency * capacitance * voltage * voltage


def capacitance_of(power: float, voltage: float, frequency: float) -> float:
    """C [F] that draws reactive power Q [var] at V [V] and f [Hz]: the inverse of `reactive_power`.

    >>> round(capacitance_of(21e3, 480, 60) * 1e6, 1)
    241.8
    """
    return power / (2 * math.pi * frequency * voltage * voltage)


def current(capacitance: float, voltage: float, frequency: float) -> float:
    """I = 2 pi f C V [A]: what a clamp meter reads on the capacitor's lead.

    >>> round(current(25e-6, 440, 60), 2)
    4.15
    """
    return 2 * math.pi * frequency * capacitance * voltage


def peak(voltage: float) -> float:
    """sqrt(2) V: the crest of a sine wave [V]."""
    return math.sqrt(2) * voltage


def energy_at_peak(capacitance: float, voltage: float) -> float:
    """Energy left when it is cut off at the crest: 1/2 C (sqrt(2) V)² = C V² [J].

    >>> round(energy_at_peak(25e-6, 440), 2)
    4.84
    """
    return capacitance * voltage * voltage


def discharge_time(capacitance: float, resistance: float, voltage: float, residual: float) -> float:
    """Seconds from the crest of V [V] r.m.s. down to `residual` [V] through a resistance [Ω].

    V(t) = V0 exp(-t / RC). 0 when the crest is below the residual voltage.
    """
    return resistance * capacitance * math.log(max(peak(voltage) / residual, 1.0))


def greatest_bleeder(capacitance: float, voltage: float, residual: float, seconds: float) -> float:
    """The largest resistance [Ω] that brings the crest of V [V] to `residual` [V] within `seconds`.

    inf when the crest is below the residual voltage.

    >>> round(greatest_bleeder(45e-6, 440, 50, 60) / 1e3, 1)
    528.8
    """
    ratio = peak(voltage) / residual
    return seconds / (capacitance * math.log(ratio)) if ratio > 1 else math.inf


def next_lower_e24(x: float) -> float:
    """The largest E24 value not above x (IEC 60063).

    >>> next_lower_e24(528.8e3)
    510000.0
    """
    return series("E24", x / 10, x)[-1]


@dataclass(frozen=True, slots=True)
class Bleeder:
    """A discharge resistor to fit: ohms [Ω], watts to buy [W], peak volts across it [V], seconds it takes [s]."""

    ohms: float
    watts: float
    peak: float
    seconds: float


def bleeder(capacitance: float, voltage: float) -> Bleeder:
    """The resistor to fit across C [F] that works at V [V] r.m.s.: 50 V within a minute, at half its watts.

    Ohms are rounded down to E24 so that the time is kept; never above 10 MΩ, where dirt conducts as well.
    """
    residual, seconds = rule("residual_voltage").value, rule("residual_time").value
    ohms = next_lower_e24(min(greatest_bleeder(capacitance, voltage, residual, seconds), 10e6))
    watts = rule("bleeder_spare").value * voltage * voltage / ohms
    return Bleeder(ohms, watts, peak(voltage), discharge_time(capacitance, ohms, voltage, residual))


def resistor_text(r: Bleeder) -> str:
    """A discharge resistor as it is ordered: ohms, watts, peak volts.

    >>> resistor_text(bleeder(25e-6, 440))
    '910 kΩ, 0.43 W or more, for 622 V peak or more'
    """
    ohms = show(r.ohms, "MΩ" if r.ohms >= 1e6 else "kΩ")
    return f"{ohms}, {show(r.watts, 'W', 2)} or more, for {show(r.peak, 'V', 3)} peak or more"


def discharge_tool(capacitance: float, voltage: float) -> Bleeder:
    """The resistor of a hand-held discharge tool: 50 V in about five seconds, never above 20 kΩ.

    watts is the power in the first instant [W]; it lasts for one time constant.
    """
    residual = rule("residual_voltage").value
    most = greatest_bleeder(capacitance, voltage, residual, rule("tool_seconds").value)
    ohms = next_lower_e24(min(most, rule("tool_ohms_most").value))
    top = peak(voltage)
    return Bleeder(ohms, top * top / ohms, top, discharge_time(capacitance, ohms, voltage, residual))


def most_ac_of_film(voltage_dc: float) -> float:
    """Upper bound on the AC volts of a film capacitor that carries only a DC rating [V]; never a rating.

    >>> round(most_ac_of_film(600))
    212
    """
    return voltage_dc / rule("film_dc_to_ac").value


def in_series(capacitances: Sequence[float]) -> float:
    """Harmonic sum [F].

    >>> in_series([50e-6, 50e-6])
    2.5e-05
    """
    return 1 / math.fsum(1 / c for c in capacitances)


def worst_shares(bands: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """The largest fraction [-] of the whole voltage each series element can get on AC.

    bands: (least, greatest) capacitance of each element [F]. AC divides by 1/C, so an element gets most when
    it is at its least and all others at their greatest.

    >>> worst_shares([(50e-6, 50e-6), (50e-6, 50e-6)])
    (0.5, 0.5)
    """
    shares = []
    for i, (least, _) in enumerate(bands):
        others = math.fsum(1 / most for j, (_, most) in enumerate(bands) if j != i)
        shares.append((1 / least) / (1 / least + others))
    return tuple(shares)


def life_hours(hours: float, voltage_ratio: float, over_temperature: float) -> tuple[float, float, float]:
    """Least, likely and greatest life [h] from the class life [h].

    L = L0 (V/Vr)^-n 2^(-dT/h). voltage_ratio: working over rated volts [-]; over_temperature: case above
    (+) or below (-) its rating [K]. The band comes from the printed range of n (5, 9, 16) and h (10, 6.5 K).
    No credit beyond 100 000 h.

    >>> [round(h) for h in life_hours(10_000, 1.0, 0.0)]
    [10000, 10000, 10000]
    """
    exponents = [rule(n).value for n in ("life_exponent_least", "life_exponent", "life_exponent_most")]
    halvings = [rule(n).value for n in ("life_halving", "life_halving_steep")]
    ratio = max(voltage_ratio, 1e-3)
    every = [hours * ratio**-n * 2 ** (-over_temperature / h) for n in exponents for h in halvings]
    likely = hours * ratio ** -exponents[1] * 2 ** (-over_temperature / halvings[0])
    most = rule("life_most_hours").value
    return min(min(every), most), min(likely, most), min(max(every), most)
