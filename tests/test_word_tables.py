"""Tables of words and writings: every row is whole, none is there twice, and means something the program knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from importlib.resources import files
from typing import get_args

import pytest

from partsdb.family import families
from partsdb.importers import subjects
from partsdb.importers.layout import plain
from partsdb.importers.words import understood
from partsdb.reading.fragments import fold_text
from partsdb.reading.numerals import range_spellings, spellings
from partsdb.reading.templates import shape
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
    "plate_labels": ("label", "side", "families"),
    "plate_units": ("unit",),
    "plate_words": ("word",),
    "firm_words": ("word", "language"),
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
        assert row["class"] in {"changes", "damage", "either", "harmless"}
        assert row["meaning"].endswith(".") and row["ask"].endswith(".")
        assert set(row["families"].split("|")) - {""} <= _families()
    assert {row["class"] for row in rows} == {"changes", "damage", "either", "harmless"}


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
    assert {found[word] for word in (*hurt, *known) if word != "SPLIT"} == {"damage"}
    assert found["SPLIT"] == "either"  # some are made so: it is asked about whichever part it stands on


MAIN_RATINGS = "V VOLT VOLTS A AMP AMPS HP KW KVA RPM HZ CY PH PRI SEC COIL MFD UN IN PN SERIES PARALLEL"
SIDES = {"before": {"before"}, "behind": {"behind"}, "either": {"before", "behind"}}


def _as_read(text: str) -> str:
    """The text folded as the reader folds it, without the dots at the ends of its words."""
    return " ".join(word.rstrip(".") for word in fold_text(text).split())


def _listed(cell: str) -> set[str]:
    return set(cell.split("|")) - {""}


def _stands(row: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """(label as read, side, family) for every place where the label counts."""
    for family in _listed(row["families"]) or _families():
        for side in SIDES[row["side"]]:
            yield _as_read(row["label"]), side, family


def _own(family: str) -> set[tuple[str, str]]:
    """(text without blanks, side) of what the family itself writes before and behind its values."""
    found = set()
    for field in families()[family].fields:
        for writing in field.writings:
            ways = shape(writing)
            found |= {(_as_read(text).replace(" ", ""), "before") for text, _ in ways.prefixes}
            found |= {(_as_read(text).replace(" ", ""), "behind") for text, _ in ways.suffixes}
    return found


@pytest.mark.parametrize(
    ("name", "column", "least"), [("plate_labels", "label", 300), ("plate_units", "unit", 100)]
)
def test_labels_and_units_are_written_as_plates_write_them(name: str, column: str, least: int) -> None:
    rows = load(name).rows
    assert len(rows) >= least
    for row in rows:
        assert row[column] == row[column].strip().upper() != ""
        assert row["status"] == "common practice" and row["source"] == ""
        assert _listed(row["language"]) <= LANGUAGES | {"ru"}
        assert _listed(row["families"]) <= _families()
    assert set().union(*(_listed(row["language"]) for row in rows)) == (LANGUAGES | {"ru"}) - {""}


def test_a_label_says_what_its_number_is_and_asks_where_it_may_matter() -> None:
    rows = load("plate_labels").rows
    for row in rows:
        assert row["class"] in {"harmless", "rating", "changes", "damage"}
        assert row["meaning"].strip() and not row["meaning"].endswith(".")
        assert row["meaning"].split()[0] not in {"a", "an", "the"}
        assert row["ask"].endswith(".") == (row["class"] != "harmless")
        assert bool(row["ask"]) == (row["class"] != "harmless")
        first, _, last = row["era"].partition("-")
        assert row["era"] == "" or 1920 <= int(first) < int(last) <= 2000
        assert not row["label"].startswith("# ") and len(_as_read(row["label"])) >= 2
    assert {row["class"] for row in rows} == {"harmless", "rating", "changes", "damage"}
    assert {row["side"] for row in rows} == set(SIDES)


def test_no_number_is_explained_by_two_labels() -> None:
    met = Counter(place for row in load("plate_labels").rows for place in _stands(row))
    assert [place for place, count in met.items() if count > 1] == []


@pytest.mark.parametrize("family", sorted(_families()))
def test_a_label_before_a_value_that_a_family_reads_is_left_to_it(family: str) -> None:
    own = _own(family)
    assert own
    places = {place for row in load("plate_labels").rows for place in _stands(row)}
    taken = {(label.replace(" ", ""), side) for label, side, of in places if of == family}
    assert taken & own == set()


def test_no_label_of_a_main_rating_explains_a_number_away() -> None:
    labels = {label for row in load("plate_labels").rows for label, _, _ in _stands(row)}
    assert {word for word in labels if word in MAIN_RATINGS.split()} == set()
    places = {place for row in load("plate_labels").rows for place in _stands(row)}
    assert ("SN", "before", "ac_motor") in places
    assert ("SN", "before", "transformer") not in places  # there it is the rated apparent power


def test_what_a_word_changes_is_never_a_harmless_label() -> None:
    changes: dict[str, set[str]] = {}
    for row in load("change_words").rows:
        if row["class"] != "harmless":
            changes.setdefault(_as_read(row["word"]), set()).update(_listed(row["families"]) or _families())
    harmless = [row for row in load("plate_labels").rows if row["class"] == "harmless"]
    places = {(label, of) for row in harmless for label, _, of in _stands(row)}
    assert {(label, of) for label, of in places if of in changes.get(label, ())} == set()


@pytest.mark.parametrize(
    ("label", "side", "family", "kind"),
    [
        ("LRA", "before", "ac_motor", "rating"),
        ("% ED", "behind", "ac_motor", "changes"),
        ("ED", "before", "contactor", "changes"),
        ("ПВ", "before", "ac_motor", "changes"),
        ("%Z", "before", "transformer", "rating"),
        ("BIL", "before", "transformer", "rating"),
        ("OIL GAL", "before", "transformer", "rating"),
        ("LITRES", "behind", "transformer", "rating"),
        ("TEST KV", "before", "ac_motor", "rating"),
        ("PRÜFSPG", "before", "transformer", "rating"),
        ("LÄUFER V", "before", "ac_motor", "changes"),
        ("BRAKING TORQUE", "before", "ac_motor", "changes"),
        ("ALTITUDE", "before", "ac_motor", "rating"),
        ("SCCR", "before", "contactor", "rating"),
        ("SEALED VA", "before", "contactor", "rating"),
        ("CERT. NO.", "before", "ac_motor", "changes"),
        ("PTB-NR.", "before", "ac_motor", "changes"),
        ("FM", "before", "ac_motor", "changes"),
        ("REWOUND", "before", "ac_motor", "damage"),
        ("MATCH NO", "before", "rolling_bearing", "rating"),
        ("CURE DATE", "before", "shaft_seal", "damage"),
        ("RISE", "before", "contactor", "rating"),
        ("SER. NO.", "before", "ac_motor", "harmless"),
        ("FABR.-NR.", "before", "contactor", "harmless"),
        ("BJ", "before", "transformer", "harmless"),
        ("ЗАВ. №", "before", "ac_motor", "harmless"),
        ("ГОСТ", "before", "contactor", "harmless"),
        ("POIDS", "before", "transformer", "harmless"),
        ("AÑO", "before", "ac_motor", "harmless"),
        ("MATRICOLA", "before", "ac_motor", "harmless"),
        ("TILLV.NR", "before", "contactor", "harmless"),
        ("RISE", "before", "ac_motor", ""),
        ("MATCH NO", "before", "v_belt", ""),
        ("TEST", "before", "ac_capacitor", ""),
        ("ROTOR VOLTS", "before", "ac_motor", ""),
        ("NO", "before", "contactor", ""),
        ("NO", "before", "rolling_bearing", ""),
        ("NR", "before", "rolling_bearing", ""),
        ("NO", "behind", "ac_motor", ""),
    ],
)
def test_a_known_label_is_of_its_class_where_it_stands(label: str, side: str, family: str, kind: str) -> None:
    place = (_as_read(label), side, family)
    found = [row["class"] for row in load("plate_labels").rows if place in set(_stands(row))]
    assert found == ([kind] if kind else [])


def test_units_of_plates_add_to_those_that_are_known_and_agree_with_them() -> None:
    known = {spelling: unit for unit in units().values() for spelling in unit.spellings}
    dimensions = {fold_text(spelling): unit.dimension for spelling, unit in known.items()}
    for row in load("plate_units").rows:
        assert row["unit"] not in known
        assert row["meaning"].startswith(("a ", "an "))
        folded = fold_text(row["unit"])  # letters that look alike are one letter: А stands for A
        assert dimensions.setdefault(folded, row["dimension"]) == row["dimension"]


@pytest.mark.parametrize(
    ("unit", "dimension"),
    [
        ("KP/CM2", "pressure"),
        ("ATÜ", "pressure"),
        ("MKG", "torque"),
        ("LB FT", "torque"),
        ("L/MIN", "flow"),
        ("CFM", "flow"),
        ("ОБ/МИН", "rotational speed"),
        ("В", "voltage"),
        ("КВТ", "power"),
        ("МКФ", "capacitance"),
        ("ГЦ", "frequency"),
        ("Л.С.", "power"),
        ("KGM2", "inertia"),
        ("KCAL", "heat"),
    ],
)
def test_a_unit_of_plates_measures_what_it_does(unit: str, dimension: str) -> None:
    assert {row["dimension"] for row in load("plate_units").rows if row["unit"] == unit} == {dimension}
