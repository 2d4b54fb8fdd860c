"""Laws of transformers: flux, output and life move one way, and boosting is its own inverse."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.families.transformer import formulas as physics
from partsdb.physics.motors import flux_ratio

often = settings(max_examples=50, deadline=None)
volts = st.floats(12, 690)


@often
@given(volts, st.sampled_from([50.0, 60.0]), volts, st.sampled_from([50.0, 60.0]))
def test_the_volts_that_keep_the_flux_keep_it(
    supply: float, hertz: float, rated: float, marked: float
) -> None:
    flux = flux_ratio(supply, hertz, rated, marked)
    assert flux_ratio(supply / flux, hertz, rated, marked) == pytest.approx(1)


@often
@given(st.floats(0, 1.5), st.floats(0.5, 1.4), st.floats(0, 0.3), st.sampled_from("AEBFH"))
def test_more_load_flux_or_air_never_lengthen_life(
    load: float, flux: float, more: float, letter: str
) -> None:
    rise = physics.class_rises()[letter]
    base = physics.life_hours(physics.Strain(load, flux, 1, 303.15, letter, rise))
    for worse in (
        physics.Strain(load + more, flux, 1, 303.15, letter, rise),
        physics.Strain(load, flux + more, 1, 303.15, letter, rise),
        physics.Strain(load, flux, 1, 303.15 + 100 * more, letter, rise),
    ):
        assert physics.life_hours(worse)[1] <= base[1] * (1 + 1e-9)
    assert base[0] <= base[1] <= base[2]


@often
@given(st.floats(50, 5000), st.floats(5, 60), volts)
def test_a_booster_carries_exactly_the_load_it_is_sized_for(
    power: float, change: float, result: float
) -> None:
    load = physics.boosted_load(power, change, result)
    assert physics.booster_for(load / result, change) == pytest.approx(power)


@often
@given(st.floats(10, 5000), st.floats(0, 5000))
def test_selection_inrush_lies_between_the_larger_and_the_sum(sealed: float, inrush: float) -> None:
    got = physics.selection_inrush(sealed, inrush)
    assert max(sealed, inrush) <= got * (1 + 1e-12)
    assert got <= (sealed + inrush) * (1 + 1e-12)
