"""The limits of a motor's place: supply, output, torque, fit and surroundings (the envelope of a motor).

Volts, hertz and power come from the duty when it is known, else from the old plate.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.ac_motor import asked
from partsdb.families.ac_motor.plate import DIMENSIONS, era_of
from partsdb.family import Rule
from partsdb.intervals import Interval
from partsdb.kit import (
    ANY,
    Fact,
    Place,
    as_good_as,
    at_least,
    at_most,
    fact,
    moot,
    one_of,
    question,
    same,
    spans,
    unknown,
    within,
)
from partsdb.source import PRACTICE, Source, judgement
from partsdb.tables import load

TOLERANCE = 1.10  # motors run 10 % above or below rated volts
VOLTS_RULE = Source(
    "motors run on rated volts within 10 % (NEMA MG 1-12.44.1, condensed edition 2011)", "verified"
)
TYPES = {row["code"]: row["breach"] for row in load("types", __package__).rows}
_TOO_BIG = 1.6
_BIG = judgement("one size up is plenty; beyond it drive and overload no longer match")
_EASED = 5 / 6  # the least share of the wanted power that may run for a time, eased
_NORMAL = ("A", "B", "N")
EASED = (
    "an ammeter in one lead: never above its plate's amperes",
    "the load eased by a sixth",
    "its frame felt every hour: too hot to hold means stop",
)


def require(place: Place) -> Iterator[Rule | None]:
    """The limits of the place. On another frequency than the plate's, what the old motor gave there counts."""
    yield from _type(place)
    yield from _supply(place)
    yield from _output(place)
    yield from _torque(place)
    yield from _fit(place)
    yield from _surroundings(place)


def _type(place: Place) -> Iterator[Rule | None]:
    kind = place.plate("motor_type")
    if place.word("supply_kind") == "DC":
        kind = fact("direct current", "duty: a supply of direct current", PRACTICE)
    code = kind.code if kind and kind.code else ""
    good = (code, "capacitor") if code == "split phase" else (code,)
    yield one_of(place, "motor_type", "function", TYPES.get(code, ""), good, want=kind)
    volts = place.plate("rotor_voltage")
    if code == "wound rotor":
        near = volts.to(volts.number * 0.9, volts.number * TOLERANCE) if volts and volts.number else None
        yield within(place, "rotor_voltage", want=near)
    else:
        yield moot("its rotor isn't led out", "rotor_voltage")


def _supply(place: Place) -> Iterator[Rule | None]:
    hertz, volts = asked.place_frequency(place), asked.place_volts(place)
    if hertz is None:
        yield unknown(place, "frequency")
    yield spans(place, "frequency", want=hertz, reach=ANY)
    if volts and volts.number and hertz and hertz.number:
        name = asked.on_frequency("voltage", hertz.number)
        burns = "too much flux overheats iron and winding, too little stalls it under load"
        yield within(place, name, "function", burns, want=_connected(volts), covers=("voltage",))
    elif (old := place.plate("voltage")) is not None and volts is None:
        rated = [v.low for v in place.was.all("voltage") if v.low]
        breach = "it can't be connected for every voltage the old one could: measure the supply"
        for name, best in (("lowest_voltage", min), ("highest_voltage", max)):
            able = _connected(old.to(best(rated), because="the supply isn't known")) if rated else None
            yield within(place, name, "function", breach, want=able, covers=("voltage",))
    yield same(place, "phases", term="phases")


def _connected(volts: Fact) -> Fact:
    """The rated volts of motors that run on these."""
    actual = volts.number or 0.0
    return volts.to(actual / TOLERANCE, actual / 0.9, source=VOLTS_RULE)


def _output(place: Place) -> Iterator[Rule | None]:
    hertz = asked.place_frequency(place)
    power = asked.place_power(place, hertz)
    if power is None or power.number is None:
        yield unknown(place, "power")
    else:
        name = asked.on_frequency("power", hertz.number if hertz and hertz.number else 0.0)
        hot, of_power = "it is overloaded and overheats", ("power",)
        eased = Interval(power.number * _EASED, None)
        yield at_least(
            place, name, "function", hot, want=power, reach=eased, conditions=EASED, covers=of_power
        )
        most = power.to(power.number * _TOO_BIG, source=_BIG)
        breach = "far too big: poor power factor, its starting torque is hard on belts and shaft"
        yield at_most(place, "power", "function", breach, want=most, reach=ANY)
    yield same(place, "poles", "function", "it turns at another speed", covers=("speed",))
    factor, rated, of_factor = place.plate("service_factor"), place.was.num("power"), ("service_factor",)
    if factor and factor.number and factor.number > 1 and rated and "load_power" not in place.duty:
        breach = "the old motor could be overloaded for good by its service factor"
        peak = factor.to(rated * factor.number)
        yield at_least(place, "peak_power", "function", breach, want=peak, reach=ANY, covers=of_factor)
    else:
        yield moot("nothing more than its power is asked", "service_factor")


def _torque(place: Place) -> Iterator[Rule | None]:
    yield as_good_as(place, "rating")
    for name in ("design_letter", "code_letter"):
        if era_of(place.was) == "IEC" and not place.was.has(name):
            yield moot("plates of IEC frames carry none: normal torque", name)
        else:
            yield _letter(place, name)


def _letter(place: Place, name: str) -> Rule | None:
    """A code letter no further in the alphabet; a design of normal torque for another, any other only for itself."""
    letter, letters = place.plate(name), tuple(place.attributes[name].codes)
    if letter is None or letter.code not in letters:
        return None
    if name == "code_letter":
        return one_of(place, name, codes=letters[: letters.index(letter.code) + 1], want=letter, reach=ANY)
    normal = letter.code in _NORMAL
    return one_of(
        place, name, codes=_NORMAL if normal else (letter.code,), want=letter, reach=ANY if normal else None
    )


def _fit(place: Place) -> Iterator[Rule | None]:
    if not any(place.was.has(name) for name in DIMENSIONS):
        ask = "measure shaft height, feet and shaft"
        yield question("feet, height and shaft", "fit", "no frame is known", ask=ask, covers=DIMENSIONS)
    for name in DIMENSIONS:  # a lower motor can be packed up, a higher one can't be sunk
        yield same(place, name, reach=Interval(None, place.was.num(name)) if name == "shaft_height" else ANY)


def _surroundings(place: Place) -> Iterator[Rule | None]:
    explosive = place.was.code("enclosure") == "explosion proof"
    yield as_good_as(place, "enclosure", "safety" if explosive else "function")
    yield as_good_as(place, "insulation")
    air = place.wanted("ambient", "ambient")
    hot = air is not None and air.number is not None and air.number > asked.STANDARD_AMBIENT
    yield at_least(place, "ambient", want=air) if hot else moot("any motor bears 40 °C air", "ambient")
    yield _turning(place)


def _turning(place: Place) -> Rule | None:
    both = place.word("rotation") == "both ways"
    if not both and not place.was.has("rotation") and place.was.num("phases") == 3:
        return moot("any two leads swapped turn it round: it is bumped before the belt goes on", "rotation")
    turns = fact("either", "duty: turns both ways", PRACTICE) if both else place.plate("rotation")
    good = dict.fromkeys((turns.code or "either" if turns else "either", "either"))
    return one_of(place, "rotation", codes=tuple(good), want=turns, reach=ANY)
