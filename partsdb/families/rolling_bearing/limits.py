"""What a place asks of the bearing in it: from the old bearing and the duty to limits, and what cures a breach.

Judgement, unless a limit names its source. Weights: the wrong type or too little clearance hurts (safety); sizes
are fit; strength is life. What nobody knows of the old bearing never makes a limit laxer.
"""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.duty import Duty, number, word
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec, Weight
from partsdb.physics import bearings
from partsdb.physics.bearings import Kind, kinds, rule
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement

DIN_623 = Source("DIN 623-1: suffixes of bearing designations", "common practice")
ADJUSTED = ("taper roller", "angular contact ball", "thrust ball")  # their play is set while fitting
CLEARANCES = ("C2", "CN", "C3", "C4", "C5")
# what may run for a time where another class stood: one step looser, never tighter
LOOSER = {"C2": ("CN",), "CN": ("C3",), "C3": ("C4",), "C4": ("C5",), "C5": ()}
TIGHT = "too little clearance left once it is warm and pressed on: it runs hot and seizes"
LOOSE = "more play than the place was built for: noise, run-out"


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Every limit that follows from the bearing that stood there and from the duty."""
    return (
        *type_limits(spec, duty),
        *size_limits(spec),
        *seat_limits(duty),
        *clearance_limits(spec),
        *closure_limits(spec, duty),
        *strength_limits(spec, duty),
        *speed_limits(spec, duty),
        *lesser_limits(spec, duty),
    )


def _kind(spec: Spec) -> Kind | None:
    return kinds().get(spec.code("type") or "")


# --------------------------------------------------------------------------- type and size


def ways_needed(spec: Spec, duty: Duty) -> int:
    """How many ways the place needs axial load carried: 0, 1 or 2; unknown counts as what the old type carried."""
    kind = _kind(spec)
    end, axial = word(duty, "end"), number(duty, "axial_load")
    if end == "locating":
        return 2
    if axial is not None and axial <= 0 and end == "floating":
        return 0
    known = kind.ways if kind else 2
    return max(known, 1) if axial is not None and axial > 0 else known


def type_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Equal size is not equal type: one that doesn't carry the axial load lets the shaft wander."""
    kind, needed = _kind(spec), ways_needed(spec, duty)
    carrying = [k for k in kinds().values() if k.ways >= needed and not k.name.startswith("thrust")]
    if kind is None:
        accept: tuple[str, ...] = ()
        reach: tuple[str, ...] = ()
    elif kind.ways >= needed:
        accept = (kind.name,)
        aligned = [k for k in carrying if k.aligning or not kind.aligning]
        reach = (
            accept
            if kind.name in ADJUSTED
            else (*accept, *(k.name for k in aligned if k.name not in ADJUSTED))
        )
    else:
        accept = tuple(
            k.name for k in carrying if k.name not in ADJUSTED and (k.aligning or not kind.aligning)
        )
        reach = accept
    free_of_thrust = needed == 0 or number(duty, "axial_load") == 0
    weight: Weight = "function" if kind and free_of_thrust else "safety"
    from_duty = kind is not None and kind.ways < needed
    return (
        Limit(
            "type",
            "one of",
            accept,
            weight,
            "duty: axial load at this end" if from_duty else "plate: type of the old bearing",
            DIN_623,
            "another type carries other loads: the shaft may wander endways, or bind when it warms up",
            reach=tuple(dict.fromkeys(reach)),
            conditions=(
                "only at the old load and speed or less, and watched for the first 8 h",
                "at the floating end it must still be free to move endways",
            ),
        ),
        *_angle_limit(spec),
    )


def _angle_limit(spec: Spec) -> Iterable[Limit]:
    angle = spec.code("contact_angle")
    if angle is not None:
        yield Limit(
            "contact_angle",
            "one of",
            (angle,),
            "function",
            "plate: contact angle",
            DIN_623,
            "another contact angle carries other axial loads and needs another setting",
        )


def size_limits(spec: Spec) -> tuple[Limit, ...]:
    """Bore, outside diameter and width equal; a ring or sleeve can make up a bearing that is too small inside
    its housing, too large on its shaft or too narrow."""
    most, wall = rule("sleeve_most").value, rule("sleeve_wall").value
    asked = (
        ("bore", 0.0, 2 * most, "it doesn't go on the shaft, or is loose on it"),
        ("outside", -2 * most, 0.0, "it doesn't go into the housing, or is loose in it"),
        ("width", -most, 0.0, "it stands proud of its seat, or moves endways"),
    )
    found = []
    for name, less, more, breach in asked:
        value = spec.first(name)
        if value is None or value.low is None or value.high is None:
            continue
        low, high = value.low, value.high
        found.append(
            Limit(
                name,
                "equal",
                Interval(low, high),
                "fit",
                f"plate: {name} by the designation, or measured",
                value.source,  # its row says how far it was verified, many only from memory
                breach,
                reach=Interval(low + less, high + more) if wall else None,
            )
        )
    return tuple(found)


def seat_limits(duty: Duty) -> tuple[Limit, ...]:
    """The measured journal and housing: a ring that is loose on its seat creeps and wears it."""
    loose, tight, bonded = (rule(n).value for n in ("seat_loose", "seat_tight", "seat_bonded"))
    found = []
    shaft, housing = number(duty, "shaft_diameter"), number(duty, "housing_diameter")
    if shaft is not None:
        found.append(
            ("bore", Interval(shaft - tight, shaft + loose), Interval(shaft - tight, shaft + bonded))
        )
    if housing is not None:
        found.append(
            (
                "outside",
                Interval(housing - tight, housing + loose),
                Interval(housing - bonded, housing + loose),
            )
        )
    return tuple(
        Limit(
            name,
            "within",
            accept,
            "fit",
            "duty: the seat as measured",
            rule("seat_loose").source,
            "the ring would creep on its seat, or lose its clearance to a tight one",
            reach=reach,
        )
        for name, accept, reach in found
    )


# --------------------------------------------------------------------------- clearance and seals


def clearance_limits(spec: Spec) -> tuple[Limit, ...]:
    """The same class; one class looser runs for a time, a tighter one never. Unknown: only C3, for a time."""
    kind, old = _kind(spec), spec.code("clearance")
    if kind is not None and kind.name in ADJUSTED:
        return ()
    watched = "watch noise and temperature for the first 8 h; put in the right class at the next stop"
    cool = "not where it runs hot (a furnace fan, a drying drum): C4 may have stood there"
    if old is None:
        return (
            Limit(
                "clearance",
                "one of",
                (),
                "function",
                "judgement: nobody knows the old class",
                judgement("C3 runs where normal stood, normal where C3 stood seizes"),
                "the old class isn't known, and normal where C3 stood seizes: read the old ring, or take C3",
                reach=("C3",),
                conditions=(watched, cool),
            ),
        )
    weight: Weight = "safety" if CLEARANCES.index(old) >= CLEARANCES.index("C3") else "function"
    return (
        Limit(
            "clearance",
            "one of",
            (old,),
            weight,
            "plate: clearance mark, or none",
            DIN_623,
            TIGHT if weight == "safety" else LOOSE,
            reach=(old, *LOOSER[old]),
            conditions=(watched,),
        ),
    )


# what may stand in for each closure: (as good, with work or for a time)
_CLOSURES = {
    "open": (("open",), ("Z", "RS", "2Z", "2RZ", "2RS")),
    "Z": (("Z",), ("open", "RS", "2Z", "2RZ", "2RS")),
    "RS": (("RS",), ("open", "Z", "2Z", "2RZ", "2RS")),
    "2Z": (("2Z", "2RZ"), ("open", "2RS")),
    "2RZ": (("2RZ",), ("2Z", "2RS", "open")),
    "2RS": (("2RS",), ("2RZ", "2Z", "open")),
}
RUBBING = ("RS", "2RS")
_SHUT = "its seals keep out the grease or oil that the housing gives it"
_LEAKS = "no grease of its own or no sealing: dirt in, grease out"


def closure_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Seals and shields as they were; rubbing seals only up to the speed they take."""
    old = spec.code("closure")
    accept, others = _CLOSURES.get(old or "", ((), ("open", "2Z", "2RZ", "2RS")))
    reach = (*accept, *others)
    follows, source = "plate: seals or shields", DIN_623
    breach = _SHUT if old == "open" else _LEAKS
    if fast := _too_fast_for_seals(spec, duty, old in RUBBING):
        accept = tuple(c for c in accept if c not in RUBBING)
        # where open is wanted the seals come out anyway
        reach = reach if "open" in accept else tuple(c for c in reach if c not in RUBBING)
        follows, source = f"duty: {fast}", rule("dn_contact_seal").source
        breach = "rubbing seals run hot at this speed"
    if old is None:
        follows, source = "judgement: nobody has looked at the old seals", PRACTICE
    return (
        Limit(
            "closure",
            "one of",
            accept,
            "function",
            follows,
            source,
            breach,
            reach=reach,
            conditions=("only in a clean, dry place, or wiped and looked at every day",),
        ),
    )


def _too_fast_for_seals(spec: Spec, duty: Duty, proved: bool) -> str:
    """Why rubbing seals are ruled out, or "". proved: the place ran with them, so only the cage's limit counts."""
    bore, speed = spec.num("bore"), number(duty, "shaft_speed")
    if bore is None or speed is None or speed <= 0:
        return ""
    factor = bearings.speed_factor(bore, speed)
    most = rule("dn_grease_ball" if proved else "dn_contact_seal").value
    return f"bore times speed {factor:,.0f}, rubbing seals take {most:,.0f}" if factor > most else ""


# --------------------------------------------------------------------------- strength and speed


def load_on(spec: Spec, duty: Duty) -> float | None:
    """Equivalent load [N] of the duty on this type; None when the radial load isn't known or can't be carried.

    An unknown axial load counts as none only for types that carry none.
    """
    kind, radial, axial = _kind(spec), number(duty, "radial_load"), number(duty, "axial_load")
    if kind is None:
        return None
    if kind.name.startswith("thrust"):
        return axial if axial else None
    if radial is None or (axial is None and kind.ways > 0):
        return None
    return bearings.equivalent_load(kind.name, radial, axial or 0.0)


def strength_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Dynamic rating for the wanted life (ISO 281), else as strong as the old one; not so strong that rollers slide."""
    kind, load = _kind(spec), load_on(spec, duty)
    speed, hours = number(duty, "shaft_speed"), number(duty, "wanted_life_hours")
    found = []
    short = rule("short_life").value
    if kind is not None and load and speed and hours:
        least = bearings.rating_needed(load, hours, speed, kind.exponent)
        follows = f"duty: {show(load, 'kN')} at {show(speed, 'rpm')} for {hours:,.0f} h"
        found.append(_rating(least, least * short ** (1 / kind.exponent), follows, bearings.ISO_281))
    elif (old := spec.first("dynamic_rating")) is not None and old.low:
        exponent = kind.exponent if kind else 3.0
        found.append(
            _rating(old.low, old.low * short ** (1 / exponent), "plate: rating of the old one", PRACTICE)
        )
    if kind is not None and load and "roller" in kind.name:
        found.append(
            Limit(
                "dynamic_rating",
                "at most",
                Interval(None, load / rule("least_load_roller").value),
                "life",
                f"duty: {show(load, 'kN')} is all that presses the rollers on",
                rule("least_load_roller").source,
                "too lightly loaded: the rollers slide and smear",
            )
        )
    return tuple(found)


def _rating(least: float, shortest: float, follows: str, source: Source) -> Limit:
    return Limit(
        "dynamic_rating",
        "at least",
        Interval(least, None),
        "life",
        follows,
        source,
        "it wears out before its time",
        reach=Interval(shortest, None),
        conditions=("replace it within the stated hours",),
    )


def speed_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The maker's limiting speed, asked for only where grease and cage come near their limit."""
    bore, speed = spec.num("bore"), number(duty, "shaft_speed")
    if bore is None or speed is None or speed <= 0:
        return ()
    if bearings.speed_factor(bore, speed) <= rule("dn_grease_ball").value / 2:
        return ()
    return (
        Limit(
            "limiting_speed",
            "at least",
            Interval(speed, None),
            "function",
            f"duty: {show(speed, 'rpm')}",
            rule("dn_grease_ball").source,
            "too fast for its cage and grease: it runs hot",
        ),
    )


def lesser_limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Shape of the bore, precision and cage, where the old bearing or the place makes them matter."""
    found = []
    if shape := spec.code("bore_shape"):
        breach = "a taper bore needs its sleeve, a straight one can't go on a taper"
        found.append(Limit("bore_shape", "one of", (shape,), "fit", "plate: K or none", DIN_623, breach))
    ladder = ("normal", "P6", "P5", "P4")
    precise = spec.code("precision")
    if precise in ladder[1:]:
        good = ladder[ladder.index(precise) :]
        breach = "more run-out than the spindle was built for"
        found.append(
            Limit(
                "precision",
                "same class or better",
                good,
                "function",
                "plate: precision mark",
                DIN_623,
                breach,
            )
        )
    if (ambient := number(duty, "ambient")) is not None and ambient > rule("polyamide_hot").value - 20:
        follows = f"duty: {show(ambient, '°C')} at the bearing"
        source, breach = rule("polyamide_hot").source, "a polyamide cage goes brittle"
        found.append(Limit("cage", "one of", ("steel", "machined"), "function", follows, source, breach))
    elif spec.code("cage") == "machined" and word(duty, "vibration") != "calm":
        breach = "a light cage breaks up under shock and vibration"
        found.append(Limit("cage", "one of", ("machined",), "life", "plate: machined cage", DIN_623, breach))
    return tuple(found)


# --------------------------------------------------------------------------- what cures a breach


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """What a fitter can do about a breach that is within reach; empty when only time or nothing helps."""
    if limit.attribute in ("bore", "outside", "width") and isinstance(limit.accept, Interval):
        size = offered.num(limit.attribute)
        if size is None or (limit.kind == "equal" and not _strength_known(offered, duty)):
            return ()
        return _size_cure(limit.attribute, limit.kind == "within", limit.accept, size)
    if limit.attribute == "closure":
        return _closure_cure(limit, offered.code("closure") or "")
    return ()


def _strength_known(offered: Spec, duty: Duty) -> bool:
    """Whether its life can be worked out: a bearing of another section may be far weaker, whatever fits round it."""
    known = (load_on(offered, duty), number(duty, "shaft_speed"), number(duty, "wanted_life_hours"))
    return offered.has("dynamic_rating") and all(known)


def _size_cure(name: str, measured_seat: bool, accept: Interval, size: float) -> tuple[Change, ...]:
    """A sleeve, a ring, a spacer, or retaining compound on a worn seat."""
    if measured_seat:
        text = "retaining compound for the gap on a clean, degreased seat; better: build up the seat and regrind it"
        return (Change(name, text, 1.5, rule("seat_bonded").source),)
    gap = max(accept.lower - size, size - accept.upper)
    wall = gap if name == "width" else gap / 2
    if wall < (rule("sleeve_wall").value / 2 if name == "width" else rule("sleeve_wall").value):
        return ()
    made = {
        "bore": f"turn a sleeve for the shaft, wall {show(wall, 'mm')}, shrunk on and ground to k5",
        "outside": f"turn a ring for the housing, wall {show(wall, 'mm')}, pressed in and bored to H7",
        "width": f"turn a spacer ring {show(gap, 'mm')} wide, faces parallel",
    }
    return (Change(name, made[name], 3.0, judgement("a turned ring, walls not thinner than the table says")),)


def _closure_cure(limit: Limit, offered: str) -> tuple[Change, ...]:
    """Seals and shields come out with a pick; an open bearing needs grease and something that keeps it in."""
    wanted = limit.accept if isinstance(limit.accept, tuple) else ()
    if offered == "open" and wanted:
        text = (
            "make a grease supply: pack bearing and housing (30 to 50 % of the space), a lip or felt seal on each "
            "side, a nipple and a plan for greasing"
        )
        return (Change("closure", text, 2.0, rule("grease_least").source),)
    if set(wanted) & {"open", "Z", "RS"} and offered in ("Z", "RS", "2Z", "2RZ", "2RS"):
        sides = "both sides" if "open" in wanted else "the side that was open"
        text = f"take the seals or shields out on {sides} with a pick, wash out the grease if oil runs there"
        return (Change("closure", text, 0.3, PRACTICE),)
    return ()
