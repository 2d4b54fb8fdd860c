"""Hazards that apply, and one cause behind several faults."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.duty import Duty
from partsdb.equivalence import causes, cautions
from partsdb.equivalence.cautions import applies
from partsdb.family import Hazard, Suspect
from partsdb.model import Spec, span, word
from support.toy_family import FAMILY, SOURCE, jar


@pytest.mark.parametrize(("volts", "there"), [(49.9, False), (50.0, True), (50.1, True), (None, True)])
def test_a_hazard_applies_from_its_limit_on_and_when_the_value_is_unknown(
    volts: float | None, there: bool
) -> None:
    found = cautions(FAMILY, jar(10, volts, "B"), {})
    assert [c.hazard for c in found] == (["charge"] if there else [])
    assert all(c.figures == (("V", "x"),) for c in found)


@pytest.mark.parametrize(
    ("relation", "value", "spec", "duty", "there"),
    [
        ("is", "D", jar(grade="D"), {}, True),
        ("is", "D", jar(grade="B"), {}, False),
        ("is", "D", jar(grade=None), {}, True),
        ("is not", "D", jar(grade="D"), {}, False),
        ("is not", "D", jar(grade="B"), {}, True),
        ("is not", "D", jar(grade=None), {}, True),
        ("is", "D", Spec("toy", (word("grade", "B"), word("grade", "D"))), {}, True),
        ("is", "D", jar(grade="B"), {"grade": "D"}, True),
    ],
)
def test_words_of_hazards(relation: str, value: str, spec: Spec, duty: Duty, there: bool) -> None:
    hazard = Hazard("h", "", SOURCE, (("grade", relation, value),))  # type: ignore[arg-type]  # words
    assert applies(FAMILY, hazard, spec, duty) == there


def test_a_range_that_may_reach_the_limit_counts_as_reaching_it() -> None:
    above = Hazard("h", "", SOURCE, (("supply", ">=", 60.0),))
    below = Hazard("h", "", SOURCE, (("supply", "<", 50.0),))
    for low, high, is_above, is_below in (
        (45, 65, True, True),
        (50, 59, False, False),
        (50, None, True, False),
    ):
        spec = Spec("toy", (span("supply", low, high),))
        assert (applies(FAMILY, above, spec, {}), applies(FAMILY, below, spec, {})) == (is_above, is_below)


def test_all_conditions_must_hold() -> None:
    both = Hazard("h", "", SOURCE, (("grade", "is", "D"), ("supply_frequency", "is", 60.0)))
    assert applies(FAMILY, both, jar(grade="D"), {})
    assert applies(FAMILY, both, jar(grade="D"), {"supply_frequency": 60.0})
    assert not applies(FAMILY, both, jar(grade="D"), {"supply_frequency": 50.0})
    assert not applies(FAMILY, both, jar(grade="B"), {})


def suspecting(*suspects: Suspect):  # type: ignore[no-untyped-def]  # a family
    return replace(FAMILY, suspects=lambda spec, duty: suspects)


def suspect(id: str, strength: float, ask: str = "how many hertz?", then: str = "a converter") -> Suspect:
    return Suspect(id, f"title of {id}", f"why {strength}", ask, then, strength, SOURCE)


def test_one_cause_over_two_positions_comes_before_a_stronger_one_over_one() -> None:
    found = causes(
        [
            ("transformer", suspecting(suspect("supply", 0.5), suspect("old age", 0.9)), jar(), {}),
            ("contactor", suspecting(suspect("supply", 0.6, then="a 50 Hz coil")), jar(), {}),
        ]
    )
    assert [c.id for c in found] == ["supply", "old age"]
    shared = found[0]
    assert shared.positions == ("contactor", "transformer")
    assert shared.strength == pytest.approx(1 - 0.5 * 0.4)
    assert shared.why == ("contactor: why 0.6", "transformer: why 0.5")
    assert shared.ask == ("how many hertz?",)
    assert shared.then == ("a 50 Hz coil", "a converter")


def test_two_suspicions_of_one_position_count_once() -> None:
    found = causes([("coil", suspecting(suspect("supply", 0.5), suspect("supply", 0.7)), jar(), {})])
    assert len(found) == 1
    assert found[0].strength == pytest.approx(0.7)


def test_no_suspects_no_causes_and_the_family_s_own_come_from_the_duty() -> None:
    spec = jar(supply=(50.0, 50.0))
    assert causes([("jar", FAMILY, spec, {})]) == ()
    assert causes([("jar", FAMILY, spec, {"supply_frequency": 60.0})])[0].then == ("a converter",)
