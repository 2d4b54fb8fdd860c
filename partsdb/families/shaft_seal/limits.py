"""What a place asks of the lip seal in it: from the metal, the fluid and the shaft to limits.

The metal is the truth: where shaft and housing were measured, they decide, not the size of the old seal. Judgement,
unless a limit names its source. What nobody knows never makes a limit laxer.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.shaft_seal.cures import POLISH
from partsdb.families.shaft_seal.figures import (
    MM,
    fit,
    lip_speed,
    materials,
    plain_pressure,
    replaces,
    rule,
    speed_share,
)
from partsdb.family import Rule
from partsdb.intervals import Interval
from partsdb.kit import ANY, LOOK, Fact, Place, at_least, fact, moot, one_of, question, same, within
from partsdb.model import Limit, Question
from partsdb.quantities import show
from partsdb.source import Source
from partsdb.tables import load

SOURCE = load("materials", __package__).source
WATCHED = "look at it every day: a lip that is too hot or too fast hardens within weeks"
FITS = Source("ISO 6194-1 and ISO 286-2: shaft h11, housing H8", "reproduction")
AS_GOOD = {r["code"]: tuple(r["as_good"].split("|")) for r in load("words", __package__).rows if r["as_good"]}


def require(place: Place) -> Iterator[Rule | None]:
    """Every limit and question that follows from the seal that stood there, the metal round it and the duty."""
    yield _shaft(place)
    yield _bore(place)
    yield _width(place)
    yield _track(place)
    yield from _material(place)
    yield from _margins(place)
    yield _pressure(place)
    yield _helix(place)
    yield from _design(place)


# --------------------------------------------------------------------------- shaft, housing, depth


def _shaft(place: Place) -> Limit | None:
    """Of the shaft where it was measured, else of the old seal; a sleeve may make it thicker."""
    breach, most = "the lip is slack on the shaft and leaks, or grips it and burns", rule("sleeve_most").value
    if (metal := place.number("shaft_diameter")) is None:
        return same(place, "shaft", "fit", breach, reach=_wider(place.plate("shaft"), 0.0, most))
    tolerance = fit(metal)
    high = metal + (tolerance.h11 if tolerance else 0.0)
    want = fact(metal, "duty: the shaft as measured, tolerance h11", FITS)
    want = want.to(metal - rule("shaft_play").value, high)
    return within(place, "shaft", "fit", breach, want=want, reach=_wider(want, 0.0, most))


def _bore(place: Place) -> Limit | None:
    """Of the housing where it was measured, else of the old seal; a ring may make it smaller."""
    breach = "it falls out of the housing or leaks round the outside, or can't be pressed in"
    most, play = rule("sleeve_most").value, rule("bore_play").value
    if (metal := place.number("housing_diameter")) is None:
        return same(place, "bore", "fit", breach, reach=_wider(place.plate("bore"), 2 * most, 0.0))
    tolerance = fit(metal)
    want = fact(metal, "duty: the housing as measured, tolerance H8", FITS)
    want = want.to(metal - (tolerance.h8 if tolerance else 0.0) - play, metal + play)
    return within(place, "bore", "fit", breach, want=want, reach=_wider(want, 2 * most, 0.0))


def _wider(want: Fact | None, below: float, above: float) -> Interval | None:
    if want is None or want.low is None or want.high is None:
        return None
    return Interval(want.low - below, want.high + above)


def _width(place: Place) -> Limit | None:
    """Between the old seal's width and the depth of its seat; a narrower one can be set flush."""
    depth, old = place.term("housing_depth"), place.plate("width")
    most, wide = depth or old, old or depth
    if most is None or wide is None or most.number is None or wide.number is None:
        return None
    low, high, tolerance = min(wide.number, most.number), most.number, rule("width_tolerance").value
    want = most.to(low - tolerance, high + tolerance)
    reach = Interval(max(low - 4 * MM, 0.0) - tolerance, high + tolerance)
    breach = "it stands proud of its seat, or its lip runs off the ground part of the shaft"
    return within(place, "width", "fit", breach, want=want, reach=reach)


def _track(place: Place) -> Limit | None:
    """A worn track under the lip: the right seal alone won't do."""
    groove = place.term("shaft_groove")
    if groove is None or groove.code == "none":
        return None
    return one_of(place, "lip_track", "function", "a new lip on a worn track leaks again", ("fresh",), want=groove,
                  reach=("old",))  # fmt: skip


# --------------------------------------------------------------------------- what the lip must bear


def _lip_speed(place: Place, unsaid: float | None = None) -> float | None:
    """Speed under the lip [m/s] of the measured or nominal shaft; unsaid: shaft speed [rad/s] where nobody says it."""
    shaft, speed = place.number("shaft_diameter") or place.was.num("shaft"), place.number("shaft_speed")
    speed = unsaid if speed is None else speed
    return None if shaft is None or speed is None else lip_speed(shaft, speed)


def _material(place: Place) -> Iterator[Rule | None]:
    """Lip materials for fluid, temperature and lip speed; while one is unknown, only what covers the old one."""
    fluid, heat, speed = place.word("fluid"), place.number("fluid_temperature"), _lip_speed(place)
    worn = place.plate("material")
    old = materials().get(worn.code or "") if worn else None
    if fluid == "other":
        yield question("what the lip bears", "function", "it swells, hardens or dissolves in what it doesn't bear",
                       ask="ask the maker whether it bears this fluid and its heat", settled_by="fluid")  # fmt: skip
        fluid = None
    elif old is None:
        yield _old_lip(known=None not in (fluid, heat, speed))
    cooler = None if heat is None else heat - rule("hotter").value
    slower = None if speed is None else speed / rule("faster").value
    accept = [m.name for m in materials().values() if replaces(m, old, fluid, heat, speed)]
    for_a_time = [m.name for m in materials().values() if replaces(m, old, fluid, cooler, slower)]
    breach = "the lip hardens, burns or swells, and leaks"
    if old is not None and None in (fluid, heat, speed):
        breach = "it bears less than the old lip: say the fluid, its temperature and the shaft speed"
    yield one_of(place, "material", "function", breach, accept, want=_follows(place), reach=(*accept, *for_a_time),
                 conditions=(WATCHED,))  # fmt: skip
    if old is not None and old.name == "leather":
        yield same(place, "material", "function", "rubber wears fast where leather ran", reach=ANY)


def _follows(place: Place) -> Fact:
    """What decides the lip material: what is said of the duty, else the old lip, else nothing but what lips bear."""
    said = [t for term in ("fluid", "fluid_temperature", "shaft_speed") if (t := place.term(term))]
    origin = "duty: " + ", ".join(t.origin.removeprefix("duty: ") for t in said)
    return fact("", origin, SOURCE) if said else place.plate("material") or fact("", "what lips bear", SOURCE)


def _old_lip(*, known: bool) -> Question:
    """The old lip's material, when nobody knows it: where the duty is known it matters only whether it was leather."""
    breach = "a lip that doesn't bear what it keeps in swells, hardens or dissolves"
    ask = "look at the old lip, or say the fluid, its temperature and the shaft speed"
    return Question("lip material", ask, "function", breach, "material", True, cure=POLISH if known else None)


def _margins(place: Place) -> Iterator[Limit | None]:
    """How much lip speed and temperature are to spare: they cost life long before they destroy."""
    speed = _lip_speed(place)
    if speed is not None and speed > 0:
        share = speed_share(place.word("fluid"))
        poorer = "" if share == 1 else f", counted {1 / share:g} times for want of oil"
        want = fact(speed / share, f"duty: lip speed {show(speed, 'm/s')}{poorer}", SOURCE)
        yield at_least(place, "lip_speed", "life", "it wears fast", want=want)
    yield at_least(place, "temperature_max", "life", "it hardens fast", want=place.term("fluid_temperature"))


def _pressure(place: Place) -> Rule | None:
    """A pressure seal where the pressure, of the place or else of the old seal, is more than a standard lip bears."""
    want = place.wanted("pressure_max", "pressure")
    if want is not None and want.interval.upper <= plain_pressure(_lip_speed(place)) * (1 + 1e-9):
        return moot("any standard lip bears the pressure", "pressure_max")
    return at_least(place, "pressure_max", "safety", "the lip is pressed on the shaft, burns or turns inside out, and "
                    "hot fluid comes out", want=want)  # fmt: skip


# --------------------------------------------------------------------------- ribs, case, dust lip


def _helix(place: Place) -> Limit | None:
    """A one-way lip pumps out the other way: only where the old one was the same and the shaft doesn't reverse."""
    old, rotation = place.plate("helix"), place.term("rotation")
    reverses = rotation is not None and rotation.code == "both ways"
    hand = (old.code,) if old and old.code in ("left", "right") and not reverses else ()
    breach = "ribs for one way pump the oil out when the shaft turns the other way"
    want = rotation if reverses else old
    return one_of(place, "helix", "function", breach, ("none", "both", *hand), want=want)


def _design(place: Place) -> Iterator[Rule | None]:
    """Rubber-covered or metal, with or without dust lip; no dust lip where the shaft is too fast for it.

    A speed that nobody says counts as an ordinary machine's fastest, so that a dust lip isn't added to a big shaft.
    """
    stated, want = place.was.code("design"), place.plate("design")
    fastest = _lip_speed(place, rule("usual_speed").value)
    may_be_fast = fastest is not None and fastest > rule("dust_lip_speed").value
    if stated is None and may_be_fast and "shaft_speed" not in place.duty:
        yield Question(
            "type", LOOK, "function", "no dust lip bears this shaft at full speed", "design", of_part=True
        )
        may_be_fast = False
    bare = may_be_fast and not (stated or "").endswith("S")
    fits = tuple(d for d in AS_GOOD if not (bare and d.endswith("S")))
    accept = tuple(d for d in AS_GOOD[want.code or "AS"] if d in fits) if want else ()
    breach = "a metal case leaks round a scratched bore; without a dust lip grit gets under the lip"
    if bare:
        breach = f"{breach}; a dust lip burns on so fast a shaft"
        want = place.term("shaft_speed") if stated and "shaft_speed" in place.duty else want
    yield one_of(place, "design", "function", breach, accept, want=want, reach=fits,
                 conditions=("only where it stays clean and dry outside",))  # fmt: skip
