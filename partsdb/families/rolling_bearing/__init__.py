"""Rolling bearings: ball and roller bearings with a basic designation or an inch number.

How they read: figures on the ring, "6206-2Z/C3" = type and series 62, bore code 06 (times five: 30 mm), shields,
clearance; letters before (NU 2 06) or alone on old inch bearings (LJ 1, RLS 8). No clearance mark means normal.
Other countries' numbers look alike and are not: by GOST 3189 a 7205 is a taper bearing (30205), here an angular
contact ball bearing, so the rings are measured whatever the number says.
What kills them: dirt and water past a seal, too little or too much grease, a belt too tight, a ring creeping on a
worn seat, current through the balls; seldom age. The rings don't wear in size unless they spun: measure the
journal and the housing as well.

Sources: ISO 15, ISO 355, ISO 104 (sizes), DIN 623-1 (designations), ISO 281 (life), ISO 5753-1 (clearance),
ISO 286-2 (seats); each with its status in tables/bearing_*.csv. No pair of single-row bearings is as narrow as
the double row it would stand for (tests/families prove it over the tables), so there are no combinations.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.duty import word as asked_word
from partsdb.families.rolling_bearing import limits
from partsdb.family import (
    Attribute,
    Consistency,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Symptom,
    Writing,
)
from partsdb.model import Life, Spec, Value, number, word
from partsdb.physics import bearings as physics
from partsdb.physics.bearings import MM, kinds, rule
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement
from partsdb.tables import load

DIMENSIONS = ("bore", "outside", "width")
SERIES = tuple(dict.fromkeys(s.series for s in physics.sizes()))
BORE_CODES = tuple(dict.fromkeys(s.bore_code for s in physics.sizes()))
WORDS = load("bearing_words")


def _code_spellings(code: str) -> tuple[str, ...]:
    """Bore codes as plates write them: 1-1/4 also with a blank or a point, /8 also without its stroke."""
    if "-" in code:
        return (code, code.replace("-", " "), code.replace("-", "."))
    return (code, code[1:]) if code.startswith("/") and len(code) == 2 else (code,)


def _coded(
    name: str, title: str, *header: str, identity: bool = False, ladder: tuple[str, ...] = ()
) -> Attribute:
    """An attribute of code words from tables/bearing_words.csv."""
    rows = [r for r in WORDS.rows if r["attribute"] == name]
    codes = {r["code"]: r["title"] for r in rows}
    spellings = {r["code"]: tuple(r["spellings"].split("|")) for r in rows if r["spellings"]}
    return Attribute(
        name, title, None, identity, codes=codes, spellings=spellings, ladder=ladder, header=(title, *header)
    )


ATTRIBUTES = (
    Attribute(
        "series",
        "series",
        None,
        True,
        codes={s: s for s in SERIES},
        spellings={s: (s, other) for s, other in physics.other_series().items()},
        header=("series",),
    ),
    Attribute(
        "bore_code",
        "bore code",
        None,
        True,
        codes={c: c for c in BORE_CODES},
        spellings={c: _code_spellings(c) for c in BORE_CODES},
        header=("bore code",),
    ),
    Attribute("type", "type", None, codes={k.name: k.title for k in kinds().values()}, header=("type",)),
    Attribute("bore", "bore", "mm", rel_tol=1e-4, header=("bore", "d", "inside diameter", "id")),
    Attribute(
        "outside", "outside diameter", "mm", rel_tol=1e-4, header=("outside diameter", "od", "outside")
    ),
    Attribute("width", "width", "mm", rel_tol=1e-4, header=("width", "b", "height", "t")),
    _coded("closure", "seals", "closure", "shields", identity=True),
    _coded("clearance", "clearance class", "clearance", identity=True, ladder=limits.CLEARANCES),
    _coded("bore_shape", "shape of the bore", identity=True),
    _coded("contact_angle", "contact angle"),
    _coded("precision", "precision class", "precision", ladder=("normal", "P6", "P5", "P4")),
    _coded("cage", "cage"),
    _coded("origin", "country of make"),
    Attribute("dynamic_rating", "dynamic load rating C", "kN", header=("c", "dynamic rating", "c kn")),
    Attribute("static_rating", "static load rating C0", "kN", header=("c0", "static rating", "c0 kn")),
    Attribute("limiting_speed", "limiting speed", "rpm", header=("limiting speed", "max rpm")),
)


def _words(name: str, template: str, p_absent: float) -> Field:
    """A field of code words; what the table ranks 0 is meant when the plate says nothing."""
    rows = [r for r in WORDS.rows if r["attribute"] == name]
    written = tuple(Row((r["code"],), float(r["weight"])) for r in rows if float(r["weight"]) > 0)
    silent = next((r["code"] for r in rows if r["rank"] == "0"), None)
    return Field(
        name, (name,), written, (Writing(template),), p_absent, default=(silent,) if silent else None
    )


FIELDS = (
    Field(
        "designation",
        ("series", "bore_code", "type", *DIMENSIONS),
        tuple(
            Row((s.series, s.bore_code, s.type, s.bore, s.outside, s.width), s.weight)
            for s in physics.sizes()
        ),
        (
            Writing("{series} {bore_code}"),
            Writing("{bore:mm} X {outside:mm} X {width:mm}", -4),
        ),
        p_absent=0.05,
    ),
    _words("closure", "[-|.]{closure}", 0.5),
    _words("clearance", "[/]{clearance}", 0.6),
    _words("bore_shape", "{bore_shape}", 0.8),
    _words("contact_angle", "{contact_angle}", 0.9),
    _words("precision", "[/]{precision}", 0.93),
    _words("cage", "{cage}", 0.92),
    _words("origin", "{origin}", 0.8),
)


# --------------------------------------------------------------------------- how well values agree

CLOSED = ("Z", "2Z", "RS", "2RS", "2RZ")
MARKED = ("C2", "C3", "C4", "C5")
OFTEN_CLOSED = ("deep groove ball", "double row angular contact ball")


def _among(values: Any, words: tuple[str, ...]) -> Any:
    """Where the code word is one of these; unknown is not."""
    found = np.zeros(np.shape(values), dtype=bool)
    for one in words:
        found |= np.asarray(values == one, dtype=bool)
    return found


def _closed_types(type_: Any, closure: Any) -> Any:
    """Shields and seals are made for deep groove bearings, seldom for others."""
    seldom = tuple(k for k in kinds() if k not in OFTEN_CLOSED)
    return np.where(_among(closure, CLOSED) & _among(type_, seldom), -4.0, 0.0)


def _cleared_types(type_: Any, clearance: Any) -> Any:
    """Taper, single-row angular contact and thrust bearings carry no clearance class."""
    return np.where(_among(clearance, MARKED) & _among(type_, limits.ADJUSTED), -4.0, 0.0)


def _angled_types(type_: Any, angle: Any) -> Any:
    """Only angular contact bearings carry a contact angle."""
    others = tuple(k for k in kinds() if k != "angular contact ball")
    return np.where(_among(angle, ("15°", "25°", "30°", "40°")) & _among(type_, others), -5.0, 0.0)


def _tapered_types(type_: Any, shape: Any) -> Any:
    """Taper bores are made for bearings that align themselves, seldom for others."""
    rigid = tuple(k.name for k in kinds().values() if not k.aligning)
    return np.where(_among(shape, ("K",)) & _among(type_, rigid), -4.0, 0.0)


# --------------------------------------------------------------------------- what follows from a designation


def derive(spec: Spec) -> tuple[Value, ...]:
    """Type and boundary dimensions from series and bore code; a straight bore, since a taper is always marked."""
    size = physics.size_of(spec.code("series"), spec.code("bore_code"))
    if size is None:
        return ()
    return (
        word("type", size.type, size.type_source),
        number("bore", size.bore, size.source),
        number("outside", size.outside, size.source),
        number("width", size.width, size.source),
        word("bore_shape", "cylindrical", Source("no K in the designation (DIN 623-1)", "stated")),
    )


def life(spec: Spec, duty: Duty) -> Life:
    """Basic rating life of ISO 281 at the duty: nine of ten reach the low figure, half of them the middle one."""
    kind = kinds().get(spec.code("type") or "")
    rating, load, speed = spec.num("dynamic_rating"), limits.load_on(spec, duty), asked(duty, "shaft_speed")
    if kind is None or not rating or not load or not speed:
        missing = "needs the dynamic rating, the loads and the speed"
        return Life(None, None, None, physics.ISO_281, missing)
    hours = physics.life_hours(rating, load, kind.exponent, speed)
    text = (
        f"L10h = (C/P)^{kind.exponent:.3g} = ({show(rating, 'kN')} / {show(load, 'kN')})^{kind.exponent:.3g} at "
        f"{show(speed, 'rpm')}: {hours:,.0f} h; clean, well greased and rightly fitted"
    )
    return Life(hours, physics.median_life(hours), None, physics.ISO_281, text)


def title_of(spec: Spec) -> str:
    """ "6206-2Z/C3 deep groove ball bearing 30 × 62 × 16 mm"."""
    series, code = spec.code("series") or "", spec.code("bore_code") or ""
    gap = " " if series[-1:].isalpha() else ""
    number_ = f"{series}{gap}{code}"
    if (closure := spec.code("closure")) not in (None, "open"):
        number_ += f"-{closure}"
    marks = [
        m for m in (spec.code("bore_shape"), spec.code("clearance")) if m not in (None, "cylindrical", "CN")
    ]
    number_ = "/".join([number_, *(m for m in marks if m)]) if number_.strip() else ""
    kind = kinds().get(spec.code("type") or "")
    size = [spec.num(name) for name in DIMENSIONS]
    across = " × ".join(f"{x / MM:g}" for x in size if x is not None)
    parts = (number_, kind.title if kind else "bearing", f"{across} mm" if all(size) else "")
    return " ".join(part for part in parts if part)


# --------------------------------------------------------------------------- what can hurt, what killed it


def _heating_figures(spec: Spec, duty: Duty) -> tuple[tuple[str, str], ...]:
    bore = spec.num("bore")
    if bore is None:
        return ()
    rise = physics.heating(bore)
    most = rule("mount_hot" if spec.code("closure") == "open" else "mount_hot_capped")
    never = ("never above", f"{show(most.value, '°C')}, press the rest")
    return (
        (never,)
        if rise is None
        else (("to slide on by itself it needs", f"{rise:.0f} K over the shaft"), never)
    )


HAZARDS = (
    Hazard(
        "unguarded-rotation",
        "Isolate and lock off the drive, prove it dead, and block the shaft before a guard comes off; refit the "
        "guard before it turns under power. Follow your local code.",
        PRACTICE,
    ),
    Hazard(
        "shaft-drops",
        "A shaft without its bearing drops, and belts, springs or a hanging load may turn it: support rotor and "
        "load, slacken the belts, take the load off first.",
        PRACTICE,
    ),
    Hazard(
        "hardened-rings",
        "Rings are glass-hard: eye protection, no hammer on a ring, press only on the ring that is tight, no flame "
        "near its seat; never spin one with compressed air, it can burst.",
        PRACTICE,
    ),
    Hazard(
        "hot-ring",
        "A heated ring burns, an oil bath can catch fire: dry gloves, tongs, an induction heater that also "
        "demagnetises; keep people with pacemakers away from it.",
        PRACTICE,
        figures=_heating_figures,
    ),
    Hazard(
        "greases-mixed",
        "Greases of different soaps (lithium, polyurea, clay) may run like water when mixed: the same, or wash it "
        "all out. The rust preventive of a new bearing stays in.",
        PRACTICE,
        when=(("closure", "is not", "2RS"),),
    ),
    Hazard(
        "burnt-seal",
        "A rubber seal that was burnt (flame, seizure) may leave hydrofluoric acid if it was a fluorine rubber: "
        "don't touch the residue, neoprene gloves, wash with lime water, see a doctor.",
        Source("makers' safety notes on fluorine rubber above 300 °C", "common practice"),
        when=(("closure", "is not", "open"),),
    ),
)


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """What may have killed it; the facts at hand move the strengths."""
    belts, shaken = asked(duty, "belt_count") is not None, asked_word(duty, "vibration") == "shaking"
    wet = asked_word(duty, "fluid") is not None or spec.code("closure") == "open"
    shaft, bore = asked(duty, "shaft_diameter"), spec.num("bore")
    loose = shaft is not None and bore is not None and shaft < bore - rule("seat_loose").value
    strengths = {
        "belt-too-tight": 0.35 if belts else 0.1,
        "shaft-seal-failed": 0.35 if wet else 0.15,
        "seat-worn": 0.7 if loose else 0.1,
        "stray-current": 0.1,
        "shaken-standing": 0.3 if shaken else 0.05,
    }
    rows = load("bearing_suspects").rows
    return tuple(
        Suspect(r["id"], r["title"], r["why"], r["ask"], r["then"], strengths[r["id"]], PRACTICE)
        for r in rows
    )


SYMPTOMS = (
    Symptom("noisy", "worn races, dirt, current", ("turn it by hand with the load off: rough or notchy?",)),
    Symptom(
        "hot",
        "too little clearance, too much grease, rubbing seal, belt too tight",
        ("hot at once: clearance or alignment", "hot after hours: grease"),
    ),
    Symptom("leaks", "its seals, or the shaft seal beside it", ("what comes out: clean grease, oil, rust?",)),
    Symptom("slow", "nearly seized", ("turn it by hand with the belts off",)),
    Symptom("dead", "seized or broken up", ("isolate first; look for a blued shaft and a spun ring",)),
)


# --------------------------------------------------------------------------- what goes with it


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with a bearing."""
    found = ["the shaft seal beside it", "circlip, lock washer or locknut of that seat"]
    if spec.code("closure") in ("open", "Z", "RS", None):
        found.append("grease of the kind that is in there, or the machine's oil")
    if spec.code("bore_shape") == "K":
        found.append("adapter sleeve with nut and washer")
    if spec.code("type") in limits.ADJUSTED[:2]:
        found.append("shims for setting the play, and the opposite bearing if it is as old")
    return tuple(found)


def _play(spec: Spec) -> str:
    """Radial play of the unfitted bearing with its source, or "" where no table has it."""
    band = physics.clearance_band(
        spec.code("type") or "", spec.num("bore") or 0.0, spec.code("clearance") or ""
    )
    if band is None:
        return ""
    return (
        f"{band[0] / physics.MICRON:.0f} to {band[1] / physics.MICRON:.0f} µm ({band[2].status}, ISO 5753-1)"
    )


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check on arrival and after fitting, with figures."""
    bore, outside = spec.num("bore"), spec.num("outside")
    found = ["on arrival: box unopened, number on the ring as ordered, turns smoothly by hand"]
    for what, size, limit in (("journal", bore, "journal"), ("housing bore", outside, "housing")):
        seat = physics.seat(size) if size is not None else None
        if seat is not None:
            low, high = seat.journal if limit == "journal" else seat.housing
            fit = ("k5", seat.journal_source) if limit == "journal" else ("H7", seat.housing_source)
            found.append(
                f"{what} {low / MM:.3f} to {high / MM:.3f} mm by micrometer ({fit[0]}, {fit[1].status})"
            )
    if play := _play(spec):
        found.append(f"radial play before fitting {play}; fitted it must still turn freely")
    grease = [f"{100 * rule(n).value:.0f}" for n in ("grease_least", "grease_most")]
    if spec.code("closure") in ("open", None):
        found.append(f"fill {grease[0]} to {grease[1]} % of the free space with grease, more runs hot")
    hours, hot = rule("settles").value / 3600, show(rule("runs_hot").value, "°C")
    found.append(f"temperature steady within {hours:.0f} h; stop and look above {hot} at the housing")
    return tuple(found)


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The pass test of a shelf bearing of unknown condition."""
    years = rule("grease_shelf_years").value
    found = ["no rust or dents, turns smoothly and quietly by hand under a light push from the side"]
    if spec.code("closure") not in ("open", None):
        found.append(f"greased for life: made less than {years:.0f} years ago, grease not bled or hardened")
    band = physics.clearance_band(
        spec.code("type") or "", spec.num("bore") or 0.0, spec.code("clearance") or ""
    )
    if band is not None:
        low, high = band[0] / physics.MICRON, band[1] / physics.MICRON
        found.append(f"radial play by dial gauge {low:.0f} to {high:.0f} µm")
    found.append("the number on the ring itself, not on the box")
    return tuple(found)


def _gauge(attribute: str, tool: str, sd: float, minutes: float, caution: str) -> Measurement:
    """Rings don't wear in size: the reading is as likely too large as too small."""
    return Measurement(attribute, tool, sd, 0.0, minutes, caution)


_OUT_FIRST = "lock off the drive and support the shaft before anything comes off"
MEASUREMENTS = (
    _gauge(
        "bore", "calipers inside the bore", 0.05 * MM, 3, f"{_OUT_FIRST}; measure past chamfers and burrs"
    ),
    _gauge(
        "outside",
        "calipers across the outer ring",
        0.03 * MM,
        2,
        f"{_OUT_FIRST}; measure past mushroomed edges",
    ),
    _gauge("width", "calipers across a ring, not across shields", 0.03 * MM, 2, _OUT_FIRST),
)

FAMILY = Family(
    name="rolling_bearing",
    title="rolling bearing",
    version=1,
    attributes=ATTRIBUTES,
    fields=FIELDS,
    measurements=MEASUREMENTS,
    hazards=HAZARDS,
    require=limits.require,
    title_of=title_of,
    words=("bearing", "ball bearing", "roller bearing", "anti-friction bearing"),
    prior=2.0,
    ask=(
        "end",
        "axial_load",
        "shaft_speed",
        "radial_load",
        "wanted_life_hours",
        "shaft_diameter",
        "belt_count",
    ),
    consistency=(
        Consistency(("type", "closure"), _closed_types, judgement("what is made with seals")),
        Consistency(("type", "clearance"), _cleared_types, judgement("what carries a clearance class")),
        Consistency(("type", "bore_shape"), _tapered_types, judgement("what sits on adapter sleeves")),
        Consistency(("type", "contact_angle"), _angled_types, judgement("what carries a contact angle")),
    ),
    derive=derive,
    cures=limits.cures,
    life=life,
    symptoms=SYMPTOMS,
    suspects=suspects,
    goes_with=goes_with,
    after_fitting=after_fitting,
    shelf_test=shelf_test,
    install_hours=3.0,
)
