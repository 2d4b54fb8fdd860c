"""Pilot lamps: small bulbs behind a coloured lens, known by volts, watts and cap.

Plates read "24 V 2 W BA9S". What kills them: over-voltage, shaking. A family as small as one can be: the tests
put it beside the real ones and see it identified, judged and planned with no other change.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.kit import Place, at_most, family, within
from partsdb.model import Limit, Spec


def require(place: Place) -> Iterator[Limit | None]:
    """Volts within a twentieth, watts no more than the lens bears; the cap must be the same, as its silence says."""
    volts = place.wanted("lamp_voltage", "control_voltage")
    if volts is not None and volts.number is not None:
        near, far = (volts.to(volts.number * (1 - off), volts.number * (1 + off)) for off in (0.05, 0.1))
        yield within(place, "lamp_voltage", "safety", "too many volts burn it and its lens, too few leave it dark",
                     want=near, reach=far.interval)  # fmt: skip
    watts = place.plate("lamp_power")
    yield at_most(place, "lamp_power", "function", "more watts melt the lens and char the holder",
                  want=watts and watts.to((watts.number or 0.0) * 1.05))  # fmt: skip


def title_of(spec: Spec) -> str:
    """ "24 V 2 W BA9s"."""
    volts, watts, cap = spec.num("lamp_voltage"), spec.num("lamp_power"), spec.code("cap")
    return f"{volts:g} V {watts:g} W {cap or ''}".strip() if volts and watts else "pilot lamp"


FAMILY = family(__name__, require=require, title_of=title_of)
