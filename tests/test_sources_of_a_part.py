"""Several sources of one part: what look-ups may use, and under which numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.disagreement import believed
from partsdb.model import Spec, Value
from partsdb.records import Part, Settlement, Succession
from partsdb.source import Source
from partsdb.succession import number_history, renumbered
from support import stored


def part(id: str, volts: float, citation: str, status: str = "stated", quantity: int = 0) -> Part:
    """One source's word on the same part."""
    source = Source(citation, status)  # type: ignore[arg-type]  # a word of Status
    values = (
        Value("capacitance", 25e-6, 25e-6, source=source),
        Value("voltage_ac", volts, volts, source=source),
    )
    return Part(id, "ac_capacitor", Spec("ac_capacitor", values), "ZQ-25", "Ottermoor", quantity=quantity)


ONE, OTHER = part("a", 440.0, "one.csv:2"), part("b", 400.0, "other.csv:7")
WORD = Settlement("s", "Ottermoor", "ZQ-25", "voltage_ac", "", 0, "other.csv", "you", "read it", stored.NOW)


def volts(parts: tuple[Part, ...]) -> list[float | None]:
    return [one.spec.num("voltage_ac") for one in parts]


def test_what_is_disputed_is_unknown_and_the_rest_is_used() -> None:
    found = believed([ONE, OTHER], [])
    assert volts(found) == [None, None]
    assert [one.spec.num("capacitance") for one in found] == [25e-6, 25e-6]


def test_what_was_settled_is_used_for_every_record_of_the_part() -> None:
    assert volts(believed([ONE, OTHER], [WORD])) == [400.0, 400.0]


def test_a_settlement_for_a_list_holds_when_its_rows_move() -> None:
    assert volts(believed([ONE, part("b", 400.0, "other.csv:19")], [WORD])) == [400.0, 400.0]


def test_what_was_measured_on_a_piece_in_the_drawer_stays_with_that_piece() -> None:
    measured = part("b", 400.0, "measured with a tester", "measured", quantity=1)
    assert volts(believed([ONE, measured], [])) == [None, 400.0]
    assert volts(believed([ONE, replace(measured, quantity=0)], [])) == [None, None]


def test_one_part_that_says_two_things_disputes_nothing_with_itself() -> None:
    both = replace(ONE, spec=ONE.spec.plus([replace(ONE.spec.values[1], low=220.0, high=220.0)]))
    assert believed([both, replace(both, id="b")], []) == (both, replace(both, id="b"))


SAME = Succession("1", "same as", "Ottermoor", "ZQ-25", "Onvarik", "T-900", source="history.csv:2")
LATER = Succession("2", "superseded by", "Ottermoor", "ZQ-20", "Ottermoor", "ZQ-25", source="history.csv:3")


def test_a_part_goes_by_its_other_names_but_not_by_the_numbers_it_superseded() -> None:
    (found,) = renumbered([ONE], [SAME, LATER])
    assert found.aliases == ("T-900",)
    assert renumbered([found], [SAME, LATER]) == (found,)
    assert renumbered([ONE], []) == (ONE,)


@pytest.mark.parametrize(
    ("number", "told"),
    [
        ("zq 20", [("newer", "ZQ-25", 1), ("newer", "T-900", 0)]),
        ("T-900", [("same", "ZQ-25", 1), ("older", "ZQ-20", 0)]),
        ("AA-1", []),
    ],
)
def test_the_history_of_a_number_says_what_is_on_record(
    number: str, told: list[tuple[str, str, int]]
) -> None:
    found = number_history([ONE], [SAME, LATER], number)
    assert [(o.reached.relation, o.reached.number, len(o.parts)) for o in found.others] == told
