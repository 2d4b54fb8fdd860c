"""What a duty asks of a contactor's contacts: which category, how much current, how long they last.

Works on specifications that carry `current` under qualifiers "category@volts" (see physics.contactors).
"""

from __future__ import annotations

from partsdb.duty import Duty, number, word
from partsdb.model import Life, Spec, Value
from partsdb.physics.contactors import contact_life, qualifier, rating, serves
from partsdb.physics.motors import full_load_current
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, said

Asked = tuple[float, tuple[str, Source]]  # a current [A], and where it follows from


def inching(duty: Duty) -> bool:
    """Whether the duty breaks stalled or reversing motors, which only an AC-4 rating answers."""
    return word(duty, "starting") == "inched or reversed" or (number(duty, "inching_share") or 0.0) > 0.0


def control_frequency(duty: Duty) -> float | None:
    """Frequency [Hz] of the control circuit: a control transformer doesn't change the supply's."""
    own = number(duty, "control_frequency")
    return own if own is not None else number(duty, "supply_frequency")


def categories(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The categories a place asks, lightest first.

    With AC-4 its AC-3 part is asked too: a part that breaks the lighter limit is refused for certain, where
    the heavier one may only be unknown. An unknown way of working counts as the heaviest the old part carried.
    """
    carried = {rating(v.qualifier).category for v in spec.all("current")}
    if switches_dc(spec, duty):
        return next(((c,) for c in ("DC-5", "DC", "DC-3", "DC-1") if c in carried), ("DC-5",))
    if inching(duty) or ("AC-4" in carried and word(duty, "starting") is None):
        return ("AC-3", "AC-4")
    heater = bool(carried) and not carried & {"AC-3", "AC-4", "normal"} and number(duty, "load_power") is None
    return ("AC-1",) if heater else ("AC-3",)


def switches_dc(spec: Spec, duty: Duty) -> bool:
    """Whether the contacts switch direct current: said so, or the old part is rated for nothing else."""
    carried = {rating(v.qualifier).category for v in spec.all("current")}
    said_so = word(duty, "supply_kind")
    return said_so == "DC" or (said_so is None and bool(carried) and all(c.startswith("DC") for c in carried))


def load_current(duty: Duty) -> Asked | None:
    """The load's current [A] as the duty states it, or a typical motor's for the stated power and voltage."""
    volts, power = number(duty, "supply_voltage"), number(duty, "load_power")
    if (load := number(duty, "load_current")) is not None:
        return load, ("duty: load current", said())
    if power and volts and word(duty, "supply_kind") != "DC":
        amperes, source = full_load_current(power, volts, number(duty, "phases") or 3)
        return amperes, (f"duty: a motor of {show(power, 'kW')} at {volts:g} V", source)
    return None


def asked_current(spec: Spec, duty: Duty, volts: float) -> Asked | None:
    """What the contacts must switch [A] at a supply voltage: the load, else the most the old part was rated for."""
    if (asked := load_current(duty)) is not None:
        return asked
    wanted = qualifier(categories(spec, duty)[0], volts)
    rated = [v for v in spec.all("current") if v.low is not None]
    fits = [v for v in rated if serves(v.qualifier, wanted)] or rated
    if not fits:
        return None
    best = max(fits, key=lambda v: v.low or 0.0)
    return best.low or 0.0, ("plate: what the old part is rated for; the load isn't known", best.source)


def expected_life(spec: Spec, duty: Duty) -> Life:
    """Running hours until the main contacts are worn: operations (physics.contactors.contact_life) over starts
    an hour. An unknown inching share of an inched drive spans 5 % to all; an unknown load counts as the rating.
    """
    starts = number(duty, "starts_per_hour")
    rated = max((v.low for v in spec.all("current") if v.low and _for_motors(v, duty)), default=None)
    if rated is None or not starts:
        return Life(None, None, None, PRACTICE, "contact life needs a motor rating and the starts an hour")
    asked = load_current(duty)
    current = asked[0] if asked and asked[0] > 0 else rated
    worst, usual, best = _shares(duty)
    low = contact_life(rated, current, worst).low
    mid = contact_life(rated, current, usual).mid
    top = contact_life(rated, current, best)
    text = f"{low:,.0f} to {top.high:,.0f} operations, about {mid:,.0f}"
    text += f"; at {starts:g} an hour {mid / starts:,.0f} hours"
    if hours := number(duty, "hours_per_day"):
        text += f", {mid / starts / hours:,.0f} days of {hours:g} hours"
    return Life(low / starts, mid / starts, top.high / starts, top.source, text)


def _shares(duty: Duty) -> tuple[float, float, float]:
    share = number(duty, "inching_share")
    if share is not None:
        return share, share, share
    return (1.0, 0.3, 0.05) if inching(duty) else (0.0, 0.0, 0.0)


def _for_motors(v: Value, duty: Duty) -> bool:
    volts = number(duty, "supply_voltage") or rating(v.qualifier).voltage
    return serves(v.qualifier, qualifier("AC-3", volts))
