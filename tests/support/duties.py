"""Duties for property tests: some of the terms a family answers, each with a number that a place may well have."""

from __future__ import annotations

import random

from partsdb.duty import Duty
from partsdb.family import Family, vocabulary
from partsdb.model import Spec
from partsdb.quantities import to_si

# in the term's unit; what isn't listed is a code term, or takes one of a few small numbers
USUAL: dict[str, tuple[float, ...]] = {
    "supply_voltage": (110, 230, 400, 415, 480),
    "supply_frequency": (50, 60),
    "phases": (1, 3),
    "working_voltage": (230, 300, 372, 410),
    "control_voltage": (24, 110, 230),
    "control_frequency": (50, 60),
    "fault_current": (1_000, 10_000),
    "load_current": (0.5, 4, 12, 22, 60),
    "load_power": (370, 1_500, 5_500),
    "load_apparent_power": (30, 90, 400),
    "load_inrush": (100, 900),
    "starts_per_hour": (5, 60, 1_200),
    "inching_share": (0, 0.2, 1),
    "hours_per_day": (8, 16),
    "days_per_year": (220,),
    "ambient": (20, 45, 60, 110),
    "shaft_speed": (300, 1_450, 2_900),
    "radial_load": (300, 3_000),
    "axial_load": (100, 1_000),
    "wanted_life_hours": (5_000, 20_000),
    "fluid_temperature": (40, 90, 130),
    "pressure": (0, 0.3, 3),
    "shaft_diameter": (24.98, 30, 35),
    "housing_diameter": (47.01, 52, 62),
    "housing_depth": (7, 10),
    "belt_count": (1, 3, 4),
    "driver_diameter": (90, 125, 200),
    "driven_diameter": (250, 400),
    "centre_distance": (400, 700),
    "take_up": (0, 40),
}


# what a rating's tolerance is measured from: a supply is the plate's own volts, because tolerances don't add up
SAME_AS = {
    "supply_voltage": ("voltage", "primary_voltage"),
    "control_voltage": ("coil_voltage", "secondary_voltage"),
}


def duty_of(family: Family, rng: random.Random, old: Spec) -> Duty:
    """A duty that the old part may have done: its volts are those of its plate, where the plate has any."""
    duty = dict(some_duty(family, rng))
    for term, attributes in SAME_AS.items():
        volts = [v.low for name in attributes for v in old.all(name) if v.low is not None and v.low == v.high]
        if term in duty and volts:
            duty[term] = rng.choice(volts)
    return duty


def some_duty(family: Family, rng: random.Random, most: int = 4) -> Duty:
    """One to `most` of the terms the family answers; none when it answers none."""
    terms = [vocabulary((family,))[name] for name in sorted(family.answers - {"safety_function"})]
    chosen = rng.sample(terms, min(len(terms), rng.randint(1, most))) if terms else []
    return {
        t.name: rng.choice(t.codes) if t.codes else to_si(rng.choice(USUAL.get(t.name, (1, 5, 20))), t.unit)
        for t in chosen
    }
