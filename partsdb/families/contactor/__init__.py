"""Contactors and starters: switches that a coil closes, for motors and heaters.

Plates read in two ways. IEC: amperes and kilowatts by utilization category and voltage ("AC-3 400 V 25 A
11 kW"); each is a `current` or `power` under a qualifier "AC-3@400V". NEMA: a size ("SIZE 1"), whose
continuous amperes and most horsepower follow from a table. Both carry the coil's volts and hertz, often on
the coil itself. What kills them: inching and reversing (the contacts break six times the running current),
a coil on the wrong volts or hertz, low control volts (chatter welds contacts), dirt on the pole faces.

AC-4 (inching, reversing) is never worked out from AC-3, from a NEMA size or from AC-1, nor DC from AC: the
part carries the rating or the maker says it. A maker's letter sizes are not NEMA sizes. Poles in series for
breaking DC are no combination of parts here: they need the maker's DC figures, which are a rating.
Sources: NEMA ICS 2, IEC 60947-4-1, NEC 430.250, TM 5-683; tables with their status in partsdb/tables.
"""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.families.contactor import duty as asks
from partsdb.families.contactor.causes import SYMPTOMS, suspects
from partsdb.families.contactor.limits import FREQUENCIES, INTERLOCKS, cures, derive, require
from partsdb.family import (
    Attribute,
    Consistency,
    Family,
    Field,
    Hazard,
    Measurement,
    Row,
    Writing,
)
from partsdb.model import Spec
from partsdb.physics import contactors as ratings
from partsdb.physics.contactors import nema_sizes, qualifier
from partsdb.quantities import to_si
from partsdb.source import PRACTICE
from partsdb.tables import load


def _words(*codes: str) -> dict[str, str]:
    return {code: code for code in codes}


ATTRIBUTES = (
    Attribute("poles", "poles", "", True, header=("poles", "pole")),
    Attribute("current", "rated current", "A", True, 0.02, header=("ac-3", "ac3", "amps")),
    Attribute("nema_size", "NEMA size", None, True, codes=_words(*nema_sizes()), header=("nema size", "size")),
    Attribute("coil_voltage", "coil voltage", "V", True, header=("coil", "coil voltage", "coil v")),
    Attribute("coil_frequency", "coil frequency", None, True, codes={f: f"{f} Hz" for f in FREQUENCIES},
              header=("coil hz", "coil frequency")),
    Attribute("coil_kind", "coil for", None, True, header=("coil kind", "coil ac/dc"),
              codes={"AC": "alternating current", "DC": "direct current", "AC/DC": "either (electronic)"},
              spellings={"AC": ("AC", "A.C.", "~"), "DC": ("DC", "D.C.", "="), "AC/DC": ("AC/DC", "UC")}),
    Attribute("power", "rated motor power", "kW", rel_tol=0.03, header=("kw", "hp")),
    Attribute("voltage", "highest rated operational voltage", "V", header=("voltage", "ue")),
    Attribute("insulation_voltage", "insulation voltage", "V", header=("ui", "insulation voltage")),
    Attribute("aux_no", "auxiliary contacts, normally open", "", header=("no", "aux no")),
    Attribute("aux_nc", "auxiliary contacts, normally closed", "", header=("nc", "aux nc")),
    Attribute("arrangement", "arrangement", None, codes={"single": "single", "reversing": "reversing pair"},
              spellings={"reversing": ("REVERSING", "REV", "WENDE")}, header=("arrangement",)),
    Attribute("device", "device", None, codes={"contactor": "contactor", "starter": "starter with overload relay"},
              spellings={"contactor": ("CONTACTOR", "CONTACTEUR", "SCHUETZ"), "starter": ("STARTER", "MOTORSTARTER")},
              header=("device",)),
    Attribute("interlock", "interlock of the pair", None, ladder=INTERLOCKS, codes=_words(*INTERLOCKS)),
    Attribute("chambers", "breaking chambers", None, codes=_words("air", "vacuum", "oil"), header=("chambers",)),
    Attribute("mounting", "mounting", None, codes={"rail": "35 mm rail", "screws": "screws on a plate"}),
    Attribute("coil_resistance", "coil resistance", "Ω", header=("coil ohms",)),
    Attribute("coil_pull_in", "lowest control voltage that surely pulls it in", "V"),
    Attribute("coil_highest", "highest control voltage the coil bears", "V"),
    Attribute("made", "year made", "", header=("year",)),
    # what the place asks: no part carries these, so a limit on them stays open until the fact is known
    Attribute("load", "current of the load", "A"),
    Attribute("control_voltage", "voltage of the control circuit", "V"),
    Attribute("control_frequency", "frequency of the control circuit", "Hz"),
)  # fmt: skip


# --------------------------------------------------------------------------- what a plate may say

_VALUES = load("contactor_values").rows
_V, _A = "(V|VOLTS|VAC|V AC)", "(A|AMP|AMPS|AMPERES)"
_HZ = "(HZ|CY|CYC|~|CYCLES|C/S)"


def _rows(what: str, unit: str = "") -> tuple[Row, ...]:
    return tuple(
        Row((to_si(float(r["value"]), unit),), float(r["weight"])) for r in _VALUES if r["what"] == what
    )


def _ends(text: str) -> float | tuple[float, float]:
    """A number of the table, or a range of them."""
    low, _, high = text.partition("-")
    return (float(low), float(high)) if high else float(low)


def _amperes(category: str, volts: int, absent: float) -> Field:
    """Amperes of a category at one voltage, as IEC plates list them."""
    name = qualifier(category, float(volts))
    words, amps = f"({category}|{category.replace('-', '')})", f"{{current@{name}:A}}"
    at = "(400|380/400)" if volts == 400 else str(volts)
    ways = (f"{words} {at} (V|VAC) {amps} A", f"{words} {amps} A {at} (V|VAC)", f"{at} V [{words}] {amps} A",
            f"{amps} A [{words}] {at} V", f"{amps} A {at} V {words}", f"{words} {amps} A/{at} V")  # fmt: skip
    return Field(
        f"current {name}", (f"current@{name}",), _rows("amperes"), tuple(map(Writing, ways)), absent, -6.0
    )


def _direct(volts: int) -> Field:
    """Amperes on DC at one voltage, as plates list them that name no category."""
    name = qualifier("DC", float(volts))
    amps, direct = f"{{current@{name}:A}}", f"{volts} (VDC|V DC|V D.C.|VOLTS DC)"
    ways = (f"{amps} {_A} {direct}", f"{direct} {amps} {_A}", f"{amps} {_A} {volts} (V|VOLTS) DC",
            f"DC {volts} V {amps} A")  # fmt: skip
    rows = (*_rows("direct"), *_rows("amperes"))
    return Field(f"current {name}", (f"current@{name}",), rows, tuple(map(Writing, ways)), 0.98, -6.0)


def _power(category: str, volts: int, spelled: str, absent: float) -> Field:
    """Motor power at one voltage: horsepower on NEMA plates and British ones of 415 V, kilowatts on the others."""
    name = f"power@{category}@{volts}V"
    kilowatts, horses = ("kW", "KW"), ("hp", "(HP|H.P.)")
    units = (horses,) if category == "normal" else (kilowatts, horses) if volts == 415 else (kilowatts,)
    ways = []
    for unit, words in units:
        power = f"{{{name}:{unit}}} {words}"
        ways += [f"{power} [AT ]{spelled} (V|VOLTS|VAC)", f"{spelled} (V|VOLTS|VAC) {power}",
                 f"{power}/{spelled} V", f"{words} {{{name}:{unit}}} {spelled} V"]  # fmt: skip
    rows = () if category == "normal" else _rows("kilowatts", "kW")
    rows += _rows("horsepower", "hp") if horses in units else ()
    return Field(name, (name,), rows, tuple(map(Writing, ways)), absent)


FIELDS = (
    Field("poles", ("poles",), (Row((3.0,), 8), Row((2.0,), 1.5), Row((4.0,)), Row((1.0,), 0.5)),
          (Writing("{poles} (POLE|POLES|P|POL|PH)"), Writing("(POLES|POLE|NO. OF POLES) {poles}", -0.7)), 0.4),
    Field("size", ("nema_size",), tuple(Row((s,), 0.3 if s in "56789" else 1) for s in nema_sizes()),
          (Writing("[NEMA ](SIZE|SZ|SZ.) {nema_size}"), Writing("NEMA {nema_size}", -1.0)), 0.6),
    Field("continuous", ("current@continuous",), tuple(Row((s.amperes,)) for s in nema_sizes().values()),
          (Writing(f"{{current@continuous:A}} {_A} (CONT|CONT.|CONTINUOUS|OPEN)"),
           Writing("(CONT|CONTINUOUS)[ AMPS| AMP RATING] {current@continuous:A}[ A| AMPS]"),
           Writing("AMPS {current@continuous:A}", -1.0),
           Writing("(ITH|I TH|ITHE) {current@continuous:A}[ A]", -0.7)), 0.75, -6.0),
    *(_amperes(*row) for row in (
        ("AC-3", 230, 0.9), ("AC-3", 400, 0.5), ("AC-3", 380, 0.75), ("AC-3", 415, 0.85), ("AC-3", 440, 0.93),
        ("AC-3", 500, 0.95), ("AC-3", 690, 0.88), ("AC-4", 400, 0.9), ("AC-1", 400, 0.92), ("AC-1", 690, 0.9))),
    *(_amperes(category, volts, 0.99) for category in ("DC-1", "DC-3", "DC-5") for volts in (110, 220)),
    *(_direct(volts) for volts in (110, 125, 220, 230, 240, 250, 500, 550, 600)),
    *(_power("AC-3", volts, str(volts), absent) for volts, absent in ((230, 0.9), (400, 0.6), (380, 0.8), (415, 0.9))),
    _power("normal", 230, "(220|230|240)", 0.85),
    _power("normal", 460, "(440|460|480|440-480|460-575)", 0.8),
    Field("coil", ("coil_voltage", "coil_frequency", "coil_kind"),
          tuple(Row((_ends(r["value"]), r["hertz"] or None, r["kind"]), float(r["weight"]))
                for r in _VALUES if r["what"] == "coil"),
          (Writing(f"[COIL |COIL: |UC |US |SPULE |BOBINE ]{{coil_voltage:V}} {_V}[,] {{coil_frequency}} {_HZ}[ COIL]"),
           Writing("[COIL |COIL: |UC |US |SPULE ]{coil_voltage:V} (V|VOLTS) {coil_kind}[ COIL]", -0.7),
           Writing(f"[COIL ]{{coil_voltage:V}} (V|VOLTS) {{coil_kind}} {{coil_frequency}} {_HZ}", -0.7),
           Writing("[COIL ]VOLTS {coil_voltage:V} (CYCLES|CY|HZ) {coil_frequency}[ COIL]", -1.0),
           Writing(f"COIL {{coil_frequency}} {_HZ} {{coil_voltage:V}} V", -2.0)), 0.15, -6.0),
    Field("insulation", ("insulation_voltage",), _rows("insulation"),
          (Writing("(UI|VI) {insulation_voltage:V}[ V]"), Writing("INSULATION {insulation_voltage:V} V", -1.0)), 0.7),
    Field("highest volts", ("voltage",), _rows("highest"),
          (Writing("{voltage:V} (V|VOLTS|VAC) (MAX|MAX.|MAXIMUM)"), Writing("(MAX|UE) {voltage:V}[ V]")), 0.7),
    Field("auxiliaries", ("aux_no", "aux_nc"),
          tuple(Row((float(a), float(b))) for a in range(5) for b in range(5) if a + b),
          (Writing("{aux_no} (NO|N.O.|S)[ +] {aux_nc} (NC|N.C.|OE)"), Writing("[AUX ]{aux_no}NO/{aux_nc}NC")), 0.75),
    Field("arrangement", ("arrangement",), (Row(("reversing",)),),
          (Writing("{arrangement}"),), 0.9),
    Field("device", ("device",), (Row(("contactor",), 2), Row(("starter",))),
          (Writing("[MAGNETIC |LINE |MOTOR |POWER ]{device}"),), 0.6),
)  # fmt: skip


CONSISTENCY = (
    Consistency(("nema_size", "current@continuous"), ratings.size_agrees, load("nema_sizes").source),
    *(Consistency((f"power@AC-3@{v}V", f"current@AC-3@{v}V"), ratings.kilowatts_agree(v), PRACTICE)
      for v in (230, 380, 400, 415)),
    *(Consistency((f"current@{a}V", f"current@{b}V"), ratings.amperes_related(centre, spread, worst), PRACTICE)
      for a, b, centre, spread, worst in (
          *((f"AC-3@{v}", "AC-3@400", 1.0, 0.05, -6.0) for v in (230, 380, 415, 440)),  # alike up to 440 V
          ("AC-3@500", "AC-3@400", 0.9, 0.2, -8.0), ("AC-3@690", "AC-3@400", 0.65, 0.2, -8.0),
          ("AC-4@400", "AC-3@400", 0.42, 0.25, -8.0), ("AC-3@400", "AC-1@400", 0.65, 0.25, -12.0),
          ("AC-3@400", "AC-1@690", 0.65, 0.25, -12.0))),
)  # fmt: skip


# --------------------------------------------------------------------------- looking, fitting, what can hurt

_LIVE = "live work: only with a rated tester and gloves, one hand, by someone licensed for it"
MEASUREMENTS = (
    Measurement("coil_voltage", "a voltmeter on the coil terminals while it is called in", 0.0, 0.06, 5.0, _LIVE),
    Measurement("coil_resistance", "an ohmmeter, coil leads off", 0.1, 0.02, 5.0, "isolate, lock off, prove dead"),
    Measurement("poles", "counting the main terminals: two a pole", 0.0, 0.0, 1.0, "isolate, lock off, prove dead"),
    *(Measurement(a, "a continuity tester, pushing it in by hand", 0.0, 0.0, 5.0, "isolate, lock off, prove dead")
      for a in ("aux_no", "aux_nc")),
)  # fmt: skip

HAZARDS = (
    Hazard("isolate", "Isolate, lock off and prove dead on every terminal, coil and auxiliaries too: a control circuit "
           "often has its own supply, and one cabinet may have several. Follow your local code; licensed work is for "
           "licensed people.", PRACTICE),
    Hazard("welded-contacts", "A welded pole stays live when the coil is off: prove each outgoing terminal dead.",
           PRACTICE),
    Hazard("asbestos", "Arc chutes and boards made before about 1985 may be asbestos: don't scrape, drill or blow them "
           "out; wet, bag and hand over under your local rules.", PRACTICE, (("made", "<", 1985.0),)),
    Hazard("stored-spring", "Large contactors open under strong springs: keep fingers out of the armature.", PRACTICE),
    Hazard("both-in", "Reversing pair: both in at once shorts the phases. Never run it without the mechanical and the "
           "electrical interlock, not even for a trial.", PRACTICE, (("arrangement", "is", "reversing"),
                                                                    ("starting", "is", "inched or reversed"))),
    Hazard("parallel-poles", "Never parallel poles to break more current: they don't open together, the last one "
           "breaks it all.", PRACTICE),
)  # fmt: skip


def goes_with(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What is ordered with a contactor."""
    pair = spec.code("arrangement") == "reversing" or asks.inching(duty)
    return (
        "overload relay of the same series and frame: heaters and relays fit one maker's contactor only",
        "a suppressor across the coil, for its volts and kind (RC or varistor on AC, diode on DC)",
        "fuse or breaker checked against the maker's co-ordination table for the new contactor",
        *(
            ("mechanical interlock and two normally closed auxiliaries, if it is one of a reversing pair",)
            if pair
            else ()
        ),
    )


def after_fitting(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """What to check on arrival and after fitting, with figures."""
    low, high, asked = spec.num("coil_pull_in"), spec.num("coil_highest"), asks.load_current(duty)
    window = f"between {low:.0f} and {high:.0f} V" if low and high else "between 85 and 110 % of its rating"
    setting = f"{asked[0]:.3g} A" if asked else "the amperes on the motor's plate"
    return (
        "on arrival: coil volts, hertz and AC or DC on the coil itself, not only on the box",
        f"coil terminals while it pulls in: {window}; no hum after it has closed",
        f"overload set to {setting}; trip it once by its test button",
        "poles alike: voltage drop of the three poles under load within a third of each other",
        "reversing pair: dead, push one armature in by hand; the other must not go in",
    )


def shelf_test(spec: Spec, duty: Duty) -> tuple[str, ...]:
    """The pass test of a shelf contactor of unknown condition."""
    low = spec.num("coil_pull_in")
    return (
        "each pole open: more than 1 MΩ at 500 V DC across it, to its neighbours and to the frame",
        "each pole closed: under 10 mΩ, the poles within a factor of two; contacts more than half their thickness",
        f"pulls in cleanly at {low:.0f} V" if low else "pulls in cleanly at 85 % of its coil volts",
        "drops out at once when the coil is switched off, ten times; armature free, pole faces clean",
    )


def title_of(spec: Spec) -> str:
    """ "25 A AC-3@400V, coil 230 V 50 Hz"; "NEMA size 1, coil 120 V 60 Hz"."""
    size, best = spec.code("nema_size"), next((v for v in spec.all("current") if v.low), None)
    what = "starter" if spec.code("device") == "starter" else "contactor"
    rated = f"NEMA size {size}" if size else f"{best.low:g} A {best.qualifier}" if best else what
    rated += " starter" if what == "starter" and rated != what else ""
    ends = [(v.low, v.high) for v in spec.all("coil_voltage")[:1] if v.low is not None and v.high is not None]
    coil = [f"{low:g} V" if low == high else f"{low:g}-{high:g} V" for low, high in ends]
    coil += [f"{f} Hz" for f in (spec.code("coil_frequency"),) if f]
    coil += ["DC"] if spec.code("coil_kind") == "DC" else []
    return rated + (f", coil {' '.join(coil)}" if coil else "")


FAMILY = Family(
    name="contactor", title="contactor", version=1, prior=1.0, install_hours=2.0,
    words=("contactor", "starter", "magnetic starter", "motor starter", "line starter"),
    attributes=ATTRIBUTES, fields=FIELDS, consistency=CONSISTENCY, measurements=MEASUREMENTS, hazards=HAZARDS,
    ask=("starting", "supply_voltage", "load_current", "control_voltage", "supply_frequency", "starts_per_hour"),
    require=require, derive=derive, cures=cures, qualifies=ratings.serves, life=asks.expected_life,
    symptoms=SYMPTOMS, suspects=suspects, goes_with=goes_with, after_fitting=after_fitting, shelf_test=shelf_test,
    title_of=title_of,
)  # fmt: skip
