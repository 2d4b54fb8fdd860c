"""Pilot lamps: small bulbs behind a coloured lens, known by volts, watts and cap.

Plates read "24 V 2 W BA9S". What kills them: over-voltage, shaking. A family as small as one can be: the tests
put it beside the real ones and see it identified, judged and planned with no other change.
"""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.family import Attribute, Family, Field, Hazard, Measurement, Row, Writing
from partsdb.intervals import Interval, around
from partsdb.model import Limit, Spec
from partsdb.source import PRACTICE, said

CAPS = {"BA9s": "bayonet, 9 mm", "E10": "screw, 10 mm", "BA15d": "bayonet, 15 mm, two contacts"}


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """Volts equal within a tenth, watts no more than the lens bears, the cap the same."""
    limits = []
    volts = number(duty, "control_voltage") or spec.num("lamp_voltage")
    if volts is not None:
        limits.append(
            Limit("lamp_voltage", "equal", around(volts, 0.05), "safety", "plate or duty", PRACTICE,
                  "too many volts burn it and its lens, too few leave it dark", reach=around(volts, 0.1))
        )  # fmt: skip
    else:
        limits.append(
            Limit(
                "lamp_voltage",
                "at least",
                Interval(),
                "safety",
                "nobody has said",
                said("nobody"),
                "measure it",
            )
        )
    watts = spec.num("lamp_power")
    if watts is not None:
        limits.append(
            Limit("lamp_power", "at most", Interval(None, watts * 1.05), "function", "plate", PRACTICE,
                  "more watts melt the lens and char the holder")
        )  # fmt: skip
    if (cap := spec.code("cap")) is not None:
        limits.append(
            Limit("cap", "one of", (cap,), "fit", "plate", PRACTICE, "it doesn't go into the holder")
        )
    return tuple(limits)


def title_of(spec: Spec) -> str:
    """ "24 V 2 W BA9s"."""
    volts, watts = spec.num("lamp_voltage"), spec.num("lamp_power")
    return (
        f"{volts or '?':g} V {watts or '?':g} W {spec.code('cap') or ''}".strip()
        if volts and watts
        else "pilot lamp"
    )


FAMILY = Family(
    name="pilot_lamp",
    title="pilot lamp",
    version=1,
    words=("lamp", "bulb"),
    prior=0.3,
    attributes=(
        Attribute("lamp_voltage", "lamp volts", "V", True, 0.01, header=("volts",)),
        Attribute("lamp_power", "watts", "W", True, 0.02, header=("watts",)),
        Attribute("cap", "cap", None, True, codes=CAPS, spellings={c: (c.upper(),) for c in CAPS}),
    ),
    fields=(
        Field("volts", ("lamp_voltage",), tuple(Row((v,)) for v in (6.3, 12.0, 24.0, 28.0, 48.0, 110.0, 130.0)),
              (Writing("{lamp_voltage:V} (V|VOLT|VOLTS)"),), 0.1),
        Field("watts", ("lamp_power",), tuple(Row((w,)) for w in (1.2, 2.0, 2.6, 3.0, 5.0, 6.0, 10.0)),
              (Writing("{lamp_power:W} (W|WATT)"),), 0.2),
        Field("cap", ("cap",), tuple(Row((c,)) for c in CAPS), (Writing("{cap}"),), 0.3),
    ),
    measurements=(
        Measurement("lamp_voltage", "voltmeter in the holder", 0.2, 0.02, 3, "live: rated leads, one hand"),
    ),
    hazards=(Hazard("hot", "A lamp just switched off burns, and a broken one cuts: let it cool, gloves.", PRACTICE),),
    require=require,
    title_of=title_of,
    install_hours=0.2,
)  # fmt: skip
