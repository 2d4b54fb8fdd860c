"""The template grammar of a family's writings."""

from __future__ import annotations

import pytest

from partsdb.family import Writing
from partsdb.quantities import to_si
from partsdb.reading.numerals import spellings, value_of
from partsdb.reading.templates import Variable, parse, shape


def test_a_writing_splits_into_prefix_core_and_suffix() -> None:
    found = shape(Writing("[CAP ]{c:µF} (MFD|UF)"))
    assert {text for text, _ in found.prefixes} == {"", "CAP "}
    assert found.cores[0][0] == (Variable("c", "µF"),)
    assert {text for text, _ in found.suffixes} == {" MFD", " UF"}


def test_text_between_two_variables_belongs_to_the_core() -> None:
    assert shape(Writing("{v#1:V}(/|-){v#2:V} V")).cores[0][0] == (
        Variable("v#1", "V"),
        "/",
        Variable("v#2", "V"),
    )


def test_a_plate_may_write_all_its_numbers_with_as_many_decimals() -> None:
    assert parse("{d:in.3}") == (Variable("d", "in", 3),)
    for inches, ways in ((1.5, ["1.500"]), (0.375, ["0.375", ".375"]), (2.0, ["2.000"])):
        assert [text for text, _ in spellings(to_si(inches, "in"), "in", 3)] == ways


def test_a_plate_may_write_all_its_numbers_as_fractions() -> None:
    assert parse("{d:in/}") == (Variable("d", "in", None, True),)
    for inches, ways in ((1.5, ["1 1/2", "1-1/2"]), (0.375, ["3/8"]), (2.0, ["2"])):
        assert [text for text, _ in spellings(to_si(inches, "in"), "in", None, True)] == ways


@pytest.mark.parametrize("template", ["{a", "(A|B", "[A", "A)", "A]", "(A|[B)"])
def test_a_broken_template_is_a_fault_of_the_family(template: str) -> None:
    with pytest.raises(ValueError, match="template"):
        parse(template)


@pytest.mark.parametrize(
    ("x", "unit", "text"),
    [
        (0.25, "hp", "1/4"),
        (1 / 3, "hp", "1/3"),
        (1.5, "hp", "1 1/2"),
        (0.75, "kW", ".75"),
        (1725, "rpm", "1725"),
        (2.5, "mm", "2.5"),
    ],
)
def test_numbers_are_written_the_ways_plates_write_them(x: float, unit: str, text: str) -> None:
    assert text in [way for way, _ in spellings(to_si(x, unit), unit)]


@pytest.mark.parametrize(
    ("text", "value"),
    [("3/4", 0.75), ("1 1/2", 1.5), ("2.5", 2.5), (".5", 0.5), ("5/0", None), ("9/8", None)],
)
def test_legible_digits_are_a_number_or_nothing(text: str, value: float | None) -> None:
    assert value_of(text) == value
