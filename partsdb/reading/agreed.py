"""What the readings of a text agree in: of a part that is put on record nothing is kept that only some of them say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from partsdb.model import Hypothesis


def agreed(readings: Sequence[Hypothesis], least: float) -> Hypothesis:
    """The likeliest reading with those of its values that hold in at least `least` of what is believed [-], none of
    them read by changing a legible glyph. readings: of one kind, the likeliest first."""
    total = sum(h.probability for h in readings)
    shares: dict[object, float] = {}
    for h in readings:
        for key in {v.key for v in h.relied_on.values}:
            shares[key] = shares.get(key, 0.0) + h.probability / total
    best = readings[0]
    kept = tuple(v for v in best.relied_on.values if shares[v.key] >= least)
    return replace(best, spec=replace(best.spec, values=kept))
