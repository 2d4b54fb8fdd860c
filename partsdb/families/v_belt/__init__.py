"""V-belts: classical, cogged, narrow, wedge and light-duty, single or as a matched set.

The mark on a belt is its section and a number in that section's own length system: B68 is 68 inches inside, 5V800
80.0 inches outside, SPB 1250 is 1250 mm at the datum line, 17x1725 Li 1725 mm inside, 4L460 46.0 inches outside (and
no A44 for power). Worn belts are longer and narrower than their mark. Slack, oil, worn grooves, misalignment and
stalled starts kill them; belts of one drive share the load only as a matched set, so they are replaced together.

Sources: ANSI/RMA IP-20 and IP-22, ISO 4184, DIN 2215, DIN 7753, IS 3142 by way of tables/belt_*.csv, each with its
status; physics/belts.py, belt_sections.py and belt_power.py for the formulas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.duty import word as asked_word
from partsdb.families.v_belt import drives, fitting, marks, power, sets
from partsdb.families.v_belt.sections import (
    CAPACITIES,
    fits_pulleys_of,
    made,
    second_marks,
    sections,
    tolerance,
)
from partsdb.family import (
    Attribute,
    Combination,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Symptom,
    Writing,
)
from partsdb.intervals import Interval
from partsdb.ladders import at_least as classes_from
from partsdb.model import Change, Limit, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, Source, judgement
from partsdb.tables import load

TENSION = Source("TM 5-4310-339-15, checking belt tension; several belt guides agree", "verified")
ANTISTATIC = Source("ISO 1813: electrical conductivity of antistatic V-belts", "from memory")
FAST = 25.0  # up to this belt speed every section may run [m/s]
FRACTIONAL = 745.7  # "fractional horsepower": up to one hp a belt [W]
HALF_LOAD = (
    "run at half the usual load or less until the right belts are in",
    "attended: after ten minutes stop, isolate and feel the pulleys; too hot to touch means slipping, so stop",
)

ATTRIBUTES = (
    Attribute(
        "section",
        "section",
        None,
        True,
        codes={s.code: s.title for s in sections().values()},
        header=("section", "profile", "belt section"),
    ),
    Attribute(
        "length", "nominal length, in its own system", "mm", True, 0.002, header=("length", "length mm")
    ),
    Attribute("count", "belts in the piece", "", True, header=("count", "belts", "set of")),
    Attribute("mark", "number on the belt", None, header=("mark", "belt number", "number")),
    Attribute("metric_mark", "metric name", None, header=("metric mark", "metric name")),
    Attribute("outside_mark", "outside length in the mark", None),
    Attribute("other_mark", "second name", None),
    Attribute("system", "length meant", None, codes=marks.SYSTEM_LETTERS, spellings=marks.SYSTEM_WORDS),
    Attribute("match", "match number", "", header=("match", "match number", "code")),
    Attribute("kind", "kind", None, codes={"V-belt": "V-belt"}, spellings=marks.KIND_WORDS),
    Attribute(
        "finish", "rubber", None, codes=marks.FINISHES, spellings=marks.FINISH_WORDS, header=("finish",)
    ),
    Attribute("matching", "belongs together", None, codes=sets.MATCHES),
    Attribute("datum_length", "datum length", "mm", header=("datum length", "pitch length", "ld", "lp")),
    Attribute("outside_length", "outside length", "mm", header=("outside length", "la")),
    Attribute("top_width", "top width", "mm", header=("top width", "width")),
    Attribute("height", "height", "mm", header=("height", "thickness")),
    Attribute("capacity", "power class", None, codes={c: c for c in CAPACITIES}, ladder=CAPACITIES),
    Attribute("least_pulley", "least pulley diameter", "mm", header=("least pulley",)),
    Attribute("top_speed", "top belt speed", "m/s", header=("top speed",)),
)

# --------------------------------------------------------------------------- how belts are marked


def _rows() -> tuple[Row, ...]:
    """Every belt that is made, with the second names that belts of its kind carry."""
    return tuple(
        Row(
            (m.section, m.length, None if m.system == "inside mm" else f"{m.mark:g}", *second_marks(m)),
            m.weight,
        )
        for m in made()
    )


def _words(codes: Iterable[str]) -> tuple[Row, ...]:
    return tuple(Row((code,)) for code in codes)


FIELDS = (
    Field(
        "belt",
        ("section", "length", "mark", "metric_mark", "outside_mark", "other_mark"),
        _rows(),
        (
            Writing("{section} {mark}"),
            Writing("{section}-{mark}", -2.0),
            Writing("{section} {mark} [LP] {outside_mark} LA", -1.0),
            Writing("{section} {mark} {metric_mark} [LI]", -1.0),
            Writing("{section} {mark} {other_mark}", -1.0),
            Writing("{metric_mark} [LI]", -0.7),
            Writing("{metric_mark} LI {section} {mark}", -1.5),
            Writing("{metric_mark} LI {outside_mark} LA", -1.0),
        ),
        p_absent=0.05,
    ),
    Field(
        "count",
        ("count",),
        tuple(Row((float(n),), w) for n, w in ((2, 4), (3, 4), (4, 3), (5, 1), (6, 1), (8, 0.5))),
        (
            Writing("(SET OF|QTY|QTY.|SET) {count}", -0.5),
            Writing("{count} (BELTS|OFF|PCS|BELT SET|IN SET)", -0.5),
            Writing("{count} (OFF|X|-)", -1.5),
        ),
        p_absent=0.9,
    ),
    Field(
        "match",
        ("match",),
        tuple(Row((float(n),), 4.0 if n == 50 else 1.0) for n in range(44, 57)),
        (Writing("(MATCH|MATCH NO|CODE|M) [NO.] {match}", -0.5), Writing("{match}", -2.5)),
        p_absent=0.9,
    ),
    Field("system", ("system",), _words(marks.SYSTEM_LETTERS), (Writing("{system}"),), p_absent=0.8),
    Field("kind", ("kind",), (Row(("V-belt",)),), (Writing("{kind}"),), p_absent=0.85),
    Field(
        "finish",
        ("finish",),
        (Row(("oil and heat",), 2.0), Row(("antistatic",))),
        (Writing("{finish}"),),
        0.6,
    ),
)

# --------------------------------------------------------------------------- what the place asks


def require(spec: Spec, duty: Duty) -> tuple[Limit, ...]:
    """The envelope: groove, length, power class, number and matching of belts, small pulley, speed."""
    section = spec.code("section")
    if section is None or section not in sections():
        return ()
    found = [_groove(section), *_length(spec, duty), _capacity(spec, section, duty), *_set(spec, duty)]
    return (*found, *_pulley(section, duty), *_speed(duty), *_rubber(spec))


def _groove(section: str) -> Limit:
    safe, measured = fits_pulleys_of(section)
    return Limit(
        "section",
        "one of",
        safe,
        "fit",
        f"plate: section {section}",
        sections()[section].source,
        "it doesn't sit in these grooves: it rides out or runs on the bottom",
        reach=(*safe, *measured),
    )


def _length(spec: Spec, duty: Duty) -> Iterator[Limit]:
    """The datum length, or for belts marked by their outside that one: it is what the mark really says."""
    outside = marks.system_of(spec) == "outside inch"
    attribute = "outside_length" if outside else "datum_length"
    length, datum = spec.num(attribute), spec.num("datum_length")
    if length is None:
        return
    off, reach = tolerance(length)[0], drives.reach_of_rails(datum, duty) if datum is not None else None
    more = length - datum if datum is not None else 0.0
    low, high = length - off, length + off
    rails = "" if reach else "; state the travel of the slide rails (take_up): they may make up for it"
    yield Limit(
        attribute,
        "within",
        Interval(low, high),
        "fit",
        f"plate: {show(length, 'mm')} {'outside' if outside else 'at the datum line'}, as such belts may differ",
        sets.MATCHING,
        f"too far from the length that ran there{rails}",
        reach=Interval(min(low, reach[0] + more), max(high, reach[1] + more)) if reach else None,
    )


def _capacity(spec: Spec, section: str, duty: Duty) -> Limit:
    own = CAPACITIES.index(sections()[section].capacity)
    least, why, source = _least_class(spec, section, duty)
    lowest = min(CAPACITIES.index(least), own)
    return Limit(
        "capacity",
        "same class or better",
        classes_from(CAPACITIES, CAPACITIES[lowest]),
        "function",
        why,
        source,
        "it carries less: it slips, burns and breaks",
        reach=classes_from(CAPACITIES, CAPACITIES[max(lowest - 1, 0)]),
        conditions=HALF_LOAD,
    )


def _least_class(spec: Spec, section: str, duty: Duty) -> tuple[str, str, Source]:
    """The lowest power class that carries the load here, from what it follows, and the source."""
    own = sections()[section]
    design, wanted = drives.design_power(duty), drives.pieces(spec, duty)
    if design is not None and design / wanted <= FRACTIONAL:
        why = (
            f"duty: {show(design / wanted, 'kW', 3)} a belt with service factor, no more than one horsepower"
        )
        return CAPACITIES[0], why, power.service_source()
    plain = next(
        (s for s in sections().values() if s.groove == own.groove and s.capacity == "classical"), None
    )
    if design is not None and plain is not None:
        carried = drives.carried(plain.code, spec, wanted, duty)
        if carried is not None and carried >= design:
            why = (
                f"duty: {wanted} × {plain.code} carry {show(carried, 'kW', 3)}, asked {show(design, 'kW', 3)}"
            )
            return plain.capacity, why, power.power_source(plain.code)
    return own.capacity, f"plate: {own.title} belts", PRACTICE


def _set(spec: Spec, duty: Duty) -> Iterator[Limit]:
    wanted = drives.pieces(spec, duty)
    if wanted < 2:
        return
    told = (
        "duty: belts counted on the drive"
        if asked(duty, "belt_count") is not None
        else "plate: belts in the set"
    )
    yield Limit(
        "count",
        "at least",
        Interval(float(wanted), None),
        "function",
        told,
        PRACTICE,
        f"the drive takes {wanted}, all replaced together; one new belt among old ones carries all the load",
        reach=Interval(1.0, None),
    )
    together = ("single", "one set", "matched")
    yield Limit(
        "matching",
        "one of",
        together,
        "function",
        told,
        sets.MATCHING,
        "unmatched belts don't share the load: the shortest is torn, the others slip",
        reach=(*together, "not known"),
    )


def _pulley(section: str, duty: Duty) -> Iterator[Limit]:
    sizes = [d for d in (asked(duty, "driver_diameter"), asked(duty, "driven_diameter")) if d is not None]
    if sizes:
        yield Limit(
            "least_pulley",
            "at most",
            Interval(None, max(min(sizes), sections()[section].least_pulley)),
            "life",
            "duty: small pulley, or what the old section stood",
            judgement("no stiffer than the belt that ran there, or than the pulley allows"),
            "it is bent too sharply and cracks early",
        )


def _speed(duty: Duty) -> Iterator[Limit]:
    speed = drives.speed_of(duty)
    if speed is not None and speed > FAST:
        yield Limit(
            "top_speed",
            "at least",
            Interval(speed, None),
            "function",
            f"duty: belt speed {show(speed, 'm/s', 3)}",
            PRACTICE,
            "at this speed it lifts out of the groove",
        )


def _rubber(spec: Spec) -> Iterator[Limit]:
    if spec.code("finish") == "antistatic":
        yield Limit(
            "finish",
            "one of",
            ("antistatic",),
            "safety",
            "plate: antistatic belt",
            ANTISTATIC,
            "sparks from a charged belt light dust and vapour",
        )


# --------------------------------------------------------------------------- what cures a breach


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Grooves to measure, rails to move, belts to order together and to match."""
    if limit.attribute == "section":
        return fitting.groove_changes(offered)
    if limit.attribute in ("datum_length", "outside_length"):
        return fitting.rails_changes(limit, offered, duty)
    if limit.attribute == "count" and isinstance(limit.accept, Interval) and offered.num("count") == 1:
        text = f"fit {limit.accept.lower:.0f} of them at once, of one maker and batch or match number; none of the old"
        return (Change("count", text, 0.0, PRACTICE),)
    if limit.attribute == "matching":
        within = show(tolerance(offered.num("datum_length") or 0.0)[1], "mm", 2)
        text = f"measure the outside length of each with one tape: they may differ by {within} at most"
        return (Change("matching", text, 0.25, sets.MATCHING),)
    return ()


# --------------------------------------------------------------------------- life, causes, symptoms


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """What may have killed the belts; hard starts and a known overload make their suspicion stronger."""
    often = asked_word(duty, "starting") in ("often", "inched or reversed")
    design, section = drives.design_power(duty), spec.code("section")
    can = drives.carried(section, spec, drives.pieces(spec, duty), duty) if section else None
    over = design is not None and can is not None and can < design
    table = load("belt_suspects")
    return tuple(
        Suspect(
            row["id"],
            row["title"],
            row["why"],
            row["ask"],
            row["then"],
            float(row["overloaded" if over else "often" if often else "usual"]),
            table.source_of(row),
        )
        for row in table.rows
    )


SYMPTOMS = (
    Symptom("noisy", "squeals at starting: slack, oily or glazed belts", ("press the span", "look for oil")),
    Symptom(
        "slow", "driven shaft slow, motor not: slip", ("feel the pulleys, isolated", "look at the flanks")
    ),
    Symptom("hot", "pulleys too hot to touch: slip or misalignment", ("straight edge across both pulleys",)),
    Symptom("dead", "motor runs, machine stands: belts gone", ("look for what stalled the machine first",)),
    Symptom(
        "leaks", "oil on the belts: a seal beside the drive", ("find the seal before fitting new belts",)
    ),
)

# --------------------------------------------------------------------------- what can hurt


HAZARDS = (
    Hazard(
        "unguarded rotation",
        "Belt and pulley draw a hand in before it can be pulled back. Isolate, lock the switch, try the start button, "
        "wait until everything stands; guard on and bolted before power. Follow your local code; licensed work is for "
        "licensed people.",
        PRACTICE,
        figures=fitting.speed_figures,
    ),
    Hazard(
        "stored energy",
        "With the belts off, a flywheel, a hanging load or springs can turn the machine by themselves: block the "
        "driven shaft and lower the load first. Slacken the rail screws evenly: a motor on tilted rails "
        "moves when they let go.",
        PRACTICE,
    ),
    Hazard(
        "nip",
        "Never lever a belt over the rim or roll it on by turning the pulley with fingers at the groove: it tears the "
        "cord and takes fingers. Slacken the rails until the belts drop in.",
        TENSION,
    ),
)

_STILL = "isolate, lock off and wait until it stands"
MEASUREMENTS = (
    Measurement(
        "outside_length", "tape round the belt, laid out slack", 3e-3, 0.002, 5, _STILL, "above", 0.01
    ),
    Measurement("top_width", "calipers across the back", 0.2e-3, 0.02, 1, _STILL, "below", 0.05),
    Measurement("height", "calipers", 0.5e-3, 0.03, 1, _STILL, "below", 0.05),
    Measurement("count", "count the grooves of the small pulley", 0.01, 0.0, 1, _STILL),
)


FAMILY = Family(
    name="v_belt",
    title="V-belt",
    version=1,
    attributes=ATTRIBUTES,
    fields=FIELDS,
    measurements=MEASUREMENTS,
    hazards=HAZARDS,
    require=require,
    title_of=marks.title_of,
    words=("belt", "v-belt", "vee belt", "drive belt", "fan belt", "wedge belt"),
    prior=0.8,
    ask=(
        "belt_count",
        "take_up",
        "driver_diameter",
        "driven_diameter",
        "centre_distance",
        "load_power",
        "shaft_speed",
    ),
    derive=marks.derive,
    cures=cures,
    life=fitting.life,
    combinations=(
        Combination(
            "matched set", "count", "sum", 4, sets.whole, sets.share, sets.NEVER, sets.build, sets.MATCHING
        ),
    ),
    symptoms=SYMPTOMS,
    suspects=suspects,
    goes_with=fitting.goes_with,
    after_fitting=fitting.after_fitting,
    shelf_test=fitting.shelf_test,
    pieces=drives.pieces,
    install_hours=1.5,
)
