"""XLSX: ordinary workbooks are read, hostile ones refused in one line."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from partsdb.errors import BadData
from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.importers import Layout, References, read_list
from partsdb.importers.formats import Line, format_of
from partsdb.importers.spreadsheet import FORMAT
from partsdb.money import Money
from partsdb.records import Offer, Part


def workbook(*rows: Sequence[object], title: str = "Prices") -> bytes:
    """A workbook with those rows on its first sheet and a note on its second."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    book.create_sheet("Notes").append(["nothing here"])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def lines(data: bytes, layout: Layout | None = None) -> list[Line]:
    """The rows of a workbook."""
    return list(FORMAT.open(io.BytesIO(data), "list.xlsx", layout or Layout()).rows)


def repacked(data: bytes, changes: dict[str, bytes]) -> bytes:
    """The workbook with parts replaced or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name not in changes:
                new.writestr(name, old.read(name))
        for name, content in changes.items():
            new.writestr(name, content)
    return out.getvalue()


def test_cells_come_as_texts_and_rows_keep_their_numbers() -> None:
    data = workbook(
        ["a", "b", "c", "d", "e"],
        [],
        [25, 12.5, 0.1 + 0.2, True, date(2026, 11, 4)],
        ["=1+1", None, datetime(2026, 1, 2, 3, 4)],  # noqa: DTZ001 - cells have no zone
    )
    assert lines(data) == [
        Line(1, ["a", "b", "c", "d", "e"]),
        Line(3, ["25", "12.5", "0.3", "yes", "2026-11-04"]),
        Line(4, ["", "", "2026-01-02 03:04:00"]),
    ]


def test_a_workbook_is_known_by_its_bytes_and_read_like_any_list() -> None:
    data = workbook(
        ["Part number", "Price", "Stock", "Quoted on", "Kind", "C (µF)"],
        ["ZQ 30", 9.5, 4, date(2026, 11, 4), "ac_capacitor", 30],
    )
    known = References({"ac_capacitor": CAPACITOR}, supplier="s")
    listing = read_list(io.BytesIO(data), "prices", "offers", known)
    (_, part), (row, offer) = listing
    assert listing.findings == []
    assert listing.importer == "spreadsheet"
    assert isinstance(part, Part)
    assert part.spec.num("capacitance") == 30e-6
    assert isinstance(offer, Offer)
    assert (row, offer.price, offer.stock_units) == (2, Money(95_000, "GBP"), 4)
    assert offer.quoted_on == date(2026, 11, 4)


def test_the_layout_may_name_another_sheet() -> None:
    data = workbook(["a"], [1])
    assert lines(data, Layout(sheet="Notes")) == [Line(1, ["nothing here"])]
    with pytest.raises(BadData) as caught:
        lines(data, Layout(sheet="Stock"))
    assert "Prices, Notes" in str(caught.value.findings[0])


def test_a_part_that_unpacks_out_of_proportion_is_refused_before_it_is_unpacked() -> None:
    sheet = b"<worksheet><sheetData>" + b" " * 50_000_000 + b"</sheetData></worksheet>"
    data = repacked(workbook(["a"]), {"xl/worksheets/sheet1.xml": sheet})
    assert len(data) < 200_000
    with pytest.raises(BadData) as caught:
        lines(data)
    assert "grows 200 times" in str(caught.value.findings[0])


def test_a_workbook_that_unpacks_to_too_much_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partsdb.importers.spreadsheet.LARGEST", 1000)
    with pytest.raises(BadData) as caught:
        lines(workbook(["a"]))
    assert "at most 1,000" in str(caught.value.findings[0])


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/styles.xml"])
def test_xml_that_declares_entities_is_refused(part: str) -> None:
    good = workbook(["a", "b"])
    with zipfile.ZipFile(io.BytesIO(good)) as archive:
        body = (
            archive.read(part).partition(b"?>")[2]
            if archive.read(part).startswith(b"<?xml")
            else archive.read(part)
        )
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>' + body
    with pytest.raises(BadData, match="not a workbook"):
        lines(repacked(good, {part: bomb}))


def test_xml_that_reaches_for_a_file_is_refused(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("SECRET")
    with zipfile.ZipFile(io.BytesIO(workbook(["a"]))) as archive:
        body = archive.read("xl/worksheets/sheet1.xml").partition(b"<worksheet")[2]
    head = f'<!DOCTYPE x [<!ENTITY s SYSTEM "file://{secret}">]>'.encode()
    data = repacked(
        workbook(["a"]), {"xl/worksheets/sheet1.xml": head + b"<worksheet" + body.replace(b"<v>0", b"<v>&s;")}
    )
    with pytest.raises(BadData) as caught:
        lines(data)
    assert "SECRET" not in str(caught.value.findings[0])


def test_parts_named_outside_the_workbook_are_never_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inner = tmp_path / "a" / "b"
    inner.mkdir(parents=True)
    monkeypatch.chdir(inner)
    data = repacked(workbook(["a"], [1]), {"../../escaped.txt": b"x", "/tmp/partsdb-escaped.txt": b"x"})
    assert lines(data) == [Line(1, ["a"]), Line(2, ["1"])]
    assert [path.name for path in tmp_path.rglob("*")] == ["a", "b"]
    assert not Path("/tmp/partsdb-escaped.txt").exists()


@pytest.mark.parametrize("cut", [10, 200, 2000])
def test_a_workbook_cut_short_is_refused(cut: int) -> None:
    with pytest.raises(BadData, match="not a workbook"):
        lines(workbook(["a", "b"], *([i, i] for i in range(50)))[:-cut])


def test_a_zip_that_is_no_workbook_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(BadData, match="not a workbook"):
        lines(out.getvalue())
    assert format_of(io.BytesIO(out.getvalue()), "list.xlsx").name == "spreadsheet"


def test_a_sheet_that_claims_a_row_beyond_all_sheets_is_refused_soon() -> None:
    sheet = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        b'<row r="99999999999"><c r="A99999999999"><v>1</v></c></row></sheetData></worksheet>'
    )
    with pytest.raises(BadData, match="not a workbook"):
        lines(repacked(workbook(["a"]), {"xl/worksheets/sheet1.xml": sheet}))
