"""Motor figures against what is in print; the source stands beside each check."""

from __future__ import annotations

import math

import pytest
from fluids.pump import CSA_motor_efficiency, current_ideal, nema_sizes_hp, speed_synchronous

from partsdb.families.ac_motor import FAMILY
from partsdb.families.ac_motor.figures import (
    insulation_life,
    insulation_limit,
    locked_rotor_current,
    most_power_at,
    poles_for,
    synchronous_speed,
    torque,
    voltage_at_equal_flux,
)
from partsdb.families.ac_motor.plate import DIMENSIONS, FRAMES, dimensions
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import Spec, number
from partsdb.physics.motors import HP, flux_ratio, full_load_current
from partsdb.tables import load

RPM = math.pi / 30
INCH = 0.0254


@pytest.mark.parametrize("hertz", [50.0, 60.0])
@pytest.mark.parametrize("poles", [2, 4, 6, 8, 10, 12])
def test_synchronous_speed_agrees_with_the_fluids_library(hertz: float, poles: int) -> None:
    """fluids.pump.speed_synchronous (MIT), the same formula written by others."""
    theirs = speed_synchronous(hertz, poles)  # type: ignore[no-untyped-call]  # the library has no hints
    assert synchronous_speed(hertz, poles) / RPM == pytest.approx(theirs)


@pytest.mark.parametrize(
    ("poles", "at_50", "at_60"), [(2, 2850, 3450), (4, 1425, 1725), (6, 950, 1150), (8, 700, 850)]
)
def test_typical_full_load_speeds_give_their_poles(poles: int, at_50: float, at_60: float) -> None:
    """Typical speeds of 50 and 60 Hz motors, "Metric motors", scribd.com/document/245476427."""
    assert poles_for(at_50 * RPM, 50.0) == poles
    assert poles_for(at_60 * RPM, 60.0) == poles


@pytest.mark.parametrize(
    ("horsepower", "amperes"),
    [
        (0.5, (2.5, 2.4, 2.2, 1.1, 0.9)),
        (1, (4.8, 4.6, 4.2, 2.1, 1.7)),
        (3, (11, 10.6, 9.6, 4.8, 3.9)),
        (7.5, (25.3, 24.2, 22, 11, 9)),
        (10, (32.2, 30.8, 28, 14, 11)),
        (25, (78.2, 74.8, 68, 34, 27)),
        (100, (285, 273, 248, 124, 99)),
        (200, (552, 528, 480, 240, 192)),
    ],
)
def test_three_phase_currents_are_those_of_nec_430_250(horsepower: float, amperes: tuple[float, ...]) -> None:
    """NEC Table 430.250, scribd.com/doc/250218196 and wiresizecalculator.net."""
    for volts, printed in zip((200.0, 208.0, 230.0, 460.0, 575.0), amperes, strict=True):
        assert full_load_current(horsepower * HP, volts)[0] == pytest.approx(printed)


@pytest.mark.parametrize(
    ("horsepower", "amperes"),
    [
        (1 / 6, (4.4, 2.5, 2.4, 2.2)),
        (1 / 3, (7.2, 4.1, 4.0, 3.6)),
        (1, (16, 9.2, 8.8, 8)),
        (10, (100, 57.5, 55, 50)),
    ],
)
def test_single_phase_currents_are_those_of_nec_430_248(
    horsepower: float, amperes: tuple[float, ...]
) -> None:
    """NEC Table 430.248 at sparky-hq.com and 1999 NEC Table 430-148."""
    for volts, printed in zip((115.0, 200.0, 208.0, 230.0), amperes, strict=True):
        assert full_load_current(horsepower * HP, volts, 1)[0] == pytest.approx(printed)


def test_table_currents_hold_within_their_system_band() -> None:
    """NEC 430.250, heading: the 230 and 460 V columns are for 220 to 240 and 440 to 480 V systems."""
    for volts, system in ((230.0, (220.0, 240.0)), (460.0, (440.0, 480.0))):
        for v in system:
            assert full_load_current(10 * HP, v)[0] == full_load_current(10 * HP, volts)[0]


def test_the_fifty_hertz_table_agrees_with_a_second_one_in_print() -> None:
    """Rated motor currents at 400 V, scribd.com/document/340264631 (0.75, 1.1 and 1.5 kW: 1.9, 2.6, 3.6 A)."""
    for kilowatts, printed in ((0.55, 1.5), (0.75, 1.9), (1.1, 2.6), (1.5, 3.6)):
        assert full_load_current(kilowatts * 1000, 400.0)[0] == pytest.approx(printed, rel=0.06)


def test_the_fifty_hertz_table_agrees_with_the_nec_at_like_power() -> None:
    """kW and hp rows of about one power, brought to one voltage: two tables of two continents within 15 %."""
    for horsepower, kilowatts in ((3, 2.2), (5, 4), (7.5, 5.5), (10, 7.5), (20, 15), (40, 30)):
        american = (
            full_load_current(horsepower * HP, 460.0)[0] * 460 / 400 * kilowatts * 1000 / (horsepower * HP)
        )
        assert full_load_current(kilowatts * 1000, 400.0)[0] == pytest.approx(american, rel=0.15)


def test_table_currents_agree_with_the_fluids_library_by_efficiency_and_power_factor() -> None:
    """fluids.pump.current_ideal with the CSA efficiency of a 10 hp motor, closed, four poles, at a power factor of 0.8:
    the NEC's figure lies within 15 % of it."""
    efficiency = CSA_motor_efficiency(10 * 745.7, closed=True, poles=4, high_efficiency=False)
    theirs = current_ideal(P=10 * HP / efficiency, V=460, phase=3, PF=0.8)
    assert full_load_current(10 * HP, 460.0)[0] == pytest.approx(theirs, rel=0.15)


def test_every_table_current_implies_a_possible_efficiency_and_power_factor() -> None:
    """NEC 430.250: efficiency times power factor of a real motor lies between 0.3 and 0.95 and grows with size."""
    found = [
        float(r["hp"]) * HP / (math.sqrt(3) * 460.0 * float(r["460"])) for r in load("motor_current_3ph").rows
    ]
    assert all(0.3 < x < 0.95 for x in found)
    assert found[-1] > found[0] + 0.3


def test_the_plates_horsepowers_are_those_the_fluids_library_lists() -> None:
    """fluids.pump.nema_sizes_hp: every power of our NEC table up to 200 hp is a standard motor size."""
    for row in load("motor_current_3ph").rows:
        assert any(math.isclose(float(row["hp"]), size) for size in nema_sizes_hp)


def test_torque_is_5252_horsepower_over_speed() -> None:
    """5252 = 33 000 / 2π; 10 hp at 1750 rpm -> 30.01 lb-ft (handbook rule)."""
    assert torque(10 * HP, 1750 * RPM) / 1.3558179483314004 == pytest.approx(5252.113 * 10 / 1750, rel=1e-6)


def test_sixty_hertz_motors_on_fifty_hertz_keep_their_volts_per_hertz() -> None:
    """460 V 60 Hz -> 383 V on 50 Hz, horsepower at most 5/6 (general text on 60 Hz motors used at 50 Hz)."""
    assert voltage_at_equal_flux(460.0, 60.0, 50.0) == pytest.approx(383.3, abs=0.05)
    assert most_power_at(30 * HP, 60.0, 50.0) == pytest.approx(25 * HP)
    assert flux_ratio(120.0, 50.0, 120.0, 60.0) == pytest.approx(1.2)  # 2.4 against 2.0 V/Hz
    assert flux_ratio(400.0, 50.0, 480.0, 60.0) == pytest.approx(1.0)  # both 8 V/Hz


def test_a_230_volt_motor_runs_from_207_to_253_volts() -> None:
    """NEMA MG 1-12.44.1: 10 % either way; worked example in "How precise are motor nameplate ratings?" (2013)."""
    motor = Spec("ac_motor", (number("voltage", 230.0), number("frequency", 60.0), number("power", 746.0)))
    for supply, runs in ((206.9, False), (207.1, True), (252.9, True), (253.1, False)):
        place = requirement(FAMILY, motor, {"supply_voltage": supply, "supply_frequency": 60.0})
        (limit,) = [x for x in place.limits if x.attribute == "voltage_at_60"]
        assert isinstance(limit.accept, Interval)
        assert (230.0 in limit.accept) is runs


@pytest.mark.parametrize(
    ("kva", "letter"),
    [
        (3.14, "A"),
        (3.15, "B"),
        (3.55, "C"),
        (6.29, "G"),
        (6.3, "H"),
        (7.09, "H"),
        (7.1, "J"),
        (22.39, "U"),
        (22.4, "V"),
    ],
)
def test_code_letters_are_half_open_ranges(kva: float, letter: str) -> None:
    """NEMA MG 1-10.37.2 with its note, scribd.com/document/369337123."""
    assert code_letters(kva) == [letter]


def code_letters(kva_per_hp: float) -> list[str]:
    """The letters whose range, its upper end left out, holds the figure: amperes of 1 hp on 1000 V and one phase."""
    spans = {
        letter: locked_rotor_current(letter, HP, 1000.0, 1)
        for letter in FAMILY.attribute("code_letter").codes
    }
    return [x for x, s in spans.items() if s.lower <= kva_per_hp and (s.high is None or kva_per_hp < s.high)]


def test_locked_rotor_current_of_a_code_letter() -> None:
    """10 hp, code H, 460 V: 6.3 to 7.1 kVA/hp over √3·460 V = 79.07 to 89.11 A."""
    found = locked_rotor_current("H", 10 * HP, 460.0, 3)
    assert found.lower == pytest.approx(79.07, abs=0.005)
    assert found.upper == pytest.approx(89.11, abs=0.005)


def test_nec_locked_rotor_currents_of_common_motors_lie_at_or_above_code_g() -> None:
    """NEC Table 430.251(B), design B, C, D at 460 V: 10 hp 81 A, 25 hp 183 A, 50 hp 363 A (solar365.com)."""
    for horsepower, amperes in ((10, 81), (25, 183), (50, 363)):
        kva = math.sqrt(3) * 460 * amperes / 1000 / horsepower
        assert code_letters(kva) in (["G"], ["H"])


@pytest.mark.parametrize(
    ("frame", "inches"),
    [
        ("48", (3, 4.25, 2.75, 2.5, 0.5)),
        ("56", (3.5, 4.875, 3, 2.75, 0.625)),
        ("143T", (3.5, 5.5, 4, 2.25, 0.875)),
        ("182", (4.5, 7.5, 4.5, 2.75, 0.875)),
        ("182T", (4.5, 7.5, 4.5, 2.75, 1.125)),
        ("184T", (4.5, 7.5, 5.5, 2.75, 1.125)),
        ("213T", (5.25, 8.5, 5.5, 3.5, 1.375)),
        ("254T", (6.25, 10, 8.25, 4.25, 1.625)),
        ("284TS", (7, 11, 9.5, 4.75, 1.625)),
        ("324T", (8, 12.5, 10.5, 5.25, 2.125)),
        ("404T", (10, 16, 12.25, 6.625, 2.875)),
    ],
)
def test_nema_frames_have_the_printed_dimensions(frame: str, inches: tuple[float, ...]) -> None:
    """NEMA frame table, engineersedge.com/nema_frames.htm: D, 2E, 2F, BA, U."""
    for name, printed in zip(DIMENSIONS, inches, strict=True):
        size, source = dimensions(frame)[name]
        assert size == pytest.approx(printed * INCH)
        assert source.status == "verified"


def test_the_first_two_digits_of_a_nema_frame_are_four_times_its_height() -> None:
    """D rule, three general pages: three-digit frames / 4, two-digit frames / 16, in inches. Holds for every row."""
    for frame, row in FRAMES.items():
        digits = "".join(c for c in frame if c.isdigit())
        if row["era"] == "IEC":
            continue
        height = int(digits[:2]) / 4 if len(digits) == 3 else int(digits) / 16
        assert dimensions(frame)["shaft_height"][0] == pytest.approx(height * INCH), frame


def test_an_iec_frame_number_is_the_shaft_height_in_millimetres() -> None:
    """IEC 60072-1:2022, scope (standards.iteh.ai)."""
    for frame, row in FRAMES.items():
        if row["era"] == "IEC":
            height = int("".join(c for c in frame if c.isdigit()))
            assert dimensions(frame)["shaft_height"][0] * 1000 == pytest.approx(height)


@pytest.mark.parametrize(
    ("frame", "shaft"), [("71", 14), ("80", 19), ("90S", 24), ("90L", 24), ("100L", 28), ("112M", 28)]
)
def test_iec_shafts_seen_in_print(frame: str, shaft: float) -> None:
    """Shaft diameters, toolgrit.com/guides/iec-motor-frame-decoder-guide."""
    size, source = dimensions(frame)["shaft_diameter"]
    assert size * 1000 == pytest.approx(shaft)
    assert source.status == "verified"


@pytest.mark.parametrize(("letter", "celsius"), [("A", 105), ("E", 120), ("B", 130), ("F", 155), ("H", 180)])
def test_insulation_classes_have_the_limits_of_iec_60085(letter: str, celsius: float) -> None:
    """IEC 60085 classes as listed at tnlab.org; NEMA ones at engineeringtoolbox.com."""
    assert insulation_limit(letter) - 273.15 == pytest.approx(celsius)


def test_twenty_kelvin_in_reserve_make_eighty_thousand_hours() -> None:
    """Worked example quoted at eng-tips.com thread 81140: class B at 110 °C, 20 000 -> 80 000 h."""
    assert insulation_life(insulation_limit("B"), 110 + 273.15) == pytest.approx(80_000)


def test_a_class_f_winding_at_class_b_temperature_lives_5_6_times_as_long() -> None:
    """tnlab.org, IEC 60085: 25 K of reserve extend life about 5.6 times."""
    assert insulation_life(insulation_limit("F"), insulation_limit("B")) / 20_000 == pytest.approx(
        5.6, abs=0.1
    )
