"""The one vocabulary of duties: what a place asks of the part that sits in it.

A duty is a mapping from a term's name to a number in SI units (plain hours where the name says hours) or to a
code word. A term that is
absent is unknown; families decide what an unknown means, never in favour of the part.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from partsdb.errors import BadInput
from partsdb.spelling import meant

Duty = Mapping[str, float | str]


@dataclass(frozen=True, slots=True)
class Term:
    """One thing a place can ask.

    unit: SI display unit of a number ("" for a ratio or count); codes: the allowed words of a code term;
    question: how a person is asked for it.
    """

    name: str
    title: str
    unit: str = ""
    codes: tuple[str, ...] = ()
    question: str = ""


TERMS: tuple[Term, ...] = (
    Term(
        "supply_voltage",
        "supply voltage",
        "V",
        question="What voltage feeds it (measured, or from the distribution board)?",
    ),
    Term("supply_frequency", "supply frequency", "Hz", question="50 or 60 hertz?"),
    Term("supply_kind", "supply kind", codes=("AC", "DC"), question="AC or DC?"),
    Term("phases", "phases", "", question="One phase or three?"),
    Term("working_voltage", "voltage across the part when healthy", "V"),
    Term("control_voltage", "control circuit voltage", "V"),
    Term("control_kind", "control circuit kind", codes=("AC", "DC")),
    Term("control_frequency", "control circuit frequency", "Hz"),
    Term("fault_current", "prospective fault current at the place", "A"),
    Term("load_current", "load current", "A"),
    Term("load_power", "load power at the shaft", "W"),
    Term("load_apparent_power", "load, apparent power", "VA"),
    Term("load_inrush", "largest inrush of the load", "VA"),
    Term(
        "starting",
        "how it is worked",
        codes=("plain", "often", "inched or reversed"),
        question="How is it worked: plain, starts often, inched or reversed?",
    ),
    Term("starts_per_hour", "starts an hour", ""),
    Term("inching_share", "share of operations that break a stalled or reversing motor", ""),
    Term("service", "capacitor or motor service", codes=("run", "start", "correction")),
    Term("hours_per_day", "running hours a day", ""),
    Term("days_per_year", "running days a year", ""),
    Term("ambient", "air temperature at the part", "°C"),
    Term("shaft_speed", "shaft speed", "rpm"),
    Term("radial_load", "radial load on the bearing", "N"),
    Term("axial_load", "axial load on the bearing", "N"),
    Term("wanted_life_hours", "wanted life in running hours", ""),
    Term("rotation", "direction of rotation", codes=("one way", "both ways")),
    Term(
        "fluid", "what the seal keeps in", codes=("grease", "mineral oil", "synthetic oil", "water", "other")
    ),
    Term("fluid_temperature", "temperature of the fluid", "°C"),
    Term("pressure", "pressure across the seal", "bar"),
    Term("shaft_diameter", "shaft diameter as it is now", "mm"),
    Term("housing_diameter", "housing bore as it is now", "mm"),
    Term("housing_depth", "depth of the seat in the housing", "mm"),
    Term("shaft_groove", "groove worn into the shaft", codes=("none", "light", "deep")),
    Term("belt_count", "number of belts in the drive", ""),
    Term("driver_diameter", "small pulley diameter", "mm"),
    Term("driven_diameter", "large pulley diameter", "mm"),
    Term("centre_distance", "centre distance", "mm"),
    Term("take_up", "travel of the slide rails", "mm"),
    Term("vibration", "surroundings", codes=("calm", "shaking")),
    Term(
        "safety_function",
        "protects people (emergency stop, guard, hoist, brake)",
        codes=("yes", "no"),
        question="Does this part protect people (emergency stop, guard, hoist, brake)?",
    ),
    Term("end", "which end of the shaft", codes=("locating", "floating")),
)

BY_NAME: Mapping[str, Term] = {term.name: term for term in TERMS}


def checked(duty: Mapping[str, float | str]) -> Duty:
    """The same duty when every key and code word is in the vocabulary; else BadInput names the fault."""
    for name, value in duty.items():
        term = BY_NAME.get(name)
        if term is None:
            guess = meant(name, BY_NAME)
            raise BadInput(
                f"{name!r} is not a duty this program knows", f"{guess}See `partsdb words duty` for the list"
            )
        if bool(term.codes) != isinstance(value, str) or (term.codes and value not in term.codes):
            expected = " / ".join(term.codes) if term.codes else f"a number in {term.unit or 'plain units'}"
            raise BadInput(f"{term.title} can't be {value!r}", f"It takes {expected}")
    return duty


def number(duty: Duty, name: str) -> float | None:
    """A numeric term in SI units, or None when it is unknown."""
    value = duty.get(name)
    return value if isinstance(value, int | float) else None


def word(duty: Duty, name: str) -> str | None:
    """A code term, or None when it is unknown."""
    value = duty.get(name)
    return value if isinstance(value, str) else None
