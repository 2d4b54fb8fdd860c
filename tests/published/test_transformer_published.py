"""Transformer formulas against published figures; the source stands beside each check."""

from __future__ import annotations

import pytest
from fluids.pump import current_ideal

from partsdb.equivalence import in_place
from partsdb.families.transformer import formulas as physics
from partsdb.family import families
from partsdb.model import Spec, number, word
from partsdb.physics.motors import flux_ratio
from partsdb.source import plate
from partsdb.tables import load

SEEN = plate("as typed")


@pytest.mark.parametrize(
    ("kva", "volts", "phases", "amperes"),
    [
        (45, 480, 3, 54.13),  # three-phase full-load current, sqrt 3 rule
        (45, 208, 3, 124.91),
        # a maker's table of single-phase full-load currents (studylib 18697945), rounded as printed
        (0.05, 120, 1, 0.42),
        (0.15, 120, 1, 1.25),
        (1, 240, 1, 4.17),
        (5, 240, 1, 20.8),
        (5, 120, 1, 41.7),
        (37.5, 480, 1, 78.1),
        (100, 240, 1, 417),
    ],
)
def test_full_load_currents_are_the_printed_ones(
    kva: float, volts: float, phases: int, amperes: float
) -> None:
    assert physics.rated_current(kva * 1e3, volts, phases) == pytest.approx(amperes, rel=1e-2)


@pytest.mark.parametrize(("phases", "volts"), [(1, 120), (1, 480), (3, 208), (3, 460)])
def test_currents_agree_with_the_fluids_library(phases: int, volts: float) -> None:
    """fluids.pump.current_ideal, MIT, at unity power factor."""
    assert physics.rated_current(7457, volts, phases) == pytest.approx(
        current_ideal(V=volts, P=7457, phase=phases, PF=1)
    )


@pytest.mark.parametrize(("hertz", "ratio"), [(60, 2.0), (50, 2.4)])
def test_flux_of_120_v_is_2_at_60_hz_and_2_4_at_50(hertz: float, ratio: float) -> None:
    """electricalengineering.xyz, 60 Hz transformer on a 50 Hz supply: 120/60 = 2, 120/50 = 2.4, a fifth more."""
    assert flux_ratio(120, hertz, 1, 1) == pytest.approx(ratio)
    assert flux_ratio(120, hertz, 120, 60) == pytest.approx(ratio / 2)


def test_480_v_at_60_hz_is_400_v_at_50_hz_for_the_iron() -> None:
    """physicsforums.com thread 954052: the volts at 50 Hz are 5/6 of those at 60 Hz."""
    assert flux_ratio(400, 50, 480, 60) == pytest.approx(1.0)
    assert physics.output(400, 480, 120) == pytest.approx(120 * 5 / 6)


@pytest.mark.parametrize(
    ("marked", "supply", "outcome"), [(60.0, 25.0, "don't fit"), (25.0, 60.0, "straight swap")]
)
def test_a_60_cycle_unit_fails_on_25_cycles_and_a_25_cycle_one_serves_on_60(
    marked: float, supply: float, outcome: str
) -> None:
    """E. E. Kimberly, Electrical Engineering, section 19.10 (vias.org): at rated volts the one overheats, the other
    may be used; what counts is the ratio of volts to frequency."""
    spec = Spec(
        "transformer",
        (
            number("primary_voltage", 480.0, SEEN),
            number("secondary_voltage", 120.0, SEEN),
            number("apparent_power", 250.0, SEEN),
            number("frequency", marked, SEEN),
            word("kind", "control", SEEN),
        ),
    )
    found = in_place(families()["transformer"], spec, {"supply_voltage": 480.0, "supply_frequency": supply})
    assert found.outcome == outcome


def test_the_iron_may_carry_105_percent_of_its_volts_per_hertz() -> None:
    """IEEE C57.12.00-2010 clause 4.1.6.1, as quoted on a page about the standard."""
    assert physics.rule("over_flux").value == 1.05
    assert physics.rule("over_flux").source.status == "verified"


def test_one_kva_boosting_208_to_230_v_carries_9_58_kva() -> None:
    """A maker's question-and-answer page: 41.67 A in a 24 V winding of 1 kVA, 230 V out, 9.58 kVA."""
    assert physics.boosted_load(1000, 24, 230) == pytest.approx(9583, rel=1e-3)
    assert physics.booster_for(41.67, 24) == pytest.approx(1000, rel=1e-3)


def test_selection_inrush_is_the_root_of_the_squares() -> None:
    """Selection guides (elliottelectric.com, transformershop.org): sqrt(sealed² + inrush²)."""
    assert physics.selection_inrush(300, 400) == 500


def test_the_classes_and_their_hours_are_those_of_iec_60085() -> None:
    """105, 120, 130, 155, 180 °C (erea.be, insulation class of a transformer); 20 000 h at the limit (NEMA text)."""
    limits = physics.class_limits()
    assert [limits[c][0] for c in "AEBFH"] == [105, 120, 130, 155, 180]
    assert {limits[c][1] for c in "AEBFH"} == {20_000}


def test_air_rise_and_hot_spot_allowance_stay_inside_the_class() -> None:
    """40 °C air and a 10 K allowance (scribd 272248739) with each class's usual rise don't pass its limit."""
    for letter, rise in physics.class_rises().items():
        (hot, _, _) = physics.hot_spots(physics.Strain(1, 1, 1, physics.rule("ambient").value, letter, rise))
        assert hot <= physics.class_limits()[letter][0] + 1e-9


def test_life_halves_for_ten_kelvin() -> None:
    """Rule of thumb in several texts (hydro-tek.com.my, scribd 272248739)."""
    at = [physics.life_hours(physics.Strain(1, 1, 1, k, "B", 80))[1] for k in (303.15, 313.15, 323.15)]
    assert at[0] / at[1] == pytest.approx(2)
    assert at[1] / at[2] == pytest.approx(2)


def test_control_coils_work_from_85_to_110_percent_by_both_tables() -> None:
    """TM 5-683 section 5-3; the family's figures are those of the coil table."""
    coils = {row["limit"]: float(row["ratio"]) for row in load("coil_limits").rows}
    assert (physics.rule("pull_in").value, physics.rule("coil_highest").value) == (
        coils["pull_in"],
        coils["highest"],
    )
