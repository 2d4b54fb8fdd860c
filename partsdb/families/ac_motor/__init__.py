"""AC induction motors, single- and three-phase.

Plates carry power (hp with fractions, kW, PS), full-load speed, volts, amperes, hertz, phases and a frame; one
that can be connected for two voltages pairs them ("220/440 V, 14/7 A"), which are connections #1 and #2 here.
The frame names feet and shaft, by era: NEMA original (to 1952), U (to 1964), T (since), IEC (shaft height in
mm). 182 and 182T stand on the same feet with another shaft; the nearest NEMA frame of an IEC one never drops in.
The current of a motor is its plate's; tables give typical ones. Speed is matched by poles, not by the printed
rpm. The design letter (torque) is not the code letter (starting kVA). What kills them: lost phases, overload,
wrong volts per hertz, heat, worn bearings. A 60 Hz motor on 50 Hz wants 5/6 of its volts and gives at most 5/6 of
its power and speed. Two motors never share a load here: sharing needs matched slip, which no plate tells.

Sources: NEMA MG 1, NEC 430.248 and 430.250, IEC 60034-1, IEC 60072-1, IEC 60085; tables beside this file.

    plate     frames, and what follows from a plate          agrees    how well its numbers agree
    figures   formulas                                       asked     what a place asks, life, figures of the texts
    limits    the envelope                                   cures     what depends on more than the attribute
"""

from __future__ import annotations

import re

from partsdb.families.ac_motor import asked, plate
from partsdb.families.ac_motor.agrees import CONSISTENCY
from partsdb.families.ac_motor.cures import cures
from partsdb.families.ac_motor.limits import require
from partsdb.kit import family
from partsdb.model import Spec
from partsdb.quantities import show


def title_of(spec: Spec) -> str:
    """ "7.5 kW 4-pole motor, 230/460 V 60 Hz, frame 215T"; in horsepower where its plate says so."""
    power, poles, kind = spec.first("power"), spec.num("poles"), spec.code("motor_type")
    words = [_power_text(power.low, power.as_written)] if power and power.low else []
    words += [f"{poles:g}-pole"] if poles else []
    words += [kind.replace(" ", "-")] if kind not in (None, "cage") else []
    volts = "/".join(f"{v.low:g}" for v in spec.all("voltage") if v.low)
    hertz = spec.first("frequency")
    ends = dict.fromkeys(x for x in (hertz.low, hertz.high) if x is not None) if hertz else {}
    cycles = "/".join(f"{x:g}" for x in ends) + " Hz" if ends else ""
    rated = f"{volts} V {cycles}" if volts else cycles
    frame = f"frame {spec.code('frame')}" if spec.has("frame") else ""
    return ", ".join(text for text in (" ".join([*words, "motor"]), rated.strip(), frame) if text)


def _power_text(watts: float, as_written: str) -> str:
    horses = re.search(r"B?H\.?P", as_written, re.IGNORECASE)
    return show(watts, "hp" if horses else "kW", 3)


FAMILY = family(
    __name__,
    require=require,
    title_of=title_of,
    figures=asked.figures,
    cures=cures,
    consistency=CONSISTENCY,
    derive=plate.follows,
    life=asked.life,
)
