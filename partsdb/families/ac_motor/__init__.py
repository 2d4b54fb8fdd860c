"""AC induction motors, single- and three-phase.

Plates carry power (hp with fractions, kW, PS), full-load speed, volts, amperes, hertz, phases and a frame; one
that can be connected for two voltages pairs them ("220/440 V, 14/7 A"), which are connections #1 and #2 here.
The frame names feet and shaft, by era: NEMA original (to 1952), U (to 1964), T (since), IEC (shaft height in
mm). 182 and 182T stand on the same feet with another shaft; the nearest NEMA frame of an IEC one never drops in.
The current of a motor is its plate's; tables give typical ones. Speed is matched by poles, not by the printed
rpm. The design letter (torque) is not the code letter (starting kVA). What kills them: lost phases, overload,
wrong volts per hertz, heat, worn bearings. A 60 Hz motor on 50 Hz wants 5/6 of its volts and gives at most 5/6 of
its power and speed. Two motors never share a load here: sharing needs matched slip, which no plate tells.

Sources: NEMA MG 1, NEC 430.248 and 430.250, IEC 60034-1, IEC 60072-1, IEC 60085; tables with status in tables/.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from partsdb.duty import Duty, number, word
from partsdb.families.ac_motor import duty as asks
from partsdb.families.ac_motor import values
from partsdb.families.ac_motor.limits import (
    CODES,
    DESIGNS,
    ENCLOSURES,
    INSULATION,
    RATINGS,
    TOLERANCE,
    VOLTS_RULE,
    limits,
)
from partsdb.family import (
    Attribute,
    Consistency,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Suspect,
    Symptom,
    Writing,
    label,
)
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.physics.motors import flux_ratio, locked_rotor_current, torque
from partsdb.quantities import from_si, show, to_si
from partsdb.source import PRACTICE, Source
from partsdb.tables import load


def _same(*codes: str) -> dict[str, str]:
    return {code: code for code in codes}


ATTRIBUTES = (
    Attribute("power", "power", "kW", True, 0.02, header=("power", "kw", "hp")),
    Attribute("voltage", "volts", "V", True, 0.005, header=("voltage", "volts", "v")),
    Attribute("current", "full-load amperes", "A", False, 0.02, header=("amps", "fla", "current")),
    Attribute("speed", "full-load speed", "rpm", True, 0.03, header=("rpm", "speed")),
    Attribute("frequency", "frequency", "Hz", True, header=("hz", "frequency", "cycles")),
    Attribute("phases", "phases", "", True, header=("phase", "phases", "ph")),
    Attribute("frame", "frame", None, True, codes=_same(*values.frames()), header=("frame", "fr")),
    Attribute("poles", "poles", "", header=("poles",)),
    Attribute("motor_type", "type of motor", None, header=("motor type", "type of motor"),
              codes={"cage": "squirrel-cage induction", "wound rotor": "wound rotor, slip rings",
                     "synchronous": "synchronous", "repulsion": "repulsion start",
                     "capacitor": "capacitor start or run", "split phase": "split phase",
                     "direct current": "direct current"},
              spellings={"cage": ("INDUCTION", "SQUIRREL CAGE", "SQUIRREL CAGE INDUCTION", "ASYNCHRONOUS", "ASYNCHRON",
                                  "KAEFIGLAEUFER"),
                         "wound rotor": ("WOUND ROTOR", "WOUND ROTOR INDUCTION", "SLIP RING", "SLIPRING",
                                         "SLIP RING INDUCTION", "SCHLEIFRINGLAEUFER"),
                         "synchronous": ("SYNCHRONOUS", "SYNCHRONOUS INDUCTION", "SYNCHRON", "PERMANENT MAGNET"),
                         "repulsion": ("REPULSION", "REPULSION START", "REPULSION INDUCTION"),
                         "capacitor": ("CAPACITOR START", "CAP START", "CAPACITOR START INDUCTION RUN",
                                       "CAPACITOR RUN"),
                         "split phase": ("SPLIT PHASE",),
                         "direct current": ("DIRECT CURRENT", "DC MOTOR", "D.C. MOTOR", "GLEICHSTROM", "SHUNT WOUND",
                                            "COMPOUND WOUND", "SERIES WOUND", "WINDING SHUNT")}),
    Attribute("rotor_voltage", "volts of its rotor at rest", "V", header=("rotor volts", "secondary volts")),
    Attribute("rotor_current", "amperes of its rotor", "A", header=("rotor amps", "secondary amps")),
    Attribute("enclosure", "enclosure", None, ladder=ENCLOSURES, codes=_same(*ENCLOSURES), header=("enclosure", "encl"),
              spellings={"open": ("OPEN", "IP00"), "dripproof": ("ODP", "DP", "DRIPPROOF", "IP22", "IP23"),
                         "totally enclosed": ("TENV", "TOTALLY ENCLOSED", "IP44"),
                         "fan cooled": ("TEFC", "TE FC", "FAN COOLED", "IP54", "IP55"),
                         "explosion proof": ("XP", "EXP PROOF", "EX")}),
    Attribute("insulation", "insulation class", None, ladder=INSULATION, codes=_same(*INSULATION),
              header=("insulation", "ins class")),
    Attribute("rating", "duty rating", None, ladder=RATINGS, codes=_same(*RATINGS), header=("duty", "rating"),
              spellings={"continuous": ("CONT", "CONT.", "CONTINUOUS", "S1", "24 HR", "24 HRS"),
                         "60 min": ("60 MIN", "1 HR"), "30 min": ("30 MIN", "1/2 HR"),
                         "15 min": ("15 MIN",), "5 min": ("5 MIN",)}),
    Attribute("service_factor", "service factor", "", rel_tol=0.005, header=("sf", "service factor")),
    Attribute("design_letter", "design letter", None, codes=_same(*DESIGNS), header=("design",)),
    Attribute("code_letter", "code letter (starting kVA)", None, codes=_same(*CODES), header=("code",)),
    Attribute("rotation", "rotation seen from the shaft end", None, header=("rotation",),
              codes={"CW": "clockwise", "CCW": "counter-clockwise", "either": "either way"},
              spellings={"CW": ("CW", "RH"), "CCW": ("CCW", "LH"), "either": ("CW/CCW", "REV", "REVERSIBLE")}),
    Attribute("mount", "mounting", None, codes={"foot": "feet", "face": "face with tapped holes", "flange": "flange"},
              spellings={"foot": ("B3", "IM B3"), "face": ("B14", "IM B14"), "flange": ("B5", "IM B5")}),
    Attribute("temperature_rise", "temperature rise", "K", header=("rise",)),
    Attribute("ambient", "highest ambient temperature", "°C", header=("ambient",)),
    Attribute("power_factor", "power factor", "", rel_tol=0.02, header=("pf", "cos phi")),
    Attribute("shaft_height", "shaft height", "mm", rel_tol=0.004, header=("height", "d")),
    Attribute("foot_across", "feet, hole to hole across", "mm", rel_tol=0.004, header=("2e", "a")),
    Attribute("foot_along", "feet, hole to hole along the shaft", "mm", rel_tol=0.004, header=("2f", "b")),
    Attribute("shaft_offset", "shaft shoulder to first feet hole", "mm", rel_tol=0.01, header=("ba", "c")),
    Attribute("shaft_diameter", "shaft diameter", "mm", rel_tol=0.002, header=("shaft", "u")),
    *(Attribute(f"voltage_at_{f:g}", f"volts wanted on {f:g} Hz", "V") for f in values.FREQUENCIES),
    *(Attribute(f"power_at_{f:g}", f"power on {f:g} Hz", "kW") for f in values.FREQUENCIES),
    Attribute("lowest_voltage", "lower voltage it can be connected for", "V"),
    Attribute("highest_voltage", "higher voltage it can be connected for", "V"),
    Attribute("peak_power", "power with its service factor", "kW"),
    # what the place asks: no motor carries these, so a limit on them stays open until the fact is known
    Attribute("supply_frequency", "frequency of the supply", "Hz"),
    Attribute("supply_voltage", "volts of the supply", "V"),
    Attribute("load", "power of the load", "kW"),
    Attribute("place", "feet and shaft of the old motor", "mm"),
)  # fmt: skip


# --------------------------------------------------------------------------- what a plate may say

_VALUES = load("motor_values").rows
_VOLTS_WORD, _AMPS = "(V|VOLTS|VOLT|VAC|V.)", "(A|AMP|AMPS|AMPERES)"
_YEARS = {
    "small": (1930, 2100),
    "original": (1920, 1954),
    "U": (1952, 1966),
    "T": (1963, 2100),
    "IEC": (1955, 2100),
}


def _rows(what: str) -> tuple[Row, ...]:
    return tuple(
        Row((to_si(float(r["value"]), r["unit"]),), float(r["weight"])) for r in _VALUES if r["what"] == what
    )


def _pairs() -> tuple[Row, ...]:
    """Amperes of two connections: twice (parallel and series) or root three times (delta and star) the lower."""
    found: dict[tuple[float, float], float] = {}
    for (low,), weight in ((row.values, row.weight) for row in _rows("amperes")):
        star = float(low if isinstance(low, float) else 0.0)
        for high in (
            2 * star,
            round(3**0.5 * star, 1),
            *((float(round(3**0.5 * star)),) if star > 5 else ()),
        ):
            found.setdefault((high, star), weight if high == 2 * star else weight / 2)
    return tuple(Row(pair, weight) for pair, weight in found.items())


def _words(
    name: str, labels: str, absent: float, bare: float | None, weights: tuple[float, ...] = ()
) -> Field:
    """A code word behind one of its labels, and bare where plates write it so (log prior `bare`)."""
    codes = tuple(next(a for a in ATTRIBUTES if a.name == name).codes)
    rows = tuple(Row((c,), w) for c, w in zip(codes, weights or (1.0,) * len(codes), strict=True))
    alone = () if bare is None else (Writing(f"{{{name}}}", bare),)
    return Field(name, (name,), rows, (Writing(f"({labels}) {{{name}}}"), *alone), absent)


FIELDS = (
    Field("power", ("power",), _rows("power"),
          (Writing("{power:hp} (HP|H.P.|BHP)"), Writing("(HP|H.P.) {power:hp}", -0.5), Writing("{power:kW} KW"),
           Writing("KW {power:kW}", -0.7), Writing("{power:PS} (PS|CV)", -1.0)), 0.05, -6.0),
    Field("volts", ("voltage",), _rows("single"),
          (Writing(f"{{voltage:V}} {_VOLTS_WORD}"), Writing("(VOLTS|VOLT|V) {voltage:V}", -0.3)), 0.45, -5.0),
    Field("dual volts", ("voltage#1", "voltage#2"),
          tuple(Row((float(r["value"]), float(r["second"])), float(r["weight"]))
                for r in _VALUES if r["what"] == "dual"),
          (Writing(f"{{voltage#1:V}}(/|-){{voltage#2:V}} {_VOLTS_WORD}"),
           Writing("(VOLTS|VOLT|V) {voltage#1:V}(/|-){voltage#2:V}", -0.3),
           Writing(f"(D/Y|△/Y|D) {{voltage#1:V}}/{{voltage#2:V}} {_VOLTS_WORD}", -1.5)), 0.5, -6.0),
    Field("amperes", ("current",), _rows("amperes"),
          (Writing(f"{{current:A}} {_AMPS}"),
           Writing("(AMPS|AMP|A|F.L. AMPS|FLA|F.L.A.) {current:A}", -0.3)), 0.5, -1.5),
    Field("dual amperes", ("current#1", "current#2"), _pairs(),
          (Writing(f"{{current#1:A}}/{{current#2:A}} {_AMPS}"),
           Writing("(AMPS|AMP|A|F.L. AMPS|FLA|F.L.A.) {current#1:A}/{current#2:A}", -0.3)), 0.55, -1.5),
    Field("speed", ("speed",), _rows("speed"),
          (Writing("{speed:rpm} (RPM|R.P.M.|REV/MIN|R/MIN|U/MIN|MIN-1|T/MIN)"),
           Writing("(RPM|R.P.M.|SPEED) {speed:rpm}", -0.3)), 0.08, -3.0),
    Field("frequency", ("frequency",), (Row((60.0,), 5), Row((50.0,), 5), Row((25.0,), 0.2), Row(((50.0, 60.0),), 0.3)),
          (Writing("{frequency:Hz} (HZ|CY|CYC|CYCLES|CYCLE|~|C/S|PER)"),
           Writing("(CYCLES|CY|CYC|HZ|HERTZ|FREQ) {frequency:Hz}", -0.3)), 0.12),
    Field("phases", ("phases",), (Row((3.0,), 6), Row((1.0,), 3), Row((2.0,), 0.1)),
          (Writing("{phases} (PH|PHASE|PH.|~|Ø)"), Writing("(PHASE|PH|PHASES) {phases}", -0.3)), 0.2),
    Field("frame", ("frame",), tuple(Row((f.name,), 1.0, _YEARS[f.era]) for f in values.frames().values()),
          (Writing("(FRAME|FR|FR.|FRAME NO.|FRAME SIZE) {frame}"), Writing("{frame} FRAME", -1.0),
           Writing("(IEC|BAUGR.|BG|TYPE|MOT) {frame}", -1.0), Writing("{frame}", -3.0)), 0.2),
    Field("motor type", ("motor_type",),
          tuple(Row((code,), weight) for code, weight in (("cage", 10), ("wound rotor", 1), ("synchronous", 0.5),
                ("repulsion", 0.7), ("capacitor", 2), ("split phase", 1), ("direct current", 0.5))),
          (Writing("{motor_type}[ MOTOR|-MOTOR]"), Writing("MOTOR {motor_type}", -1.0)), 0.6),
    Field("rotor volts", ("rotor_voltage",), tuple(Row((float(v),)) for v in (80, 100, 120, 150, 180, 200, 250, 300)),
          (Writing("(ROTOR|SEC|SECONDARY|LAEUFER) [VOLTS |V ]{rotor_voltage:V}[ V| VOLTS]"),), 0.97, -4.0),
    Field("rotor amperes", ("rotor_current",), _rows("amperes"),
          (Writing("(ROTOR|SEC|SECONDARY|LAEUFER) [AMPS |A ]{rotor_current:A}[ A| AMPS]"),), 0.97, -3.0),
    label("MOTOR", "A.C. MOTOR", "AC MOTOR", "ALTERNATING CURRENT MOTOR", "ELECTRIC MOTOR", "DREHSTROMMOTOR", "MOT"),
    _words("enclosure", "ENCL|ENCLOSURE|ENC|TYPE", 0.6, -0.5),
    _words("insulation", "INSUL CLASS|INS CL|INSUL|INSULATION|INSULATION CLASS|INS|CLASS|CL|ISO KL|KL", 0.5, None,
           (0.3, 3, 1, 5, 5, 2)),
    _words("rating", "DUTY|RATING|TIME|TIME RATING|HOURS", 0.4, -0.5, (0.2, 0.3, 0.5, 1, 8)),
    Field("service factor", ("service_factor",), _rows("factor"),
          (Writing("(SF|S.F.|SER FACTOR|SERVICE FACTOR) {service_factor}"),), 0.6, -5.0),
    _words("design_letter", "DESIGN|DES|NEMA DESIGN|NEMA DES", 0.7, None, (0.5, 6, 1, 1, 1, 0.3)),
    _words("code_letter", "CODE|KVA CODE|CODE LETTER", 0.6, None),
    _words("rotation", "ROT|ROTATION", 0.95, None),
    _words("mount", "IM|MOUNTING|MTG", 0.85, -1.0),
    Field("rise", ("temperature_rise",), tuple(Row((float(k),)) for k in (40, 50, 55, 60, 75, 80, 90, 105)),
          (Writing("{temperature_rise:K} (°C|C|DEG C) RISE"),
           Writing("(RISE|TEMP RISE) {temperature_rise:K}[ C|°C]", -0.3)), 0.75),
    Field("ambient", ("ambient",), tuple(Row((to_si(c, "°C"),)) for c in (40, 50, 60)),
          (Writing("{ambient:°C} (°C|C) AMB"), Writing("(AMB|AMBIENT|MAX AMB) {ambient:°C}[ C|°C]", -0.3)), 0.75),
    Field("power factor", ("power_factor",), tuple(Row((x / 100,)) for x in range(60, 95)),
          (Writing("(COS PHI|COS φ|COSφ|COS|PF|P.F.) {power_factor}"),), 0.85),
)  # fmt: skip

_NEC, _SYNC = load("motor_current_3ph").source, Source("synchronous speed 120 f/p", "verified")
CONSISTENCY = (
    Consistency(("speed", "frequency"), values.speed_agrees, _SYNC),
    Consistency(("power", "voltage", "current", "phases"), values.currents_agree, _NEC),
    Consistency(("power", "voltage#1", "current#1", "phases"), values.currents_agree, _NEC),
    Consistency(("voltage#1", "voltage#2", "current#1", "current#2"), values.pair_agrees, PRACTICE),
    Consistency(("voltage", "voltage#1"), values.not_both, PRACTICE),
    Consistency(("current", "current#1"), values.not_both, PRACTICE),
    Consistency(("frame", "power", "speed"), values.frame_agrees, PRACTICE),
)


# --------------------------------------------------------------------------- what cures a breach


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """The named change that cures a breach within reach, with its working hours."""
    wanted = limit.accept.low if isinstance(limit.accept, Interval) else None
    text, hours = {
        "frequency": (_on_other_frequency(offered, wanted), 1.0),
        "power": ("set the overload to its plate's amperes; check belts, coupling and shaft for its torque", 1.0),
        "peak_power": ("set the overload to its plate's amperes without service factor; watch the current", 0.5),
        "design_letter": ("see that it starts the loaded machine within a few seconds", 0.5),
        "code_letter": (_starting(offered, duty), 0.5),
        "rotation": ("swap two leads on three phases; on one phase turn the start winding round by its diagram", 0.5),
        "shaft_height": ("pack it up to shaft height with one ground plate under all feet", 2.0),
        "foot_across": ("make an adapter base, or slot its feet holes no further than the boss allows", 3.0),
        "foot_along": ("make an adapter base, or slot its feet holes no further than the boss allows", 3.0),
        "shaft_offset": ("shift it on an adapter base and line the pulley up again", 1.5),
        "shaft_diameter": (_other_shaft(offered, wanted), 2.0),
    }.get(limit.attribute, ("", 0.0))  # fmt: skip
    return (Change(limit.attribute, text, hours, PRACTICE),) if text else ()


def _on_other_frequency(offered: Spec, hertz: float | None) -> str:
    rated = offered.num("frequency")
    if hertz is None or rated is None:
        return "find out its frequency, and refigure volts, power and speed"
    attributes = (asks.on_frequency("voltage", hertz), asks.on_frequency("power", hertz))
    volts, power = (offered.num(a) for a in attributes)
    figures = f"{volts:.0f} V and " if volts else ""
    figures += f"at most {show(power, 'kW', 3)}" if power else "less power"
    turns = "; fans and pumps take (f/fr) cubed of the power" if hertz > rated else ""
    return f"on {hertz:g} Hz give it {figures}; it turns at {hertz / rated:.2f} of its speed: change the pulley{turns}"


def _starting(offered: Spec, duty: Duty) -> str:
    text, power, letter = (
        "check fuse and contactor for its starting current",
        offered.num("power"),
        offered.code("code_letter"),
    )
    volts = number(duty, "supply_voltage") or max((v.low or 0.0 for v in offered.all("voltage")), default=0.0)
    phases = offered.num("phases") or 3.0
    if not (power and volts and letter) or phases not in (1.0, 2.0, 3.0):
        return text
    most = locked_rotor_current(letter, power, volts, phases).high
    return text + (f": up to {most:.0f} A at {volts:g} V" if most else "")


def _other_shaft(offered: Spec, wanted: float | None) -> str:
    shaft = offered.num("shaft_diameter")
    if shaft is None or wanted is None:
        return "measure its shaft, and bush or bore the pulley"
    sizes = f"{from_si(shaft, 'mm'):.2f} mm shaft, {from_si(wanted, 'mm'):.2f} mm bore"
    if shaft < wanted:
        return f"bush the pulley or coupling ({sizes}), with a stepped key"
    return f"bore the pulley or coupling out and cut a new keyway, where its hub allows ({sizes}); else a new one"


# --------------------------------------------------------------------------- looking, fitting, what can hurt

_DEAD, _LIVE = (
    "isolate, lock off, prove dead",
    "live work: a clamp meter on one insulated lead, guards on, nobody at the drive",
)
MEASUREMENTS = (
    Measurement("shaft_diameter", "a micrometer or calipers, where unworn", 5e-5, 0.0, 3.0, _DEAD, "below", 0.002),
    Measurement("shaft_height", "a height gauge, or a rule from foot to shaft centre", 5e-4, 0.0, 5.0, _DEAD),
    Measurement("foot_across", "a rule, hole centre to hole centre across", 5e-4, 0.0, 3.0, _DEAD),
    Measurement("foot_along", "a rule, hole centre to hole centre along the shaft", 5e-4, 0.0, 3.0, _DEAD),
    Measurement("shaft_offset", "a rule, shaft shoulder to the nearest feet hole", 1e-3, 0.0, 3.0, _DEAD),
    Measurement("speed", "a tachometer, under normal load", 0.5, 0.005, 5.0, "guards on, stand clear of the drive"),
    Measurement("current", "a clamp meter at full load", 0.1, 0.1, 5.0, _LIVE),
)  # fmt: skip

HAZARDS = (
    Hazard("isolate", "Isolate, lock off and prove dead, heaters and brake coil too. Follow your local code; licensed "
           "work is for licensed people.", PRACTICE),
    Hazard("turns", "It may start, or coast, or be turned by its load: block springs, weights and belts before a hand "
           "goes near; guards back on before the first start.", PRACTICE),
    Hazard("stored-charge", "Single-phase motors keep a charged capacitor: discharge it through a resistor first.",
           PRACTICE, (("phases", "is", 1.0),)),
    Hazard("explosion-proof", "Motors for explosive air are opened, altered and replaced only by a licensed person, "
           "like for like.", PRACTICE, (("enclosure", "is", ENCLOSURES[-1]),)),
    Hazard("weight", "Lift it by its eye with the drive off the shaft; the eye carries the motor only.", PRACTICE),
)  # fmt: skip

SYMPTOMS = (
    Symptom("hums", "a lost phase, a dead start capacitor or switch, a seized bearing",
            ("volts between all three leads under the attempt?", "does it turn by hand, belt off?")),
    Symptom("hot", "overload, wrong volts per hertz, blocked cooling, a lost phase",
            ("amperes of each lead against the plate", "hertz and volts of the supply against the plate")),
    Symptom("noisy", "a worn bearing, a rubbing rotor, a loose fan", ("by hand, belt off: rough or free?",)),
    Symptom("slow", "low volts, a lost phase, broken rotor bars, a supply on fewer hertz",
            ("speed and amperes under load", "hertz of the supply")),
    Symptom("dead", "no supply, a tripped overload, an open winding",
            ("volts at the terminals?", "ohms lead to lead, alike?")),
    Symptom("smokes", "a burnt winding: find why before the next one goes in",
            ("all windings dark: overload; one phase bright: lost phase; half of each: wrong connection",)),
)  # fmt: skip


def suspects(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
    """Causes behind a dead motor: another frequency, a supply that fits none of its connections."""
    return (*_frequency_suspect(spec, duty), *_voltage_suspect(spec, duty))


def _frequency_suspect(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    hertz, volts, rated = (
        number(duty, "supply_frequency"),
        number(duty, "supply_voltage"),
        spec.num("frequency"),
    )
    marked = spec.first("frequency")
    if rated is None or marked is None or marked.low != marked.high or hertz == rated:
        return
    nearest = min(
        (v.low for v in spec.all("voltage") if v.low), key=lambda v: abs(v - (volts or v)), default=1.0
    )
    flux = flux_ratio(volts or nearest, hertz, nearest, rated) if hertz else 1.0
    why = (f"made for {rated:g} Hz, on {hertz:g} Hz: {flux:.0%} of its flux, {hertz / rated:.0%} of its speed" if hertz
           else f"made for {rated:g} Hz, and nobody has said the supply's frequency")  # fmt: skip
    yield Suspect("supply-frequency", "the supply's frequency isn't what the parts were made for", why,
                  "read the frequency off the supply, and the hertz on every wound part's plate",
                  "coils, transformers and motors for this frequency, or a supply of theirs",
                  0.7 if flux > 1.05 else 0.4 if hertz else 0.2,
                  Source("V/Hz: iron feels volts over hertz", "verified"))  # fmt: skip


def _voltage_suspect(spec: Spec, duty: Duty) -> Iterable[Suspect]:
    volts, rated = number(duty, "supply_voltage"), [v.low for v in spec.all("voltage") if v.low]
    if volts is not None and rated and all(not 1 / TOLERANCE <= v / volts <= 1 / 0.9 for v in rated):
        yield Suspect("supply-voltage", "the supply fits none of its connections",
                      f"{volts:g} V on a motor for {' or '.join(f'{v:g}' for v in rated)} V",
                      "volts at its terminals, running",
                      "a transformer, or a motor for this voltage", 0.6, VOLTS_RULE)  # fmt: skip


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with a motor."""
    return (
        "overload heaters or setting for the new plate's amperes",
        "key, and bush or pulley for its shaft; packing plate and bolts",
        *(("start and run capacitor of its own plate",) if spec.num("phases") == 1 else ()),
    )


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check on arrival and after fitting, with figures."""
    power, speed, amperes = (
        spec.num("power"),
        spec.num("speed"),
        [v.low for v in spec.all("current") if v.low],
    )
    plate = (
        " or ".join(f"{a:.3g}" for a in amperes) + " A by connection" if amperes else "its plate's amperes"
    )
    turning = f", {torque(power, speed):.0f} N·m at full load" if power and speed else ""
    started = word(duty, "starting") in ("often", "inched or reversed")
    return (
        "on arrival: volts, hertz, phases, frame and shaft on the plate; shaft turns by hand",
        "winding to frame: at least 1 MΩ at 500 V DC before the first start",
        f"direction: bump it with the belt off{turning}",
        f"each lead under full load: never above {plate}; the three within a tenth of each other",
        "after an hour at full load: bearings under 80 °C, no new noise; tighten belts and bolts again",
        *(
            ("count its starts an hour and ask the maker how many it bears: starting heats it most",)
            if started
            else ()
        ),
    )


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The pass test of a shelf motor of unknown condition."""
    return (
        "winding to frame: at least 1 MΩ at 500 V DC, after drying if it lay damp",
        "ohms lead to lead: the three within a twentieth of each other (one phase: main and start both closed)",
        "shaft turns freely by hand, end play under 1 mm, no roughness; old grease renewed",
        "runs idle for half an hour on its own volts: amperes even and well under the plate, no hot bearing",
    )


def title_of(spec: Spec) -> str:
    """ "7.5 kW 4-pole motor, 230/460 V 60 Hz, frame 215T"; in horsepower where its plate says so."""
    power, poles, kind = spec.first("power"), spec.num("poles"), spec.code("motor_type")
    words = [_power_text(power.low, power.as_written)] if power and power.low else []
    words += [f"{poles:g}-pole"] if poles else []
    words += [kind.replace(" ", "-")] if kind not in (None, "cage") else []
    volts = "/".join(f"{v.low:g}" for v in spec.all("voltage") if v.low)
    hertz = spec.first("frequency")
    ends = dict.fromkeys(x for x in (hertz.low, hertz.high) if x is not None) if hertz else {}
    cycles = "/".join(f"{x:g}" for x in ends) + " Hz" if ends else ""
    rated = f"{volts} V {cycles}" if volts else cycles
    frame = f"frame {spec.code('frame')}" if spec.has("frame") else ""
    return ", ".join(text for text in (" ".join([*words, "motor"]), rated.strip(), frame) if text)


def _power_text(watts: float, as_written: str) -> str:
    horses = re.search(r"B?H\.?P", as_written, re.IGNORECASE)
    return show(watts, "hp" if horses else "kW", 3)


FAMILY = Family(
    name="ac_motor", title="AC motor", version=1, prior=1.2, install_hours=3.0,
    words=("motor", "ac motor", "electric motor", "induction motor", "squirrel cage motor"),
    attributes=ATTRIBUTES, fields=FIELDS, consistency=CONSISTENCY, measurements=MEASUREMENTS, hazards=HAZARDS,
    ask=("supply_voltage", "supply_frequency", "phases", "load_power", "starting", "rotation", "ambient"),
    require=limits, derive=values.follows, cures=cures, life=asks.life, symptoms=SYMPTOMS, suspects=suspects,
    goes_with=goes_with, after_fitting=after_fitting, shelf_test=shelf_test, title_of=title_of,
)  # fmt: skip
