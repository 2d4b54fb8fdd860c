"""The limits of a motor's place: supply, output, torque, fit and surroundings (the envelope of a motor).

Volts, hertz and power come from the duty when it is known, else from the old plate.
"""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.duty import Duty, number, word
from partsdb.families.ac_motor.duty import STANDARD_AMBIENT, on_frequency
from partsdb.families.ac_motor.duty import frequency as place_frequency
from partsdb.families.ac_motor.duty import power as asked_power
from partsdb.families.ac_motor.values import DIMENSIONS
from partsdb.intervals import Interval, point
from partsdb.model import Kind, Limit, Spec, Weight
from partsdb.physics.motors import code_letters
from partsdb.source import PRACTICE, Source, judgement, said
from partsdb.tables import load

ENCLOSURES = ("open", "dripproof", "totally enclosed", "fan cooled", "explosion proof")
INSULATION = tuple(row["class"] for row in load("insulation_classes").rows)
RATINGS = ("5 min", "15 min", "30 min", "60 min", "continuous")
DESIGNS = ("A", "B", "C", "D", "N", "H")
CODES = tuple(letter for letter, _ in code_letters())
TOLERANCE = 1.10  # motors run 10 % above or below rated volts
VOLTS_RULE = Source(
    "motors run on rated volts within 10 % (NEMA MG 1-12.44.1, condensed edition 2011)", "verified"
)
_ANY = Interval(None, None)
_TOO_BIG = 1.6
_EASED = 5 / 6  # the least share of the wanted power that may run for a time, eased


def limits(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The limits of a place that held `spec` and asks `duty`. Volts, hertz and power come from the duty when it is
    known, else from the old plate; on another frequency than the plate's, what the old motor gave there counts."""
    return (
        *_type(spec),
        *_supply(spec, duty),
        *_output(spec, duty),
        *_torque(spec),
        *_fit(spec),
        *_surroundings(spec, duty),
    )


def _limit(attribute: str, kind: Kind, accept: Interval | tuple[str, ...], weight: Weight, origin: tuple[str, Source],
           breach: str, *, reach: Interval | tuple[str, ...] | None = None,
           conditions: tuple[str, ...] = ()) -> Limit:  # fmt: skip
    return Limit(attribute, kind, accept, weight, *origin, breach, "", reach, conditions)


def _open(attribute: str, weight: Weight, breach: str) -> Limit:
    """A limit that stays open until somebody finds out what the place asks for."""
    return _limit(attribute, "at least", _ANY, weight, ("nobody has said", said("nobody yet")), breach)


def _plate(spec: Spec, attribute: str) -> tuple[str, Source]:
    found = spec.first(attribute)
    return "plate", found.source if found else PRACTICE


_TYPES = {
    "cage": "it needs another starter and feed, or won't run here at all",
    "wound rotor": "its rings and resistors start a heavy load gently, or set its speed",
    "synchronous": "it keeps exact speed, or betters the power factor of the whole shop",
    "repulsion": "it starts a heavy load on one phase with little current",
    "capacitor": "it starts a loaded machine on one phase; one without would stall",
    "split phase": "another one may not start its load",
    "direct current": "its speed is set by its supply, which is direct current",
}


def _type(spec: Spec) -> Iterable[Limit]:
    if (kind := spec.code("motor_type")) in _TYPES:
        good = (kind, "capacitor") if kind == "split phase" else (kind,)
        yield _limit("motor_type", "one of", good, "function", _plate(spec, "motor_type"), _TYPES[kind])


def _supply(spec: Spec, duty: Duty) -> Iterable[Limit]:
    hertz, volts, phases = place_frequency(spec, duty), _place_volts(spec, duty), number(duty, "phases")
    if hertz is None:
        yield _open("supply_frequency", "function", "50 or 60 Hz decides volts, power and speed")
    else:
        origin = ("duty: frequency", said()) if "supply_frequency" in duty else _plate(spec, "frequency")
        yield _limit("frequency", "covers", point(hertz), "function", origin,
                     "its volts, power and speed are other ones on this supply", reach=_ANY)  # fmt: skip
    if volts is not None and hertz is not None:
        yield _limit(on_frequency("voltage", hertz), "within", Interval(volts / TOLERANCE, volts / 0.9), "function",
                     ("duty: supply voltage", VOLTS_RULE),
                     "too much flux overheats iron and winding, too little stalls it under load")  # fmt: skip
    elif volts is None:
        yield from _plate_volts(spec)
    wanted, of = (
        (phases, ("duty: phases", said()))
        if phases is not None
        else (spec.num("phases"), _plate(spec, "phases"))
    )
    if wanted is not None:
        yield _limit(
            "phases", "equal", point(wanted), "function", of, "it doesn't start, or burns out, on this supply"
        )


def _place_volts(spec: Spec, duty: Duty) -> float | None:
    """The place's volts: a single-phase motor whose plate says so hangs between a phase and neutral."""
    volts = number(duty, "supply_voltage")
    if volts is None or spec.num("phases") != 1 or number(duty, "phases") == 3:
        return volts
    rated = [v.low for v in spec.all("voltage") if v.low]
    between = volts / 3**0.5
    fits = {x: any(abs(r / x - 1) <= 0.1 for r in rated) for x in (volts, between)}
    return between if fits[between] and not fits[volts] else volts


def _plate_volts(spec: Spec) -> Iterable[Limit]:
    """Nobody has said the supply: the motor must connect for every voltage the old one could."""
    if not spec.has("voltage"):
        yield _open("supply_voltage", "function", "measure the supply before choosing a motor")
    for name in ("lowest_voltage", "highest_voltage"):
        if (volts := spec.num(name)) is not None:
            yield _limit(name, "within", Interval(volts / TOLERANCE, volts / 0.9), "function",
                         ("plate: the supply isn't known", VOLTS_RULE),
                         "it can't be connected for every voltage the old one could: measure the supply")  # fmt: skip


def _output(spec: Spec, duty: Duty) -> Iterable[Limit]:
    hertz = place_frequency(spec, duty)
    asked = asked_power(spec, duty, hertz) if hertz is not None else None
    if asked is None:
        yield _open("load", "function", "neither plate nor place says the power")
    else:
        attribute, origin = on_frequency("power", hertz or 0.0), (asked[1], asked[2])
        yield _limit(attribute, "at least", Interval(asked[0], None), "function", origin,
                     "it is overloaded and overheats", reach=Interval(asked[0] * _EASED, None),
                     conditions=("an ammeter in one lead: never above its plate's amperes", "the load eased by a sixth",
                                 "its frame felt every hour: too hot to hold means stop"))  # fmt: skip
        yield _limit("power", "at most", Interval(None, asked[0] * _TOO_BIG), "function",
                     (origin[0], judgement("one size up is plenty; beyond it drive and overload no longer match")),
                     "far too big: poor power factor, its starting torque is hard on belts and shaft",
                     reach=_ANY)  # fmt: skip
    if (poles := spec.num("poles")) is not None:
        yield _limit(
            "poles", "equal", point(poles), "function", _plate(spec, "speed"), "it turns at another speed"
        )
    factor, power = spec.num("service_factor"), spec.num("power")
    if factor and factor > 1 and power and "load_power" not in duty:
        yield _limit("peak_power", "at least", Interval(power * factor, None), "function",
                     _plate(spec, "service_factor"),
                     "the old motor could be overloaded for good by its service factor", reach=_ANY)  # fmt: skip


def _better(
    attribute: str, ladder: tuple[str, ...], spec: Spec, weight: Weight, breach: str
) -> Iterable[Limit]:
    if (worst := spec.code(attribute)) in ladder:
        yield _limit(
            attribute,
            "same class or better",
            ladder[ladder.index(worst) :],
            weight,
            _plate(spec, attribute),
            breach,
        )


def _torque(spec: Spec) -> Iterable[Limit]:
    yield from _better(
        "rating", RATINGS, spec, "function", "it overheats when it runs longer than its rating"
    )
    if (design := spec.code("design_letter")) is not None:
        normal = design in ("A", "B", "N")
        yield _limit("design_letter", "one of", ("A", "B", "N") if normal else (design,), "function",
                     _plate(spec, "design_letter"), "other starting torque and slip: it may not start the load",
                     reach=DESIGNS if normal else None)  # fmt: skip
    if (code := spec.code("code_letter")) in CODES:
        yield _limit("code_letter", "one of", CODES[: CODES.index(code) + 1], "function", _plate(spec, "code_letter"),
                     "it draws more current at start", reach=CODES)  # fmt: skip


def _fit(spec: Spec) -> Iterable[Limit]:
    known = [name for name in DIMENSIONS if spec.has(name)]
    for name in known:
        size = spec.num(name) or 0.0
        # a lower motor can be packed up, a higher one can't be sunk
        reach = Interval(None, size) if name == "shaft_height" else _ANY
        yield _limit(name, "equal", point(size), "fit", _plate(spec, name), "it doesn't line up", reach=reach)
    if not known:
        yield _open("place", "fit", "measure shaft height, feet and shaft: no frame is known")
    if (mount := spec.code("mount")) is not None:
        yield _limit("mount", "one of", (mount,), "fit", _plate(spec, "mount"), "it is held differently")


def _surroundings(spec: Spec, duty: Duty) -> Iterable[Limit]:
    sealed: Weight = "safety" if spec.code("enclosure") == ENCLOSURES[-1] else "function"
    yield from _better("enclosure", ENCLOSURES, spec, sealed, "dust, water or vapour gets in")
    yield from _better(
        "insulation", INSULATION, spec, "life", "its winding ages faster at the same temperature"
    )
    ambient = number(duty, "ambient")
    if ambient is not None and ambient > STANDARD_AMBIENT:
        yield _limit("ambient", "at least", Interval(ambient, None), "life", ("duty: air temperature", said()),
                     "motors are rated for 40 °C air unless they say more")  # fmt: skip
    turning, both = spec.code("rotation"), word(duty, "rotation") == "both ways"
    if both or turning is not None:
        good = ("either",) if both or turning == "either" else (turning or "either", "either")
        origin = ("duty: turns both ways", said()) if both else _plate(spec, "rotation")
        yield _limit(
            "rotation",
            "one of",
            good,
            "function",
            origin,
            "it turns the wrong way",
            reach=("CW", "CCW", "either"),
        )
