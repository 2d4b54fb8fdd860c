"""The contactor: what a place asks of it, and which parts may stand in. Each limit below, at and above."""

from __future__ import annotations

import pytest

from partsdb.duty import Duty
from partsdb.equivalence import causes, cautions, in_place, judge
from partsdb.families.contactor import FAMILY
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import KnownPart, Limit, Spec, Value, Verdict, number, span, word
from partsdb.physics.utilization import serves
from partsdb.reading import identify, read

SWAP, WORK, NO, OPEN = "straight swap", "fits with work", "don't fit", "can't say yet"

PLAIN: Duty = {
    "supply_voltage": 400.0,
    "supply_frequency": 50.0,
    "phases": 3.0,
    "starting": "plain",
    "load_current": 20.0,
    "control_voltage": 230.0,
    "control_kind": "AC",
}
INCHED: Duty = {**PLAIN, "starting": "inched or reversed"}


def contactor(*values: Value, ac3: float | None = 25.0, coil: float = 230.0, hertz: str = "50") -> Spec:
    """A three-pole contactor with an AC-3 rating at 400 V, an AC coil and two auxiliaries, on a rail."""
    own = [
        number("poles", 3),
        number("voltage", 690),
        number("coil_voltage", coil),
        word("coil_frequency", hertz),
        word("coil_kind", "AC"),
        number("aux_no", 1),
        number("aux_nc", 1),
        word("mounting", "rail"),
        *([number("current", ac3, qualifier="AC-3@400V")] if ac3 else []),
    ]
    replaced = {v.attribute for v in values if v.attribute != "current"}
    return Spec("contactor", (*(v for v in own if v.attribute not in replaced), *values))


OLD = contactor()


def verdict(part: Spec, duty: Duty = PLAIN, old: Spec = OLD) -> Verdict:
    return judge(FAMILY, [requirement(FAMILY, old, duty)], KnownPart("p", part), duty)


def outcome(part: Spec, duty: Duty = PLAIN, old: Spec = OLD) -> str:
    return verdict(part, duty, old).outcome


def limits(spec: Spec, duty: Duty, attribute: str) -> list[Limit]:
    return [x for x in requirement(FAMILY, spec, duty).limits if x.attribute == attribute]


# --------------------------------------------------------------------------- load


@pytest.mark.parametrize("place", [{}, {"supply_voltage": 415.0, "supply_frequency": 50.0}])
def test_a_dc_plate_asks_for_a_dc_rating_whatever_feeds_the_shop(place: Duty) -> None:
    old = OLD.without("current").plus([number("current", 20.0, qualifier="DC@220V")])
    needs = requirement(FAMILY, old, {**place, "control_voltage": 230.0})
    assert {limit.qualifier for limit in needs.limits if limit.attribute == "current"} == {"DC@220V"}
    for offered, expected in (
        (contactor(ac3=200.0), OPEN),
        (contactor(number("current", 200.0, qualifier="DC-1@220V")), OPEN),
        (contactor(number("current", 20.0, qualifier="DC-5@220V")), SWAP),
        (contactor(number("current", 19.0, qualifier="DC-5@220V"), ac3=None), NO),
    ):
        assert judge(FAMILY, [needs], KnownPart("x", offered), {}).outcome == expected


@pytest.mark.parametrize("label", ["CONTACTOR", "Contactor", "C?NTACTOR", "MAGNETIC STARTER", "SCHÜTZ"])
def test_the_word_for_the_device_says_nothing_of_a_reversing_pair(label: str) -> None:
    best = identify(read([label, "SIZE 2", "COIL 110 V 60 CY"]), {"contactor": FAMILY}).best
    assert best is not None
    assert best.spec.first("arrangement") is None


def test_a_contactor_instead_of_a_starter_needs_an_overload_relay() -> None:
    old = OLD.plus([word("device", "starter")])
    found = judge(FAMILY, [requirement(FAMILY, old, PLAIN)], KnownPart("x", contactor()), PLAIN)
    assert found.outcome == WORK
    assert any("overload relay" in change.text for change in found.changes)
    starter = KnownPart("x", contactor(word("device", "starter")))
    assert judge(FAMILY, [requirement(FAMILY, old, PLAIN)], starter, PLAIN).outcome == SWAP


@pytest.mark.parametrize(("amperes", "expected"), [(19.9, NO), (20.0, SWAP), (20.1, SWAP)])
def test_ac3_amperes_must_cover_the_load(amperes: float, expected: str) -> None:
    assert outcome(contactor(ac3=amperes)) == expected


@pytest.mark.parametrize(("amperes", "expected"), [(19.9, NO), (20.0, SWAP), (20.1, SWAP)])
def test_inched_work_asks_the_load_of_the_ac4_rating(amperes: float, expected: str) -> None:
    part = contactor(number("current", amperes, qualifier="AC-4@400V"), ac3=40.0)
    assert outcome(part, INCHED) == expected


def test_a_coil_for_a_range_works_over_all_of_it() -> None:
    old = identify(read(["SIZE 2", "COIL 110/120 V 50/60 HZ"]), {"contactor": FAMILY}).best
    assert old is not None
    full = FAMILY.complete(old.spec)
    assert full.num("coil_pull_in") == pytest.approx(0.85 * 110)
    assert full.num("coil_highest") == pytest.approx(1.1 * 120)


def test_an_ac3_rating_never_fills_in_for_ac4() -> None:
    found = verdict(contactor(ac3=95.0), INCHED)
    assert found.outcome == OPEN
    assert any("AC-4@400V" in m for m in found.missing)


def test_an_ac3_rating_below_the_inched_load_is_a_proven_breach() -> None:
    assert outcome(contactor(ac3=16.0), INCHED) == NO


def test_a_nema_size_never_fills_in_for_ac4() -> None:
    part = contactor(word("nema_size", "4"), ac3=None)
    assert outcome(part) == SWAP
    assert outcome(part, INCHED) == OPEN


def test_an_ac4_rating_serves_plain_starting() -> None:
    assert outcome(contactor(number("current", 22.0, qualifier="AC-4@400V"), ac3=None)) == SWAP


def test_ac1_amperes_are_not_motor_amperes() -> None:
    assert outcome(contactor(number("current", 60.0, qualifier="AC-1@400V"), ac3=None)) == OPEN


def test_an_ac_rating_is_not_a_dc_rating() -> None:
    duty = {**PLAIN, "supply_kind": "DC", "supply_voltage": 220.0}
    assert outcome(contactor(ac3=200.0), duty) == OPEN
    rated = contactor(number("current", 20.0, qualifier="DC-5@220V"))
    assert outcome(rated, duty) == SWAP


@pytest.mark.parametrize(
    ("offered", "needed", "expected"),
    [
        ("AC-3@230V", "AC-3@400V", False),
        ("AC-3@400V", "AC-3@400V", True),
        ("AC-3@690V", "AC-3@400V", True),
        ("AC-3@380V", "AC-3@415V", True),  # one supply band
        ("AC-3@415V", "AC-3@440V", False),
        ("normal@460V", "AC-3@480V", True),
        ("AC-4@400V", "AC-3@400V", True),
        ("AC-3@400V", "AC-4@400V", False),
        ("normal@460V", "AC-4@400V", False),
        ("AC-1@690V", "AC-3@400V", False),
        ("AC-3@400V", "AC-1@400V", True),
        ("continuous", "AC-1@400V", True),
        ("continuous", "AC-3@400V", False),
        ("AC-3@400V", "DC-1@110V", False),
        ("DC-5@220V", "DC-3@110V", True),
        ("DC-3@220V", "DC-5@110V", False),
        ("AC-3", "AC-3@400V", False),  # amperes without volts prove nothing
        ("", "", True),
    ],
)
def test_a_rating_serves_the_same_or_a_lighter_need_at_its_voltage(
    offered: str, needed: str, expected: bool
) -> None:
    assert serves(offered, needed) is expected


def test_the_load_of_a_known_motor_comes_from_the_table_of_its_voltage() -> None:
    duty = {k: v for k, v in PLAIN.items() if k != "load_current"} | {"load_power": 7500.0}
    (limit,) = limits(OLD, duty, "current")
    assert limit.accept == Interval(14.8, None)
    assert limit.source.status == "common practice"


def test_an_unknown_load_is_as_large_as_the_old_part_was_rated_for() -> None:
    duty = {k: v for k, v in PLAIN.items() if k != "load_current"}
    assert outcome(contactor(ac3=24.9), duty) == NO
    assert outcome(contactor(ac3=25.0), duty) == SWAP


def test_an_unknown_way_of_working_counts_as_the_heaviest_the_old_part_was_rated_for() -> None:
    old = contactor(number("current", 12.0, qualifier="AC-4@400V"))
    duty = {k: v for k, v in PLAIN.items() if k != "starting"} | {"load_current": 10.0}
    assert outcome(contactor(), duty, old) == OPEN
    assert outcome(old, duty, old) == SWAP


def test_without_load_and_rating_no_part_can_be_passed() -> None:
    found = verdict(contactor(ac3=100.0), {"supply_voltage": 400.0}, Spec("contactor", (number("poles", 3),)))
    assert found.outcome == OPEN


def test_contacts_too_heavy_for_a_signal_are_refused() -> None:
    signal = {**PLAIN, "load_current": 0.1}
    assert outcome(contactor(ac3=9.0), signal) == SWAP
    assert outcome(contactor(ac3=10.0), signal) == SWAP
    assert outcome(contactor(ac3=40.0), signal) == NO


# --------------------------------------------------------------------------- volts and poles


@pytest.mark.parametrize(("volts", "expected"), [(399.0, NO), (400.0, SWAP), (401.0, SWAP)])
def test_rated_volts_must_cover_the_supply(volts: float, expected: str) -> None:
    assert outcome(contactor(number("voltage", volts))) == expected


def test_insulation_volts_are_no_switching_rating() -> None:
    part = contactor(number("insulation_voltage", 1000.0), ac3=None)
    stated = Spec("contactor", tuple(v for v in part.values if v.attribute != "voltage"))
    assert any(c.status == "unknown" and c.limit.attribute == "voltage" for c in verdict(stated).checks)


@pytest.mark.parametrize(("poles", "expected"), [(2, NO), (3, SWAP), (4, SWAP)])
def test_every_phase_needs_its_pole(poles: int, expected: str) -> None:
    assert outcome(contactor(number("poles", poles))) == expected


@pytest.mark.parametrize(("poles", "expected"), [(2, NO), (3, SWAP)])
def test_poles_that_nobody_counted_are_taken_as_three(poles: int, expected: str) -> None:
    old = Spec("contactor", tuple(v for v in OLD.values if v.attribute != "poles"))
    assert (
        outcome(contactor(number("poles", poles)), {k: v for k, v in PLAIN.items() if k != "phases"}, old)
        == expected
    )


def test_a_contactor_whose_poles_nobody_counted_is_no_swap() -> None:
    uncounted = Spec("contactor", tuple(v for v in OLD.values if v.attribute != "poles"))
    found = verdict(uncounted, {k: v for k, v in PLAIN.items() if k != "phases"}, uncounted)
    assert found.outcome == "can't say yet"
    assert any("poles" in text for text in found.missing)


# --------------------------------------------------------------------------- coil


@pytest.mark.parametrize(
    ("coil", "expected"),
    [
        (209.0, WORK),  # 110 % of it is 229.9 V
        (209.1, SWAP),
        (230.0, SWAP),
        (270.5, SWAP),
        (270.7, WORK),  # 85 % of it is 230.1 V
    ],
)
def test_the_control_voltage_lies_between_85_and_110_percent_of_the_coil(coil: float, expected: str) -> None:
    assert outcome(contactor(coil=coil)) == expected


def test_a_coil_for_a_range_of_volts_works_over_all_of_it() -> None:
    wide = contactor(
        span("coil_voltage", 100.0, 250.0), word("coil_kind", "AC/DC"), word("coil_frequency", "50/60")
    )
    for volts in (85.0, 110.0, 230.0, 275.0):
        assert outcome(wide, {**PLAIN, "control_voltage": volts}) == SWAP
    assert outcome(wide, {**PLAIN, "control_voltage": 84.0}) == WORK


@pytest.mark.parametrize(("hertz", "expected"), [("50", SWAP), ("50/60", SWAP), ("60", WORK)])
def test_a_coil_for_another_frequency_is_changed(hertz: str, expected: str) -> None:
    found = verdict(contactor(hertz=hertz))
    assert found.outcome == expected
    if hertz == "60":
        assert any("192 V on 50 Hz" in c.text for c in found.changes)  # 230 V · 50/60


def test_the_control_circuit_runs_on_the_supplys_frequency() -> None:
    assert outcome(contactor(hertz="60"), {**PLAIN, "supply_frequency": 60.0}) == SWAP
    assert outcome(contactor(hertz="60"), {**PLAIN, "control_frequency": 60.0}) == SWAP


def test_a_dc_coil_on_ac_is_refused_and_an_ac_coil_on_dc_needs_an_economy_resistor() -> None:
    assert outcome(contactor(word("coil_kind", "DC"))) == NO
    found = verdict(contactor(), {**PLAIN, "control_kind": "DC"})
    assert found.outcome == WORK
    assert any("economy resistor" in c.text for c in found.changes)


def test_without_control_volts_the_coil_cant_be_chosen() -> None:
    duty = {k: v for k, v in PLAIN.items() if not k.startswith("control")}
    old = Spec("contactor", tuple(v for v in OLD.values if not v.attribute.startswith("coil")))
    found = verdict(contactor(), duty, old)
    assert found.outcome == OPEN
    assert any("control circuit" in m for m in found.missing)


# --------------------------------------------------------------------------- auxiliaries and reversing


@pytest.mark.parametrize(("contacts", "expected"), [(0, WORK), (1, SWAP), (2, SWAP)])
def test_missing_auxiliary_contacts_are_added(contacts: int, expected: str) -> None:
    old = contactor(number("aux_no", 1))
    assert outcome(contactor(number("aux_no", contacts)), PLAIN, old) == expected


REVERSING = (word("arrangement", "reversing"), number("current", 25.0, qualifier="AC-4@400V"))


@pytest.mark.parametrize(
    ("interlock", "expected"),
    [
        ("none", WORK),
        ("electrical", WORK),
        ("mechanical", WORK),
        ("mechanical and electrical", SWAP),
    ],
)
def test_a_reversing_pair_needs_both_interlocks(interlock: str, expected: str) -> None:
    old = contactor(*REVERSING)
    assert outcome(contactor(*REVERSING, word("interlock", interlock)), INCHED, old) == expected


def test_an_unknown_interlock_is_never_favourable() -> None:
    assert outcome(contactor(*REVERSING), INCHED, contactor(*REVERSING)) == OPEN


def test_a_single_contactor_for_a_reversing_pair_needs_the_pair_built() -> None:
    part = contactor(REVERSING[1], word("arrangement", "single"), word("interlock", "none"))
    found = verdict(part, INCHED, contactor(*REVERSING))
    assert found.outcome == WORK
    assert any("two contactors of equal frame" in c.text for c in found.changes)


# --------------------------------------------------------------------------- the part itself, life, causes


@pytest.mark.parametrize(
    "spec",
    [
        OLD,
        contactor(number("current", 12.0, qualifier="AC-4@400V"), number("aux_no", 1), number("aux_nc", 1)),
        contactor(word("nema_size", "1"), ac3=None, coil=120.0, hertz="60"),
        contactor(*REVERSING, word("interlock", "mechanical and electrical")),
    ],
)
def test_a_fully_known_contactor_is_a_straight_swap_for_itself(spec: Spec) -> None:
    assert outcome(spec, {}, spec) == SWAP


def test_inching_shortens_the_life_and_it_is_told_in_operations_hours_and_days() -> None:
    duty = {**PLAIN, "load_current": 25.0, "starts_per_hour": 30.0, "hours_per_day": 8.0}
    assert FAMILY.life is not None
    plain, inched = FAMILY.life(OLD, duty), FAMILY.life(OLD, {**duty, "inching_share": 1.0})
    assert plain.low == pytest.approx(1e6 / 30)
    assert inched.low == pytest.approx(1e4 / 30)
    assert "operations" in inched.text
    assert "days of 8 hours" in inched.text
    assert inched.source.status == "common practice"


def test_an_unknown_inching_share_spans_all_it_could_be() -> None:
    assert FAMILY.life is not None
    found = FAMILY.life(OLD, {**INCHED, "starts_per_hour": 30.0, "load_current": 25.0})
    all_inched = FAMILY.life(
        OLD, {**INCHED, "starts_per_hour": 30.0, "load_current": 25.0, "inching_share": 1.0}
    )
    assert found.low == all_inched.low
    assert found.high is not None
    assert all_inched.high is not None
    assert found.high > 5 * all_inched.high


def test_an_idle_load_counts_as_the_full_rating_for_life() -> None:
    assert FAMILY.life is not None
    busy = {**PLAIN, "starts_per_hour": 30.0, "load_current": 25.0}
    assert FAMILY.life(OLD, {**busy, "load_current": 0.0}) == FAMILY.life(OLD, busy)


def test_life_without_starts_an_hour_is_unknown() -> None:
    assert FAMILY.life is not None
    assert FAMILY.life(OLD, PLAIN).mid is None


def test_a_sixty_hertz_coil_on_fifty_hertz_points_at_the_supply() -> None:
    (cause,) = causes([("flyer contactor", FAMILY, contactor(hertz="60"), PLAIN)])
    assert cause.id == "supply-frequency"
    assert cause.strength == pytest.approx(0.8)
    assert "120%" in cause.why[0]
    assert causes([("flyer contactor", FAMILY, contactor(hertz="50"), PLAIN)]) == ()


def test_low_control_volts_are_named_as_a_cause() -> None:
    found = causes([("line", FAMILY, contactor(), {**PLAIN, "control_voltage": 190.0})])
    assert [c.id for c in found] == ["low-control-voltage"]


def test_the_part_in_place_is_judged_under_the_new_frequency() -> None:
    found = in_place(FAMILY, contactor(hertz="60"), PLAIN)
    assert found.outcome == WORK


def test_asbestos_is_warned_of_unless_the_part_is_known_to_be_newer() -> None:
    def warned(spec: Spec) -> bool:
        return any(c.hazard == "asbestos" for c in cautions(FAMILY, spec, {}))

    assert warned(OLD)
    assert warned(contactor(number("made", 1984)))
    assert not warned(contactor(number("made", 1985)))


def test_a_nema_size_carries_its_amperes_and_horsepower() -> None:
    full = FAMILY.complete(contactor(word("nema_size", "1"), ac3=None))
    assert full.num("current", "continuous") == 27.0
    assert full.num("current", "normal@460V") == 14.0
    assert full.num("power", "normal@230V") == pytest.approx(7.5 * 745.6998715822702)


def test_titles_name_rating_and_coil() -> None:
    assert FAMILY.title_of(OLD) == "25 A AC-3@400V, coil 230 V 50 Hz"
    assert FAMILY.title_of(contactor(word("nema_size", "1"), ac3=None, coil=120, hertz="60")) == (
        "NEMA size 1, coil 120 V 60 Hz"
    )


# --------------------------------------------------------------------------- half a plate


@pytest.mark.parametrize(
    ("seen", "says"),
    [
        (["SIZE 1", "27 A??S CONT", "COIL 110 V 6? CY"], {"nema_size": "1", "coil_frequency": "60"}),
        (["NEMA SI?E 2", "COIL ?20V 60HZ"], {"nema_size": "2", "coil_voltage": 120.0}),
        (["SIZE ?", "45 AMPS CONT"], {"nema_size": "2"}),
        (["AC-3 ?00V 25A", "11 kW 400V"], {"current@AC-3@400V": 25.0}),
        (["AC?3 400V ?2A", "15 KW 400V"], {"current@AC-3@400V": 32.0}),
        (["AC-3 400V 50A", "A?-4 400V 22A"], {"current@AC-4@400V": 22.0}),
        (["SIZE 2", "COIL 110/120 V 50/60 HZ"], {"coil_voltage": 115.0, "coil_frequency": "50/60"}),
        (["COIL 24 V D?", "3 POL?"], {"coil_voltage": 24.0, "coil_kind": "DC", "poles": 3.0}),
        (["UC 23?V 50HZ", "1NO + 1N?"], {"coil_voltage": 230.0, "aux_nc": 1.0}),
        (["DC CONTACTOR", "100 A 250 VDC", "COIL 125 VDC"], {"current@DC@250V": 100.0, "coil_kind": "DC"}),
        (["DC-5 220V 32A", "COIL 110 V DC"], {"current@DC-5@220V": 32.0}),
        (["REVERS... STARTER", "SIZE 3", "480V 60CY..."], {"arrangement": "reversing", "nema_size": "3"}),
        (["REV. CONTACTOR", "SIZE 3", "480V 60CY..."], {"arrangement": "reversing", "device": "contactor"}),
        (["MAGNETIC STAR?ER", "SIZE 1", "COIL 120V 60HZ"], {"device": "starter", "nema_size": "1"}),
    ],
)
def test_half_a_plate_is_read(seen: list[str], says: dict[str, float | str]) -> None:
    best = identify(read(seen), {"contactor": FAMILY}).best
    assert best is not None
    for name, value in says.items():
        attribute, _, at = name.partition("@")
        found = best.spec.first(attribute, at)
        assert found is not None, name
        assert (found.code or found.middle) == value, name
