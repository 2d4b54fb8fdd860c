"""Tables of words and writings: every row is whole, none is there twice, and means something the program knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from importlib.resources import files
from typing import get_args

import pytest

from partsdb.importers import subjects
from partsdb.importers.layout import plain
from partsdb.importers.words import understood
from partsdb.reading.fragments import fold_text
from partsdb.reading.numerals import range_spellings, spellings
from partsdb.records import Stock
from partsdb.source import Status
from partsdb.tables import load
from partsdb.units import units

LANGUAGES = {"", "de", "en", "es", "fr", "it", "sv"}
CAPITALS = {"AC", "DC", "V-belt", "O-ring"}  # what a kind's name keeps in capitals
KEYS = {
    "accessory_words": ("word",),
    "change_words": ("word", "language"),
    "description_words": ("word", "role"),
    "fraction_denominators": ("denominator",),
    "list_headers": ("lists", "column", "header"),
    "list_words": ("column", "word"),
    "number_writings": ("habit", "mark"),
    "other_kinds": ("word",),
    "part_nouns": ("word", "language"),
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


def _families() -> set[str]:
    return {entry.name for entry in files("partsdb.families").iterdir() if entry.is_dir()} - {"__pycache__"}


@pytest.mark.parametrize("name", ["part_nouns", "change_words"])
def test_words_of_plates_are_written_as_plates_write_them_once_in_a_language(name: str) -> None:
    table = load(name)
    for row in table.rows:
        assert row["word"] == row["word"].strip().upper() != ""
        assert row["language"] in LANGUAGES
        assert row["status"] in get_args(Status)
        assert (row["status"] == "verified") <= bool(row["source"]), f"{row['word']}: verified where?"
    read = Counter((fold_text(row["word"]), row["language"]) for row in table.rows)
    assert [key for key, count in read.items() if count > 1] == []


def test_words_of_any_plate_are_read_apart_from_one_another() -> None:
    words = [fold_text(row["word"]) for row in load("plate_words").rows]
    assert [word for word, count in Counter(words).items() if count > 1] == []
    assert len(words) >= 48 + 80


def test_nouns_name_a_kind_that_a_family_knows_or_none_does() -> None:
    rows = load("part_nouns").rows
    assert len(rows) >= 300
    assert {row["language"] for row in rows} == LANGUAGES - {""}
    families: dict[str, str] = {}
    for row in rows:
        name = " ".join(word for word in row["kind"].split() if word not in CAPITALS)
        assert name == name.lower()
        assert row["kind"] == row["kind"].strip() != ""
        assert families.setdefault(row["kind"], row["family"]) == row["family"]
    assert set(families.values()) - {""} <= _families()  # a family not listed here claims its own nouns


def test_a_kind_nobody_here_knows_has_its_english_noun() -> None:
    nouns = {row["word"]: row["family"] for row in load("part_nouns").rows if row["language"] == "en"}
    assert {
        row["word"]: nouns.get(row["word"])
        for row in load("other_kinds").rows
        if nouns.get(row["word"]) != ""
    } == {}


@pytest.mark.parametrize(
    ("word", "language", "kind", "family"),
    [
        ("MOTORKONDENSATOR", "de", "AC capacitor", "ac_capacitor"),
        ("KONDENSATORMOTOR", "de", "AC motor", "ac_motor"),
        ("KONDENSATORSCHÜTZ", "de", "contactor", "contactor"),
        ("KONDENSATABLEITER", "de", "valve", ""),
        ("BREMSMAGNET", "de", "brake coil", ""),
        ("BREMSMOTOR", "de", "brake motor", ""),
        ("MOTORSCHUTZSCHALTER", "de", "motor protection switch", ""),
        ("WELLENDICHTRING", "de", "shaft seal", "shaft_seal"),
        ("MOTOR STARTER", "en", "motor starter", "contactor"),
        ("LAMP STARTER", "en", "ballast", ""),
        ("CONTACTOR COIL", "en", "contactor coil", ""),
        ("BEARING PULLER", "en", "bearing puller", ""),
        ("BEARING HOUSING", "en", "bearing housing", ""),
        ("CURRENT TRANSFORMER", "en", "current transformer", ""),
        ("TIMING BELT", "en", "timing belt", ""),
        ("MECHANICAL SEAL", "en", "mechanical seal", ""),
        ("CONTATORE", "it", "meter", ""),
        ("CONTATTORE", "it", "contactor", "contactor"),
        ("CIRCUIT BREAKER", "en", "circuit breaker", ""),
    ],
)
def test_a_compound_is_what_its_head_says(word: str, language: str, kind: str, family: str) -> None:
    rows = [row for row in load("part_nouns").rows if (row["word"], row["language"]) == (word, language)]
    assert [(row["kind"], row["family"]) for row in rows] == [(kind, family)]


def test_words_that_change_a_part_say_what_they_mean_and_what_to_ask() -> None:
    rows = load("change_words").rows
    assert len(rows) >= 120
    for row in rows:
        assert row["class"] in {"changes", "damage", "harmless"}
        assert row["meaning"].endswith(".") and row["ask"].endswith(".")
        assert set(row["families"].split("|")) - {""} <= _families()
    assert {row["class"] for row in rows} == {"changes", "damage", "harmless"}


def test_what_makes_a_part_dangerous_is_never_called_harmless() -> None:
    found = {row["word"]: row["class"] for row in load("change_words").rows}
    explosion = ("EX D", "EX E", "ATEX", "IIC", "T4", "ZONE 1", "FLAMEPROOF", "SCHLAGWETTERSCHUTZ")
    others = (
        "BRAKE",
        "AUTO RESTART",
        "LATCHED",
        "DYN11",
        "NR",
        "VL0241",
        "K30",
        "PEROXIDE CURED",
        "FOOD GRADE",
    )
    assert {found[word] for word in (*explosion, *others)} == {"changes"}
    hurt = (
        "BURNT",
        "SMELLS BURNT",
        "RUSTY",
        "CRACKED",
        "SPLIT",
        "SPRING MISSING",
        "DENTED",
        "LEAKING",
        "BULGED",
    )
    known = ("SEIZED", "WORN", "FOR SPARES", "UNTESTED", "REPAIRED", "REWOUND")
    assert {found[word] for word in (*hurt, *known)} == {"damage"}
