"""Tables of words and writings: every row is whole, none is there twice, and means something the program knows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

import pytest

from partsdb.importers import subjects
from partsdb.importers.layout import plain
from partsdb.importers.words import understood
from partsdb.reading.numerals import range_spellings, spellings
from partsdb.records import Stock
from partsdb.tables import load
from partsdb.units import units

LANGUAGES = {"", "de", "en", "fr", "it"}
KEYS = {
    "accessory_words": ("word",),
    "description_words": ("word", "role"),
    "fraction_denominators": ("denominator",),
    "list_headers": ("lists", "column", "header"),
    "list_words": ("column", "word"),
    "number_writings": ("habit", "mark"),
    "other_kinds": ("word",),
    "plate_words": ("word",),
}


@pytest.mark.parametrize("name", KEYS)
def test_every_row_has_every_column_and_none_is_there_twice(name: str) -> None:
    rows = load(name).rows
    assert rows
    for row in rows:
        assert None not in row, f"{dict(row)} has more cells than the header"
        assert None not in row.values(), f"{dict(row)} has fewer cells than the header"
    keys = [tuple(row[column] for column in KEYS[name]) for row in rows]
    assert sorted(set(keys)) == sorted(keys)


@pytest.mark.parametrize("name", ["description_words", "list_headers", "list_words"])
def test_words_name_a_language_and_stand_in_lower_case_where_they_are_compared_so(name: str) -> None:
    for row in load(name).rows:
        assert row["language"] in LANGUAGES
        word = row.get("word") or row["header"]
        assert word == word.casefold().strip()


def test_words_of_descriptions_have_a_role_and_figures_a_number() -> None:
    for row in load("description_words").rows:
        assert row["role"] in {"goes with", "is for", "figure", "counted"}
        assert row["means"].isdecimal() == (row["role"] == "figure")


def test_words_in_cells_mean_what_a_record_can_say() -> None:
    assert set(understood("stock").values()) == set(get_args(Stock))
    assert set(understood("yes or no").values()) == {"yes", "no"}
    assert all(len(code) == 3 and code.isupper() for code in understood("currency").values())


def test_headers_name_columns_there_are_and_only_one_in_each_list() -> None:
    met: dict[tuple[str, str], str] = {}
    for subject in subjects().values():
        for column in subject.columns:
            for word in {plain(word) for word in (column.target, column.title, *column.headers)}:
                assert met.setdefault((subject.name, word), column.target) == column.target
    for row in load("list_headers").rows:
        for name in row["lists"].split():
            columns = {column.target: column for column in subjects()[name].columns}
            assert row["header"] in columns[row["column"]].headers
            assert row["header"] not in (plain(columns[row["column"]].target), columns[row["column"]].title)


@pytest.mark.parametrize("row", load("number_writings").rows, ids=lambda row: f"{row['habit']} {row['mark']}")
def test_a_writing_of_numbers_has_a_share_and_is_written_like_its_example(row: Mapping[str, str]) -> None:
    assert 0 < float(row["share"]) < 1
    assert set(row["units"].split()) <= set(units())
    if row["habit"] == "range":
        found = range_spellings(220, 240, "V") + range_spellings(88, 108, "V")
    else:
        numbers = ((1.5, "in"), (0.05, "m"), (2.5, "V"), (0.25, "A"), (25, "V"), (1725, "V"))
        written = [(x * 0.0254 if unit == "in" else x, unit) for x, unit in numbers]
        found = tuple(way for x, unit in written for way in spellings(x, unit))
        found += spellings(0.05, "in") + spellings(0.375 * 0.0254, "in", 3)
    assert row["example"] in [text for text, _ in found]


def test_fractions_are_written_in_lowest_terms() -> None:
    for inches, text in ((0.1, "1/10"), (0.3, "3/10"), (0.05, "1/20"), (0.625, "5/8")):
        assert text in [way for way, _ in spellings(inches * 0.0254, "in")]
    assert "6/20" not in [way for way, _ in spellings(0.3 * 0.0254, "in")]
