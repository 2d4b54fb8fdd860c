"""A V-belt drive as its place describes it: geometry, speed, load, what the rails allow. SI units.

Every function answers None when the duty doesn't say enough; nothing is guessed in favour of a belt.
"""

from __future__ import annotations

import math

from partsdb.duty import Duty, number, word
from partsdb.families.v_belt import geometry, power
from partsdb.families.v_belt.power import Drive
from partsdb.families.v_belt.sections import tolerance
from partsdb.kit import Place
from partsdb.model import Life, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, judgement

PULLEYS = ("driver_diameter", "driven_diameter", "centre_distance")
HEAVY = 3  # load class taken when nobody says: textile and rubber machinery, hoists, presses
ALL_DAY = 24.0  # running hours a day taken when nobody says [h]
LEAST_GAIN = (
    0.9  # belt length over travel [-], pulleys of 4 : 1 at 0.7 (D + d), the steepest usual drive; judgement
)
COOL = 333.15  # air up to this doesn't shorten a belt's life [K]; from memory
USUAL_HOURS = (6_000.0, 15_000.0, 25_000.0)  # of a drive within its rating; judgement
RIM_LIMIT = 6500 * 0.3048 / 60  # of cast-iron pulleys [m/s]: 6500 ft/min on a pulley maker's public page


def drive_of(duty: Duty) -> Drive | None:
    """The drive when both pulleys and the centre distance are known and the pulleys don't overlap."""
    one, other, centres = (number(duty, term) for term in PULLEYS)
    if one is None or other is None or centres is None or min(one, other) <= 0:
        return None
    if not math.isfinite(centres) or centres < (one + other) / 2:
        return None
    return Drive(min(one, other), max(one, other), centres, number(duty, "shaft_speed") or 0.0)


def speed_of(duty: Duty) -> float | None:
    """Belt speed [m/s] from the driving pulley and its speed."""
    diameter, turning = number(duty, "driver_diameter"), number(duty, "shaft_speed")
    return None if diameter is None or turning is None else geometry.belt_speed(diameter, turning)


def pieces(spec: Spec, duty: Duty) -> int:
    """How many belts the drive takes: counted at the place, else as the old set says; 1 when nobody says."""
    told, held = number(duty, "belt_count"), spec.num("count")
    return max(1, round(told if told is not None else held if held is not None else 1))


def design_power(duty: Duty) -> float | None:
    """Load power times service factor [W].

    Where nobody says, the load is taken as heavy, the start as hard and reversing, the day as 24 hours.
    """
    load, hours = number(duty, "load_power"), number(duty, "hours_per_day")
    starting = word(duty, "starting") or "inched or reversed"
    hard, reversing = starting != "plain", starting == "inched or reversed"
    a_day = ALL_DAY if hours is None else hours
    factor = power.service_factor(HEAVY, a_day, hard_start=hard, reversing=reversing)
    return None if load is None else load * factor


def carried(section: str | None, spec: Spec, count: int, duty: Duty) -> float | None:
    """What `count` belts of a classical section carry in this drive [W]; spec gives their outside length and height."""
    drive, outside, height = drive_of(duty), spec.num("outside_length"), spec.num("height")
    if section is None or drive is None or outside is None or height is None or drive.turning <= 0:
        return None
    inside = outside - 2 * math.pi * height  # the two lines run one height apart all round
    return power.set_power(section, count, inside, drive) if inside > 0 else None


def reach_of_rails(datum: float, duty: Duty) -> tuple[float, float] | None:
    """Shortest and longest datum length [m] the slide rails make up for.

    The old belt of that datum length [m] is taken to stand in the middle of the travel (judgement), so half of it
    is left each way. Where the pulleys aren't known they count as the steepest drive that is usual.
    """
    travel, drive = number(duty, "take_up"), drive_of(duty)
    if travel is None or travel <= 0:
        return None
    if drive is None:
        return datum - LEAST_GAIN * travel, datum + LEAST_GAIN * travel
    centres = centres_for(datum, drive)
    if centres is None:
        return None
    return geometry.lengths_within(centres, drive.large, drive.small, travel / 2, travel / 2)


def centres_for(datum: float | None, drive: Drive | None) -> float | None:
    """Centre distance [m] at which a belt of that datum length [m] runs, None when it is too short."""
    try:
        return geometry.centre_distance(datum, drive.large, drive.small) if datum and drive else None
    except ValueError:
        return None


def disagree(spec: Spec, duty: Duty) -> bool:
    """Whether the pulleys are stated and no belt of the spec's length goes round them."""
    stated = all(term in duty for term in PULLEYS) and spec.has("datum_length")
    return stated and centres_for(spec.num("datum_length"), drive_of(duty)) is None


def life(spec: Spec, duty: Duty) -> Life:
    """Hours to be expected of a well tensioned set; unknown for light-duty belts and where load isn't known."""
    design, can = design_power(duty), carried(spec.code("section"), spec, pieces(spec, duty), duty)
    if can is None or design is None or can < design:
        return Life(None, None, None, PRACTICE, "the maker's rating of the belt, or the load, isn't known")
    ambient = number(duty, "ambient")
    heat = 0.5 ** (max((ambient if ambient is not None else COOL) - COOL, 0.0) / 10)
    low, mid, high = (h * heat for h in USUAL_HOURS)
    text = f"rated {show(can, 'kW', 3)} for {show(design, 'kW', 3)} with service factor; halved for every 10 °C over 60"
    return Life(low, mid, high, judgement("usual life of a drive within its rating"), text)


def figures(place: Place) -> dict[str, str | float | None]:
    """What the family's texts name: belts, lengths as taped, belt speed, how it is worked, figures for fitting."""
    was, duty = place.was, place.duty
    around, speed, drive = was.num("outside_length"), speed_of(duty), drive_of(duty)
    off, spread = tolerance(around or 0.0)
    centres = centres_for(was.num("datum_length"), drive)
    found: dict[str, str | float | None] = dict.fromkeys(("centres", "span", "press", "arc"))
    if centres is not None and drive is not None:
        span = geometry.span_length(centres, drive.large, drive.small)
        arc = math.degrees(geometry.wrap_angle(centres, drive.large, drive.small))
        found = {"centres": show(centres, "mm"), "span": show(span, "mm"), "arc": f"{arc:.0f}°"}
        found["press"] = show(geometry.deflection(span), "mm", 2)
    rim = (
        f"{show(RIM_LIMIT, 'm/s', 2)}: {'above' if speed is not None and speed > RIM_LIMIT else 'within'} it"
    )
    return {
        **found,
        "belts": float(pieces(was, duty)),
        "around": None if around is None else show(around, "mm"),
        "deviation": show(off, "mm", 2),
        "stretched": None if around is None else show(around + off, "mm"),
        "spread": show(spread, "mm", 2),
        "belt_speed": None if speed is None else show(speed, "m/s", 3),
        "rim_limit": None if speed is None else rim,
        "worked": _worked(was, duty),
    }


def _worked(was: Spec, duty: Duty) -> str:
    design, can = design_power(duty), carried(was.code("section"), was, pieces(was, duty), duty)
    if design is not None and can is not None and can < design:
        return "overloaded"
    return "hard" if word(duty, "starting") in ("often", "inched or reversed") else "usual"
