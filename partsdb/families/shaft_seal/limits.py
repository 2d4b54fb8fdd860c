"""What a place asks of the lip seal in it: from the metal, the fluid and the shaft to limits, and what cures a breach.

The metal is the truth: where shaft and housing were measured, they decide, not the size of the old seal. Judgement,
unless a limit names its source. What nobody knows never makes a limit laxer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.duty import Duty, number, word
from partsdb.intervals import Interval
from partsdb.model import Change, Kind, Limit, Spec
from partsdb.physics import shaft_seals as seals
from partsdb.physics.shaft_seals import MM, materials, rule
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement

FITS = Source("ISO 6194-1 and ISO 286-2: shaft h11, housing H8", "reproduction")
TYPES = Source("types of DIN 3760 and ISO 6194-1", "common practice")
DESIGNS = ("A", "AS", "B", "BS", "C", "CS")
HOTTER, FASTER = 20.0, 1.25  # what a stand-in may bear too much of for a time: [K], ratio (judgement)


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Every limit that follows from the seal that stood there, the metal round it and the duty."""
    return (
        *seat_limits(spec, duty),
        *track_limits(duty),
        *material_limits(spec, duty),
        *margin_limits(spec, duty),
        *pressure_limits(spec, duty),
        *helix_limits(spec, duty),
        *design_limits(spec, duty),
    )


# --------------------------------------------------------------------------- shaft, housing, depth


def seat_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Shaft, bore and width: of the metal where it was measured, else of the old seal."""
    found = [*_shaft(spec, duty), *_bore(spec, duty), *_width(spec, duty)]
    if {limit.attribute for limit in found} < {"shaft", "bore", "width"}:
        breach = "a seal of the wrong size leaks at once: measure shaft, housing and depth"
        follows = "judgement: not all of the seat is known"
        found.append(Limit("seat", "one of", ("measured",), "fit", follows, PRACTICE, breach))
    return tuple(found)


def _fit_limit(name: str, kind: Kind, accept: Interval, reach: Interval, follows: str, breach: str) -> Limit:
    return Limit(name, kind, accept, "fit", follows, FITS, breach, reach=reach)


def _shaft(spec: Spec, duty: Duty) -> Iterable[Limit]:
    breach = "the lip is slack on the shaft and leaks, or grips it and burns"
    measured, old = number(duty, "shaft_diameter"), spec.num("shaft")
    most = rule("sleeve_most").value
    if measured is not None:
        tolerance = seals.fit(measured)
        high = measured + (tolerance.h11 if tolerance else 0.0)
        low = measured - rule("shaft_play").value
        yield _fit_limit(
            "shaft",
            "within",
            Interval(low, high),
            Interval(low, measured + most),
            "duty: the shaft as measured, tolerance h11",
            breach,
        )
    elif old is not None:
        reach = Interval(old, old + most)
        yield _fit_limit("shaft", "equal", Interval(old, old), reach, "plate: shaft of the old seal", breach)


def _bore(spec: Spec, duty: Duty) -> Iterable[Limit]:
    breach = "it falls out of the housing or leaks round the outside, or can't be pressed in"
    measured, old = number(duty, "housing_diameter"), spec.num("bore")
    most, play = rule("sleeve_most").value, rule("bore_play").value
    if measured is not None:
        tolerance = seals.fit(measured)
        low = measured - (tolerance.h8 if tolerance else 0.0) - play
        high = measured + play
        yield _fit_limit(
            "bore",
            "within",
            Interval(low, high),
            Interval(measured - 2 * most, high),
            "duty: the housing as measured, tolerance H8",
            breach,
        )
    elif old is not None:
        reach = Interval(old - 2 * most, old)
        yield _fit_limit("bore", "equal", Interval(old, old), reach, "plate: bore of the old seal", breach)


def _width(spec: Spec, duty: Duty) -> Iterable[Limit]:
    depth, old = number(duty, "housing_depth"), spec.num("width")
    if depth is None and old is None:
        return
    high = old if depth is None else depth
    low = high if old is None else min(old, high or old)
    if high is None or low is None:
        return
    tolerance = rule("width_tolerance").value
    yield _fit_limit(
        "width",
        "within",
        Interval(low - tolerance, high + tolerance),
        Interval(max(low - 4 * MM, 0.0) - tolerance, high + tolerance),
        "plate: width of the old seal" if depth is None else "duty: depth of the seat",
        "it stands proud of its seat, or its lip runs off the ground part of the shaft",
    )


def track_limits(duty: Duty) -> tuple[Limit, ...]:
    """A worn track under the lip: the right seal alone won't do."""
    groove = word(duty, "shaft_groove")
    if groove in (None, "none"):
        return ()
    return (
        Limit(
            "lip_track",
            "one of",
            ("fresh",),
            "function",
            f"duty: {groove} groove in the shaft",
            PRACTICE,
            "a new lip on a worn track leaks again",
            reach=("old",),
            conditions=(groove or "",),
        ),
    )


# --------------------------------------------------------------------------- what the lip must bear


def lip_speed(spec: Spec, duty: Duty) -> float | None:
    """Speed under the lip [m/s] from the shaft speed and the measured or nominal shaft; None when unknown."""
    shaft, speed = number(duty, "shaft_diameter") or spec.num("shaft"), number(duty, "shaft_speed")
    return None if shaft is None or speed is None else seals.lip_speed(shaft, speed)


def _asked(spec: Spec, duty: Duty) -> tuple[str | None, float | None, float | None]:
    return word(duty, "fluid"), number(duty, "fluid_temperature"), lip_speed(spec, duty)


def material_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Lip materials for fluid, temperature and lip speed; while one is unknown, only what covers the old one."""
    fluid, temperature, speed = _asked(spec, duty)
    old = spec.code("material")
    found = []
    if fluid == "other" or (old is None and (fluid is None or temperature is None)):
        breach = "a lip that doesn't bear what it keeps in swells, hardens or dissolves"
        follows = (
            "duty: fluid" if fluid else "judgement: neither the old lip nor the fluid and its heat are known"
        )
        found.append(Limit("fluid_proof", "one of", ("yes",), "function", follows, PRACTICE, breach))
    known = None if fluid == "other" else fluid
    accept = _bearing(old, known, temperature, speed, whole=known is not None and temperature is not None)
    cooler = None if temperature is None else temperature - HOTTER
    slower = None if speed is None else speed / FASTER
    for_a_time = _bearing(old, known, cooler, slower, whole=known is not None and temperature is not None)
    if old == "leather":
        for_a_time = tuple(dict.fromkeys((*accept, *for_a_time)))
        accept = tuple(m for m in accept if m == "leather")
    found.append(
        Limit(
            "material",
            "one of",
            accept,
            "function",
            _follows(fluid, temperature, speed),
            load_source(),
            "the lip hardens, burns or swells, and leaks"
            if old is None or (known is not None and temperature is not None)
            else "it doesn't cover all the old lip's material bears: say the fluid and its temperature",
            reach=tuple(dict.fromkeys((*accept, *for_a_time))),
            conditions=("look at it every day: a lip that is too hot or too fast hardens within weeks",),
        )
    )
    return tuple(found)


def _bearing(
    old: str | None, fluid: str | None, temperature: float | None, speed: float | None, *, whole: bool
) -> tuple[str, ...]:
    """Materials that bear what is known and, unless the whole duty is, cover the old material as well."""
    suited = [m for m in materials().values() if seals.suits(m, fluid, temperature, speed)]
    if whole:
        return tuple(m.name for m in suited if m.name != "leather" or old == "leather")
    if old is None:
        return tuple(m.name for m in suited if m.name != "leather")
    return tuple(m.name for m in suited if m.name == old or seals.covers(m, materials()[old]))


def load_source() -> Source:
    """Where the lip materials' limits come from."""
    return next(iter(materials().values())).source


def _follows(fluid: str | None, temperature: float | None, speed: float | None) -> str:
    parts = [fluid or ""]
    parts += [show(temperature, "°C")] if temperature is not None else []
    parts += [f"lip speed {show(speed, 'm/s')}"] if speed is not None else []
    said = ", ".join(p for p in parts if p)
    return f"duty: {said}" if said else "plate: lip of the old seal"


def margin_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """How much lip speed and temperature are to spare: they cost life long before they destroy."""
    fluid, temperature, speed = _asked(spec, duty)
    found: list[tuple[str, float, str, str]] = []
    if speed is not None and speed > 0:
        share = 1.0 if fluid in ("mineral oil", "synthetic oil") else rule("grease_speed").value
        poorer = "" if share == 1 else f", counted {1 / share:g} times for want of oil"
        found.append(
            ("lip_speed", speed / share, f"duty: lip speed {show(speed, 'm/s')}{poorer}", "it wears fast")
        )
    if temperature is not None:
        found.append(("temperature_max", temperature, f"duty: {show(temperature, '°C')}", "it hardens fast"))
    return tuple(
        Limit(name, "at least", Interval(least, None), "life", follows, load_source(), breach)
        for name, least, follows, breach in found
    )


def pressure_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """A pressure seal where the pressure is more than a standard lip bears."""
    pressure = number(duty, "pressure")
    if pressure is None or pressure <= seals.plain_pressure(lip_speed(spec, duty)) * (1 + 1e-9):
        return ()
    return (
        Limit(
            "pressure_max",
            "at least",
            Interval(pressure, None),
            "safety",
            f"duty: {show(pressure, 'bar')}",
            rule("pressure_plain").source,
            "the lip is pressed on the shaft, burns or turns inside out, and hot fluid comes out",
        ),
    )


# --------------------------------------------------------------------------- ribs, case, dust lip


def helix_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """A one-way lip pumps out the other way: only where the old one was the same and the shaft doesn't reverse."""
    old, rotation = spec.code("helix"), word(duty, "rotation")
    same = (old,) if old in ("left", "right") and rotation != "both ways" else ()
    reverses = rotation == "both ways"
    return (
        Limit(
            "helix",
            "one of",
            ("none", "both", *same),
            "function",
            "duty: the shaft turns both ways" if reverses else "plate: ribs of the old lip",
            PRACTICE,
            "ribs for one way pump the oil out when the shaft turns the other way",
        ),
    )


def design_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Rubber-covered or metal, with or without dust lip; a dust lip only up to its speed."""
    old, speed = spec.code("design"), lip_speed(spec, duty)
    fast = speed is not None and speed > rule("dust_lip_speed").value
    accept = _as_good(old)
    if fast and not (old or "").endswith("S"):
        accept = tuple(d for d in accept if not d.endswith("S"))
    follows = f"duty: lip speed {show(speed or 0.0, 'm/s')}" if fast else "plate: type of the old seal"
    return (
        Limit(
            "design",
            "one of",
            accept,
            "function",
            follows if old else "judgement: nobody has looked at the old seal",
            TYPES,
            "a metal case leaks round a scratched bore; without a dust lip grit gets under the lip",
            reach=DESIGNS if not fast else tuple(d for d in DESIGNS if not d.endswith("S") or d in accept),
            conditions=("only where it stays clean and dry outside",),
        ),
    )


def _as_good(old: str | None) -> tuple[str, ...]:
    """Types as good as the old one: rubber-covered for metal, a stiffer case, a dust lip more."""
    better: dict[str, Sequence[str]] = {
        "A": ("A", "AS"),
        "AS": ("AS",),
        "B": ("B", "C", "A", "BS", "CS", "AS"),
        "BS": ("BS", "CS", "AS"),
        "C": ("C", "B", "A", "CS", "BS", "AS"),
        "CS": ("CS", "BS", "AS"),
    }
    return tuple(better.get(old or "", ("AS",)))


# --------------------------------------------------------------------------- what cures a breach


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """What a fitter can do about a breach that is within reach."""
    if limit.attribute == "lip_track":
        return (_track_cure(limit.conditions[0], offered),)
    if limit.attribute in ("shaft", "bore", "width") and isinstance(limit.accept, Interval):
        size = offered.num(limit.attribute)
        return () if size is None else _size_cure(limit.attribute, limit.accept, size)
    if limit.attribute == "design" and isinstance(limit.accept, tuple):
        return _design_cure(limit.accept, offered.code("design") or "")
    if limit.attribute == "material" and limit.accept == ("leather",):
        least, most = (show(rule(n).value, "µm") for n in ("ra_least", "ra_most"))
        text = (
            f"leather ran on rough shafts, rubber doesn't: polish the running surface to Ra {least} to {most} "
            "without lead, or sleeve it; break the edge the lip is pushed over"
        )
        return (Change("material", text, 1.0, rule("ra_most").source),)
    return ()


def _track_cure(groove: str, offered: Spec) -> Change:
    shaft = offered.num("shaft")
    size = f" for {show(shaft, 'mm')}" if shaft else ""
    wall, aside = show(rule("thin_sleeve").value, "mm"), show(rule("lip_offset").value, "mm")
    if groove == "deep":
        text = f"push a thin repair sleeve{size} over the groove (wall {wall}, the same seal fits), groove filled first"
        return Change("lip_track", text, 1.0, rule("thin_sleeve").source)
    text = (
        f"set the lip {aside} beside the track: a spacer ring behind the seal, or pressed in less deep, where the "
        "seat is deep enough; else a thin sleeve"
    )
    return Change("lip_track", text, 0.5, rule("lip_offset").source)


def _size_cure(name: str, accept: Interval, size: float) -> tuple[Change, ...]:
    gap = max(accept.lower - size, size - accept.upper)
    if name == "width":
        text = f"{show(gap, 'mm')} narrower: press it flush, square, so that its lip runs on ground, unworn shaft"
        return (Change("width", text, 0.25, PRACTICE),)
    if name == "shaft" and gap <= 2 * rule("thin_sleeve").value:
        text = f"the shaft is {show(gap, 'mm')} too thin: a thin repair sleeve brings it back to {show(size, 'mm')}"
        return (Change("shaft", text, 1.0, rule("thin_sleeve").source),)
    if gap / 2 < rule("sleeve_wall").value:
        return ()
    wall = show(gap / 2, "mm")
    made = {
        "shaft": f"a turned sleeve on the shaft, wall {wall}, bonded on, ground to h11 and polished",
        "bore": f"a turned ring in the housing, wall {wall}, bonded in and bored to H8 with a lead-in",
    }
    return (
        Change(name, made[name], 3.0, judgement("a turned ring, its wall not thinner than the table says")),
    )


def _design_cure(wanted: tuple[str, ...], offered: str) -> tuple[Change, ...]:
    """Metal for rubber-covered: a clean bore and sealant; a missing dust lip has no cure but a clean place."""
    dust = all(d.endswith("S") for d in wanted) and not offered.endswith("S")
    if dust or offered[:1] not in ("B", "C"):
        return ()
    text = "a metal case: dress the bore, no scratches along it, sealant on the outside, none on the lip"
    return (Change("design", text, 0.25, PRACTICE),)
