"""Capacitor formulas against published figures; the source stands beside each check."""

from __future__ import annotations

from math import log, pi, sqrt

import eseries
import pytest

from partsdb.equivalence import judge
from partsdb.families.ac_capacitor import formulas as physics
from partsdb.family import families
from partsdb.kit import requirement
from partsdb.model import KnownPart, Spec, number, word
from partsdb.source import plate

SEEN = plate("as typed")
CASE = (word("terminals", "tabs", SEEN), number("diameter", 0.05, SEEN), number("length", 0.1, SEEN))


@pytest.mark.parametrize(
    ("farads", "volts", "hertz", "var", "rel"),
    [
        # a power-factor maker's formula page (janitza.com, calculation formula for the capacitor): 3.34 kvar
        (66.5e-6, 400, 50, 3340, 1e-3),
        # same page, delta of 3 x 57 µF on 480 V: printed 12 371 var with pi = 3.14
        (3 * 57e-6, 480, 50, 12371, 1e-3),
        # same page, star of 3 x 33.2 µF on 400 V: printed 1670 var
        (3 * 33.2e-6, 400 / sqrt(3), 50, 1670, 1e-3),
        # 600 kvar at 12 470 V, 10.235 µF a phase (gilbertelectricalsystems.com, page 1030), star
        (3 * 10.235e-6, 12470 / sqrt(3), 60, 600e3, 1e-3),
    ],
)
def test_reactive_power_is_that_of_printed_examples(
    farads: float, volts: float, hertz: float, var: float, rel: float
) -> None:
    assert physics.reactive_power(farads, volts, hertz) == pytest.approx(var, rel=rel)


def test_a_70_kvar_480_v_60_hz_unit_gives_40_5_kvar_at_400_v_50_hz() -> None:
    """The same formula page prints 40.5 kvar."""
    farads = physics.capacitance_of(70e3, 480, 60)
    assert physics.reactive_power(farads, 400, 50) == pytest.approx(40.5e3, rel=1e-3)


def test_a_240_v_rating_gives_three_quarters_at_208_v() -> None:
    """i-ciencias.com, question 87340: factor 0.7511."""
    ratio = physics.reactive_power(1e-6, 208, 60) / physics.reactive_power(1e-6, 240, 60)
    assert ratio == pytest.approx(0.7511, abs=5e-5)


def test_the_bench_rule_2650_amperes_a_volt_gives_microfarads_at_60_hz() -> None:
    """A service manual's capacitance check: MFD = 2650 x amperes / volts."""
    amps = physics.current(35e-6, 240, 60)
    assert 2650 * amps / 240 == pytest.approx(35, rel=2e-3)


@pytest.mark.parametrize(("residual", "seconds", "kilohms"), [(75, 180, 268), (50, 60, 74.5)])
def test_the_discharge_resistors_of_a_50_kvar_bank_are_those_of_a_printed_note(
    residual: float, seconds: float, kilohms: float
) -> None:
    """Application note on discharge resistors (scribd 713580941): 50 kvar, 400 V, 50 Hz, three in delta:
    268 kΩ for 75 V in 180 s (IEC 831), 74.5 kΩ for 50 V in 60 s (the older IEC 70)."""
    per_phase = physics.capacitance_of(50e3, 400, 50) / 3
    got = physics.greatest_bleeder(per_phase, 400, residual, seconds) / 1e3
    assert got == pytest.approx(kilohms, rel=5e-3)


def test_the_discharge_rules_are_those_of_nec_460_6_and_iec_60831() -> None:
    """NEC 460.6 / IEEE Std 18: 50 V in one minute; IEC 60831: 75 V in three (voltage-disturbance.com 3571)."""
    assert (physics.rule("residual_voltage").value, physics.rule("residual_time").value) == (50, 60)
    assert (physics.rule("residual_voltage_iec").value, physics.rule("residual_time_iec").value) == (75, 180)
    assert physics.rule("residual_time").source.status == "verified"


def test_a_600_v_dc_film_is_never_more_than_212_v_ac() -> None:
    """One author's rule (ejjurich.com, capacitor AC rating): 600 / (2 sqrt 2) = 212 V."""
    assert physics.most_ac_of_film(600) == pytest.approx(212, abs=0.5)
    assert physics.rule("film_dc_to_ac").source.status == "common practice"


def test_the_voltage_exponent_agrees_with_a_data_sheet_and_a_printed_figure() -> None:
    """A part of class A (30 000 h) at 400 V and class B (10 000 h) at 450 V; and 42 % life at 253 V of a 230 V part."""
    assert log(30_000 / 10_000) / log(450 / 400) == pytest.approx(
        physics.rule("life_exponent").value, rel=0.05
    )
    _, likely, _ = physics.life_hours(10_000, 253 / 230, 0.0)
    assert likely / 10_000 == pytest.approx(0.42, abs=0.01)


def test_the_life_band_covers_a_makers_guide_for_over_voltage() -> None:
    """A maker's guide for a 440 V part: 20 % less life at 450 V, half at 460 V."""
    for volts, left in ((450, 0.8), (460, 0.5)):
        low, _, high = physics.life_hours(10_000, volts / 440, 0.0)
        assert low / 10_000 <= left + 0.01
        assert left <= high / 10_000


def test_rounding_down_to_e24_never_rises_and_agrees_with_the_eseries_library() -> None:
    for x in (51.0, 52.3, 528.8e3, 1e6, 9.09e3, 9.1e3, 1.0e5):
        ours = physics.next_lower_e24(x)
        assert ours <= x * (1 + 1e-9)
        assert ours == pytest.approx(
            float(eseries.find_less_than_or_equal(eseries.E24, x * (1 + 1e-9))), rel=1e-9
        )


def test_current_and_reactive_power_are_one_formula() -> None:
    assert physics.current(10e-6, 440, 60) * 440 == pytest.approx(2 * pi * 60 * 10e-6 * 440**2)


@pytest.mark.parametrize(("marked", "put_in", "fits"), [(370.0, 440.0, True), (440.0, 370.0, False)])
def test_a_440_v_part_may_stand_in_for_370_v_and_never_the_reverse(
    marked: float, put_in: float, fits: bool
) -> None:
    """Said alike in several service texts (hvacfun.com tip 43, routeac.com on run capacitors)."""
    family = families()["ac_capacitor"]
    old, new = (
        Spec(
            "ac_capacitor",
            (
                number("capacitance", 35e-6, SEEN),
                number("voltage_ac", volts, SEEN),
                word("service", "run", SEEN),
                word("construction", "film", SEEN),
                *CASE,
            ),
        )
        for volts in (marked, put_in)
    )
    found = judge(family, [requirement(family, old, {})], KnownPart("offered", new), {})
    assert (found.outcome == "straight swap") == fits


@pytest.mark.parametrize(("microfarads", "fits"), [(47.5, True), (52.5, True), (46.0, False), (56.0, False)])
def test_a_run_capacitor_stays_within_five_percent_of_its_value(microfarads: float, fits: bool) -> None:
    """Service texts say within 5 %, makers mark 6 %: what they call safe for 50 µF passes, 10 % off doesn't."""
    family = families()["ac_capacitor"]
    old, new = (
        Spec(
            "ac_capacitor",
            (
                number("capacitance", c * 1e-6, SEEN),
                number("voltage_ac", 440.0, SEEN),
                word("service", "run", SEEN),
                word("construction", "film", SEEN),
                *CASE,
            ),
        )
        for c in (50.0, microfarads)
    )
    found = judge(family, [requirement(family, old, {})], KnownPart("offered", new), {})
    assert (found.outcome == "straight swap") == fits


def test_the_supply_may_stand_ten_percent_high() -> None:
    """IEE wiring regulations, appendix 2, as quoted: 230 V +10 % = 253 V."""
    assert 230 * physics.rule("high_supply").value == pytest.approx(253)
