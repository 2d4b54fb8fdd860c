"""Contactors and starters: switches that a coil closes, for motors and heaters.

Plates read in two ways. IEC: amperes and kilowatts by utilization category and voltage ("AC-3 400 V 25 A
11 kW"); each is a `current` or `power` under a qualifier "AC-3@400V". NEMA: a size ("SIZE 1"), whose
continuous amperes and most horsepower follow from a table. Both carry the coil's volts and hertz, often on
the coil itself. What kills them: inching and reversing (the contacts break six times the running current),
a coil on the wrong volts or hertz, low control volts (chatter welds contacts), dirt on the pole faces.

AC-4 (inching, reversing) is never worked out from AC-3, from a NEMA size or from AC-1, nor DC from AC: the
part carries the rating or the maker says it. A maker's letter sizes are not NEMA sizes. Poles in series for
breaking DC are no combination of parts here: they need the maker's DC figures, which are a rating.
Sources: NEMA ICS 2, IEC 60947-4-1, NEC 430.250, TM 5-683; tables beside this file, with their status.

    ratings   NEMA sizes, the coil's window, the life of contacts; what follows from a plate
    asked     what a duty asks of the contacts, how long they last, and the figures its texts name
    limits    what the place asks of a replacement
"""

from __future__ import annotations

from partsdb.families.contactor import asked, ratings
from partsdb.families.contactor.limits import require
from partsdb.family import Consistency
from partsdb.kit import family
from partsdb.model import Spec
from partsdb.physics.utilization import serves

# a size and its amperes on one plate agree with ICS 2
SIZE = Consistency(("nema_size", "current@continuous"), ratings.size_agrees, ratings.NEMA.source)


def title_of(spec: Spec) -> str:
    """ "25 A AC-3@400V, coil 230 V 50 Hz"; "NEMA size 1, coil 120 V 60 Hz"."""
    size, best = spec.code("nema_size"), next((v for v in spec.all("current") if v.low), None)
    what = "starter" if spec.code("device") == "starter" else "contactor"
    rated = f"NEMA size {size}" if size else f"{best.low:g} A {best.qualifier}" if best else what
    rated += " starter" if what == "starter" and rated != what else ""
    ends = [(v.low, v.high) for v in spec.all("coil_voltage")[:1] if v.low is not None and v.high is not None]
    coil = [f"{low:g} V" if low == high else f"{low:g}-{high:g} V" for low, high in ends]
    coil += [f"{f} Hz" for f in (spec.code("coil_frequency"),) if f]
    coil += ["DC"] if spec.code("coil_kind") == "DC" else []
    return rated + (f", coil {' '.join(coil)}" if coil else "")


FAMILY = family(
    __name__,
    require=require,
    title_of=title_of,
    figures=asked.figures,
    consistency=(SIZE,),
    derive=ratings.follows,
    qualifies=serves,
    life=asked.expected_life,
)
