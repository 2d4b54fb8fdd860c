"""What a duty says of the load that a switch, a fuse or a cable carries."""

from __future__ import annotations

from partsdb.physics.motors import full_load_current
from partsdb.place import Fact, Place, fact
from partsdb.quantities import show


def load_current(place: Place) -> Fact | None:
    """The load's current [A] as the duty states it, or a typical motor's for the stated power and voltage."""
    volts, power = place.number("supply_voltage"), place.number("load_power")
    if (load := place.term("load_current")) is not None:
        return load
    if power and volts and place.word("supply_kind") != "DC":
        amperes, source = full_load_current(power, volts, place.number("phases") or 3)
        return fact(amperes, f"duty: a motor of {show(power, 'kW')} at {volts:g} V", source)
    return None
