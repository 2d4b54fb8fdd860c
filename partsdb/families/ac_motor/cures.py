"""What cures a breach that depends on more than the attribute: another frequency, another shaft."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.families.ac_motor.asked import on_frequency
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.quantities import from_si, show
from partsdb.source import PRACTICE


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """The change for another frequency or shaft; the other cures stand beside their attributes."""
    wanted = limit.accept.low if isinstance(limit.accept, Interval) else None
    if limit.attribute == "frequency":
        return (Change("frequency", _on_other_frequency(offered, wanted), 1.0, PRACTICE),)
    if limit.attribute == "shaft_diameter":
        return (Change("shaft_diameter", _other_shaft(offered, wanted), 2.0, PRACTICE),)
    return ()


def _on_other_frequency(offered: Spec, hertz: float | None) -> str:
    rated = offered.num("frequency")
    if hertz is None or rated is None:
        return "find out its frequency, and refigure volts, power and speed"
    volts, power = (offered.num(on_frequency(name, hertz)) for name in ("voltage", "power"))
    figures = f"{volts:.0f} V and " if volts else ""
    figures += f"at most {show(power, 'kW', 3)}" if power else "less power"
    turns = "; fans and pumps take (f/fr) cubed of the power" if hertz > rated else ""
    return f"on {hertz:g} Hz give it {figures}; it turns at {hertz / rated:.2f} of its speed: change the pulley{turns}"


def _other_shaft(offered: Spec, wanted: float | None) -> str:
    shaft = offered.num("shaft_diameter")
    if shaft is None or wanted is None:
        return "measure its shaft, and bush or bore the pulley"
    sizes = f"{from_si(shaft, 'mm'):.2f} mm shaft, {from_si(wanted, 'mm'):.2f} mm bore"
    if shaft < wanted:
        return f"bush the pulley or coupling ({sizes}), with a stepped key"
    return f"bore the pulley or coupling out and cut a new keyway, where its hub allows ({sizes}); else a new one"
