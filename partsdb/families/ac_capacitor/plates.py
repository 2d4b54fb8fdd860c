"""What follows from a capacitor's plate, and how well the values on one agree."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from partsdb.families.ac_capacitor.formulas import capacitance_of, most_ac_of_film, reactive_power, rule
from partsdb.family import Consistency
from partsdb.model import Spec, Value, number, span, word
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

FORMULA = Source("Q = 2 pi f C V²", "derived")
DRY = Source(
    "metallised film is dry and PCB free, electrolytics hold watery electrolyte: makers' sheets",
    "reproduction",
)
BANNED = Source("40 CFR 761.2(a)(4): PCB assumed when made before 2 July 1979", "verified")
YOUNG = Source("classes on the plate are younger than 1979", "common practice")
READ = Source("its ohms were read", "measured")


def follows(spec: Spec) -> tuple[Value, ...]:
    """Service, filling, capacitance from kvar, and the bound on AC volts of a part rated for DC only."""
    return (*_size(spec), *_service(spec), *_filling(spec))


def _size(spec: Spec) -> Iterator[Value]:
    volts_dc, rated, hertz = spec.first("voltage_dc"), spec.first("voltage_ac"), spec.first("frequency")
    power = spec.num("kvar")
    if rated is None and volts_dc is not None and volts_dc.high is not None:
        yield span("voltage_ac", None, most_ac_of_film(volts_dc.high), rule("film_dc_to_ac").source)
    if power is None or rated is None or rated.low is None or hertz is None or hertz.low is None:
        return
    if not spec.has("capacitance") and hertz.low == hertz.high:
        yield number("capacitance", capacitance_of(power, rated.low, hertz.low), FORMULA)


def _service(spec: Spec) -> Iterator[Value]:
    size = spec.first("capacitance")
    if spec.code("construction") == "electrolytic" or (size is not None and size.low != size.high):
        yield word("service", "start", PRACTICE)
    elif spec.has("kvar") or (spec.num("phases") or 1) > 1:
        yield word("service", "correction", PRACTICE)
    if spec.has("bleeder_ohms"):
        yield word("bleeder", "built in", READ)


def _filling(spec: Spec) -> Iterator[Value]:
    made = spec.num("made")
    kept = {v.code for v in (*spec.all("service"), *_service(spec)) if v.attribute == "service"}
    if spec.code("construction") in ("film", "electrolytic") or kept == {"start"}:
        yield word("content", "no PCBs", DRY)
    elif made is not None:
        yield word("content", "no PCBs" if made >= 1980 else "PCB assumed", BANNED)
    elif spec.has("life_class") or spec.has("safety_class"):
        yield word("content", "no PCBs", YOUNG)


# --------------------------------------------------------------------------- how well values agree


def _kvar_agrees(capacitance: Any, volts: Any, hertz: Any, power: Any) -> Any:
    """kvar against 2 pi f C V²; a plate may give µF per phase, then it is three times as much."""
    off = np.log(power / reactive_power(capacitance, volts, hertz))
    off = np.minimum(np.abs(off), np.abs(off - math.log(3)))
    return np.nan_to_num(np.maximum(-0.5 * (off / 0.05) ** 2, -8.0), nan=0.0)


def _size_suits(capacitance: Any, service: Any) -> Any:
    """Run capacitors are small, start capacitors large: 150 µF in run and 10 µF in start are rare."""
    known = np.nan_to_num(np.asarray(capacitance, dtype=float), nan=50e-6)
    return np.where(
        ((service == "run") & (known > 105e-6)) | ((service == "start") & (known < 20e-6)), -4.0, 0.0
    )


def _volts_suit(volts: Any, service: Any) -> Any:
    """Start capacitors are made for 110 to 330 V; run capacitors seldom for less than 220 V."""
    known = np.nan_to_num(np.asarray(volts, dtype=float), nan=250.0)
    return np.where(((service == "run") & (known < 210)) | ((service == "start") & (known > 400)), -2.0, 0.0)


def _at_home(hertz: str) -> list[float]:
    return [float(r["value"]) for r in load("sizes", __package__).rows if r["hertz"] == hertz]


_AT_50, _AT_60 = _at_home("50"), _at_home("60")


def _volts_at_home(volts: Any, hertz: Any) -> Any:
    """370 and 440 V belong to 60 Hz countries, 400 and 450 V to 50 Hz ones."""
    cycles = np.nan_to_num(np.asarray(hertz, dtype=float), nan=0.0)
    abroad = ((cycles == 60) & np.isin(volts, _AT_50)) | ((cycles == 50) & np.isin(volts, _AT_60))
    return np.where(abroad, -1.5, 0.0)


CONSISTENCY = (
    Consistency(("capacitance", "voltage_ac", "frequency", "kvar"), _kvar_agrees, FORMULA),
    Consistency(("capacitance", "service"), _size_suits, PRACTICE),
    Consistency(("voltage_ac", "service"), _volts_suit, PRACTICE),
    Consistency(("voltage_ac", "frequency"), _volts_at_home, PRACTICE),
)
