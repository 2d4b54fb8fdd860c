"""What a fitter can do about a breach that is within reach; empty when only time or nothing helps."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.rolling_bearing.designations import DIMENSIONS
from partsdb.families.rolling_bearing.figures import RULES, load_on
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, judgement

MADE = {
    "bore": "turn a sleeve for the shaft, wall {0}, shrunk on and ground to k5",
    "outside": "turn a ring for the housing, wall {0}, pressed in and bored to H7",
    "width": "turn a spacer ring {0} wide, faces parallel",
}


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """The changes that cure the breach."""
    if limit.attribute in DIMENSIONS and isinstance(limit.accept, Interval):
        return _of_size(limit, limit.accept, offered, duty)
    if limit.attribute == "closure" and isinstance(limit.accept, tuple):
        return _of_closure(limit.accept, offered.code("closure"))
    return ()


def _of_size(limit: Limit, accept: Interval, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """A sleeve, a ring, a spacer, or retaining compound on a worn seat.

    A bearing of another section may be far weaker, whatever fits round it: only where its life can be worked out.
    """
    name, size, bonded = limit.attribute, offered.num(limit.attribute), RULES["seat_bonded"]
    if size is None:
        return ()
    gap = max(accept.lower - size, size - accept.upper)
    if limit.kind == "within":  # from the seat itself as it measures, not from what still sits on it
        gap = abs(size - (accept.upper - RULES["seat_loose"].value))
        if gap <= bonded.value * (1 + 1e-9):
            text = "retaining compound for the gap on a clean, degreased seat; better: build up the seat and regrind it"
            return (Change(name, text, 1.5, bonded.source),)
    thinnest = RULES["sleeve_wall"].value
    wall, least = (gap, thinnest / 2) if name == "width" else (gap / 2, thinnest)
    life_known = all((load_on(offered, duty), number(duty, "shaft_speed"), number(duty, "wanted_life_hours")))
    if wall < least or not (life_known and offered.has("dynamic_rating")):
        return ()
    source = judgement("a turned ring, walls not thinner than the table says")
    return (Change(name, MADE[name].format(show(wall, "mm")), 3.0, source),)


def _of_closure(wanted: tuple[str, ...], offered: str | None) -> tuple[Change, ...]:
    """Seals and shields come out with a pick; an open bearing needs grease and something that keeps it in."""
    if offered == "open" and wanted:
        text = (
            "make a grease supply: pack bearing and housing (30 to 50 % of the space), a lip or felt seal on each "
            "side, a nipple and a plan for greasing"
        )
        return (Change("closure", text, 2.0, RULES["grease_least"].source),)
    if set(wanted) & {"open", "Z", "RS"} and offered not in (None, "open"):
        sides = "both sides" if "open" in wanted else "the side that was open"
        text = f"take the seals or shields out on {sides} with a pick, wash out the grease if oil runs there"
        return (Change("closure", text, 0.3, PRACTICE),)
    return ()
