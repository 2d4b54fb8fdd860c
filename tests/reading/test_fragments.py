"""The fragment grammar and the folding of lookalikes."""

from __future__ import annotations

import pytest

from partsdb.errors import BadInput, BadText
from partsdb.model import Glyph, Measured
from partsdb.reading import read
from partsdb.reading.fragments import fold_text, read_fragment


def test_a_question_mark_is_one_illegible_glyph_where_it_stands() -> None:
    assert read_fragment("4?0").glyphs == (Glyph("4", 0), Glyph("", 1), Glyph("0", 2))


@pytest.mark.parametrize("text", ["4...V", "4…V", "4.....V", "4…..V"])
def test_three_dots_or_an_ellipsis_are_a_run(text: str) -> None:
    assert [(g.chars, g.run) for g in read_fragment(text).glyphs] == [("4", False), ("", True), ("V", False)]


def test_two_dots_are_two_dots() -> None:
    assert [g.chars for g in read_fragment("A..").glyphs] == ["A", ".", "."]


def test_brackets_are_one_glyph_of_several() -> None:
    assert read_fragment("[38]5").glyphs == (Glyph("38", 0), Glyph("5", 4))


def test_a_bracket_with_one_glyph_is_that_glyph() -> None:
    assert read_fragment("[33]").glyphs == (Glyph("3", 0),)


@pytest.mark.parametrize(
    ("text", "start"),
    [("4[38", 1), ("4]8", 1), ("[3[8]", 2), ("[]", 0), ("[3?]", 2), ("[3 8]", 2), ("ab[", 2)],
)
def test_bad_brackets_are_shown_where_they_are(text: str, start: int) -> None:
    with pytest.raises(BadText) as caught:
        read([text])
    assert caught.value.start == start


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("25 µF", "25 UF"),
        ("25 μf", "25 UF"),
        ("2,5", "2.5"),
        ("４４０", "440"),
        ("АС-3", "AC-3"),
        ("1½", "11/2"),
        ("6–7", "6-7"),
    ],
)
def test_lookalikes_are_one_glyph(typed: str, plain: str) -> None:
    assert fold_text(typed) == plain


def test_nothing_at_all_is_refused_with_a_way_out() -> None:
    with pytest.raises(BadInput, match="one measurement"):
        read(["  ", ""])


def test_one_measurement_is_enough() -> None:
    assert read([], [Measured("bore", 0.025, 1e-5)]).fragments == ()
