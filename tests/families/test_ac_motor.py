"""The AC motor: what a place asks of it, and which motors may stand in. Each limit below, at and above."""

from __future__ import annotations

import math

import pytest

from partsdb.duty import Duty
from partsdb.equivalence import causes, cautions, in_place, judge
from partsdb.families.ac_motor import FAMILY
from partsdb.kit import requirement
from partsdb.model import KnownPart, Spec, Value, Verdict, number, word
from partsdb.model import span as between
from partsdb.physics.motors import HP
from partsdb.reading import identify, read

SWAP, WORK, TEMPORARY, NO, OPEN = "straight swap", "fits with work", "temporary", "don't fit", "can't say yet"
RPM = math.pi / 30
AMERICAN: Duty = {"supply_voltage": 460.0, "supply_frequency": 60.0, "phases": 3.0}
EUROPEAN: Duty = {"supply_voltage": 400.0, "supply_frequency": 50.0, "phases": 3.0}


STARTED = (word("motor_type", "capacitor"), word("rotation", "either"))  # what a single-phase motor must say


def motor(*values: Value, frame: str = "215T", without: tuple[str, ...] = ()) -> Spec:
    """A 7.5 kW four-pole motor, 230/460 V 60 Hz, unless `values` say otherwise."""
    own = (
        number("power", 7500.0),
        number("voltage", 230.0, variant=1),
        number("voltage", 460.0, variant=2),
        number("current", 26.0, variant=1),
        number("current", 13.0, variant=2),
        number("speed", 1750 * RPM),
        number("frequency", 60.0),
        number("phases", 3.0),
        word("frame", frame),
        word("enclosure", "fan cooled"),
        word("insulation", "F"),
        word("rating", "continuous"),
        word("design_letter", "B"),
        word("code_letter", "G"),
    )
    replaced = {v.attribute for v in values} | set(without)
    return Spec("ac_motor", (*(v for v in own if v.attribute not in replaced), *values))


def single(volts: float, hertz: float = 60.0, *more: Value) -> Spec:
    """The same motor for one voltage."""
    return motor(number("voltage", volts), number("frequency", hertz), *more, without=("current",))


OLD = motor()


def verdict(part: Spec, duty: Duty = AMERICAN, old: Spec = OLD) -> Verdict:
    return judge(FAMILY, [requirement(FAMILY, old, duty)], KnownPart("p", part), duty)


def outcome(part: Spec, duty: Duty = AMERICAN, old: Spec = OLD) -> str:
    return verdict(part, duty, old).outcome


# --------------------------------------------------------------------------- supply


@pytest.mark.parametrize(
    ("volts", "expected"), [(418.0, NO), (418.2, SWAP), (460.0, SWAP), (511.0, SWAP), (511.3, NO)]
)
def test_rated_volts_lie_within_ten_percent_of_the_supply(volts: float, expected: str) -> None:
    assert outcome(single(volts)) == expected


def test_a_dual_voltage_motor_is_connected_for_the_supply() -> None:
    high = verdict(OLD)
    low = verdict(OLD, {**AMERICAN, "supply_voltage": 230.0})
    assert (high.outcome, low.outcome) == (SWAP, SWAP)
    assert any("460 V" in c.text for c in high.changes)
    assert any("230 V" in c.text for c in low.changes)


def test_a_motor_for_the_other_connections_volts_only_doesnt_fit_where_the_supply_is_known() -> None:
    assert outcome(single(230.0)) == NO


def test_with_an_unknown_supply_every_connection_of_the_old_motor_is_wanted() -> None:
    assert outcome(single(230.0), {}) == NO
    assert outcome(motor(), {}) == SWAP


@pytest.mark.parametrize(("hertz", "expected"), [(60.0, SWAP), (50.0, NO)])
def test_a_fifty_hertz_motor_on_sixty_hertz_wants_more_volts(hertz: float, expected: str) -> None:
    assert outcome(single(460.0, hertz)) == expected  # 460 V 50 Hz wants 552 V on 60 Hz


def test_a_motor_for_both_frequencies_swaps_on_either() -> None:
    both = motor(
        number("voltage", 400.0),
        between("frequency", 50.0, 60.0),
        number("poles", 4),
        without=("current", "speed"),
    )
    old = single(400.0, 50.0, number("speed", 1450 * RPM))
    assert outcome(both, EUROPEAN, old) == SWAP


def test_a_motor_of_unknown_volts_on_another_frequency_is_taken_to_hang_on_its_own_volts() -> None:
    bare = Spec("ac_motor", (number("frequency", 60.0),))
    (suspect,) = FAMILY.suspects(bare, EUROPEAN)
    assert suspect.why == "made for 60 Hz, on 50 Hz: 120% of its flux, 83% of its speed"


def test_a_sixty_hertz_motor_on_fifty_hertz_gives_five_sixths_at_equal_flux() -> None:
    old = single(380.0, 50.0, number("power", 6000.0), number("speed", 1450 * RPM))
    found = verdict(single(460.0), {**EUROPEAN, "supply_voltage": 383.0}, old)
    assert found.outcome == WORK
    assert any("383 V" in c.text and "6.25 kW" in c.text for c in found.changes)


@pytest.mark.parametrize(
    ("wanted", "expected"), [(6249.0, WORK), (6250.0, WORK), (6260.0, TEMPORARY), (7501.0, NO)]
)
def test_five_sixths_of_the_power_is_the_most_it_gives(wanted: float, expected: str) -> None:
    duty = {**EUROPEAN, "supply_voltage": 383.0, "load_power": wanted}
    assert outcome(single(460.0), duty, single(383.0, 50.0, number("speed", 1450 * RPM))) == expected


def test_the_old_sixty_hertz_motor_on_fifty_hertz_is_judged_in_place() -> None:
    assert in_place(FAMILY, OLD, {**EUROPEAN, "supply_voltage": 380.0}).outcome == WORK
    assert in_place(FAMILY, OLD, {**EUROPEAN, "supply_voltage": 460.0}).outcome == NO  # flux 120 %


def test_an_unknown_frequency_is_never_favourable() -> None:
    assert outcome(motor(without=("frequency",))) == OPEN


@pytest.mark.parametrize(("phases", "expected"), [(1.0, NO), (3.0, SWAP)])
def test_phases_are_equal(phases: float, expected: str) -> None:
    assert outcome(motor(number("phases", phases))) == expected


# --------------------------------------------------------------------------- power and speed


@pytest.mark.parametrize(
    ("load", "expected"), [(7499.0, SWAP), (7500.0, SWAP), (7501.0, TEMPORARY), (9001.0, NO)]
)
def test_power_covers_the_load_and_a_little_less_only_for_a_time(load: float, expected: str) -> None:
    assert outcome(OLD, {**AMERICAN, "load_power": load}) == expected


def test_a_temporary_motor_has_its_conditions_and_hours() -> None:
    found = verdict(OLD, {**AMERICAN, "load_power": 8000.0, "hours_per_day": 8.0})
    assert found.outcome == TEMPORARY
    assert found.stated_hours is not None
    assert 1000 < found.stated_hours < 10_000
    assert any("ammeter" in c for c in found.conditions)


@pytest.mark.parametrize(("power", "expected"), [(11_900.0, SWAP), (12_000.0, SWAP), (12_100.0, WORK)])
def test_a_motor_far_too_big_needs_its_drive_checked(power: float, expected: str) -> None:
    assert outcome(motor(number("power", power))) == expected


@pytest.mark.parametrize(("rpm", "expected"), [(1745.0, SWAP), (1780.0, SWAP), (1165.0, NO), (3500.0, NO)])
def test_speed_is_matched_by_poles_not_by_the_printed_rpm(rpm: float, expected: str) -> None:
    assert outcome(motor(number("speed", rpm * RPM))) == expected


# --------------------------------------------------------------------------- frames


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("182", "182T", "bore the pulley"),  # same feet, thicker shaft
        ("182T", "182", "bush the pulley"),
        ("213", "213T", "bore the pulley"),
        ("213T", "215T", "adapter base"),  # same height and shaft, longer feet
    ],
)
def test_frames_of_another_era_need_named_work(old: str, new: str, says: str) -> None:
    found = verdict(motor(frame=new), AMERICAN, motor(frame=old))
    assert found.outcome == WORK
    assert any(says in c.text for c in found.changes)


def test_182_and_182t_differ_in_the_shaft_only() -> None:
    found = verdict(motor(frame="182T"), AMERICAN, motor(frame="182"))
    assert [c.limit.attribute for c in found.checks if c.status == "breach"] == ["shaft_diameter"]


def test_a_higher_motor_cant_be_sunk_and_a_lower_one_is_packed_up() -> None:
    assert outcome(motor(frame="254T")) == NO
    assert outcome(motor(frame="184T")) == WORK


@pytest.mark.parametrize(
    ("nema", "iec"), [("145T", "90L"), ("182T", "112M"), ("215T", "132S"), ("215T", "132M")]
)
def test_an_iec_frame_never_drops_in_for_nema(nema: str, iec: str) -> None:
    foot = word("mount", "foot")
    for old, new in ((nema, iec), (iec, nema)):
        assert outcome(motor(foot, frame=new), AMERICAN, motor(foot, frame=old)) in (WORK, NO)


def test_an_iec_frame_number_doesnt_say_how_the_motor_is_held() -> None:
    assert outcome(motor(frame="132M"), AMERICAN, motor(frame="215T")) == OPEN


@pytest.mark.parametrize(("millimetres", "expected"), [(34.8, WORK), (34.925, SWAP), (35.1, WORK)])
def test_a_measured_shaft_goes_before_the_frames(millimetres: float, expected: str) -> None:
    assert outcome(motor(number("shaft_diameter", millimetres / 1000))) == expected


def test_without_frame_or_sizes_nobody_can_say_whether_it_fits() -> None:
    assert outcome(OLD, AMERICAN, motor(without=("frame",))) == OPEN
    assert outcome(motor(without=("frame",))) != SWAP


def test_sizes_from_memory_are_checked_before_they_are_trusted() -> None:
    found = verdict(motor(frame="256U"), AMERICAN, motor(number("shaft_diameter", 0.034925), frame="256T"))
    assert found.outcome == WORK
    assert any("make sure of the shaft diameter" in c.text for c in found.changes)


@pytest.mark.parametrize(("mount", "expected"), [("foot", SWAP), ("face", NO), ("flange", NO)])
def test_a_motor_is_held_as_the_old_one_was(mount: str, expected: str) -> None:
    assert outcome(motor(word("mount", mount)), AMERICAN, motor(word("mount", "foot"))) == expected


def test_a_face_mounted_frame_is_no_foot_mounted_one() -> None:
    found = verdict(motor(frame="56"), AMERICAN, motor(frame="56C"))
    assert found.outcome == NO
    assert any(c.limit.attribute == "mount" and c.status == "breach" for c in found.checks)


# --------------------------------------------------------------------------- classes


@pytest.mark.parametrize(
    ("enclosure", "expected"),
    [("dripproof", NO), ("totally enclosed", NO), ("fan cooled", SWAP), ("explosion proof", SWAP)],
)
def test_the_enclosure_is_the_same_or_better(enclosure: str, expected: str) -> None:
    assert outcome(motor(word("enclosure", enclosure))) == expected


def test_an_explosion_proof_place_takes_nothing_else_and_says_so() -> None:
    old = motor(word("enclosure", "explosion proof"))
    assert outcome(OLD, AMERICAN, old) == NO
    assert any(c.hazard == "explosion-proof" for c in cautions(FAMILY, old, AMERICAN))
    assert not any(c.hazard == "explosion-proof" for c in cautions(FAMILY, OLD, AMERICAN))


@pytest.mark.parametrize(("letter", "expected"), [("B", TEMPORARY), ("F", SWAP), ("H", SWAP)])
def test_a_lower_insulation_class_only_runs_for_a_time(letter: str, expected: str) -> None:
    assert outcome(motor(word("insulation", letter))) == expected


@pytest.mark.parametrize(("rating", "expected"), [("30 min", NO), ("60 min", NO), ("continuous", SWAP)])
def test_a_short_time_motor_doesnt_run_all_day(rating: str, expected: str) -> None:
    assert outcome(motor(word("rating", rating))) == expected


@pytest.mark.parametrize(("factor", "expected"), [(1.0, WORK), (1.15, SWAP), (1.25, SWAP)])
def test_the_service_factor_is_covered_or_the_overload_set_lower(factor: float, expected: str) -> None:
    assert (
        outcome(motor(number("service_factor", factor)), AMERICAN, motor(number("service_factor", 1.15)))
        == expected
    )


def test_a_bigger_motor_covers_the_service_factor_by_its_power() -> None:
    old = motor(number("service_factor", 1.15))
    assert outcome(motor(number("power", 8625.0)), AMERICAN, old) == SWAP
    assert outcome(motor(number("power", 8600.0)), AMERICAN, old) == WORK


@pytest.mark.parametrize(("letter", "expected"), [("D", SWAP), ("B", NO), ("C", NO)])
def test_special_starting_torque_is_matched_by_design_letter(letter: str, expected: str) -> None:
    assert (
        outcome(motor(word("design_letter", letter)), AMERICAN, motor(word("design_letter", "D"))) == expected
    )


@pytest.mark.parametrize(("letter", "expected"), [("G", SWAP), ("H", SWAP), ("J", WORK)])
def test_a_higher_code_letter_has_fuse_and_contactor_checked(letter: str, expected: str) -> None:
    assert outcome(motor(word("code_letter", letter)), AMERICAN, motor(word("code_letter", "H"))) == expected


def test_the_starting_current_of_the_code_letter_is_worked_out() -> None:
    ten = number("power", 10 * HP)
    found = verdict(motor(ten, word("code_letter", "J")), AMERICAN, motor(ten, word("code_letter", "H")))
    assert any("up to 100 A at 460 V" in c.text for c in found.changes)  # 8 kVA/hp over √3·460 V


def test_a_misread_phase_count_leaves_the_starting_current_out() -> None:
    odd = motor(number("phases", 6.0), word("code_letter", "J"))
    found = verdict(odd, {}, motor(number("phases", 6.0), word("code_letter", "H")))
    assert any("starting current" in c.text and " A at " not in c.text for c in found.changes)


@pytest.mark.parametrize(("turns", "expected"), [("CW", WORK), ("either", SWAP)])
def test_a_drive_that_turns_both_ways_wants_a_motor_that_does(turns: str, expected: str) -> None:
    assert outcome(motor(word("rotation", turns)), {**AMERICAN, "rotation": "both ways"}) == expected


def test_a_hot_place_wants_a_motor_made_for_it() -> None:
    hot = {**AMERICAN, "ambient": 273.15 + 50}
    assert outcome(motor(number("ambient", 273.15 + 40)), hot) == TEMPORARY
    assert outcome(motor(number("ambient", 273.15 + 50)), hot) == SWAP


# --------------------------------------------------------------------------- the motor itself, life, causes


@pytest.mark.parametrize(
    "spec",
    [
        OLD,
        motor(number("service_factor", 1.15), word("design_letter", "B"), word("code_letter", "H")),
        single(400.0, 50.0, number("speed", 1450 * RPM), word("rotation", "CW")),
        motor(number("phases", 1.0), number("power", 746.0), *STARTED, frame="56"),
    ],
)
def test_a_fully_known_motor_is_a_straight_swap_for_itself(spec: Spec) -> None:
    assert outcome(spec, {}, spec) == SWAP


def test_a_lightly_loaded_winding_lives_longer_and_a_hot_one_shorter() -> None:
    assert FAMILY.life is not None
    full = FAMILY.life(FAMILY.complete(OLD), AMERICAN)
    light = FAMILY.life(FAMILY.complete(OLD), {**AMERICAN, "load_power": 5000.0})
    hot = FAMILY.life(FAMILY.complete(OLD), {**AMERICAN, "ambient": 273.15 + 50})
    assert full.low == pytest.approx(20_000.0)
    assert full.mid == pytest.approx(40_000.0)
    assert light.low is not None
    assert full.low is not None
    assert light.low > 50 * full.low
    assert hot.low == pytest.approx(10_000.0)


def test_an_unknown_insulation_class_is_taken_as_the_poorest() -> None:
    assert FAMILY.life is not None
    found = FAMILY.life(FAMILY.complete(motor(without=("insulation",))), {**AMERICAN, "ambient": 273.15 + 50})
    assert "class not known" in found.text
    assert found.low == pytest.approx(10_000.0)


def test_a_sixty_hertz_motor_on_fifty_hertz_points_at_the_supply() -> None:
    (cause,) = causes([("haul-off motor", FAMILY, single(400.0), EUROPEAN)])
    assert cause.id == "supply-frequency"
    assert "120%" in cause.why[0]
    assert causes([("haul-off motor", FAMILY, single(400.0, 50.0), EUROPEAN)]) == ()


def test_a_supply_that_fits_no_connection_is_named() -> None:
    found = causes([("haul-off motor", FAMILY, OLD, {**AMERICAN, "supply_voltage": 380.0})])
    assert [c.id for c in found] == ["supply-voltage"]


def test_a_single_phase_motor_warns_of_its_capacitor() -> None:
    def hazards(spec: Spec) -> set[str]:
        return {c.hazard for c in cautions(FAMILY, spec, {})}

    assert "stored-charge" in hazards(motor(number("phases", 1.0)))
    assert "stored-charge" not in hazards(OLD)


def test_titles_name_power_poles_volts_and_frame() -> None:
    assert FAMILY.title_of(FAMILY.complete(OLD)) == "7.5 kW 4-pole motor, 230/460 V 60 Hz, frame 215T"


@pytest.mark.parametrize(("volts", "expected"), [(230.0, SWAP), (400.0, NO), (110.0, NO)])
def test_a_single_phase_motor_may_hang_between_a_phase_and_neutral(volts: float, expected: str) -> None:
    old = motor(
        number("voltage", 230.0),
        number("phases", 1.0),
        number("frequency", 50.0),
        *STARTED,
        without=("current",),
    )
    new = motor(
        number("voltage", volts),
        number("phases", 1.0),
        number("frequency", 50.0),
        *STARTED,
        without=("current",),
    )
    place = {"supply_voltage": 400.0, "supply_frequency": 50.0}
    assert outcome(new, place, old) == expected


@pytest.mark.parametrize(
    ("ends", "cycles"), [((50.0, 60.0), "50/60 Hz"), ((None, 60.0), "60 Hz"), ((None, None), "")]
)
def test_whatever_is_known_of_the_frequency_a_motor_has_a_title(
    ends: tuple[float | None, float | None], cycles: str
) -> None:
    spec = motor(Value("frequency", *ends))
    assert FAMILY.title_of(spec) == f"7.5 kW motor, 230/460 V {cycles}".strip() + ", frame 215T"


@pytest.mark.parametrize(
    ("plate", "title"),
    [
        (["HP 5", "RPM 1725", "220/440 V", "60 CY", "3 PH"], "5 hp 4-pole motor, 220/440 V 60 Hz"),
        (["3.7 KW", "1725 RPM", "220/440 V", "60 CY", "3 PH"], "3.7 kW 4-pole motor, 220/440 V 60 Hz"),
        (["SYNCHRONOUS MOTOR", "10 HP", "900 RPM", "60 CY"], "10 hp 8-pole synchronous motor, 60 Hz"),
        (["INDUCTION MOTOR", "10 HP", "1450 RPM", "50 CY"], "10 hp 4-pole motor, 50 Hz"),
    ],
)
def test_a_motor_is_called_what_its_plate_calls_it(plate: list[str], title: str) -> None:
    best = identify(read(plate), {"ac_motor": FAMILY}).best
    assert best is not None
    assert FAMILY.title_of(FAMILY.complete(best.spec)) == title


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("", "", SWAP),
        ("cage", "", SWAP),
        ("", "synchronous", NO),
        ("synchronous", "", NO),
        ("synchronous", "synchronous", SWAP),
        ("wound rotor", "cage", NO),
        ("split phase", "capacitor", SWAP),
        ("capacitor", "split phase", NO),
    ],
)
def test_a_motor_of_another_type_is_no_swap(old: str, new: str, expected: str) -> None:
    def typed(kind: str) -> Spec:
        return OLD.plus([word("motor_type", kind)]) if kind else OLD

    place = requirement(FAMILY, typed(old), {})
    assert judge(FAMILY, [place], KnownPart("x", typed(new)), {}).outcome == expected


# --------------------------------------------------------------------------- half a plate


@pytest.mark.parametrize(
    ("seen", "says"),
    [
        (
            ["HP 1?", "VOLTS 230/460", "AMPS 26/13", "RPM 1755", "PH 3"],
            {"power": 10 * HP, "voltage#2": 460.0},
        ),
        (["3 HP", "220/4?0 V", "9/4.5 A", "17?0 RPM"], {"voltage#2": 440.0, "current#1": 9.0}),
        (["4 kW", "?20/380 V", "15/8.6 A", "50 H?"], {"voltage#1": 220.0, "frequency": 50.0}),
        (["1/2 HP", "17?5 RPM", "115/230 V", "1 P?"], {"speed": 1725 * RPM, "phases": 1.0}),
        (["FRAME 18?T", "5 HP", "1740 RPM"], {"frame": "184T"}),
        (["FR 2?6U", "10 HP", "1750 RPM"], {"frame": "256U"}),
        (["7.5 KW", "14?0 R/MIN", "50 HZ", "IEC 13?M"], {"frame": "132M", "power": 7500.0}),
        (["INSUL CLASS ?", "TE?C", "CODE H"], {"enclosure": "fan cooled", "code_letter": "H"}),
        (["H.P. 5", "VOLTS 41?", "CYCLES 50", "DUTY CO?T"], {"voltage": 415.0, "rating": "continuous"}),
    ],
)
def test_half_a_plate_is_read(seen: list[str], says: dict[str, float | str]) -> None:
    best = identify(read(seen), {"ac_motor": FAMILY}).best
    assert best is not None
    for name, value in says.items():
        attribute, _, variant = name.partition("#")
        found = [v for v in best.spec.all(attribute) if v.variant == int(variant or 0)]
        assert found, name
        assert (found[0].code or found[0].middle) == (
            value if isinstance(value, str) else pytest.approx(value)
        ), name
