"""What the place of a transformer asks: the rules from plate and duty to limits, and what it then bears.

The supply's volts and hertz come from the duty, else from the plate; what neither says stays open. Iron is judged
by volts per hertz, so the part that sits in place is judged under a changed frequency as any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.intervals import Interval, point
from partsdb.model import Limit, Spec, Value
from partsdb.physics.transformers import (
    Strain,
    class_limits,
    class_rises,
    flux_ratio,
    hot_spots,
    output,
    rule,
    selection_inrush,
)
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement

PCB_RULE = Source(
    "40 CFR 761.2(a): fluid-filled units from before 2 July 1979 are assumed to hold PCB", "verified"
)
FLUX = Source("flux goes with V / f", "derived")
PLATE = Source("the plate", "stated")
INSULATION = ("Y", "A", "E", "B", "F", "H")
KINDS_FOR = {
    "control": ("isolating", "control"),
    "isolating": ("isolating", "control"),
    "auto": ("auto", "isolating", "control"),
    "buck-boost": ("buck-boost",),
    "constant-voltage": ("constant-voltage",),
}


@dataclass(frozen=True, slots=True)
class Feed:
    """What feeds the place: volts [V] and hertz [Hz], None when neither duty nor plate says."""

    volts: float | None
    hertz: float | None
    from_duty: bool

    @property
    def said(self) -> str:
        """Where it comes from, in words."""
        volts = show(self.volts, "V") if self.volts is not None else "unknown volts"
        hertz = show(self.hertz, "Hz") if self.hertz is not None else "unknown hertz"
        return f"{'duty' if self.from_duty else 'plate'}: {volts}, {hertz}"


def feed_of(spec: Spec, duty: Duty) -> Feed:
    """The feed: the duty's, else that of a plate with one connection; of 50/60 Hz the lower, which asks more."""
    plates, cycles = spec.all("primary_voltage"), spec.first("frequency")
    volts, hertz = asked(duty, "supply_voltage"), asked(duty, "supply_frequency")
    known = volts is not None or hertz is not None
    if volts is None and len(plates) == 1:
        volts = plates[0].middle
    if hertz is None and cycles is not None:
        hertz = cycles.low
    return Feed(volts, hertz, known)


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The envelope: iron, primary, secondary, volt-amperes, inrush, phases, isolation, insulation, filling."""
    feed = feed_of(spec, duty)
    return (
        *_need_iron(spec, feed, duty),
        *_need_primary(spec, feed),
        *_need_secondary(spec, duty),
        *_need_power(spec, duty),
        *_need_inrush(spec, duty),
        *_need_kind(spec, feed, duty),
        *_need_insulation(spec),
        *_need_filling(spec),
    )


def _open(name: str, why: str, breach: str) -> Limit:
    """A limit on what the place asks, which no part carries: open until somebody reads it."""
    return Limit(
        name,
        "at least",
        Interval(None, None),
        "safety",
        why,
        judgement("unknown is never favourable"),
        breach,
    )


def _need_iron(spec: Spec, feed: Feed, duty: Duty) -> Iterable[Limit]:
    burns = "too many volts per hertz: the iron saturates, it hums, overheats and burns out"
    if feed.hertz is None:
        yield _open("supply_frequency", "the supply's hertz are not known", burns)
        return
    if feed.volts is None:
        yield _by_hertz_alone(feed.hertz, feed.said, burns)
        return
    need = feed.volts / feed.hertz
    over, most = rule("over_flux"), rule("flux_reach")
    yield Limit(
        "volts_per_hertz",
        "at least",
        Interval(need / over.value, None),
        "safety",
        f"{feed.said} make {need:.2f} volts per hertz, {over.value:.0%} of the marked flux allowed",
        over.source,
        f"{burns}{_saved(spec, feed, duty)}",
        reach=Interval(need / most.value, None),
        conditions=_while_it_runs(spec, duty),
    )


def _by_hertz_alone(hertz: float, follows: str, breach: str) -> Limit:
    """Volts unknown: a unit for fewer hertz bears more, one for more may still do at fewer volts."""
    if hertz > 55:
        return Limit("frequency", "at most", Interval(None, hertz), "safety", follows, FLUX, breach)
    conditions = (
        "measure what feeds it first: at 5/6 of its marked volts its iron is safe, above that it isn't",
    )
    reach = point(hertz * 1.2)
    return Limit(
        "frequency",
        "covers",
        point(hertz),
        "safety",
        follows,
        FLUX,
        breach,
        reach=reach,
        conditions=conditions,
    )


def _while_it_runs(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """How an over-fluxed unit may run on: harder watched where its hottest spot may pass its class."""
    strain = strain_of(spec, duty)
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


def _saved(spec: Spec, feed: Feed, duty: Duty) -> str:
    """What lower volts, or another tap, would do to the secondary: the iron is saved and the coils may drop."""
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


def _need_primary(spec: Spec, feed: Feed) -> Iterable[Limit]:
    close = rule("volts_close")
    if feed.volts is not None:
        yield Limit(
            "primary_voltage",
            "within",
            Interval(feed.volts * (1 - close.value), feed.volts * (1 + close.value)),
            "safety",
            feed.said,
            close.source,
            "a lower marking overheats, a higher one gives too few volts",
            reach=Interval(feed.volts * 0.8, feed.volts * 1.3),
        )
        return
    ends = spec.first("primary_range")
    if ends is None:
        yield _open(
            "supply_voltage",
            "neither plate nor duty says what feeds it",
            "wrong volts burn it or its coils",
        )
        return
    yield Limit(
        "primary_range",
        "covers",
        Interval(ends.low, ends.high),
        "safety",
        "plate: several connections, and nobody has said which is used",
        PLATE,
        "it may lack the connection that is used: measure what feeds it",
    )


def control_volts(spec: Spec, duty: Duty) -> float | None:
    """The secondary volts the place works with [V]: the duty's, else those of a plate with one secondary."""
    plates, wanted = spec.all("secondary_voltage"), asked(duty, "control_voltage")
    return wanted if wanted is not None else plates[0].middle if len(plates) == 1 else None


def _need_secondary(spec: Spec, duty: Duty) -> Iterable[Limit]:
    wanted, close = control_volts(spec, duty), rule("volts_close")
    if wanted is not None:
        least, most = rule("pull_in"), rule("coil_highest")
        yield Limit(
            "secondary_voltage",
            "within",
            Interval(wanted * (1 - close.value), wanted * (1 + close.value)),
            "safety",
            f"{'duty' if asked(duty, 'control_voltage') is not None else 'plate'}: {show(wanted, 'V')}",
            least.source,
            f"coils work from {least.value:.0%} to {most.value:.0%}: below they chatter, above they burn",
            reach=Interval(wanted * least.value, wanted * most.value),
            conditions=("volts measured at the farthest coil while it pulls in: inside its 85 to 110 %",),
        )
        return
    ends = spec.first("secondary_range")
    if ends is None:
        why = "neither plate nor duty says what volts the circuit works with"
        yield _open("control_voltage", why, "wrong volts burn the coils")
        return
    follows = "plate: several windings, and nobody has said how they are joined"
    breach = "it may lack the connection that is used: read the volts off the coils"
    yield Limit("secondary_range", "covers", Interval(ends.low, ends.high), "safety", follows, PLATE, breach)


def _need_power(spec: Spec, duty: Duty) -> Iterable[Limit]:
    """From the load where it is known, the plate's shown beside it; else from the plate."""
    load, plate = asked(duty, "load_apparent_power"), spec.first("apparent_power")
    marked = plate.low if plate is not None else None
    breach = "overloaded: it overheats and its volts sag"
    if load is None and marked is None:
        yield _open("load_apparent_power", "neither the load nor the plate's volt-amperes are known", breach)
        return
    said = f"; the plate said {show(marked, 'VA')}" if marked is not None else ""
    follows = f"duty: {show(load, 'VA')}{said}" if load is not None else f"plate: {show(marked or 0.0, 'VA')}"
    need = load if load is not None else marked
    yield Limit("apparent_power", "at least", Interval(need, None), "safety", follows, PLATE, breach)
    if load is not None and marked is not None and marked > load:
        yield Limit(
            "apparent_power",
            "at least",
            Interval(marked, None),
            "life",
            f"plate: {show(marked, 'VA')}, more than the load of {show(load, 'VA')}",
            PLATE,
            "less to spare than the machine's maker chose: add up every coil and lamp once more",
            reach=Interval(load, None),
            conditions=("load added up again from every coil, lamp and timer",),
        )


def _need_inrush(spec: Spec, duty: Duty) -> Iterable[Limit]:
    largest, load = asked(duty, "load_inrush"), asked(duty, "load_apparent_power")
    plate = spec.first("inrush_power")
    if largest is None and (plate is None or plate.low is None):
        return
    need = (
        selection_inrush(load or 0.0, largest)
        if largest is not None
        else plate.low
        if plate is not None
        else None
    )
    source = Source("selection inrush = sqrt(sealed² + inrush²), selection guides", "verified")
    follows = (
        f"duty: {show(need or 0.0, 'VA')} with what is already held in" if largest is not None else "plate"
    )
    breach = "its volts sag while a coil pulls in: chatter, welded contacts"
    yield Limit("inrush_power", "at least", Interval(need, None), "function", follows, source, breach)


def _need_kind(spec: Spec, feed: Feed, duty: Duty) -> Iterable[Limit]:
    kind, phases = spec.code("kind"), spec.first("phases")
    if (
        phases is not None
    ):  # a three-phase supply feeds a single-phase unit between two lines: the plate decides
        ends = Interval(phases.low, phases.high)
        yield Limit("phases", "equal", ends, "safety", "plate", PLATE, "another number of windings")
    yield Limit(
        "kind",
        "one of",
        KINDS_FOR.get(kind or "control", KINDS_FOR["control"]),
        "safety",
        f"plate: {kind}" if kind else "kind not known: taken as one that must isolate",
        PRACTICE,
        "an autotransformer doesn't isolate: the mains stand on the control circuit; resonant types fit nothing else",
    )
    if kind == "constant-voltage" and feed.hertz is not None:
        breach = "a resonant transformer is tuned to its frequency"
        yield Limit("frequency", "covers", point(feed.hertz), "safety", feed.said, PRACTICE, breach)


def _need_insulation(spec: Spec) -> Iterable[Limit]:
    code = spec.code("insulation_class")
    if code in INSULATION:
        good = INSULATION[INSULATION.index(code) :]
        breach = "its insulation bears less heat"
        yield Limit("insulation_class", "same class or better", good, "life", f"plate: {code}", PLATE, breach)


def _need_filling(spec: Spec) -> Iterable[Limit]:
    """Only where fluid-filled units are met: small control transformers are dry or potted."""
    if spec.code("cooling") == "oil" or (spec.num("apparent_power") or 0.0) > rule("fluid_va").value:
        breach = "PCB must be assumed: don't fit, don't open, hand it to a licensed disposer"
        yield Limit(
            "content",
            "one of",
            ("no PCBs",),
            "function",
            "law: PCB is never put back into use",
            PCB_RULE,
            breach,
        )


# --------------------------------------------------------------------------- what it bears


def connection_for(spec: Spec, volts: float | None) -> Value | None:
    """The primary connection nearest to the volts that feed it; the first when they aren't known."""
    found = [v for v in spec.all("primary_voltage") if v.middle]
    if volts is None:
        return found[0] if found else None
    return min(found, key=lambda v: abs((v.middle or 0.0) - volts), default=None)


def strain_of(spec: Spec, duty: Duty) -> Strain | None:
    """What it bears at this duty: an unknown load is full load, an unknown class is A, unknown air 40 °C."""
    feed, marked = feed_of(spec, duty), spec.first("frequency")
    connection = connection_for(spec, feed.volts)
    if connection is None or not connection.high or marked is None or not marked.low or not feed.hertz:
        return None
    load, power = asked(duty, "load_apparent_power"), spec.num("apparent_power")
    code = spec.code("insulation_class")
    letter = code if code is not None and code in class_rises() else "A"
    return Strain(
        load / power if load is not None and power else 1.0,
        flux_ratio(feed.volts or connection.high, feed.hertz, connection.high / marked.low),
        feed.hertz / marked.low,
        asked(duty, "ambient") or rule("ambient").value,
        letter,
        spec.num("temperature_rise") or class_rises()[letter],
    )
