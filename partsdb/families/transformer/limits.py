"""What the place of a transformer asks of one.

The supply's volts and hertz come from the duty, else from the plate; what neither says is asked. Iron is judged by
volts per hertz, so the part that sits in place is judged under a changed frequency as any other.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.transformer.feed import Feed, connection_for, control_volts, feed_of, strain_of
from partsdb.families.transformer.formulas import class_limits, hot_spots, output, rule, selection_inrush
from partsdb.families.transformer.plates import FLUX, ONE_PHASE, PCB_RULE
from partsdb.family import Rule
from partsdb.intervals import Interval, point
from partsdb.kit import (
    Fact,
    Place,
    as_good_as,
    at_least,
    at_most,
    fact,
    moot,
    one_of,
    same,
    spans,
    within,
)
from partsdb.quantities import show
from partsdb.source import Source

PLATE = Source("the plate", "stated")
SELECTION = Source("selection inrush = sqrt(sealed² + inrush²), selection guides", "verified")
KINDS_FOR = {
    "control": ("isolating", "control"),
    "isolating": ("isolating", "control"),
    "auto": ("auto", "isolating", "control"),
    "buck-boost": ("buck-boost",),
    "constant-voltage": ("constant-voltage",),
}
_BURNS = "too many volts per hertz: the iron saturates, it hums, overheats and burns out"
_LAW = fact("no PCBs", "law: PCB is never put back into use", PCB_RULE)


def require(place: Place) -> Iterator[Rule | None]:
    """The envelope: iron, primary, secondary, volt-amperes, inrush, phases, isolation, insulation, filling."""
    feed = feed_of(place.was, place.duty)
    yield _iron(place, feed)
    yield _as_marked(place, feed)
    yield from _primary(place, feed)
    yield from _secondary(place)
    yield from _power(place)
    yield _inrush(place)
    yield _phases(place)
    yield from _kind(place)
    yield as_good_as(place, "insulation_class")
    yield _filling(place)


# --------------------------------------------------------------------------- iron


def _iron(place: Place, feed: Feed) -> Rule | None:
    if feed.hertz is None:
        return None
    if feed.volts is None:
        return _by_hertz_alone(place, feed.hertz, feed.said)
    need = feed.volts / feed.hertz
    over, most = rule("over_flux"), rule("flux_reach")
    follows = f"{feed.said} make {need:.2f} volts per hertz, {over.value:.0%} of the marked flux allowed"
    return at_least(
        place,
        "volts_per_hertz",
        "safety",
        f"{_BURNS}{_saved(place, feed)}",
        want=fact(need / over.value, follows, over.source),
        reach=Interval(need / most.value, None),
        conditions=_while_it_runs(place),
        covers=("supply_frequency",),
    )


def _as_marked(place: Place, feed: Feed) -> Rule | None:
    """Which connection is fed isn't known: the iron must bear what each of the old one's bore, at the place's hertz."""
    marked, cycles, over = place.plate("volts_per_hertz"), place.was.num("frequency"), rule("over_flux")
    if feed.volts is not None or marked is None or not marked.low or not cycles or not feed.hertz:
        return None
    need = marked.low * cycles / feed.hertz / over.value
    want = marked.to(need, None, f"{over.value:.0%} of the marked flux allowed", over.source)
    return at_least(place, "volts_per_hertz", "safety", _BURNS, want=want)


def _by_hertz_alone(place: Place, hertz: float, follows: str) -> Rule | None:
    """Volts unknown: a unit for fewer hertz bears more, one for more may still do at fewer volts."""
    want, covers = fact(hertz, follows, FLUX), ("supply_frequency",)
    if hertz > 55:
        return at_most(place, "frequency", "safety", _BURNS, want=want, covers=covers)
    measured = "measure what feeds it first: at 5/6 of its marked volts its iron is safe, above that it isn't"
    reach = point(hertz * 1.2)
    return spans(
        place, "frequency", "safety", _BURNS, want=want, covers=covers, reach=reach, conditions=(measured,)
    )


def _while_it_runs(place: Place) -> tuple[str, ...]:
    """How an over-fluxed unit may run on: harder watched where its hottest spot may pass its class."""
    strain = strain_of(place.was, place.duty)
    order = "one for this frequency is on order"
    watched = ("attended: looked at every quarter of an hour, off when it smells or the fuse blows", order)
    if strain is None:
        return watched
    worst, limit = hot_spots(strain)[0], class_limits()[strain.insulation_class][0]
    load = f"load never above {strain.load:.0%} of its volt-amperes, air moving over it"
    if worst > limit:
        return (load, *watched)
    return (
        load,
        f"its winding measured after the first hour, then once a shift: below {limit - 10:.0f} °C",
        order,
    )


def _saved(place: Place, feed: Feed) -> str:
    """What lower volts, or another tap, would do to the secondary: the iron is saved and the coils may drop."""
    spec, duty = place.was, place.duty
    strain, connection = strain_of(spec, duty), connection_for(spec, feed.volts)
    wanted, plate = control_volts(spec, duty), spec.first("secondary_voltage")
    if strain is None or strain.flux <= rule("over_flux").value or feed.volts is None or wanted is None:
        return ""
    if connection is None or not connection.high or plate is None or plate.low is None:
        return ""
    kept, least = feed.volts / strain.flux, rule("pull_in").value
    left = output(kept, connection.high, plate.low)
    share = left / wanted
    drop = (
        f"below the {least:.0%} at which coils surely pull in (only coils marked for the plate's own hertz, and"
        " nothing else on it, keep their flux there)"
        if share < least
        else f"above the {least:.0%} at which coils pull in"
    )
    return (
        f"; its flux is {strain.flux:.0%}: {kept:.0f} V would save the iron but give {left:.0f} V,"
        f" {share:.0%} of {wanted:.0f} V, {drop}"
    )


# --------------------------------------------------------------------------- volts


def _close(volts: float, follows: str, source: Source) -> Fact:
    """The volts, and those that are taken as equal to them."""
    off = rule("volts_close").value
    return fact(volts, follows, source).to(volts * (1 - off), volts * (1 + off))


def _primary(place: Place, feed: Feed) -> Iterator[Rule | None]:
    """For the volts that feed it; where nobody has said them, for every connection of the old one."""
    if feed.volts is not None:
        yield within(
            place,
            "primary_voltage",
            "safety",
            "a lower marking overheats, a higher one gives too few volts",
            want=_close(feed.volts, feed.said, rule("volts_close").source),
            reach=Interval(feed.volts * 0.8, feed.volts * 1.3),
            covers=("supply_voltage",),
        )
        return
    breach = "it may lack the connection that is used: measure what feeds it"
    follows = "plate: several connections, and nobody has said which is used"
    for v in place.was.all("primary_voltage"):
        want = _close(v.middle, follows, PLATE) if v.middle is not None else None
        yield within(place, "primary_connection", "safety", breach, want=want, covers=("supply_voltage",))


def _secondary(place: Place) -> Iterator[Rule | None]:
    """For the volts of the circuit; where nobody has said them, for every way to join the old one's windings."""
    wanted, least, most = control_volts(place.was, place.duty), rule("pull_in"), rule("coil_highest")
    if wanted is not None:
        by = "duty" if place.number("control_voltage") is not None else "plate"
        yield within(
            place,
            "secondary_voltage",
            "safety",
            f"coils work from {least.value:.0%} to {most.value:.0%}: below they chatter, above they burn",
            want=_close(wanted, f"{by}: {show(wanted, 'V')}", least.source),
            reach=Interval(wanted * least.value, wanted * most.value),
            conditions=("volts measured at the farthest coil while it pulls in: inside its 85 to 110 %",),
            covers=("control_voltage",),
        )
        return
    breach = "it may lack the connection that is used: read the volts off the coils"
    follows = "plate: several windings, and nobody has said how they are joined"
    for v in place.was.all("secondary_voltage"):
        want = _close(v.middle, follows, PLATE) if v.middle is not None else None
        yield within(place, "secondary_voltage", "safety", breach, want=want, covers=("control_voltage",))


# --------------------------------------------------------------------------- volt-amperes


def _power(place: Place) -> Iterator[Rule | None]:
    """From the load where it is known, the plate's shown beside it; else from the plate."""
    load, plate = place.term("load_apparent_power"), place.plate("apparent_power")
    marked = plate.to(plate.low) if plate is not None and plate.low is not None else None
    want = marked
    if load is not None and load.low is not None:
        beside = f"; the plate said {show(marked.low or 0.0, 'VA')}" if marked else ""
        want = load.to(load.low, None, f"{show(load.low, 'VA')}{beside}")
    breach = "overloaded: it overheats and its volts sag"
    yield at_least(place, "apparent_power", "safety", breach, want=want, covers=("load_apparent_power",))
    if want is not None and marked is not None and (marked.low or 0.0) > (want.low or 0.0):
        yield at_least(
            place,
            "apparent_power",
            "life",
            "less to spare than the machine's maker chose: add up every coil and lamp once more",
            want=marked.to(marked.low or 0.0, None, f"more than the load of {show(want.low or 0.0, 'VA')}"),
            reach=Interval(want.low, None),
            conditions=("load added up again from every coil, lamp and timer",),
        )


def _inrush(place: Place) -> Rule | None:
    """What the largest coil draws with the rest held in, a load nobody has said being full load; else the plate's."""
    largest = place.number("load_inrush")
    if largest is None:
        if not place.was.has("inrush_power"):
            return moot("its plate promises none: it was chosen by its volt-amperes", "inrush_power")
        return at_least(place, "inrush_power")
    held = place.number("load_apparent_power")
    need = selection_inrush(place.was.num("apparent_power") or 0.0 if held is None else held, largest)
    follows = f"duty: {show(need, 'VA')} with what is already held in"
    return at_least(place, "inrush_power", want=fact(need, follows, SELECTION))


# --------------------------------------------------------------------------- kind, phases, filling


def _phases(place: Place) -> Rule | None:
    """The plate's, as a three-phase supply feeds a single-phase unit between two lines."""
    known = place.was.first("phases")
    if known is None or known.source != ONE_PHASE:
        return same(place, "phases")
    return same(place, "phases", want=fact(1.0, f"taken as single-phase: {ONE_PHASE.citation}", ONE_PHASE))


def _kind(place: Place) -> Iterator[Rule | None]:
    kind = place.plate("kind")
    code = kind.code if kind is not None and kind.code in KINDS_FOR else "control"
    yield one_of(place, "kind", codes=KINDS_FOR[code or "control"], want=kind)
    if code == "constant-voltage":
        breach = "a resonant transformer is tuned to its frequency"
        yield spans(place, "frequency", "safety", breach, term="supply_frequency")


def _filling(place: Place) -> Rule | None:
    """Only where fluid-filled units are met: small control transformers are dry or potted."""
    cooling, power = place.plate("cooling"), place.was.num("apparent_power")
    small = power is not None and power <= rule("fluid_va").value
    if small and cooling is not None and cooling.code == "dry":
        return moot("small control transformers are dry or potted", "cooling")
    breach = "PCB must be assumed: don't fit, don't open, hand it to a licensed disposer"
    return one_of(place, "content", "function", breach, ("no PCBs",), want=_LAW, covers=("cooling",))
