"""What a duty asks of a contactor's contacts: which category, how much current, how long they last."""

from __future__ import annotations

from partsdb.duty import Duty, number, word
from partsdb.families.contactor.ratings import WEAR, contact_life
from partsdb.kit import Fact, Figures, Place, fact
from partsdb.model import Life, Spec, Value
from partsdb.physics.coils import control_frequency
from partsdb.physics.loads import load_current
from partsdb.physics.motors import on_other_frequency
from partsdb.physics.utilization import qualifier, rating, serves
from partsdb.source import PRACTICE
from partsdb.supply import nominal


def inching(duty: Duty) -> bool:
    """Whether the duty breaks stalled or reversing motors, which only an AC-4 rating answers."""
    return word(duty, "starting") == "inched or reversed" or (number(duty, "inching_share") or 0.0) > 0.0


def switches_dc(place: Place) -> bool:
    """Whether the contacts switch direct current: said so, or the old part is rated for nothing else."""
    carried, said_so = _carried(place), place.word("supply_kind")
    return said_so == "DC" or (said_so is None and bool(carried) and all(c.startswith("DC") for c in carried))


def categories(place: Place) -> tuple[str, ...]:
    """The categories a place asks, lightest first.

    With AC-4 its AC-3 part is asked too: a part that breaks the lighter limit is refused for certain, where
    the heavier one may only be unknown. An unknown way of working counts as the heaviest the old part carried.
    """
    carried = _carried(place)
    if switches_dc(place):
        return next(((c,) for c in ("DC-5", "DC", "DC-3", "DC-1") if c in carried), ("DC-5",))
    if inching(place.duty) or ("AC-4" in carried and place.word("starting") is None):
        return ("AC-3", "AC-4")
    heater = bool(carried) and not carried & {"AC-3", "AC-4", "normal"} and "load_power" not in place.duty
    return ("AC-1",) if heater else ("AC-3",)


def _carried(place: Place) -> set[str]:
    return {rating(v.qualifier).category for v in place.was.all("current")}


def current_at(place: Place, volts: float) -> Fact | None:
    """What the contacts must switch [A] at a supply voltage: the load, else the most the old part was rated for."""
    if (load := load_current(place)) is not None:
        return load
    wanted = qualifier(categories(place)[0], volts)
    rated = [v for v in place.was.all("current") if v.low is not None]
    best = max(rated, key=lambda v: (serves(v.qualifier, wanted), v.low or 0.0), default=None)
    origin = "plate: what the old part is rated for; the load isn't known"
    return None if best is None else fact(best.low or 0.0, origin, best.source)


def expected_life(spec: Spec, duty: Duty) -> Life:
    """Running hours until the main contacts are worn: operations (ratings.contact_life) over starts an hour.
    An unknown inching share of an inched drive spans 5 % to all; an unknown load counts as the rating.
    """
    starts, share = number(duty, "starts_per_hour"), number(duty, "inching_share")
    rated = max((v.low for v in spec.all("current") if v.low and _motor(v, duty)), default=0.0)
    if not rated or not starts:
        return Life(None, None, None, PRACTICE, "contact life needs a motor rating and the starts an hour")
    unsaid = (1.0, 0.3, 0.05) if inching(duty) else (0.0, 0.0, 0.0)
    shares = unsaid if share is None else (share, share, share)
    lives = [contact_life(rated, number(duty, "load_current") or rated, one) for one in shares]
    low, mid, high = lives[0][0], lives[1][1], lives[2][2]
    text = f"{low:,.0f} to {high:,.0f} operations, about {mid:,.0f}"
    text += f"; at {starts:g} an hour {mid / starts:,.0f} hours"
    if hours := number(duty, "hours_per_day"):
        text += f", {mid / starts / hours:,.0f} days of {hours:g} hours"
    return Life(low / starts, mid / starts, high / starts, WEAR.source, text)


def _motor(v: Value, duty: Duty) -> bool:
    fed = number(duty, "supply_voltage")
    volts = nominal(fed) if fed else rating(v.qualifier).voltage
    return serves(v.qualifier, qualifier("AC-3", volts))


def figures(place: Place) -> Figures:
    """What the texts name: the overload's setting, the flux of a coil on another frequency and what it wants there,
    and what speaks for each suspect."""
    load, marked, hertz = load_current(place), place.was.code("coil_frequency"), control_frequency(place.duty)
    made_for, rated = float(marked) if marked in ("50", "60") else None, place.was.num("coil_voltage")
    inched = inching(place.duty)
    return {
        **on_other_frequency(made_for, hertz, rated, place.number("control_voltage")),
        "setting": f"{load.number:.3g}" if load else None,
        "control_hertz": f"{hertz:g}" if hertz else None,
        "right_volts": f"{rated * hertz / made_for:.0f}" if rated and hertz and made_for else None,
        "inched": "yes" if inched else None,
        "inched_unrated": "yes" if inched and "AC-4" not in _carried(place) else None,
    }
