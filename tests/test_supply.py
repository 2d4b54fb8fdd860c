"""The nominal voltage of a supply: IEC 60038's names, and what is judged by them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.family import families
from partsdb.kit import requirement
from partsdb.model import Spec
from partsdb.model.specification import number
from partsdb.supply import NEAR, nominal
from partsdb.tables import load

# IEC 60038 as quoted at en.wikipedia.org/wiki/IEC_60038: 230/400, 400/690, 1000, 120/208, 240, 277/480, 347/600, 600 V;
# 220/380, 240/415 and 380/660 V before
PRINTED = (120, 208, 220, 230, 240, 277, 347, 380, 400, 415, 480, 600, 660, 690, 1000)


def test_the_verified_names_are_those_that_the_standard_prints() -> None:
    rows = load("supply_systems").rows
    assert {float(r["nominal"]) for r in rows if r["status"] == "verified"} == set(PRINTED)


@pytest.mark.parametrize(
    ("volts", "system"), [(418, 415), (231, 230), (402, 400), (478, 480), (415, 415), (300, 300), (117, 115)]
)
def test_a_measured_supply_is_the_system_next_to_it(volts: float, system: float) -> None:
    assert nominal(volts) == system


@given(st.floats(50, 1200))
def test_the_system_lies_near_and_is_its_own(volts: float) -> None:
    system = nominal(volts)
    assert system == volts or abs(volts / system - 1) <= NEAR
    assert nominal(system) == system


def test_a_rating_is_asked_for_the_system_and_says_so() -> None:
    spec = Spec("contactor", (number("current", 25.0, qualifier="AC-3@415V"), number("voltage", 415.0)))
    found = requirement(families()["contactor"], spec, {"supply_voltage": 418.0})
    (limit,) = [x for x in found.limits if x.attribute == "voltage"]
    assert limit.accept.low == 415.0  # type: ignore[union-attr]  # a number
    assert "418 V, a 415 V system" in limit.follows_from
