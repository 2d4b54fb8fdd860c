"""What is done about a V-belt that isn't the same: grooves measured, rails moved, belts bought together and matched."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.families.v_belt import drives
from partsdb.families.v_belt.sections import tolerance
from partsdb.families.v_belt.sets import MATCHING
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source
from partsdb.tables import load


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """The change that cures a breach within reach, with its working hours."""
    if limit.attribute == "section":
        return (_groove(offered),)
    if limit.attribute in ("datum_length", "outside_length"):
        return _rails(limit, offered, duty)
    if limit.attribute == "count" and isinstance(limit.accept, Interval) and offered.num("count") == 1:
        text = f"fit {limit.accept.lower:.0f} of them at once, of one maker and batch or match number; none of the old"
        return (Change("count", text, 0.0, PRACTICE),)
    if limit.attribute == "matching":
        most = show(tolerance(offered.num("datum_length") or 0.0)[1], "mm", 2)
        text = f"measure the outside length of each with one tape: they may differ by {most} at most"
        return (Change("matching", text, 0.25, MATCHING),)
    return ()


def _groove(offered: Spec) -> Change:
    height = offered.num("height")
    deep = f" of at least {show(height, 'mm')}" if height is not None else ""
    angle = "the belt's own angle; it must stand level with the rim and clear of the bottom"
    text = f"measure the groove first: a depth{deep} and {angle}"
    return Change("section", text, 0.5, load("sections", __package__).source)


def _rails(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """How far the rails move for a belt of another length; () when that can't be worked out."""
    datum, length = offered.num("datum_length"), offered.num(limit.attribute)
    if datum is None or length is None or not isinstance(limit.accept, Interval):
        return ()
    middle = (limit.accept.lower + limit.accept.upper) / 2
    was = middle - (length - datum)  # at the datum line, whatever the limit
    drive = drives.drive_of(duty)
    old, new = (drives.centres_for(x, drive) if drive else x / 2 for x in (was, datum))
    if old is None or new is None:
        return ()
    move = f"{show(abs(new - old), 'mm', 2)} {'out' if new > old else 'in'}"
    text = (
        f"move the rails {move} for the other length, and see that travel to slacken and to tighten is left"
    )
    return (Change(limit.attribute, text, 0.5, Source("geometry of the open drive", "derived")),)
