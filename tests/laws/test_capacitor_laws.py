"""Laws of capacitors: what the tolerances can do at worst, discharge in time, and life that only falls with stress."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.families.ac_capacitor import banks
from partsdb.families.ac_capacitor import formulas as physics
from partsdb.model import Spec, number, span, word
from partsdb.source import plate

SEEN = plate("as typed")
often = settings(max_examples=50, deadline=None)
microfarads = st.floats(0.5, 1000)
volts = st.floats(60, 690)
within = st.floats(0, 1)


@st.composite
def elements(draw: st.DrawFn) -> Spec:
    """A run capacitor with one figure and a tolerance, or with a marked range."""
    size = draw(microfarads) * 1e-6
    rated = number("voltage_ac", draw(volts), SEEN)
    if draw(st.booleans()):
        return Spec("ac_capacitor", (span("capacitance", size, size * 1.2, SEEN), rated))
    code = draw(st.sampled_from(sorted(physics.tolerances())))
    return Spec("ac_capacitor", (number("capacitance", size, SEEN), word("tolerance", code, SEEN), rated))


several = st.lists(elements(), min_size=2, max_size=4)


@often
@given(several, st.lists(within, min_size=4, max_size=4))
def test_in_series_no_element_gets_more_than_its_rating_whatever_the_tolerances_do(
    parts: list[Spec], where: list[float]
) -> None:
    whole = banks.in_series_whole(parts).num("voltage_ac")
    assert whole is not None
    bands = [banks.band(p) for p in parts]
    actual = [b[0] + (b[1] - b[0]) * t for b, t in zip(bands, where, strict=False) if b is not None]
    total = sum(1 / c for c in actual)
    for part, c in zip(parts, actual, strict=True):
        rated = part.num("voltage_ac")
        assert rated is not None
        assert whole * (1 / c) / total <= rated * (1 + 1e-9)


@often
@given(several)
def test_in_series_the_worst_case_is_reached_by_one_element_at_least(parts: list[Spec]) -> None:
    """The rating of the whole isn't lower than it need be: some element stands at its own rating at worst."""
    whole, shares = banks.in_series_whole(parts).num("voltage_ac"), banks.shares(parts)
    assert whole is not None
    assert shares is not None
    spare = [(p.num("voltage_ac") or 0) / (whole * s) for p, s in zip(parts, shares, strict=True)]
    assert min(spare) == pytest.approx(1)


@often
@given(several)
def test_the_order_of_the_elements_changes_nothing(parts: list[Spec]) -> None:
    for whole in (banks.in_series_whole, banks.in_parallel_whole):
        there, back = whole(parts), whole(parts[::-1])
        for name in ("capacitance", "voltage_ac"):
            assert there.num(name) == pytest.approx(back.num(name))


@often
@given(microfarads, volts)
def test_a_discharge_resistor_always_makes_it_within_a_minute_at_half_its_watts(c: float, v: float) -> None:
    r = physics.bleeder(c * 1e-6, v)
    assert r.seconds <= physics.rule("residual_time").value * (1 + 1e-9)
    assert v * v / r.ohms <= r.watts / 2 * (1 + 1e-9)


@often
@given(st.floats(0.5, 1.5), st.floats(0, 0.3), st.floats(-30, 30), st.floats(0, 20))
def test_more_volts_or_more_heat_never_lengthen_life(
    ratio: float, more: float, over: float, hotter: float
) -> None:
    base = physics.life_hours(10_000, ratio, over)
    worse = physics.life_hours(10_000, ratio + more, over + hotter)
    assert all(w <= b * (1 + 1e-9) for w, b in zip(worse, base, strict=True))
    assert base[0] <= base[1] <= base[2]


@often
@given(st.floats(1, 200), volts, st.sampled_from([50.0, 60.0]))
def test_kvar_and_microfarads_are_each_others_inverse(c: float, v: float, f: float) -> None:
    var = physics.reactive_power(c * 1e-6, v, f)
    assert physics.capacitance_of(var, v, f) == pytest.approx(c * 1e-6)
