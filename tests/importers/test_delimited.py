"""CSV and TSV as programs and people write them: encodings, delimiters, quotes, remarks."""

from __future__ import annotations

import io

import pytest

from partsdb.errors import BadData, BadInput
from partsdb.importers.delimited import FORMAT, encoding_of
from partsdb.importers.formats import format_of
from partsdb.importers.layout import Layout

TEXT = "designation;price;maker\nZQ 25 µF;12,50;Mürkelsen & Töchter\nZQ 30 µF;14,00;Ångkvarn\n"
ROWS = [line.split(";") for line in TEXT.splitlines()]


def rows(data: bytes, layout: Layout | None = None) -> list[list[str]]:
    """The rows of those bytes."""
    return [list(line.cells) for line in FORMAT.open(io.BytesIO(data), "list.csv", layout or Layout()).rows]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_the_encoding_is_found_by_looking(encoding: str) -> None:
    assert rows(TEXT.encode(encoding)) == ROWS


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_the_one_that_cuts_rows_alike(delimiter: str) -> None:
    quoted = [[f'"{cell}"' if delimiter in cell else cell for cell in row] for row in ROWS]
    assert rows("\n".join(delimiter.join(row) for row in quoted).encode()) == ROWS


def test_a_list_of_one_column_has_no_delimiter() -> None:
    assert rows(b"designation\nA\nB\n") == [["designation"], ["A"], ["B"]]


def test_a_late_character_outside_utf8_makes_the_whole_list_windows_1252() -> None:
    data = b"designation,maker\n" + b"A,B\n" * 40_000 + "Z,Mürkelsen\n".encode("cp1252")
    assert encoding_of(io.BytesIO(data)) == "cp1252"
    assert rows(data)[-1] == ["Z", "Mürkelsen"]


def test_a_stated_encoding_that_is_wrong_is_refused() -> None:
    with pytest.raises(BadData, match="not text in utf-8"):
        rows("Mürkelsen".encode("cp1252"), Layout(encoding="utf-8"))
    with pytest.raises(BadData, match="not text in klingon"):
        rows(b"A,B\n", Layout(encoding="klingon"))


def test_remarks_above_the_header_and_empty_rows_are_passed_over_and_rows_keep_their_numbers() -> None:
    data = b'# source: a shop\n\nA,B\n1,"two\nlines"\n,\n#3,4\n'
    grid = FORMAT.open(io.BytesIO(data), "list.csv", Layout())
    assert [(line.number, list(line.cells)) for line in grid.rows] == [
        (3, ["A", "B"]),
        (4, ["1", "two\nlines"]),
        (7, ["#3", "4"]),
    ]


def test_a_quote_that_is_never_closed_is_named_by_its_row() -> None:
    data = b'A,B\n1,2\n3,"' + b"x" * 200_000
    with pytest.raises(BadData, match="can't be read on") as caught:
        rows(data)
    assert caught.value.findings[0].where == "list.csv:3"


def test_semicolons_make_a_decimal_comma_likely() -> None:
    assert FORMAT.open(io.BytesIO(TEXT.encode()), "list.csv", Layout()).decimal == ","
    assert FORMAT.open(io.BytesIO(b"A,B\n1,2\n"), "list.csv", Layout()).decimal == ""


def test_an_empty_file_and_a_file_of_another_kind_are_refused() -> None:
    with pytest.raises(BadData, match="is empty"):
        format_of(io.BytesIO(b" \n"), "list.csv")
    with pytest.raises(BadInput, match=r"It reads .*\.csv"):
        format_of(io.BytesIO(b"\x7fELF\x02\x01\x01" + bytes(40)), "list.csv")
