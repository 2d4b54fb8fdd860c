"""Figures as they are printed, against a calculation of our own or a published value named beside each.

Nothing here asks a formula's own module: what is held is what a person reads.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import pytest

from partsdb.family import families
from partsdb.model import Spec, Value, number, word
from support.commands import partsdb

INCH = 25.4e-3
MICRON = 1e-6


def specification(family: str, **values: float | str) -> Spec:
    """A specification with what follows from it."""
    said: list[Value] = [
        word(name, value) if isinstance(value, str) else number(name, value) for name, value in values.items()
    ]
    return families()[family].complete(Spec(family, tuple(said)))


def figures(family: str, **values: float | str) -> Mapping[str, str]:
    """Every figure that the family's cautions work out for such a part, by what it is called."""
    spec = specification(family, **values)
    return dict(
        figure
        for hazard in families()[family].hazards
        if hazard.figures
        for figure in hazard.figures(spec, {})
    )


def printed(line: str, folder: Path) -> str:
    """What the command prints, its line ends folded."""
    ran = partsdb(line, folder / "none.db")
    assert ran.code == 0, ran.err
    return " ".join(ran.out.split())


def test_the_figures_stand_in_the_cautions_of_a_look(tmp_path: Path) -> None:
    """25 µF at 440 V: √2·440 V; C V² = 4.84 J at the crest; 20 kΩ need 0.5 s·ln(622/50) to fall to 50 V."""
    text = printed('equivalents "25 MFD" "440 VAC 60 CY" -k capacitor', tmp_path)
    five_times = 5 * 20e3 * 25e-6 * math.log(math.sqrt(2) * 440 / 50)
    assert f"discharge tool: 20 kΩ, leads for 1000 V, hold it on for {five_times:.0f} s" in text
    assert "charged to: 622 V; stored: 4.8 J" in text


# --------------------------------------------------------------------------- capacitor: discharge


@pytest.mark.parametrize(
    ("farads", "volts", "kiloohms"),
    [
        (25e-6, 440.0, 20.0),  # 79 kΩ would do: common practice is 20 kΩ at most
        (100e-6, 440.0, 18.0),  # at most 19.8 kΩ: next lower of E24 (IEC 60063)
        (200e-6, 440.0, 9.1),  # at most 9.92 kΩ
    ],
)
def test_the_discharge_tool_brings_it_to_50_volts_in_five_seconds(
    farads: float, volts: float, kiloohms: float
) -> None:
    """Exponential discharge from the crest: t = R C ln(√2 V / 50 V), held on for five times as long."""
    told = figures("ac_capacitor", capacitance=farads, voltage_ac=volts)["discharge tool"]
    down = kiloohms * 1e3 * farads * math.log(math.sqrt(2) * volts / 50)
    assert down <= 5
    assert told == f"{kiloohms:g} kΩ, leads for 1000 V, hold it on for {5 * down:.0f} s"


def test_its_own_resistor_is_timed_from_the_crest() -> None:
    """470 kΩ across 45 µF at 370 V: 21.15 s time constant, 2.348 of them to 50 V, which is 50 s; 1 MΩ is too slow."""
    own = figures("ac_capacitor", capacitance=45e-6, voltage_ac=370.0, bleeder_ohms=470e3)["its own resistor"]
    assert own == "50 V in 50 s"
    slow = figures("ac_capacitor", capacitance=45e-6, voltage_ac=370.0, bleeder_ohms=1e6)["its own resistor"]
    assert slow == "50 V in 106 s (too slow: not within a minute)"


# --------------------------------------------------------------------------- transformer: a short


@pytest.mark.parametrize(
    ("power", "secondary", "impedance", "phases", "amperes"),
    [
        (45e3, 208.0, 0.045, 3.0, "2780 A"),  # 45 000 / (√3·208) = 124.9 A of full load, over 4.5 %
        (45e3, 208.0, 0.045, 1.0, "4810 A"),  # 45 000 / 208 = 216.3 A
        (75e3, 480.0, 0.05, 3.0, "1800 A"),  # 90.2 A
        (250.0, 120.0, 0.05, 1.0, "41.7 A"),
    ],
)
def test_the_short_of_a_three_phase_transformer_is_a_root_of_three_smaller(
    power: float, secondary: float, impedance: float, phases: float, amperes: str
) -> None:
    """Bolted fault on an endless supply: rated current over impedance per unit; I = S / (√3 V) on three phases."""
    told = figures(
        "transformer",
        apparent_power=power,
        primary_voltage=480.0,
        secondary_voltage=secondary,
        impedance=impedance,
        phases=phases,
        frequency=60.0,
    )
    assert told["short on the secondary"] == amperes


def test_the_fuses_of_a_three_phase_transformer_are_for_its_line_current() -> None:
    """45 kVA, 480 to 208 V on three phases: 54.13 A and 124.9 A, as transformer makers' tables print."""
    spec = specification(
        "transformer", apparent_power=45e3, primary_voltage=480.0, secondary_voltage=208.0, phases=3.0
    )
    told = " ".join(families()["transformer"].goes_with(spec, {}))
    assert "primary fuses for 54.13 A full load" in told
    assert "secondary fuse for 124.91 A full load" in told


# --------------------------------------------------------------------------- bearing: heating for fitting

# Shaft limits k5 [µm] as JIS B 0401 (1999) prints them, equal to ISO 286-2 (docs.steelcam.org, dimensional
# tolerances for regularly used shaft fits); 12e-6 /K is the usual expansion of steel (from memory).
K5 = {25: (2, 11), 30: (2, 11), 40: (2, 13), 50: (2, 13), 60: (2, 15), 80: (2, 15)}


@pytest.mark.parametrize("bore", K5)
def test_a_ring_is_heated_until_it_clears_the_largest_journal(bore: int) -> None:
    """Its bore grows by 12e-6 of itself a kelvin: by the journal's excess, the ring's own tolerance of grade 5, and
    10 µm to slide."""
    least, most = K5[bore]
    needed = (most + (most - least) + 10) * MICRON / (12e-6 * bore * 1e-3)
    told = figures("rolling_bearing", bore=bore * 1e-3, closure="open")
    assert told["to slide on by itself it needs"] == f"{needed:.0f} K over the shaft"


def test_a_6206_is_heated_by_83_kelvin_and_never_above_110_degrees(tmp_path: Path) -> None:
    text = printed('equivalents "6206" -k "rolling bearing"', tmp_path)
    assert "to slide on by itself it needs: 83 K over the shaft; never above: 110 °C, press the rest" in text


def test_a_sealed_bearing_is_never_heated_as_far_as_an_open_one() -> None:
    """80 °C, trade knowledge: grease and seals bear no more."""
    assert figures("rolling_bearing", bore=0.03, closure="2RS")["never above"].startswith("80 °C")


# --------------------------------------------------------------------------- motor: the frame's shaft

# U dimension [in] by frame and era. T and small: NEMA frame table, engineersedge.com/nema_frames.htm. C faces: a
# maker's dimension chart, ar.scribd.com/document/157068687. U frames and the old series: from memory; each is
# the shaft of the next smaller T frame, and the sizes are those for which charts print a keyseat.
SHAFTS = {
    0.375: ("42",),
    0.5: ("48",),
    0.625: ("56", "56C"),
    0.75: ("66", "203", "204"),
    0.875: ("143T", "145T", "143TC", "145TC", "182", "184"),
    1.0: ("224", "225"),
    1.125: ("182T", "184T", "182TC", "184TC", "213", "215", "254"),
    1.25: ("284",),
    1.375: ("213T", "215T", "213TC", "215TC", "254U", "256U"),
    1.625: ("254T", "256T", "254TC", "256TC", "284U", "286U", "284TS", "324", "326"),
    1.875: ("284T", "286T", "324U", "326U", "364", "365"),
    2.125: ("324T", "326T", "364U", "365U", "404", "405"),
    2.375: ("364T", "365T", "404U", "405U", "444", "445"),
    2.875: ("404T", "405T", "444U", "445U"),
    3.375: ("444T", "445T"),
}
# Shaft ends of cage motors of four poles and more, EN 50347 (from memory; 71 to 112 seen at toolgrit.com)
IEC_SHAFTS = {
    11: ("63",), 14: ("71",), 19: ("80",), 24: ("90S", "90L"), 28: ("100L", "112M"), 38: ("132S", "132M"),
    42: ("160M", "160L"), 48: ("180M", "180L"), 55: ("200L",), 60: ("225S", "225M"), 65: ("250M",),
    75: ("280S", "280M"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("frame", "size"),
    [(frame, inches * INCH) for inches, names in SHAFTS.items() for frame in names]
    + [(frame, millimetres * 1e-3) for millimetres, names in IEC_SHAFTS.items() for frame in names],
)
def test_a_motor_is_asked_for_with_the_shaft_of_its_frame(frame: str, size: float) -> None:
    assert specification("ac_motor", frame=frame).num("shaft_diameter") == pytest.approx(size)


# BA [in] of C faces with feet: a maker's quick reference of motor dimensions, marathonelectric.com; E and F
# alike for all eras: twice E is the foot across.
@pytest.mark.parametrize(
    ("frame", "offset"),
    [("143TC", 2.75), ("145TC", 2.75), ("182TC", 3.5), ("184TC", 3.5), ("213TC", 4.25), ("215TC", 4.25),
     ("254TC", 4.75), ("256TC", 4.75), ("143T", 2.25), ("182T", 2.75), ("213T", 3.5), ("254T", 4.25)],
)  # fmt: skip
def test_a_face_moves_the_feet_away_from_the_shaft_shoulder(frame: str, offset: float) -> None:
    assert specification("ac_motor", frame=frame).num("shaft_offset") == pytest.approx(offset * INCH)


def test_the_shaft_is_asked_for_over_the_counter(tmp_path: Path) -> None:
    text = printed('equivalents "FRAME 182T" "3 HP" "1750 RPM" "230/460 V" "60 HZ" -k "ac motor"', tmp_path)
    assert "shaft shoulder to first feet hole: 69.85 mm (plate) - shaft diameter: 28.57 mm (plate)" in text


# --------------------------------------------------------------------------- V-belt: its three lengths

# Datum and outside length less the number on the belt, in the number's own unit. Inch classical: ANSI/RMA IP-20
# (datum) and a public length guide (outside). Millimetre classical: A, B, C, D La = Li + 50, 69, 88, 119 and A
# Ld = Li + 30 at en.kuilnicos.nl; B Ld = Li + 40 by the belt cut open at agrolager.de, which kuilnicos.nl gives
# as 45. Wedge and narrow inch: the number is the datum (ISO 4184) or outside (ANSI/RMA IP-22) length itself;
# what is added to it is from memory. (A classical length of whole inches is taken as inches; none of these is.)
OFFSETS = [
    ("A", "inside inch", 60, 1.3, 2.0),
    ("B", "inside inch", 60, 1.8, 3.0),
    ("C", "inside inch", 60, 2.9, 4.0),
    ("D", "inside inch", 120, 3.3, 5.0),
    ("E", "inside inch", 180, 4.5, 6.0),
    ("AX", "inside inch", 60, 1.3, 2.0),
    ("BX", "inside inch", 60, 1.8, 3.0),
    ("CX", "inside inch", 60, 2.9, 4.0),
    ("Z", "inside mm", 800, 22.0, 38.0),
    ("A", "inside mm", 1000, 30.0, 50.0),
    ("B", "inside mm", 1500, 40.0, 69.0),
    ("C", "inside mm", 2000, 58.0, 88.0),
    ("D", "inside mm", 3300, 75.0, 119.0),
    ("SPZ", "datum mm", 1250, 0.0, 13.0),
    ("SPA", "datum mm", 1250, 0.0, 18.0),
    ("SPB", "datum mm", 1250, 0.0, 22.0),
    ("SPC", "datum mm", 2500, 0.0, 30.0),
    ("3L", "outside inch", 30, -0.6, 0.0),
    ("4L", "outside inch", 46, -0.7, 0.0),
    ("5L", "outside inch", 71, -1.2, 0.0),
    ("3V", "outside inch", 60, -0.51, 0.0),
    ("5V", "outside inch", 80, -0.87, 0.0),
    ("8V", "outside inch", 150, -1.2, 0.0),
]


@pytest.mark.parametrize(("section", "system", "length", "datum", "outside"), OFFSETS)
def test_the_three_lengths_of_a_belt(
    section: str, system: str, length: float, datum: float, outside: float
) -> None:
    of = INCH if system.endswith("inch") else 1e-3
    said: dict[str, float | str] = {"section": section, "length": length * of}
    found = specification("v_belt", **said if system == "inside mm" else {**said, "mark": f"{length:g}"})
    assert found.num("datum_length") == pytest.approx((length + datum) * of, abs=1e-6)
    assert found.num("outside_length") == pytest.approx((length + outside) * of, abs=1e-6)


def test_a_b68_is_asked_for_by_its_datum_length(tmp_path: Path) -> None:
    """IP-20: B68 has 69.8 in at the datum line, which is 1773 mm, and may differ by 0.7 in."""
    text = printed("equivalents B68 -k belt", tmp_path)
    low, high = (INCH * 1000 * (69.8 + by) for by in (-0.7, 0.7))
    assert f"datum length: {low:.0f} to {high:.0f} mm" in text
    explained = printed("equivalents B68 -k belt --explain", tmp_path)
    assert "datum length: 1773 mm outside length: 1803 mm" in explained
