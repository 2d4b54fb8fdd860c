"""A V-belt drive as its place describes it: geometry, speed, load, what the rails allow. SI units.

Every function takes the duty and answers None when the duty doesn't say enough; nothing is guessed in favour of a
belt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.duty import word as asked_word
from partsdb.families.v_belt import power as belt_power
from partsdb.families.v_belt.power import Drive
from partsdb.model import Spec
from partsdb.physics import belts

HEAVY = 3  # load class taken when nobody says: textile and rubber machinery, hoists, presses
ALL_DAY = 24.0  # running hours a day taken when nobody says [h]


@dataclass(frozen=True, slots=True)
class Fitting:
    """Figures for fitting: centre distance, free span, deflection at the middle [m], arc of contact [rad]."""

    centres: float
    span: float
    deflection: float
    wrap: float


def drive_of(duty: Duty) -> Drive | None:
    """The drive when both pulleys and the centre distance are known and the pulleys don't overlap."""
    one, other = asked(duty, "driver_diameter"), asked(duty, "driven_diameter")
    centres = asked(duty, "centre_distance")
    if one is None or other is None or centres is None or min(one, other) <= 0:
        return None
    if not math.isfinite(centres) or centres < (one + other) / 2:
        return None
    return Drive(min(one, other), max(one, other), centres, asked(duty, "shaft_speed") or 0.0)


def speed_of(duty: Duty) -> float | None:
    """Belt speed [m/s] from the driving pulley and its speed."""
    diameter, turning = asked(duty, "driver_diameter"), asked(duty, "shaft_speed")
    return None if diameter is None or turning is None else belts.belt_speed(diameter, turning)


def pieces(spec: Spec, duty: Duty) -> int:
    """How many belts the drive takes: counted at the place, else as the old set says; 1 when nobody says."""
    told, held = asked(duty, "belt_count"), spec.num("count")
    return max(1, round(told if told is not None else held if held is not None else 1))


def design_power(duty: Duty) -> float | None:
    """Load power times service factor [W].

    Where nobody says, the load is taken as heavy, the start as hard and the day as 24 hours.
    """
    load = asked(duty, "load_power")
    if load is None:
        return None
    starting, hours = asked_word(duty, "starting"), asked(duty, "hours_per_day")
    return load * belt_power.service_factor(
        HEAVY,
        ALL_DAY if hours is None else hours,
        hard_start=starting != "plain",
        reversing=starting == "inched or reversed",
    )


def carried(section: str, spec: Spec, count: int, duty: Duty) -> float | None:
    """What `count` belts of a classical section carry in this drive [W]; spec gives their outside length and height."""
    drive, outside, height = drive_of(duty), spec.num("outside_length"), spec.num("height")
    if drive is None or outside is None or height is None or drive.turning <= 0:
        return None
    inside = outside - 2 * math.pi * height  # the two lines run one height apart all round
    return belt_power.set_power(section, count, inside, drive) if inside > 0 else None


def reach_of_rails(datum: float, duty: Duty) -> tuple[float, float] | None:
    """Shortest and longest datum length [m] the slide rails make up for.

    The old belt of that datum length [m] is taken to stand in the middle of the travel (judgement), so half of it
    is left each way. Without the pulleys' sizes each half millimetre of travel is one of belt.
    """
    travel, drive = asked(duty, "take_up"), drive_of(duty)
    if travel is None or travel <= 0:
        return None
    if drive is None:
        return datum - travel, datum + travel
    centres = centres_for(datum, drive)
    if centres is None:
        return None
    return belts.lengths_within(centres, drive.large, drive.small, travel / 2, travel / 2)


def centres_for(datum: float, drive: Drive) -> float | None:
    """Centre distance [m] at which a belt of that datum length [m] runs, None when it is too short."""
    try:
        return belts.centre_distance(datum, drive.large, drive.small)
    except ValueError:
        return None


def fitting_of(spec: Spec, duty: Duty) -> Fitting | None:
    """Figures for fitting a belt of the spec's datum length in this drive."""
    drive, datum = drive_of(duty), spec.num("datum_length")
    centres = centres_for(datum, drive) if drive is not None and datum is not None else None
    if drive is None or centres is None:
        return None
    span = belts.span_length(centres, drive.large, drive.small)
    return Fitting(centres, span, belts.deflection(span), belts.wrap_angle(centres, drive.large, drive.small))
