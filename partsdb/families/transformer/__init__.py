"""Control and power transformers, up to a few hundred kVA.

Plates give primary and secondary volts (several connections or taps: 240 X 480, 380/400/415), VA or kVA, cycles,
phases, sometimes insulation class, rise and impedance. Primary connections are variants; the ways to join a
split secondary are qualifiers ("parallel", "series"), because they are chosen independently. Flux goes with volts
per hertz: a 60 Hz unit on 50 Hz at the same volts carries 120 % and cooks. Control transformers must also
hold their volts while coils pull in. Buck-boost plates name what passes through the windings, not the load;
constant-voltage types are tuned to their frequency and fit nothing else.

Sources: insulation classes (IEC 60085), coil limits (TM 5-683), 40 CFR 761.2, with their status in the tables beside
this file.

    formulas  current, output, inrush, boosting, heat and life
    plates    what follows from a plate, and how well its values agree
    feed      what feeds it, what it feeds, what it then bears
    figures   what the texts name, and how long one lives
    limits    what the place asks of a replacement
    cures     another tap, or a small one in series
"""

from __future__ import annotations

from partsdb.families.transformer import plates
from partsdb.families.transformer.cures import cures
from partsdb.families.transformer.figures import figures, life
from partsdb.families.transformer.limits import require
from partsdb.kit import family
from partsdb.model import Spec
from partsdb.quantities import show


def title_of(spec: Spec) -> str:
    """A short trade name: "250 VA 240/480-120 V 60 Hz control"."""
    power, cycles = spec.num("apparent_power"), spec.first("frequency")
    sides = [
        "/".join(f"{v.middle:g}" for v in spec.all(side) if v.middle) or "?"
        for side in ("primary_voltage", "secondary_voltage")
    ]
    words = [show(power, "kVA" if power >= 5000 else "VA") if power else "? VA", f"{sides[0]}-{sides[1]} V"]
    if cycles is not None and cycles.low and cycles.high:
        words.append(
            show(cycles.low, "Hz") if cycles.low == cycles.high else f"{cycles.low:g}/{cycles.high:g} Hz"
        )
    return " ".join([*words, *((spec.code("kind") or "",) if spec.has("kind") else ())])


def _serves(offered: str, needed: str) -> bool:
    """A split secondary can be joined either way, so both its volts are on offer."""
    return not needed or offered == needed


FAMILY = family(
    __name__,
    require=require,
    title_of=title_of,
    figures=figures,
    cures=cures,
    consistency=plates.CONSISTENCY,
    derive=plates.follows,
    qualifies=_serves,
    life=life,
)
