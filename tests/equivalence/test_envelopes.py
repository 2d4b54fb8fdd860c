"""From an identification to weighted requirements: what is kept, merged, and left missing."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from partsdb.equivalence import requirements
from partsdb.kit import requirement
from partsdb.model import Hypothesis, Identification, Reading, Requirement, Spec
from support.toy_family import FAMILY, jar


def identified(*pairs: tuple[Spec, float], leftover: float = 0.0) -> Identification:
    read = tuple(Hypothesis(s, p) for s, p in pairs)
    return Identification(Reading(), read, leftover, by_plate=read)


def charges(found: Sequence[Requirement]) -> list[int]:
    """The charges [µF] of the readings."""
    return [round((r.spec.num("charge") or 0.0) * 1e6) for r in found]


def test_the_99_percent_set_is_kept_and_everything_above_half_a_percent() -> None:
    rest = [(jar(20 + i, 300), 0.0008) for i in range(5)]
    found = requirements(
        FAMILY, identified((jar(10, 300), 0.986), (jar(11, 300), 0.006), (jar(12, 300), 0.004), *rest), {}
    )
    assert charges(found) == [10, 11]
    above = requirements(
        FAMILY, identified((jar(10, 300), 0.991), (jar(11, 300), 0.0051), (jar(12, 300), 0.0039)), {}
    )
    assert charges(above) == [10, 11]


def test_weights_are_scaled_to_what_was_believed_and_the_leftover_stays_missing() -> None:
    found = requirements(FAMILY, identified((jar(10, 300), 0.796), (jar(12, 300), 0.004), leftover=0.2), {})
    assert len(found) == 1
    assert found[0].weight == pytest.approx(0.8)


def test_readings_of_other_families_lend_no_weight() -> None:
    other = Spec("something else")
    found = requirements(FAMILY, identified((jar(10, 300), 0.5), (other, 0.4), leftover=0.1), {})
    assert [r.weight for r in found] == [pytest.approx(0.5)]
    assert requirements(FAMILY, identified((other, 0.9), leftover=0.1), {}) == ()


def test_readings_that_demand_the_same_are_merged_with_the_sum_of_their_weights() -> None:
    # the duty's volts go before the plate's, so what the plate says of volts makes no difference
    found = requirements(
        FAMILY,
        identified((jar(10, 300), 0.3), (jar(10, 370), 0.5), (jar(12, 370), 0.2)),
        {"supply_voltage": 250.0},
    )
    assert [r.weight for r in found] == [pytest.approx(0.8), pytest.approx(0.2)]
    assert found[0].spec.num("voltage") == 370


def test_a_single_certain_reading_is_the_family_s_own_requirement() -> None:
    spec = jar(10, 300)
    assert requirements(FAMILY, identified((spec, 1.0)), {}) == (requirement(FAMILY, spec, {}),)
