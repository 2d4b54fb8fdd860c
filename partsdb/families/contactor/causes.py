"""What a dead contactor says of what killed it: symptoms, and causes with the reading that tells."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.duty import Duty, number
from partsdb.families.contactor import duty as asks
from partsdb.family import Suspect, Symptom
from partsdb.model import Spec
from partsdb.physics.contactors import rating
from partsdb.physics.motors import flux_ratio
from partsdb.source import Source
from partsdb.tables import load

SYMPTOMS = (
    Symptom("hums", "dirt or rust on the pole faces, a broken shading ring, low control volts",
            ("measure volts at the coil while it hums: under 85 % is the supply, not the contactor",)),
    Symptom("chatters", "low or dipping control volts, a loose wire, an overload or guard contact that bounces",
            ("watch the control volts as the motor starts",)),
    Symptom("dead", "no control volts, an open coil, a tripped overload",
            ("volts at the coil?", "ohms of the coil, leads off", "is the overload reset?")),
    Symptom("hot", "a coil on the wrong volts or hertz, loose terminals, worn contacts",
            ("compare hertz and volts on the coil with the supply", "compare the voltage drop of the poles")),
    Symptom("burnt coil", "a coil on the wrong volts or hertz, an armature that doesn't close fully",
            ("is the coil marked for this frequency?", "does the armature close by hand, flat to the pole faces?")),
    Symptom("welded", "inching on normal-duty contacts, low control volts, a short circuit downstream",
            ("how many starts an hour are inched?", "what fuse stands before it?")),
)  # fmt: skip


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """Causes behind a dead contactor: wrong frequency, low control volts, inching on normal-duty contacts."""
    return tuple(_suspects(spec, duty))


def _suspects(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    marked, hertz, volts = (
        spec.code("coil_frequency"),
        asks.control_frequency(duty),
        number(duty, "control_voltage"),
    )
    rated, source = spec.num("coil_voltage"), Source("V/Hz: iron feels volts over hertz", "verified")
    if marked in ("50", "60") and (hertz is None or f"{hertz:g}" != marked):
        flux = (
            flux_ratio(volts or rated or 1.0, hertz, rated or volts or 1.0, float(marked)) if hertz else 1.0
        )
        why = (f"a coil for {marked} Hz on {hertz:g} Hz: its iron carries {flux:.0%} of its flux" if hertz
               else f"a coil marked {marked} Hz, and nobody has said the supply's frequency")  # fmt: skip
        yield Suspect("supply-frequency", "the supply's frequency isn't what the parts were made for", why,
                      "read the frequency off the supply, and the hertz on every wound part's plate",
                      "coils, transformers and motors for this frequency, or a supply of theirs",
                      0.8 if flux > 1.05 else 0.4 if hertz else 0.2, source)  # fmt: skip
    pull_in = spec.num("coil_pull_in")
    if volts is not None and pull_in is not None and volts < pull_in:
        yield Suspect("low-control-voltage", "control volts too low", f"{volts:g} V, it wants {pull_in:.0f} V",
                      "volts at the coil, pulling in", "a sound supply", 0.7, load("coil_limits").source)  # fmt: skip
    if asks.inching(duty) and not any(rating(v.qualifier).category == "AC-4" for v in spec.all("current")):
        yield Suspect("inching", "inched or reversed on contacts not rated for it", "no AC-4 rating on the plate",
                      "how many of its operations are inched or reversed?", "a contactor with an AC-4 rating", 0.5,
                      load("utilization_categories").source)  # fmt: skip
