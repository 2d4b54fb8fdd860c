"""Contactor figures against what is in print; the source stands beside each check."""

from __future__ import annotations

import pytest

from partsdb.equivalence import judge
from partsdb.families.contactor import FAMILY
from partsdb.families.contactor.ratings import AMPERES, NEMA, contact_life, horsepower_of
from partsdb.kit import requirement
from partsdb.model import KnownPart, Spec, Value, number, word
from partsdb.physics.coils import coil_window
from partsdb.physics.motors import HP, full_load_current
from partsdb.physics.utilization import serves

SIZES = tuple(row["size"] for row in NEMA.rows)


def smallest_size(duty: dict[str, float | str], *old: Value) -> str:
    """The smallest NEMA size whose current the judge passes at the place."""
    common = (number("poles", 3), number("coil_voltage", 120), word("coil_frequency", "60"))
    for size in SIZES:
        part = Spec("contactor", (*common, word("nema_size", size)))
        wanted = requirement(FAMILY, Spec("contactor", (*common, *old)), duty)
        currents = [
            x
            for x in judge(FAMILY, [wanted], KnownPart(size, part), duty).checks
            if x.limit.attribute == "current"
        ]
        if all(check.status == "pass" for check in currents):
            return size
    raise AssertionError("no size is large enough")


def test_nema_sizes_carry_the_amperes_of_ics_2() -> None:
    """NEMA ICS 2 as reproduced at en.wikipedia.org/wiki/NEMA_size and engineeringtoolbox.com/nema-starters-d_918."""
    printed = {
        "00": 9,
        "0": 18,
        "1": 27,
        "2": 45,
        "3": 90,
        "4": 135,
        "5": 270,
        "6": 540,
        "7": 810,
        "8": 1215,
        "9": 2250,
    }
    assert {size: AMPERES[size] for size in SIZES} == printed


@pytest.mark.parametrize(
    ("volts", "printed"),
    [
        (
            460.0,
            {"00": 2, "0": 5, "1": 10, "2": 25, "3": 50, "4": 100, "5": 200, "6": 400, "7": 600, "8": 900},
        ),
        (
            230.0,
            {"00": 1.5, "0": 3, "1": 7.5, "2": 15, "3": 30, "4": 50, "5": 100, "6": 200, "7": 300, "8": 450},
        ),
        (200.0, {"00": 1.5, "0": 3, "1": 7.5, "2": 10, "3": 25, "4": 40, "5": 75, "6": 150}),
    ],
)
def test_nema_sizes_carry_the_horsepower_of_ics_2(volts: float, printed: dict[str, float]) -> None:
    """The same two reproductions; size 3 at 230 V is the smaller of the two figures in print."""
    for size, horsepower in printed.items():
        assert horsepower_of(size, 3)[volts] / HP == pytest.approx(horsepower)


def test_no_nema_size_is_asked_for_more_current_than_it_carries() -> None:
    """NEC 430.250 current of each size's largest motor against its continuous current: two tables, one standard."""
    for size in SIZES:
        for volts, power in horsepower_of(size, 3).items():
            amperes, _ = full_load_current(power, volts)
            assert amperes <= AMPERES[size] * 1.02, (size, volts)


def test_a_75_ampere_heater_needs_size_3() -> None:
    """Worked exercise, industrial-electronics.com, Contactors: 75 A at 480 V -> size 3."""
    heater = number("current", 75, qualifier="AC-1@480V")
    assert smallest_size({"supply_voltage": 480.0, "load_current": 75.0}, heater) == "3"


def test_a_20_hp_motor_at_480_volts_needs_size_2() -> None:
    """Worked exercise, industrial-electronics.com, Sizing motor starters: 20 hp, 480 V, not plugged -> size 2."""
    assert smallest_size({"supply_voltage": 480.0, "load_power": 20 * HP, "starting": "plain"}) == "2"


def test_coils_work_from_85_to_110_percent() -> None:
    """TM 5-683 / NAVFAC MO-116, 5-3: coils operate efficiently at 85 to 110 percent of rated voltage."""
    assert coil_window(120.0, 120.0) == (102.0, 132.0)


@pytest.mark.parametrize(
    ("share", "copper", "sintered"),
    [
        (0.0, 1.0, 1.2),
        (0.05, 0.2, 0.4),
        (0.1, 0.1, 0.25),
        (0.2, 0.05, 0.14),
        (0.4, 0.03, 0.07),
        (0.6, 0.02, 0.05),
        (0.8, 0.015, 0.04),
        (1.0, 0.01, 0.03),
    ],
)
def test_adding_up_wear_reproduces_a_printed_endurance_table(
    share: float, copper: float, sintered: float
) -> None:
    """A maker's printed endurance table, millions of operations by inching share (its AC-4 rows).

    Only the ends (0 and 100 %) went into our constants; the six rows between are predicted by linear wear.
    """
    low, _, high = contact_life(1.0, 1.0, share)
    assert low / 1e6 == pytest.approx(copper, rel=0.21)
    assert high / 1e6 == pytest.approx(sintered, rel=0.21)
    assert low / 1e6 <= copper * 1.001  # never rosier than the print for the figure we state times from


@pytest.mark.parametrize(
    ("ratio", "factor"), [(1, 1), (1.5, 1.7), (2, 2.5), (2.5, 3.5), (3, 4.5), (4, 7), (5, 10)]
)
def test_a_lighter_load_lengthens_contact_life_as_printed(ratio: float, factor: float) -> None:
    """The same table's coefficient K against rated over actual current."""
    assert contact_life(ratio, 1.0, 0.0)[0] / 1e6 == pytest.approx(factor, rel=0.06)


def test_ac4_is_the_heavier_category_and_dc_stands_apart() -> None:
    """IEC 60947-4-1 categories as described at duttad99.blogspot.com/2009 and electricalclassroom.com."""
    assert serves("AC-4@400V", "AC-3@400V")
    assert not serves("AC-3@400V", "AC-4@400V")
    assert not serves("AC-4@690V", "DC-3@220V")
