"""What the place of a V-belt asks of one: groove, length, power class, number and matching, pulley, speed, rubber."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from partsdb.families.v_belt import drives, power
from partsdb.families.v_belt.marks import ONE_LISTED, system_of
from partsdb.families.v_belt.sections import CAPACITIES, Section, fits_pulleys_of, sections, tolerance
from partsdb.families.v_belt.sets import MATCHING
from partsdb.family import Rule
from partsdb.intervals import Interval
from partsdb.kit import Fact, Place, as_good_as, at_least, at_most, fact, moot, one_of, question, same, within
from partsdb.ladders import at_least as classes_from
from partsdb.quantities import show
from partsdb.source import PRACTICE, judgement
from partsdb.tables import load

FAST = 25.0  # up to this belt speed every section may run [m/s]
CLASSICAL = 30.0  # classical sections run no faster [m/s]; belts that may are put where it counts
FRACTIONAL = 745.7  # "fractional horsepower": up to one hp a belt [W]
TOGETHER = ("single", "one set", "matched")
HALF_LOAD = (
    "run at half the usual load or less until the right belts are in",
    "attended: after ten minutes stop, isolate and feel the pulleys; too hot to touch means slipping, so stop",
)


def require(place: Place) -> Iterator[Rule | None]:
    """The envelope of the place. What follows from the section waits for it: its silence asks."""
    section = sections().get(place.was.code("section") or "")
    if section is not None:
        yield _groove(place, section)
        yield _capacity(place, section)
        yield _pulley(place, section)
    yield from _length(place)
    yield _pulleys_agree(place)
    yield from _set(place)
    yield from _speed(place, section)
    yield _rubber(place)


def _groove(place: Place, section: Section) -> Rule | None:
    safe, measured = fits_pulleys_of(section.code)
    want = fact(section.code, f"plate: section {section.code}", section.source)
    breach = "it doesn't sit in these grooves: it rides out or runs on the bottom"
    return one_of(place, "section", "fit", breach, safe, want=want, reach=(*safe, *measured))


def _length(place: Place) -> Iterator[Rule | None]:
    """The datum length, or for belts marked by their outside that one: it is what the mark really says."""
    outside = system_of(place.was) == "outside inch"
    name, other = ("outside_length", "datum_length") if outside else ("datum_length", "outside_length")
    yield moot("a belt is compared by the length that its number means", other)
    known, datum = place.plate(name), place.was.num("datum_length")
    if known is None or known.number is None:
        return
    length, off = known.number, tolerance(known.number)[0]
    low, high, more = length - off, length + off, length - (datum or 0.0)
    reach = drives.reach_of_rails(datum, place.duty) if datum is not None else None
    rails = "; state the travel of the slide rails (take_up): they may make up for it"
    if reach is not None:
        known_drive = drives.drive_of(place.duty) is not None
        rails = "" if known_drive else "; state both pulleys and their distance: the rails may reach further"
    line = "outside" if outside else "at the datum line"
    want = known.to(low, high, f"{show(length, 'mm')} {line}, as such belts may differ", MATCHING)
    far = Interval(min(low, reach[0] + more), max(high, reach[1] + more)) if reach else None
    yield within(place, name, "fit", f"too far from the length that ran there{rails}", want=want, reach=far)


def _pulleys_agree(place: Place) -> Rule | None:
    if not drives.disagree(place.was, place.duty):
        return None
    return question("size of the pulleys", "fit", "no belt of the old one's length goes round pulleys like these",
                    ask="measure both pulleys and their distance again", covers=drives.PULLEYS)  # fmt: skip


def _capacity(place: Place, section: Section) -> Rule | None:
    want = _least_class(place, section)
    weaker = CAPACITIES[max(CAPACITIES.index(want.code or section.capacity) - 1, 0)]
    return as_good_as(place, "capacity", "function", "it carries less: it slips, burns and breaks", want=want,
                      reach=classes_from(CAPACITIES, weaker), conditions=HALF_LOAD)  # fmt: skip


def _least_class(place: Place, section: Section) -> Fact:
    """The lowest power class that carries the load here, never above the old belt's own.

    Only belts that were counted on the drive share the load: the class must not fall by a number that is assumed.
    """
    duty, design = place.duty, drives.design_power(place.duty)
    belts = round(place.number("belt_count") or 1)
    if design is not None and design / belts <= FRACTIONAL:
        why = f"duty: {show(design / belts, 'kW', 3)} a belt with service factor, no more than one horsepower"
        return fact(CAPACITIES[0], why, load("service_factors", __package__).source)
    plain = [s for s in sections().values() if s.groove == section.groove and s.capacity == "classical"]
    for lower in plain if section.capacity != "light duty" else ():
        carried = drives.carried(lower.code, place.was, belts, duty)
        if design is not None and carried is not None and carried >= design:
            power_here = f"carry {show(carried, 'kW', 3)}, asked {show(design, 'kW', 3)}"
            why = f"duty: {belts} × {lower.code} {power_here}"
            return fact(lower.capacity, why, power.power_source(lower.code))
    return fact(section.capacity, f"plate: {section.title} belts", PRACTICE)


def _set(place: Place) -> Iterator[Rule | None]:
    """As many belts as the drive has. A belt that is no set stood alone, unless one couldn't carry the load."""
    counted, wanted = _counted(place), drives.pieces(place.was, place.duty)
    alone = "all replaced together; one new belt among old ones carries all the load"
    breach = f"the drive takes {wanted}, {alone}"
    want = counted and counted.to(float(wanted))
    yield at_least(place, "count", "function", breach, want=want, reach=Interval(1.0, None))
    if wanted > 1 and counted is not None:
        yield one_of(place, "matching", "function",
                     "unmatched belts don't share the load: the shortest is torn, the others slip", TOGETHER,
                     want=replace(counted, source=MATCHING), reach=(*TOGETHER, "not known"))  # fmt: skip
    design = drives.design_power(place.duty)
    carried = drives.carried(place.was.code("section"), place.was, wanted, place.duty)
    if "belt_count" not in place.duty and design is not None and carried is not None and carried < design:
        yield question("number of belts in the drive", "function", f"{wanted} like this don't carry the load",
                       ask="count the grooves of the small pulley", settled_by="belt_count")  # fmt: skip


def _counted(place: Place) -> Fact | None:
    """The belts of the drive: counted there, else as the old set says; what is only assumed says so."""
    own = place.was.first("count")
    if own is not None and own.source == ONE_LISTED:
        place = replace(place, was=place.was.without("count"))
    return place.wanted("count", "belt_count")


def _pulley(place: Place, section: Section) -> Rule | None:
    sizes = [d for d in map(place.number, ("driver_diameter", "driven_diameter")) if d is not None]
    source = judgement("no stiffer than the belt that ran there, or than the pulley allows")
    origin = "duty: small pulley, or what the old section stood"
    want = fact(max(min(sizes), section.least_pulley), origin, source) if sizes else None
    return at_most(place, "least_pulley", "life", "it is bent too sharply and cracks early", want=want)


def _speed(place: Place, section: Section | None) -> Iterator[Rule | None]:
    speed = drives.speed_of(place.duty)
    if speed is not None and speed > FAST:
        want = fact(speed, f"duty: belt speed {show(speed, 'm/s', 3)}", PRACTICE)
        yield at_least(place, "top_speed", "function", "at this speed it lifts out of the groove", want=want)
    if speed is None and section is not None and section.top_speed > CLASSICAL:
        yield question("belt speed", "life", f"a classical belt lifts out of the groove above {CLASSICAL:g} m/s",
                       ask="state driver_diameter and shaft_speed", settled_by="shaft_speed")  # fmt: skip


def _rubber(place: Place) -> Rule | None:
    known = place.plate("finish")
    if known is None or known.code == "antistatic":
        return same(place, "finish", "safety", "sparks from a charged belt light dust and vapour")
    return moot("any rubber does where no antistatic belt ran", "finish")
