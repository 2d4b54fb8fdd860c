"""What the place of a transformer asks: the rules from plate and duty to limits, and the cures.

The supply's volts and hertz come from the duty, else from the plate; what neither says stays open. Iron is judged
by volts per hertz, so the part that sits in place is judged under a changed frequency as any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.intervals import Interval, point
from partsdb.model import Change, Limit, Spec, Value
from partsdb.physics.transformers import booster_for, output, rated_current, rule, selection_inrush
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


def _open(name: str, least: float, why: str, breach: str) -> Limit:
    """A limit on what the place asks, which no part carries: open until somebody reads it."""
    return Limit(
        name,
        "at least",
        Interval(least, None),
        "safety",
        why,
        judgement("unknown is never favourable"),
        breach,
    )


def _need_iron(spec: Spec, feed: Feed, duty: Duty) -> Iterable[Limit]:
    burns = "too many volts per hertz: the iron saturates, it hums, overheats and burns out"
    if feed.hertz is None:
        yield _open("supply_frequency", 0.0, "the supply's hertz are not known", burns)
        return
    if feed.volts is None:
        yield Limit("frequency", "covers", point(feed.hertz), "safety", feed.said, FLUX, burns)
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
        conditions=(
            "attended: winding temperature looked at every quarter of an hour, off when it smells",
            "load no more than half of its volt-amperes, air moving over it",
            "order one for this frequency now; fuse its primary close",
        ),
    )


def _saved(spec: Spec, feed: Feed, duty: Duty) -> str:
    """What lower volts, or another tap, would do to the secondary: the iron is saved and the coils may drop."""
    rated = [v for v in spec.all("volts_per_hertz") if v.high]
    marked = min(
        rated, key=lambda v: abs((v.high or 0) * _plate_hertz(spec) - (feed.volts or 0)), default=None
    )
    wanted, plate = control_volts(spec, duty), spec.first("secondary_voltage")
    if (
        marked is None
        or feed.volts is None
        or feed.hertz is None
        or wanted is None
        or plate is None
        or plate.low is None
    ):
        return ""
    ratio = feed.volts / feed.hertz / (marked.high or 1.0)
    if ratio <= rule("over_flux").value:
        return ""
    left = output(1.0, ratio, plate.low)
    share, least = left / wanted, rule("pull_in").value
    drop = (
        f"below the {least:.0%} at which coils surely pull in (only coils marked {_plate_hertz(spec):.0f} Hz and none"
        " else keep their own flux there)"
        if share < least
        else f"above the {least:.0%} at which coils pull in"
    )
    return (
        f"; its flux is {ratio:.0%}: a tap or feed with 1/{ratio:.2f} of the volts saves the iron but gives"
        f" {left:.0f} V, {share:.0%} of {wanted:.0f} V, {drop}"
    )


def _plate_hertz(spec: Spec) -> float:
    cycles = spec.first("frequency")
    return cycles.low if cycles is not None and cycles.low else 1.0


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
            0.0,
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
        yield _open("control_voltage", 0.0, why, "wrong volts burn the coils")
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
        yield _open(
            "load_apparent_power", 0.0, "neither the load nor the plate's volt-amperes are known", breach
        )
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
    wanted = asked(duty, "phases")
    if wanted is not None or phases is not None:
        ends = (
            point(wanted)
            if wanted is not None
            else Interval(phases.low, phases.high)
            if phases
            else point(1.0)
        )
        follows = "duty" if wanted is not None else "plate"
        yield Limit("phases", "equal", ends, "safety", follows, PLATE, "another number of windings")
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
    if spec.code("cooling") == "oil" or (spec.num("apparent_power") or 0.0) > rule("small_va").value:
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


# --------------------------------------------------------------------------- cures


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Another tap where the coils still get their volts; a boosting or bucking transformer for the secondary."""
    if limit.attribute == "primary_voltage":
        return _other_tap(limit, offered, duty)
    if limit.attribute == "secondary_voltage":
        return _booster(limit, offered, duty)
    return ()


def _middle(limit: Limit) -> float | None:
    ends = limit.accept
    if not isinstance(ends, Interval) or ends.low is None or ends.high is None:
        return None
    return (ends.low + ends.high) / 2


def _secondary_near(offered: Spec, wanted: float) -> float | None:
    volts = [v.middle for v in offered.all("secondary_voltage") if v.middle]
    return min(volts, key=lambda v: abs(v - wanted), default=None)


def _other_tap(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    supply, primary, wanted = _middle(limit), offered.first("primary_voltage"), asked(duty, "control_voltage")
    if supply is None or primary is None or not primary.middle:
        return ()
    secondary = _secondary_near(offered, wanted or 1e9)
    if secondary is None:
        return ()
    wanted = wanted if wanted is not None else secondary
    share = output(supply, primary.middle, secondary) / wanted
    least, most = rule("pull_in"), rule("coil_highest")
    if not least.value <= share <= most.value:
        return ()
    text = (
        f"feed its {primary.middle:.0f} V connection with {supply:.0f} V: it gives {share * wanted:.0f} V,"
        f" {share:.0%} of {wanted:.0f} V, inside the {least.value:.0%} to {most.value:.0%} coils work at; measure it"
        " under load"
    )
    return (Change("primary_voltage", text, 0.5, least.source),)


def _booster(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    wanted = _middle(limit)
    given = _secondary_near(offered, wanted) if wanted is not None else None
    power = asked(duty, "load_apparent_power") or offered.num("apparent_power")
    if wanted is None or given is None or power is None or given == wanted:
        return ()
    change = abs(wanted - given)
    need = booster_for(rated_current(power, wanted), change)
    follows = f"{change:.0f} V at the load's {rated_current(power, wanted):.2f} A"
    text = (
        f"a small transformer in series that {'adds' if given < wanted else 'takes off'} {change:.0f} V: {need:.0f} VA"
        " or more on its plate (only the change passes through it)"
    )
    limits = (
        Limit(
            "kind", "one of", ("buck-boost", "isolating"), "safety", follows, PRACTICE, "not for series use"
        ),
        Limit("apparent_power", "at least", Interval(need, None), "safety", follows, PRACTICE, "overloaded"),
    )
    return (Change("secondary_voltage", text, 1.5, PRACTICE, "transformer", limits),)


def connection_for(spec: Spec, volts: float | None) -> Value | None:
    """The primary connection nearest to the volts that feed it; the first when they aren't known."""
    found = [v for v in spec.all("primary_voltage") if v.middle]
    if volts is None:
        return found[0] if found else None
    return min(found, key=lambda v: abs((v.middle or 0.0) - volts), default=None)
