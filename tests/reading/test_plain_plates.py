"""Whole plates in the words of the trade, all of them legible: nothing is read into them, nothing that is plain is
taken for something else. All seven kinds compete."""

from __future__ import annotations

from math import pi

import pytest

from partsdb.family import families
from partsdb.quantities import parse
from partsdb.reading import identify, read


@pytest.mark.parametrize(
    ("plate", "kind", "size"),
    [
        (["TC 35X72X10"], "shaft_seal", ("shaft", "35 mm")),  # in no table; 55 x 72 x 10 is
        (["0.875 1.375 .250 NITRILE"], "shaft_seal", ("shaft", "0.875 in")),
        (["H.P. 5", "SPEED 1750", "VOLTS 220/440"], "ac_motor", ("power", "5 hp")),
        (["DC CONTACTOR", "100 A 250 VDC"], "contactor", ("current", "100 A")),
        (["25 MFD 450 VDC"], "ac_capacitor", ("voltage_dc", "450 V")),
        (["4 MFD 500 VOLTS D.C."], "ac_capacitor", ("voltage_dc", "500 V")),
        (["200 MFD 25 V DC"], "ac_capacitor", ("voltage_dc", "25 V")),
        (["100 nF 250 VAC"], "ac_capacitor", ("capacitance", "0.1 µF")),
        (["1 1/2 x 2 1/4 x 3/8"], "shaft_seal", ("bore", "2.25 in")),
        (["1-3/8 x 2 x 1/4"], "shaft_seal", ("width", "0.25 in")),
        (["40 HP 1170 RPM 2300 V"], "ac_motor", ("voltage", "2300 V")),
        (["H.P. 3", "VOLTS 400/440", "AMPS 4.9", "R.P.M. 1425"], "ac_motor", ("current", "4.9 A")),
    ],
)
def test_a_legible_number_is_believed_before_a_misreading(
    plate: list[str], kind: str, size: tuple[str, str]
) -> None:
    best = identify(read(plate), families()).best
    assert best is not None
    assert best.spec.family == kind
    found = best.spec.first(size[0])
    assert found is not None
    assert found.low == pytest.approx(parse(size[1])[0].low)


@pytest.mark.parametrize(
    ("plate", "attribute", "code"),
    [
        (["INDUCTION MOTOR", "HP 5", "RPM 1725", "FRAME 254"], "insulation", None),
        (["3~ MOTOR", "5.5 KW", "380 V D", "1440 U/MIN"], "motor_type", None),
        (["SYNCHRONOUS MOTOR", "10 HP", "900 RPM"], "motor_type", "synchronous"),
        (["TRANSFORMER", "KVA 5", "PRI 440", "SEC 110"], "kind", None),
        (["CONTROL TRANSFORMER", "KVA 5", "PRI 440", "SEC 110"], "kind", "control"),
        (["CAPACITOR", "10 MFD", "370 VAC"], "service", None),
        (["CONTACTOR", "SIZE 2", "COIL 110 V 60 CY"], "arrangement", None),
    ],
)
def test_a_plain_word_says_no_more_than_it_says(plate: list[str], attribute: str, code: str | None) -> None:
    best = identify(read(plate), families()).best
    assert best is not None
    assert best.spec.code(attribute) == code


@pytest.mark.parametrize(
    ("plate", "least"),
    [(["FUSE 30 A 600 V"], 0.3), (["THERMOSTAT 250 V 10 A"], 0.2), (["GENERATOR", "5 KVA 220 V"], 0.3)],
)
def test_a_plate_that_names_another_kind_of_part_is_left_open(plate: list[str], least: float) -> None:
    assert identify(read(plate), families()).leftover > least


@pytest.mark.parametrize(
    "plate",
    [
        ["25 MFD 450 VDC"],
        ["16 MFD", "450 V.D.C."],
        ["8 MFD 350 V DC"],
        ["CONDENSER 4 MFD 500 VOLTS D.C. WORKING TEST 1500 V"],
    ],
)
def test_volts_of_direct_current_or_of_a_test_are_no_ac_volts(plate: list[str]) -> None:
    found = identify(read(plate), families())
    assert sum(h.probability for h in found.hypotheses if h.spec.has("voltage_ac")) < 0.05


@pytest.mark.parametrize(
    ("plate", "kind"),
    [
        (["WOUND ROTOR INDUCTION MOTOR", "3 kW 1440 rpm"], "wound rotor"),
        (["INDUCTION MOTOR", "3 kW 1440 rpm", "SEC VOLTS 120", "SEC AMPS 15"], "cage"),
        (["3 kW 1440 rpm", "ROTOR 120 V 15 A"], "wound rotor"),
        (["SHUNT WOUND MOTOR", "5 HP 230 V"], "direct current"),
        (["3 kW 1440 rpm 380 V 3 PH"], "cage"),
    ],
)
def test_the_type_of_a_motor_follows_from_its_plate(plate: list[str], kind: str) -> None:
    family = families()["ac_motor"]
    best = identify(read(plate), {"ac_motor": family}).best
    assert best is not None
    assert family.complete(best.spec).code("motor_type") == kind


def test_such_a_word_on_the_plate_of_a_known_kind_changes_nothing() -> None:
    plate = ["STEP DOWN", "500 VA", "PRI 415V", "SEC 110V", "50HZ"]
    plain, with_fuse = (identify(read(lines), families()) for lines in (plate, [*plate, "FUSE 5A"]))
    assert with_fuse.leftover == pytest.approx(plain.leftover, abs=0.02)


def test_readings_that_are_the_same_to_the_kind_stand_in_one_line() -> None:
    """Full-load speeds of 1410 to 1450 rpm are one four-pole motor; 1490 rpm is another motor."""
    found = identify(read(["4 kW", "14?0 RPM", "380 V", "50 HZ", "3~"]), families())
    best = found.hypotheses[0]
    assert best.spec.num("speed") == pytest.approx(1430 * pi / 30, rel=0.02)
    rest = best.spec.without("speed").key
    others = [h for h in found.hypotheses[1:] if h.spec.without("speed").key == rest]
    assert all(abs((h.spec.num("speed") or 0.0) / (best.spec.num("speed") or 1.0) - 1) > 0.03 for h in others)
    assert best.probability > 0.5


def test_a_plate_whose_readings_all_leave_much_is_answered_all_the_same() -> None:
    found = identify(read(["CONTATTORE TRIPOLARE  T 22", "Ith A 40   Ui 660 V"]), families())
    told = sum(h.probability for h in found.hypotheses) + found.unlisted + found.leftover
    assert told == pytest.approx(1)
