"""Fitting V-belts: what goes with them, what to check with figures, how long they last."""

from __future__ import annotations

import math

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.v_belt import drives
from partsdb.families.v_belt.drives import pieces
from partsdb.families.v_belt.sections import tolerance
from partsdb.intervals import Interval
from partsdb.model import Change, Life, Limit, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement
from partsdb.tables import load

COOL = 333.15  # air up to this doesn't shorten a belt's life [K]; from memory
USUAL_HOURS = (6_000.0, 15_000.0, 25_000.0)  # of a drive within its rating; judgement
RIM_LIMIT = 6500 * 0.3048 / 60  # of cast-iron pulleys [m/s]: 6500 ft/min on a pulley maker's public page


def life(spec: Spec, duty: Duty) -> Life:
    """Hours to be expected of a well tensioned set; unknown for light-duty belts and where load isn't known."""
    section, design = spec.code("section"), drives.design_power(duty)
    wanted = pieces(spec, duty)
    can = drives.carried(section, spec, wanted, duty) if section else None
    if can is None or design is None or can < design:
        return Life(None, None, None, PRACTICE, "the maker's rating of the belt, or the load, isn't known")
    ambient = asked(duty, "ambient")
    heat = 0.5 ** (max((ambient if ambient is not None else COOL) - COOL, 0.0) / 10)
    low, mid, high = (h * heat for h in USUAL_HOURS)
    text = f"rated {show(can, 'kW', 3)} for {show(design, 'kW', 3)} with service factor; halved for every 10 °C over 60"
    return Life(low, mid, high, judgement("usual life of a drive within its rating"), text)


def speed_figures(spec: Spec, duty: Duty) -> tuple[tuple[str, str], ...]:
    """Belt speed against what cast-iron pulleys stand, when the speed is known."""
    speed = drives.speed_of(duty)
    if speed is None:
        return ()
    verdict = "above" if speed > RIM_LIMIT else "within"
    return (
        ("belt and rim speed", show(speed, "m/s", 3)),
        ("usual limit of cast-iron pulleys", f"{show(RIM_LIMIT, 'm/s', 2)}: {verdict} it"),
    )


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with it."""
    wanted = pieces(spec, duty)
    whole = (
        f"the whole set of {wanted} belts, one maker and match"
        if wanted > 1
        else "count the grooves: a belt for each"
    )
    return (whole, "new pulleys if the grooves are worn hollow", "bolts for the guard")


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check on arrival and after fitting, with figures."""
    found = ["on arrival: same mark, maker and match number on every belt"]
    outside = spec.num("outside_length")
    if outside is not None:
        found.append(
            f"tape round the outside: {show(outside, 'mm')} ± {show(tolerance(outside)[0], 'mm', 2)}"
        )
    figures = drives.fitting_of(spec, duty)
    if figures is not None:
        found.append(
            f"centre distance about {show(figures.centres, 'mm')}, free span {show(figures.span, 'mm')}"
        )
        found.append(
            f"press the middle of the span by {show(figures.deflection, 'mm', 2)} (1/64) at the maker's force"
        )
        found.append(f"arc on the small pulley {math.degrees(figures.wrap):.0f}°")
    else:
        found.append("press the middle of the free span by 1/64 of its length at the maker's force")
    found.append("straight edge across both pulleys: it touches at all four places")
    found.append("belts level with the rim, or a little above; guard on")
    found.append("tension again after the first day of running (24 to 48 h): new belts stretch")
    return tuple(found)


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The pass test of a belt from the drawer."""
    found = [
        "bend it inside out round a thumb: no cracks, no cord showing, no hard or glazed flanks, no oil",
        "made less than about seven years ago and hung without kinks",
    ]
    outside = spec.num("outside_length")
    if outside is not None:
        most = outside + tolerance(outside)[0]
        found.append(
            f"tape round the outside: {show(outside, 'mm')}, longer than {show(most, 'mm')} is stretched"
        )
    if pieces(spec, duty) > 1:
        found.append(f"belts of one set agree within {show(tolerance(outside or 0.0)[1], 'mm', 2)}")
    return tuple(found)


def groove_changes(offered: Spec) -> tuple[Change, ...]:
    """A belt of another section in these grooves: what to measure first."""
    height = offered.num("height")
    deep = f" of at least {show(height, 'mm')}" if height is not None else ""
    text = (
        f"measure the groove first: a depth{deep} and the belt's own angle; it must stand level with the rim and clear "
        "of the bottom"
    )
    return (Change("section", text, 0.5, load("belt_sections").source),)


def rails_changes(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """A belt of another length: how far the rails move for it; () when that can't be worked out."""
    datum, length = offered.num("datum_length"), offered.num(limit.attribute)
    if datum is None or length is None or not isinstance(limit.accept, Interval):
        return ()
    was = (limit.accept.lower + limit.accept.upper) / 2 - (
        length - datum
    )  # at the datum line, whatever the limit
    drive = drives.drive_of(duty)
    old, new = (drives.centres_for(x, drive) if drive else x / 2 for x in (was, datum))
    if old is None or new is None:
        return ()
    way = "out" if new > old else "in"
    text = (
        f"move the rails {show(abs(new - old), 'mm', 2)} {way} for the other length, and see that travel to "
        "slacken and to tighten is left"
    )
    return (Change(limit.attribute, text, 0.5, Source("geometry of the open drive", "derived")),)
