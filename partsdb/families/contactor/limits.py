"""What the place of a contactor asks of one, and what cures a breach. Every rating needs its category and volts.

Sources: IEC 60947-4-1 (categories, coil limits), NEMA ICS 2 (sizes); see the family's docstring.
"""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.duty import Duty, number, word
from partsdb.families.contactor import duty as asks
from partsdb.intervals import Interval
from partsdb.model import Change, Kind, Limit, Spec, Value, Weight
from partsdb.model import word as code_word
from partsdb.physics import contactors as ratings
from partsdb.physics.contactors import qualifier, rating
from partsdb.source import PRACTICE, Source, judgement, said

FREQUENCIES = ("50", "60", "50/60")
INTERLOCKS = ("none", "electrical", "mechanical", "mechanical and electrical")
_ANY = Interval(None, None)


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The limits of a place that held `spec` and asks `duty`. The load and its voltage come from the duty when
    it is known, else from what the old part was rated for; an unknown way of working counts as the heaviest
    the old part was rated for; with neither load nor rating no part can be passed."""
    found = (*_load(spec, duty), *_supply(spec, duty), *_coil(spec, duty), *_counts(spec))
    return (*found, *_reversing(spec), *_overload(spec))


def _limit(attribute: str, kind: Kind, accept: Interval | tuple[str, ...], weight: Weight, origin: tuple[str, Source],
           breach: str, *, at: str = "", reach: Interval | tuple[str, ...] | None = None) -> Limit:  # fmt: skip
    return Limit(attribute, kind, accept, weight, origin[0], origin[1], breach, at, reach)


def _load(spec: Spec, duty: Duty) -> Iterable[Limit]:
    volts = number(duty, "supply_voltage")
    if asks.switches_dc(spec, duty) and word(duty, "supply_kind") is None:
        volts = None  # the supply's volts are those of its AC; what feeds this one only its plate says
    asked = asks.asked_current(spec, duty, volts) if volts else asks.load_current(duty)
    needs: dict[str, tuple[float, tuple[str, Source]]] = {}
    if asked and volts:
        needs = {qualifier(c, volts): asked for c in asks.categories(spec, duty)}
    else:
        lightly = word(duty, "starting") in ("plain", "often")
        for v in spec.all("current"):
            if v.low is not None and not (lightly and rating(v.qualifier).category == "AC-4"):
                needs[v.qualifier] = asked or (v.low, ("plate: what the old part is rated for", v.source))
                if asks.inching(duty) and (r := rating(v.qualifier)).category in ("AC-3", "normal"):
                    needs[qualifier("AC-4", r.voltage)] = needs[v.qualifier]
    if not needs:
        yield _limit("load", "at least", _ANY, "safety", ("the load isn't known", said("nobody yet")),
                     "read the motor's plate: amperes and volts decide the size")  # fmt: skip
    for name, (amperes, origin) in needs.items():
        work = ratings.category_title(rating(name).category)
        breach = f"its contacts burn away or weld shut on this current ({work})"
        yield _limit("current", "at least", Interval(amperes, None), "safety", origin, breach, at=name)
    if asked and asked[0] < 1.0:
        yield _limit("current", "at most", Interval(None, 10.0), "function",
                     ("duty: a signal, not a load", judgement("10 A contacts are the largest we'd trust below 1 A")),
                     "contacts this heavy don't make reliably on so small a current", at=next(iter(needs)))  # fmt: skip


def _supply(spec: Spec, duty: Duty) -> Iterable[Limit]:
    volts, phases = number(duty, "supply_voltage"), number(duty, "phases")
    if asks.switches_dc(spec, duty) and word(duty, "supply_kind") is None:
        volts = None  # the supply's volts are those of its AC
    if volts is None and (plate := spec.first("voltage")) is not None:
        volts, origin = plate.low, ("plate", plate.source)
    else:
        origin = ("duty: supply voltage", said())
    if volts is not None:
        yield _limit("voltage", "at least", Interval(volts, None), "safety", origin,
                     "the arc may not go out: insulation volts (Ui) are no switching rating")  # fmt: skip
    asked = 0.0 if phases is None else 3.0 if phases == 3 else 2.0
    poles = max(asked, spec.num("poles") or 0.0)
    why = ("duty: phases", said()) if poles == asked else ("plate", PRACTICE)
    if (
        not poles
    ):  # what nobody counted is taken as what nearly all of them are, so that a two-pole one is no swap
        poles, why = (
            3.0,
            ("nobody has counted them: three taken", judgement("most power contactors have three poles")),
        )
    yield _limit("poles", "at least", Interval(poles, None), "safety", why,
                 "a conductor would stay live when it opens")  # fmt: skip


def _coil_volts(spec: Spec, duty: Duty) -> Iterable[Limit]:
    volts, of = number(duty, "control_voltage"), spec.first("coil_voltage")
    if volts is not None:
        low, high, origin = volts, volts, ("duty: control voltage", said())
    elif of is not None and of.low is not None and of.high is not None:
        low, high, origin = of.low, of.high, ("plate: the old coil", of.source)
    else:
        yield _limit("control_voltage", "at least", _ANY, "safety", ("nobody has said", said("nobody yet")),
                     "measure the control circuit before choosing a coil")  # fmt: skip
        return
    yield _limit("coil_pull_in", "at most", Interval(None, low), "function", origin,
                 "it won't pull in cleanly: it chatters and its contacts weld", reach=_ANY)  # fmt: skip
    yield _limit("coil_highest", "at least", Interval(high, None), "safety", origin,
                 "the coil overheats and burns", reach=_ANY)  # fmt: skip


def _coil(spec: Spec, duty: Duty) -> Iterable[Limit]:
    yield from _coil_volts(spec, duty)
    kind = word(duty, "control_kind") or spec.code("coil_kind")
    if kind is not None:
        by_duty = word(duty, "control_kind") is not None
        origin = ("duty: control circuit", said()) if by_duty else ("plate: the old coil", PRACTICE)
        good = ("AC/DC",) if kind == "AC/DC" else (kind, "AC/DC")
        # an AC coil can be run on DC with an economy resistor; a DC coil has a solid core and no shading ring
        reach = ("DC", "AC/DC", "AC") if kind == "DC" else good
        breach = ("a DC coil on AC hums, chatters and burns: it needs a rectifier, or another contactor"
                  if kind == "AC" else "an AC coil on DC draws many times its current and burns")  # fmt: skip
        yield _limit("coil_kind", "one of", good, "safety", origin, breach, reach=reach)
    if kind != "DC":
        yield from _coil_hertz(spec, duty)


def _coil_hertz(spec: Spec, duty: Duty) -> Iterable[Limit]:
    hertz, plate = asks.control_frequency(duty), spec.code("coil_frequency")
    wanted = f"{hertz:g}" if hertz is not None else plate
    if wanted is None and spec.code("coil_kind") == "AC":
        yield _limit("control_frequency", "at least", _ANY, "function", ("nobody has said", said("nobody yet")),
                     "50 or 60 Hz decides the coil")  # fmt: skip
    elif wanted is not None:
        origin = ("duty: frequency", said()) if hertz is not None else ("plate: the old coil", PRACTICE)
        yield _limit("coil_frequency", "one of", tuple(dict.fromkeys((wanted, "50/60"))), "function", origin,
                     "60 Hz coils overheat on 50 Hz; 50 Hz coils pull weakly on 60 Hz",
                     reach=tuple(dict.fromkeys((*FREQUENCIES, wanted))))  # fmt: skip


def _counts(spec: Spec) -> Iterable[Limit]:
    for name, title in (("aux_no", "normally open"), ("aux_nc", "normally closed")):
        wanted = spec.num(name)
        if wanted:
            yield _limit(name, "at least", Interval(wanted, None), "fit", ("plate", PRACTICE),
                         f"too few {title} auxiliary contacts for the control circuit", reach=_ANY)  # fmt: skip
    if (mounting := spec.code("mounting")) is not None:
        yield _limit("mounting", "one of", (mounting,), "fit", ("plate", PRACTICE), "it mounts differently",
                     reach=("rail", "screws"))  # fmt: skip


def _reversing(spec: Spec) -> Iterable[Limit]:
    if spec.code("arrangement") != "reversing":
        return
    origin = ("plate: a reversing pair", PRACTICE)
    yield _limit("arrangement", "one of", ("reversing",), "function", origin, "one contactor can't reverse",
                 reach=("reversing", "single"))  # fmt: skip
    yield _limit("interlock", "same class or better", INTERLOCKS[-1:], "safety", origin,
                 "both contactors in at once is a dead short between phases: the pair needs a mechanical and an "
                 "electrical interlock", reach=INTERLOCKS)  # fmt: skip


def _overload(spec: Spec) -> Iterable[Limit]:
    if spec.code("device") == "starter":
        yield _limit("device", "one of", ("starter",), "safety", ("plate: a starter", PRACTICE),
                     "a starter holds the overload relay that saves the motor and its cables; a contactor has none",
                     reach=("starter", "contactor"))  # fmt: skip


def derive(spec: Spec) -> tuple[Value, ...]:
    """What follows from the ratings; and that what isn't called a starter holds no overload relay."""
    return (*ratings.follows(spec), code_word("device", "contactor", _NO_RELAY))


_NO_RELAY = judgement("nothing on it says that it holds an overload relay")
_CURES: dict[str, tuple[str, float]] = {
    **dict.fromkeys(("coil_pull_in", "coil_highest"), ("change the coil for the control circuit's volts", 0.75)),
    "coil_frequency": ("change the coil, or use the tap the maker gives for this frequency", 0.75),
    "coil_kind": ("fit the maker's DC coil, or an economy resistor with a late-break contact sized by the maker", 1.5),
    **dict.fromkeys(("aux_no", "aux_nc"), ("add an auxiliary contact block of the same series", 0.5)),
    "mounting": ("drill the plate, or fit an adapter for the rail", 0.5),
    "device": ("fit an overload relay of the contactor's series, set to the motor's full-load current, or keep the old "
               "one if its trip is proved", 1.0),
    "arrangement": ("build the pair: two contactors of equal frame, mechanical interlock between them, each coil "
                    "wired through the other's normally closed contact", 2.0),
    "interlock": ("fit the mechanical interlock of the series between equal frames, and wire each coil through "
                  "the other's normally closed contact", 1.5),
}  # fmt: skip


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """The named change that cures a breach within reach, with its working hours."""
    if limit.attribute not in _CURES:
        return ()
    text, hours = _CURES[limit.attribute]
    volts, rated = offered.num("coil_voltage"), offered.code("coil_frequency")
    hertz = asks.control_frequency(duty)
    if limit.attribute == "coil_frequency" and volts and hertz and rated in ("50", "60"):
        text += (
            f" (this {volts:g} V {rated} Hz coil wants {volts * hertz / float(rated):.0f} V on {hertz:g} Hz)"
        )
    return (Change(limit.attribute, text, hours, PRACTICE),)
