"""Rotary shaft lip seals (oil seals): a rubber or leather lip on a turning shaft, in a case pressed into a housing.

How they read: shaft x housing bore x width, in that order, in millimetres or inches ("30x52x7", "1.500 2.250
0.375"), the lip's material (NBR, FKM ...), the type ("AS": rubber-covered with dust lip), and on one-way lips an
arrow or a hand. Some old inch numbers give the bore first; some give only a maker's number.
Measure the metal, not the seal: a seal is smaller inside than its shaft and larger outside than its bore. Lip
bores wear larger, shafts smaller, and a groove under the lip makes the best new seal leak. What kills them: heat,
a dry lip, a worn bearing that lets the shaft run out, a blocked breather, grit.

Sources: DIN 3760, ISO 6194-1 (sizes, types, fits), ISO 286-2 (h11, H8), BS 3574 (shelf life); each with its status
in the tables beside this file. Two seals back to back are one order of two pieces, not a stand-in for another
size, so there are no combinations.

    limits    what the place asks of a replacement
    cures     what a fitter can do about a breach
    figures   fits, lip materials, lip speed and pressure, and the figures that the texts name
"""

from __future__ import annotations

from partsdb.families.shaft_seal import cures, figures, limits
from partsdb.families.shaft_seal.figures import MM, materials
from partsdb.kit import family
from partsdb.model import Spec, Value, number, word
from partsdb.source import Source


def derive(spec: Spec) -> tuple[Value, ...]:
    """What its material bears; a plain lip where no hand is marked; and that it runs where the old one ran."""
    unmarked = Source("one-way lips carry an arrow or a hand", "common practice")
    same_seat = Source("a seal in the same seat runs on the same track", "stated")
    found = [word("lip_track", "old", same_seat), word("helix", "none", unmarked)]
    if (material := materials().get(spec.code("material") or "")) is not None:
        found += [
            number("lip_speed", material.most_speed, material.source),
            number("temperature_max", material.most, material.source),
            number("temperature_min", material.least, material.source),
        ]
    return tuple(found)


def title_of(spec: Spec) -> str:
    """ "30 × 52 × 7 mm oil seal AS NBR"."""
    size = [spec.num(name) for name in ("shaft", "bore", "width")]
    across = " × ".join(f"{x / MM:g}" for x in size if x is not None) + " mm" if all(size) else ""
    hand = {"left": "left-hand", "right": "right-hand", "both": "two-way"}.get(spec.code("helix") or "", "")
    parts = (across, "oil seal", spec.code("design") or "", spec.code("material") or "", hand)
    return " ".join(part for part in parts if part)


FAMILY = family(
    __name__,
    require=limits.require,
    title_of=title_of,
    figures=figures.figures,
    derive=derive,
    cures=cures.cures,
)
