"""What follows from a transformer's plate, and how well its values agree."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from partsdb.families.transformer.formulas import inrush_capacity, rule
from partsdb.family import Consistency
from partsdb.model import Spec, Value, number, word
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

FLUX = Source("flux goes with V / f", "derived")
PCB_RULE = Source(
    "40 CFR 761.2(a): fluid-filled units from before 2 July 1979 are assumed to hold PCB", "verified"
)
ONE_PHASE = Source("its plate names no phases, and a three-phase one does (common practice)", "stated")

# --------------------------------------------------------------------------- what follows


def follows(spec: Spec) -> tuple[Value, ...]:
    """Volts per hertz, every primary connection, VA from V·A, inrush from impedance, phases, filling."""
    return (*_of_connections(spec), *_of_power(spec), *_phases(spec), *_filling(spec))


def _of_connections(spec: Spec) -> Iterator[Value]:
    """A part is judged in one connection at a time; what it can be connected for belongs to each of them."""
    cycles = spec.first("frequency")
    for v in spec.all("primary_voltage"):
        if v.middle is not None:
            yield number("primary_connection", v.middle, v.source)
        if v.high is not None and cycles is not None and cycles.low:
            # arithmetic on what the plate says is as good as what it says
            source = Source(f"{v.source.citation}; volts by hertz", v.source.status)
            yield number("volts_per_hertz", v.high / cycles.low, source, variant=v.variant)


def _of_power(spec: Spec) -> Iterator[Value]:
    power, impedance = spec.num("apparent_power"), spec.num("impedance")
    volts, amperes = spec.all("secondary_voltage"), spec.num("secondary_current")
    if power is None and amperes is not None and len(volts) == 1 and volts[0].middle:
        root = math.sqrt(3) if spec.num("phases") == 3 else 1.0
        power = volts[0].middle * amperes * root
        yield number("apparent_power", power, Source("S = V I", "derived"))
    if power is not None and impedance:
        most = inrush_capacity(power, impedance, rule("inrush_drop").value)
        yield number("inrush_power", most, Source("behind its impedance, worst angle", "derived"))


def _phases(spec: Spec) -> Iterator[Value]:
    power = spec.num("apparent_power")
    if power is not None and power <= rule("single_phase_va").value:
        yield number("phases", 1.0, ONE_PHASE)


def _filling(spec: Spec) -> Iterator[Value]:
    made, power = spec.num("made"), spec.num("apparent_power")
    if spec.code("cooling") == "dry":
        yield word("content", "no PCBs", Source("a dry unit holds no fluid", "reproduction"))
    elif made is not None:
        yield word("content", "no PCBs" if made >= 1980 else "PCB assumed", PCB_RULE)
    elif spec.code("cooling") is None and power is not None and power <= rule("small_va").value:
        yield word("content", "no PCBs", rule("small_va").source)


# --------------------------------------------------------------------------- what agrees
# log factors of arrays [nat]; unknown (NaN) counts as 0


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
    """Large ones are mostly three-phase, small ones hardly ever."""
    size, count = np.asarray(power, dtype=float), np.asarray(phases, dtype=float)
    return np.where((size > 10e3) & (count == 1), -1.0, np.where((size < 1e3) & (count == 3), -2.0, 0.0))


_AT_HOME = {
    hertz: [
        float(r["rating"]) for r in load("sizes", __package__).rows if r["hertz"] == hertz and r["rating"]
    ]
    for hertz in ("50", "60")
}


def volts_at_home(volts: Any, hertz: Any) -> Any:
    """480 and 208 V belong to 60 Hz countries, 380 to 415 V to 50 Hz ones."""
    cycles = np.nan_to_num(np.asarray(hertz, dtype=float), nan=0.0)
    abroad = ((cycles == 60) & np.isin(volts, _AT_HOME["50"])) | (
        (cycles == 50) & np.isin(volts, _AT_HOME["60"])
    )
    return np.where(abroad, -1.2, 0.0)


CONSISTENCY = (
    Consistency(("apparent_power", "secondary_voltage", "secondary_current", "phases"), current_agrees, FLUX),
    Consistency(("apparent_power", "secondary_voltage"), amperes_usual, PRACTICE),
    Consistency(("primary_voltage", "secondary_voltage"), steps_down, PRACTICE),
    Consistency(("apparent_power", "phases"), phases_usual, PRACTICE),
    Consistency(("primary_voltage", "frequency"), volts_at_home, PRACTICE),
)
