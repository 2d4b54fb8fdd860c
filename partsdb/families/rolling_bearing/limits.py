"""What a place asks of the bearing in it, where there is engineering judgement in it; the rest is said in family.toml.

Judgement, unless a limit names its source. Weights: the wrong type or too little clearance hurts (safety); sizes
are fit; strength is life.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.rolling_bearing.designations import BearingType, type_of, types
from partsdb.families.rolling_bearing.figures import ISO_281, RULES, load_on, rating_needed, speed_factor
from partsdb.family import Rule
from partsdb.intervals import Interval
from partsdb.kit import Fact, Place, as_good_as, at_least, at_most, fact, moot, one_of, same, within
from partsdb.model import Weight
from partsdb.quantities import show
from partsdb.source import said

TIGHT = "too little clearance left once it is warm and pressed on: it runs hot and seizes"
LOOSE = "more play than the place was built for: noise, run-out"
WATCHED = "watch noise and temperature for the first 8 h; put in the right class at the next stop"
SEALED = "its seals keep out the grease or oil that the housing gives it"
UNSEALED = "no grease of its own or no sealing: dirt in, grease out"
CLEAN = "only in a clean, dry place, or wiped and looked at every day"
RUBBING = ("RS", "2RS")
AS_WELL_CLOSED = {"2Z": ("2Z", "2RZ")}  # what closes as well as the old one, where that isn't only the same
METAL = ("steel", "machined")
OTHER_TYPE = (
    "only at the old load and speed or less, and watched for the first 8 h",
    "at the floating end it must still be free to move endways",
)


def require(place: Place) -> Iterator[Rule | None]:
    """Every limit that follows from the bearing that stood there and from the duty."""
    was = type_of(place.was)
    yield from of_type(place, was)
    yield from of_size(place)
    yield of_clearance(place, was)
    yield of_closure(place)
    yield from of_strength(place, was)
    yield of_speed(place)
    yield of_precision(place)
    yield from of_cage(place)


def ways_needed(place: Place, was: BearingType) -> int:
    """How many ways the place needs axial load carried: 0, 1 or 2; unknown counts as what the old type carried."""
    end, axial = place.word("end"), place.number("axial_load")
    if end == "locating":
        return 2
    if axial is not None and axial > 0:
        return max(was.ways, 1)
    return 0 if axial is not None and end == "floating" else was.ways


def of_type(place: Place, was: BearingType | None) -> Iterator[Rule | None]:
    """Equal size is not equal type: one that doesn't carry the axial load lets the shaft wander."""
    if was is None or was.name != "angular contact ball":
        yield moot("only a single row angular contact bearing has one", "contact_angle")
    if was is None:
        return
    needed, want = ways_needed(place, was), place.plate("type")
    accept: tuple[str, ...] = (was.name,)
    carrying = tuple(
        one.name
        for one in types().values()
        if one.ways >= needed and (one.aligning or not was.aligning) and not one.adjusted
    )
    reach = accept if was.adjusted else accept + carrying
    if was.ways < needed:
        want, accept, reach = fact(was.name, "duty: axial load at this end", said()), carrying, carrying
    free_of_thrust = needed == 0 or place.number("axial_load") == 0
    weight: Weight = "function" if free_of_thrust else "safety"
    yield one_of(place, "type", weight, codes=accept, want=want, reach=reach, conditions=OTHER_TYPE)


def of_size(place: Place) -> Iterator[Rule | None]:
    """Bore and outside diameter as the seats measure, else as the old one's; its width. A ring or sleeve can make up
    a bearing that is too small inside its housing, too large on its shaft or too narrow."""
    most, creeps = (
        RULES["sleeve_most"].value,
        "the ring would creep on its seat, or lose its clearance to a tight one",
    )
    for name, term, less, more in (
        ("bore", "shaft_diameter", 0.0, 2 * most),
        ("outside", "housing_diameter", 2 * most, 0.0),
        ("width", "", most, 0.0),
    ):
        seat = place.term(term) if term else None
        want = _fitting(seat) if seat else place.plate(name)
        reach = Interval(want.interval.lower - less, want.interval.upper + more) if want else None
        yield (
            within(place, name, "fit", creeps, want=want, reach=reach)
            if seat
            else same(place, name, want=want, reach=reach)
        )


def _fitting(seat: Fact) -> Fact:
    """The size of a ring that neither creeps on a seat as it measures nor is squeezed by it."""
    size, loose, tight = seat.number or 0.0, RULES["seat_loose"], RULES["seat_tight"]
    return seat.to(size - tight.value, size + loose.value, source=loose.source)


def of_clearance(place: Place, was: BearingType | None) -> Rule | None:
    """The same class; one class looser runs for a time, a tighter one never."""
    if was is not None and was.adjusted:
        return moot("its play is set while fitting", "clearance")
    old, classes = place.plate("clearance"), place.attributes["clearance"].ladder
    if old is None or old.code is None:
        return None
    at = classes.index(old.code)
    weight: Weight = "function" if at < classes.index("C3") else "safety"
    breach, looser = LOOSE if weight == "function" else TIGHT, classes[at : at + 2]
    return same(place, "clearance", weight, breach, reach=looser, conditions=(WATCHED,))


def of_closure(place: Place) -> Rule | None:
    """Seals and shields as they were; rubbing seals only where they rubbed, or where the speed is one they take."""
    want, factor = place.plate("closure"), _speed_factor(place)
    if want is None or want.code is None:
        return None
    old, reach = want.code, tuple(place.attributes["closure"].codes)
    accept: tuple[str, ...] = AS_WELL_CLOSED.get(old, (old,))
    breach = SEALED if old == "open" else UNSEALED
    # where they rubbed all along, they prove that they can up to what the cage takes
    most = RULES["dn_grease_ball" if old in RUBBING else "dn_contact_seal"]
    if too_fast := factor is not None and factor > most.value:
        follows = f"duty: bore times speed {factor:,.0f}, rubbing seals take {most.value:,.0f}"
        want, breach = fact(old, follows, most.source), "rubbing seals run hot at this speed"
        accept = _not_rubbing(accept)
    unproved = factor is None and old not in RUBBING
    if old != "open" and (too_fast or unproved):  # where open is wanted the seals come out anyway
        reach = _not_rubbing(reach)
        breach += "; seals that rub only where the speed is known to allow it" if unproved else ""
    return one_of(place, "closure", "function", breach, accept, want=want, reach=reach, conditions=(CLEAN,))


def _not_rubbing(closures: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(code for code in closures if code not in RUBBING)


def _speed_factor(place: Place) -> float | None:
    bore, speed = place.was.num("bore"), place.number("shaft_speed")
    return speed_factor(bore, speed) if bore is not None and speed is not None and speed > 0 else None


def of_strength(place: Place, was: BearingType | None) -> Iterator[Rule | None]:
    """Dynamic rating for the wanted life (ISO 281), else as strong as the old one; not so strong that rollers slide."""
    load, speed = load_on(place.was, place.duty), place.number("shaft_speed")
    hours = place.number("wanted_life_hours")
    want, exponent = place.plate("dynamic_rating"), was.exponent if was else 3.0
    if load and speed and hours:
        follows = f"duty: {show(load, 'kN')} at {show(speed, 'rpm')} for {hours:,.0f} h"
        want = fact(rating_needed(load, hours, speed, exponent), follows, ISO_281)
    shortest = RULES["short_life"].value ** (1 / exponent)  # of the rating, for that share of the life
    reach = None if want is None else Interval(want.interval.lower * shortest, None)
    worn, soon = "it wears out before its time", ("replace it within the stated hours",)
    yield at_least(place, "dynamic_rating", "life", worn, want=want, reach=reach, conditions=soon)
    if load and was is not None and "roller" in was.name:
        slides = RULES["least_load_roller"]
        follows = f"duty: {show(load, 'kN')} is all that presses the rollers on"
        most = fact(load / slides.value, follows, slides.source)
        breach = "too lightly loaded: the rollers slide and smear"
        yield at_most(place, "dynamic_rating", "life", breach, want=most)


def of_speed(place: Place) -> Rule | None:
    """The maker's limiting speed, asked for only where grease and cage come near their limit."""
    factor = _speed_factor(place)
    if factor is None or factor <= RULES["dn_grease_ball"].value / 2:
        return None
    breach = "too fast for its cage and grease: it runs hot"
    return at_least(place, "limiting_speed", "function", breach, want=place.term("shaft_speed"))


def of_precision(place: Place) -> Rule | None:
    """The same class or better; where normal stood, any."""
    old, ladder = place.plate("precision"), place.attributes["precision"].ladder
    if old is not None and old.code == ladder[0]:
        return moot("any class is at least normal", "precision")
    return as_good_as(place, "precision")


def of_cage(place: Place) -> Iterator[Rule | None]:
    """No polyamide where it gets hot; a machined cage stays one where it may be shaken."""
    air, most = place.term("ambient"), RULES["polyamide_hot"]
    if air is not None and air.number is not None and air.number > most.value:
        want = fact(air.number, f"duty: {show(air.number, '°C')} at the bearing", most.source)
        yield one_of(place, "cage", "function", "a polyamide cage goes brittle", METAL, want=want)
    elif place.was.code("cage") == "machined" and place.word("vibration") != "calm":
        yield same(place, "cage", "life", "a light cage breaks up under shock and vibration")
