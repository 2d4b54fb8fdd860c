"""Rotary shaft lip seals (oil seals): a rubber or leather lip on a turning shaft, in a case pressed into a housing.

How they read: shaft x housing bore x width, in that order, in millimetres or inches ("30x52x7", "1.500 2.250
0.375"), the lip's material (NBR, FKM ...), the type ("AS": rubber-covered with dust lip), and on one-way lips an
arrow or a hand. Some old inch numbers give the bore first; some give only a maker's number.
Measure the metal, not the seal: a seal is smaller inside than its shaft and larger outside than its bore. Lip
bores wear larger, shafts smaller, and a groove under the lip makes the best new seal leak. What kills them: heat,
a dry lip, a worn bearing that lets the shaft run out, a blocked breather, grit.

Sources: DIN 3760, ISO 6194-1 (sizes, types, fits), ISO 286-2 (h11, H8), BS 3574 (shelf life); each with its status
in tables/seal_*.csv. Two seals back to back are one order of two pieces, not a stand-in for another size, so
there are no combinations.
"""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.duty import word as asked_word
from partsdb.families.shaft_seal import limits
from partsdb.family import (
    Attribute,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Symptom,
    Writing,
    label,
)
from partsdb.model import Spec, Value, number, word
from partsdb.physics import shaft_seals as physics
from partsdb.physics.shaft_seals import MM, materials, rule
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source
from partsdb.tables import load

DIMENSIONS = ("shaft", "bore", "width")
WORDS = load("seal_words")


def _coded(name: str, title: str, *header: str, identity: bool = True) -> Attribute:
    """An attribute of code words from tables/seal_words.csv."""
    rows = [r for r in WORDS.rows if r["attribute"] == name]
    codes = {r["code"]: r["title"] for r in rows}
    spellings = {r["code"]: tuple(r["spellings"].split("|")) for r in rows if r["spellings"]}
    return Attribute(name, title, None, identity, codes=codes, spellings=spellings, header=(title, *header))


ATTRIBUTES = (
    Attribute("shaft", "shaft diameter", "mm", True, 1e-4, header=("shaft", "d1", "id", "inside")),
    Attribute("bore", "housing bore", "mm", True, 1e-4, header=("bore", "housing", "d2", "od", "outside")),
    Attribute("width", "width", "mm", True, 1e-4, header=("width", "b", "height")),
    Attribute(
        "material",
        "lip material",
        None,
        True,
        codes={m.name: m.title for m in materials().values()},
        spellings={m.name: m.spellings for m in materials().values()},
        header=("material", "lip"),
    ),
    _coded("design", "type", "design"),
    _coded("helix", "ribs of the lip", "helix", identity=False),
    Attribute("lip_speed", "lip speed it bears in oil", "m/s", header=("lip speed", "max speed")),
    Attribute("temperature_max", "highest temperature", "°C", header=("max temp", "temperature")),
    Attribute("temperature_min", "lowest temperature", "°C", header=("min temp",)),
    Attribute("pressure_max", "pressure it bears", "bar", header=("pressure", "max pressure")),
    Attribute(
        "lip_track", "where the lip runs", None, codes={"old": "on the old track", "fresh": "on fresh shaft"}
    ),
    # what the place asks; no part carries these, so a limit on them stays open until the fact is known
    Attribute("seat", "size of the seat", None, codes={"measured": "shaft, housing and depth measured"}),
    Attribute(
        "fluid_proof",
        "what the lip bears",
        None,
        codes={"yes": "the maker's word that it bears the fluid and heat"},
    ),
)


def _words(name: str, template: str, p_absent: float) -> Field:
    """A field of code words; what the table ranks 0 is meant when the seal says nothing."""
    rows = [r for r in WORDS.rows if r["attribute"] == name]
    written = tuple(Row((r["code"],), float(r["weight"])) for r in rows if float(r["weight"]) > 0)
    silent = next((r["code"] for r in rows if r["rank"] == "0"), None)
    return Field(
        name, (name,), written, (Writing(template),), p_absent, default=(silent,) if silent else None
    )


FIELDS = (
    Field(
        "size",
        DIMENSIONS,
        tuple(Row((s.shaft, s.bore, s.width), s.weight) for s in physics.sizes()),
        (
            Writing("{shaft:mm} X {bore:mm} X {width:mm}"),
            Writing("{shaft:mm}-{bore:mm}-{width:mm}", -1.5),
            Writing("{shaft:mm} {bore:mm} {width:mm}", -1.5),
            Writing("{shaft:in} X {bore:in} X {width:in}", -2.5),
            Writing("{shaft:in.3} X {bore:in.3} X {width:in.3}", -2.5),
            Writing("{shaft:in/} X {bore:in/} X {width:in/}", -2.5),
        ),
        p_absent=0.15,
        off_grid=-3.0,
    ),
    Field(
        "material",
        ("material",),
        tuple(Row((m.name,), m.weight) for m in materials().values()),
        (Writing("{material}"), Writing("(LIP|MATERIAL|MAT) {material}", -3)),
        p_absent=0.5,
    ),
    _words("design", "[TYPE ]{design}", 0.5),
    _words("helix", "{helix}", 0.9),
    label("OIL SEAL", "SHAFT SEAL", "SEAL", "WELLENDICHTRING", p_absent=0.8),
)


# --------------------------------------------------------------------------- what follows from a seal


def derive(spec: Spec) -> tuple[Value, ...]:
    """What its material bears; a plain lip where no hand is marked; and that it runs where the old one ran."""
    found = [word("lip_track", "old", Source("a seal in the same seat runs on the same track", "stated"))]
    unmarked = Source("one-way lips carry an arrow or a hand", "common practice")
    found.append(word("helix", "none", unmarked))
    if (material := materials().get(spec.code("material") or "")) is not None:
        found += [
            number("lip_speed", material.most_speed, material.source),
            number("temperature_max", material.most, material.source),
            number("temperature_min", material.least, material.source),
        ]
    return tuple(found)


def title_of(spec: Spec) -> str:
    """ "30 × 52 × 7 mm oil seal AS NBR"."""
    size = [spec.num(name) for name in DIMENSIONS]
    across = " × ".join(f"{x / MM:g}" for x in size if x is not None) + " mm" if all(size) else ""
    hand = {"left": "left-hand", "right": "right-hand", "both": "two-way"}.get(spec.code("helix") or "", "")
    parts = (across, "oil seal", spec.code("design") or "", spec.code("material") or "", hand)
    return " ".join(part for part in parts if part)


# --------------------------------------------------------------------------- what can hurt, what killed it

HAZARDS = (
    Hazard(
        "unguarded-rotation",
        "Isolate and lock off the drive, prove it dead, and block the shaft; refit the guard before it turns under "
        "power. Follow your local code.",
        PRACTICE,
    ),
    Hazard(
        "hot-oil",
        "Let it cool, let the pressure off and drain below the shaft before the seal comes out: hot oil burns, and "
        "under pressure it goes through skin.",
        PRACTICE,
    ),
    Hazard(
        "burnt-seal",
        "A fluorine rubber lip that was burnt may leave hydrofluoric acid: don't touch the residue, neoprene gloves, "
        "wash with lime water, see a doctor. Never burn a seal off.",
        Source("makers' safety notes on fluorine rubber above 300 °C", "common practice"),
        when=(("material", "is", "FKM"),),
    ),
    Hazard(
        "ptfe-fumes",
        "PTFE dust on a cigarette makes poisonous fumes: don't smoke, wash your hands.",
        PRACTICE,
        when=(("material", "is", "PTFE"),),
    ),
    Hazard(
        "levered-out",
        "A seal levered out flies and its edge cuts; a screw in the case and a puller, gloves, eye protection; no "
        "scratch on shaft or bore.",
        PRACTICE,
    ),
)


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """What may have killed it; the facts at hand move the strengths."""
    groove, belts = asked_word(duty, "shaft_groove") or "", asked(duty, "belt_count") is not None
    temperature, material = asked(duty, "fluid_temperature"), materials().get(spec.code("material") or "")
    cooked = temperature is not None and material is not None and temperature > material.most - 10
    strengths = {
        "shaft-grooved": {"light": 0.6, "deep": 0.8, "none": 0.02}.get(groove, 0.2),
        "bearing-worn": 0.3,
        "belt-too-tight": 0.3 if belts else 0.05,
        "breather-blocked": 0.1 if asked_word(duty, "fluid") == "grease" else 0.2,
        "oil-too-hot": 0.7 if cooked else 0.15,
    }
    rows = load("seal_suspects").rows
    return tuple(
        Suspect(r["id"], r["title"], r["why"], r["ask"], r["then"], strengths[r["id"]], PRACTICE)
        for r in rows
    )


SYMPTOMS = (
    Symptom(
        "leaks",
        "hard or worn lip, grooved shaft, loose case",
        ("from the shaft or from the outside of the case?",),
    ),
    Symptom(
        "hot", "dry lip, too much pressure, too tight", ("blue or brown track on the shaft: it ran dry",)
    ),
    Symptom("noisy", "a dry lip squeals", ("a drop of oil on the lip: does it stop?",)),
)


# --------------------------------------------------------------------------- what goes with it


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with a seal."""
    found = ["oil or grease to wet the lip, and the oil that was lost"]
    if asked_word(duty, "shaft_groove") != "none":
        found.append("a thin repair sleeve for the shaft, in case a fingernail catches in the old track")
    found.append("the bearing beside it, if the shaft can be rocked")
    if (spec.code("design") or "B")[0] in "BC":
        found.append("sealant for the outside of a metal case")
    return tuple(found)


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check before and after fitting, with figures."""
    found = [
        "spring side to the fluid, arrow with the shaft; lip and shaft oiled; tape or a cone over keyways"
    ]
    shaft, bore = spec.num("shaft"), spec.num("bore")
    if shaft is not None and (fit := physics.fit(shaft)) is not None:
        least, most = f"{(shaft - fit.h11) / MM:.2f}", f"{shaft / MM:.2f}"
        rough = " to ".join(show(rule(n).value, "µm") for n in ("ra_least", "ra_most"))
        hard = f"{rule('hardness').value:.0f}"
        found.append(
            f"shaft {least} to {most} mm, Ra {rough}, no lead, at least {hard} HRC ({fit.source.status})"
        )
    if bore is not None and (fit := physics.fit(bore)) is not None:
        found.append(
            f"housing {bore / MM:.3f} to {(bore + fit.h8) / MM:.3f} mm, edge broken ({fit.source.status})"
        )
        low, high = fit.rubber if (spec.code("design") or "A")[0] == "A" else fit.metal
        found.append(
            f"the new seal is {low / MM:.2f} to {high / MM:.2f} mm larger outside than the bore: that is right"
        )
    found.append("pressed in square; wet track after the first hour, no drop after the first day")
    return tuple(found)


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The pass test of a shelf seal of unknown condition."""
    found = [
        "lip supple, no cracks when bent, no flat from hanging on a nail, spring in its groove and not rusty"
    ]
    material = materials().get(spec.code("material") or "")
    if material is not None and material.shelf_years is not None:
        found.append(
            f"{material.name}: made less than {material.shelf_years:.0f} years ago and kept dark (BS 3574)"
        )
    found.append("the size measured on a shaft and a bore, not read off the box alone")
    return tuple(found)


MEASUREMENTS = (
    Measurement(
        "shaft",
        "micrometer on the shaft beside the track",
        0.03 * MM,
        0.0,
        3,
        "lock off first; the metal, not the seal, and not in the worn track",
        "below",
        0.002,
    ),
    Measurement(
        "bore",
        "inside micrometer or calipers in the housing",
        0.05 * MM,
        0.0,
        4,
        "with the old seal out; an old seal is 0.1 to 0.3 mm larger outside than its bore",
        "above",
        0.001,
    ),
    Measurement("width", "calipers across the case of the old seal", 0.15 * MM, 0.0, 1, "mind a dented rim"),
)

FAMILY = Family(
    name="shaft_seal",
    title="shaft seal",
    version=1,
    attributes=ATTRIBUTES,
    fields=FIELDS,
    measurements=MEASUREMENTS,
    hazards=HAZARDS,
    require=limits.require,
    title_of=title_of,
    words=("oil seal", "seal", "lip seal", "rotary shaft seal"),
    prior=0.6,
    ask=(
        "shaft_diameter",
        "housing_diameter",
        "shaft_groove",
        "fluid",
        "fluid_temperature",
        "shaft_speed",
        "rotation",
    ),
    derive=derive,
    cures=limits.cures,
    symptoms=SYMPTOMS,
    suspects=suspects,
    goes_with=goes_with,
    after_fitting=after_fitting,
    shelf_test=shelf_test,
    install_hours=2.0,
)
