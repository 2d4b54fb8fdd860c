"""What the place of an AC capacitor asks of one.

The voltage comes from a measurement across a healthy capacitor, else from the plate, and never from the supply; heat
and frequency from the duty, else from the plate.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.ac_capacitor.figures import size_text
from partsdb.families.ac_capacitor.formulas import rule, tolerances
from partsdb.families.ac_capacitor.plates import BANNED
from partsdb.family import Rule
from partsdb.intervals import Interval, point
from partsdb.kit import (
    ANY,
    Fact,
    Place,
    as_good_as,
    at_least,
    at_most,
    fact,
    moot,
    one_of,
    question,
    same,
    spans,
    within,
)
from partsdb.model import Limit
from partsdb.quantities import show
from partsdb.source import Source

FORMULA = Source("I = 2 pi f C V", "derived")
_LAW = fact("no PCBs", "law: a capacitor that may hold PCB is never put back into use", BANNED)
_DISCHARGED = fact("built in", "law: 50 V or less after a minute", rule("residual_time").source)
_ROOM = {"diameter": 6.0, "length": 3.0}  # times the old case: there is room beside the old clip, or a box


def require(place: Place) -> Iterator[Rule | None]:
    """The envelope: microfarads, AC volts, frequency, service, heat, class, filling, discharge, case."""
    yield _size(place)
    yield from _volts(place)
    yield _frequency(place)
    yield _service(place)
    yield _heat(place)
    yield _life(place)
    yield _protection(place)
    yield one_of(place, "content", "function", "PCB must be assumed: don't open it, hand it to a licensed disposer",
                 ("no PCBs",), want=_LAW)  # fmt: skip
    yield _phases(place)
    yield _discharge(place)
    for name, room in _ROOM.items():
        case = place.was.num(name)
        beside = Interval(None, case * room) if case is not None else None
        yield at_most(place, name, reach=beside)
    yield same(place, "terminals", reach=ANY)


def _taken(place: Place, name: str, term: str = "") -> Fact:
    """What is known of an attribute that is taken as something where nobody says."""
    known = place.wanted(name, term)
    assert known is not None
    return known


def _plate_is_whole(place: Place) -> bool:
    """Whether silence on the plate means that there is nothing to say. Every plate states microfarads and volts; where
    one of them isn't known or had to be measured, it is damaged or gone, and a class or a resistor may have stood
    where nobody can read."""
    stated = [place.was.first(name) for name in ("capacitance", "voltage_ac")]
    return all(v is not None and v.source.status not in ("measured", "judgement") for v in stated)


def _size(place: Place) -> Rule | None:
    size = place.plate("capacitance")
    if size is None or size.low is None or size.high is None:
        return question("capacitance the motor needs", "function", "without the microfarads nothing can be matched",
                        ask="read the motor's plate, or measure a healthy twin (discharged, one lead off)",
                        settled_by="capacitance", covers=("tolerance",))  # fmt: skip
    low, high, why = _band(place, size.low, size.high)
    reach = Interval(
        min(low, size.low * (1 - rule("reach_below").value)),
        max(high, size.high * (1 + rule("reach_above").value)),
    )
    conditions = (
        "attended, light load, winding and capacitor felt for heat every quarter of an hour",
        "current in the capacitor's lead no more than the motor maker allows, or than the old one took",
    )
    return within(place, "capacitance", "function", "too little: weak torque, slow start; too much: the auxiliary "
                  "winding overheats", want=size.to(low, high, f"{size_text(size)}: {why.citation}", why), reach=reach,
                  conditions=conditions, covers=("tolerance",))  # fmt: skip


def _band(place: Place, low: float, high: float) -> tuple[float, float, Source]:
    """(least, most) [F] that the place takes: the marked range, else the plate's tolerance up to 10 %, else the usual.

    What the old one was made for decides here, not what it is used for: that is how its maker chose the figure.
    """
    if low < high:
        return low, high, Source("its marked range", "stated")
    if _taken(place, "service").code == "start":
        minus, plus = rule("start_tolerance_minus"), rule("start_tolerance_plus")
        return low * (1 - minus.value), low * (1 + plus.value), minus.source
    said, most = _taken(place, "tolerance"), rule("most_tolerance")
    below, above = tolerances()[said.code or ""]
    why = most.source if max(below, above) > most.value else said.source
    return low * (1 - min(below, most.value)), low * (1 + min(above, most.value)), why


def _volts(place: Place) -> Iterator[Limit | None]:
    """From the voltage measured across a healthy one, raised to high supply; else from the plate; else it is asked.
    A plate that asks for more than the measurement stays visible and costs a straight swap."""
    rated, across, high = place.plate("voltage_ac"), place.term("working_voltage"), rule("high_supply")
    marked = rated.low if rated else None
    plate = rated.to(marked) if rated and marked is not None else None
    bursts = "the dielectric breaks down: bursting, fire; a supply voltage is no measure of what it sees"
    if across is None or across.low is None:
        yield at_least(place, "voltage_ac", "safety", bursts, want=plate, covers=("working_voltage",))
        return
    measured, raised = show(across.low, "V"), across.low * high.value
    said = f"the plate said {show(marked, 'V')}" if marked else "the plate's volts are not known"
    because = f"{measured} across it, {high.value:g} times for high supply; {said}"
    yield at_least(place, "voltage_ac", "safety", bursts, want=across.to(raised, None, because, high.source),
                   reach=Interval(across.low, None), conditions=(
                       "attended, supply voltage watched: not above the value at which it was measured",))  # fmt: skip
    if plate and marked and marked > raised:
        yield at_least(place, "voltage_ac", "life", "less margin than the maker chose: measure again at high supply",
                       want=plate.to(marked, None, f"more than the {measured} measured asks for"),
                       reach=Interval(raised, None),
                       conditions=("voltage across it measured again at light load, where it is highest",))  # fmt: skip


def _frequency(place: Place) -> Limit | None:
    """Current and heat go with frequency, so a rating for more serves less; at 50 Hz and below 60 or 50/60 does too."""
    hertz = place.wanted("frequency", "supply_frequency")
    if hertz is None or hertz.low is None or hertz.high is None:
        return None
    if hertz.high < 55:
        return at_least(place, "frequency", want=hertz.to(hertz.low, source=FORMULA))
    more = rule("overcurrent")
    runs = f"current up to 1.2 times marked, within the {more.value:g} times that {more.source} allows"
    return spans(place, "frequency", want=hertz.to(hertz.low, hertz.high, source=FORMULA),
                 reach=point(hertz.high / 1.2), conditions=(runs,))  # fmt: skip


def _service(place: Place) -> Rule | None:
    served = _taken(place, "service", "service").code
    if served == "start":
        return moot("whatever may run continuously may also start", "service")
    breach = "" if served == "run" else "not made for the inrush and harmonics of the mains"
    return same(place, "service", breach=breach, term="service")


def _heat(place: Place) -> Limit | None:
    air, own, want = place.term("ambient"), rule("self_heating"), place.plate("temperature_max")
    if air is not None and air.low is not None:
        want = air.to(
            air.low + own.value, None, f"{show(air.low, '°C')} around it, 10 K for its own heat", own.source
        )
    return at_least(place, "temperature_max", want=want)


def _life(place: Place) -> Rule | None:
    if not place.was.has("life_class") and _taken(place, "service", "service").code == "start":
        return moot("a start capacitor lives by its starts", "life_class")
    return as_good_as(place, "life_class", reach=ANY, conditions=("replace it at the stated hours",))


def _protection(place: Place) -> Rule | None:
    """The old one's class or better. None at all asks for nothing: every class is as good."""
    breach = "it may fail short and catch fire where the old one disconnected itself"
    if not place.was.has("safety_class") and not _plate_is_whole(place):
        ask = "look for S0 to S3 or P0 to P2 on it; where that can't be read, say S2 and fit one that fails open"
        return question("class of safety protection", "safety", breach, ask=ask, settled_by="safety_class")
    if _taken(place, "safety_class").code == place.attributes["safety_class"].ladder[0]:
        return moot("the old one had no protection", "safety_class")
    return as_good_as(place, "safety_class")


def _phases(place: Place) -> Rule | None:
    """A motor's capacitor has one element and no list says so; of a correction capacitor it is asked."""
    elements, breach = place.was.num("phases"), "another number of elements and terminals"
    correction = _taken(place, "service", "service").code == "correction"
    if elements is None and correction:
        return question("phases", "safety", breach, settled_by="phases")
    if elements in (None, 1) and not correction:
        return moot("it has one element", "phases")
    return same(place, "phases")


def _discharge(place: Place) -> Rule | None:
    """A discharge resistor where the old one had it, and always on correction capacitors."""
    had, breach = _taken(place, "bleeder"), "it stays charged after the supply is off"
    if _taken(place, "service", "service").code == "correction":
        had = _DISCHARGED
    elif not place.was.has("bleeder") and not _plate_is_whole(place):
        return question("discharge resistor", "safety", breach, settled_by="bleeder")
    elif had.code == "none":
        return moot("the old one had none", "bleeder")
    return one_of(place, "bleeder", codes=("fitted", "built in"), want=had, reach=ANY)
