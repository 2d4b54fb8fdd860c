"""The next best observation."""

from __future__ import annotations

import numpy as np
import pytest

from partsdb.model import Measured, Spec
from partsdb.reading import identify, read
from partsdb.reading.advice import information
from support.kinds import KINDS


def test_two_values_far_apart_are_worth_one_bit() -> None:
    """A fair two-way choice settled without error is one bit (MacKay 2003, chapter 2)."""
    bits = information(np.array([0.5, 0.5]), np.array([20.0, 25.0]), np.array([0.01, 0.01]), ["a", "b"])
    assert bits == pytest.approx(1.0, abs=1e-6)


def test_two_values_closer_than_the_tool_can_tell_are_worth_nothing() -> None:
    bits = information(np.array([0.5, 0.5]), np.array([20.0, 20.001]), np.array([5.0, 5.0]), ["a", "b"])
    assert bits == pytest.approx(0.0, abs=1e-3)


def test_a_binary_choice_through_gaussian_noise_has_the_known_capacity() -> None:
    """Antipodal signals at ±1 with unit noise carry 0.4859 bit: the binary-input Gaussian channel at 0 dB."""
    bits = information(np.array([0.5, 0.5]), np.array([-1.0, 1.0]), np.array([1.0, 1.0]), ["a", "b"])
    assert bits == pytest.approx(0.486, abs=0.005)


def test_values_that_lead_to_one_decision_are_not_worth_telling_apart() -> None:
    assert information(np.array([0.5, 0.5]), np.array([20.0, 25.0]), np.array([0.01, 0.01]), ["a", "a"]) == 0


def test_the_advice_names_tool_caution_and_what_each_outcome_means() -> None:
    first = identify(read(["62?5 2RS"]), KINDS).advice[0]
    assert first.tool == "caliper"
    assert first.rate > 0
    assert first.outcomes[0][0] == "about 56 mm"
    assert first.outcomes[0][2] == "roller 6205"


def test_an_observation_already_made_is_not_advised_again() -> None:
    found = identify(read(["62?5 2RS"], [Measured("outside", 0.056, 2e-5)]), KINDS)
    assert "outside" not in [o.attribute for o in found.advice if "caliper" in o.tool]


def test_advice_is_ordered_by_bits_per_minute() -> None:
    rates = [o.rate for o in identify(read(["6??5"]), KINDS).advice]
    assert rates == sorted(rates, reverse=True)


def test_it_is_settled_when_every_likely_reading_takes_the_same_parts() -> None:
    found = identify(read(["2? MFD", "440 VAC 60 CY"]), KINDS, decide=lambda spec: frozenset({"shelf 3"}))
    assert found.settled
    assert found.advice == ()


def test_it_is_not_settled_when_likely_readings_take_different_parts() -> None:
    def decide(spec: Spec) -> frozenset[str]:
        return frozenset({"large" if (spec.num("capacitance") or 0) > 22e-6 else "small"})

    found = identify(read(["2? MFD", "440 VAC 60 CY"]), KINDS, decide=decide)
    assert not found.settled
    assert found.advice[0].attribute == "capacitance"
