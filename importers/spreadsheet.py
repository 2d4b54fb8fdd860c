"""XLSX workbooks, read row by row: values only, never a formula, never anything outside the file.

A workbook is a ZIP of XML from somebody else. Nothing is unpacked to disk. It is refused when it would unpack to
too much, when a part grows out of proportion, or when its XML declares entities (defusedxml watches that).
"""

from __future__ import annotations

import math
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from typing import IO, Any
from xml.etree.ElementTree import ParseError

from defusedxml.common import DefusedXmlException

from partsdb.errors import BadData, Finding
from partsdb.importers.formats import Format, Grid, Line
from partsdb.importers.layout import Layout

LARGEST = 500_000_000
"""Bytes a workbook may unpack to: a million rows of ten cells fit twice."""
STEEPEST = 200
"""How many times its packed size a part may unpack to; ordinary sheets reach about 20."""
SMALL = 1_000_000
"""Parts below this unpacked size [bytes] may be as steep as they like."""
MOST_ROWS, MOST_COLUMNS, MOST_PARTS = 1_048_576, 1_000, 5_000
_FAULTS = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    DefusedXmlException,
    ParseError,
    KeyError,
    ValueError,
    TypeError,
    IndexError,
    AttributeError,
    EOFError,
    OSError,
    NotImplementedError,  # zipfile's word for a compression it doesn't know
    RuntimeError,
)
"""What openpyxl lets through when a workbook isn't one; each means the same to the person."""


def _refuse(name: str, found: str, expected: str) -> BadData:
    return BadData(f"{name} is not a workbook this program will read", (Finding(name, "", found, expected),))


def _open(stream: IO[bytes], name: str, layout: Layout) -> Grid:
    import openpyxl  # here, because it takes longer to load than a short CSV list to read

    if not openpyxl.DEFUSEDXML:
        raise _refuse(name, "no defusedxml", "the package defusedxml, which guards against hostile XML")
    _refuse_bombs(stream, name)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl tells of styles it doesn't know
            book = openpyxl.load_workbook(stream, read_only=True, data_only=True, keep_links=False)
    except _FAULTS as fault:
        raise _refuse(name, str(fault), "an XLSX workbook") from fault
    if layout.sheet and layout.sheet not in book.sheetnames:
        raise _refuse(name, ", ".join(book.sheetnames), f"a sheet {layout.sheet!r}")
    sheets = [book[layout.sheet]] if layout.sheet else book.worksheets[:1]
    if not sheets:
        raise _refuse(name, "no sheet", "a sheet with rows")
    return Grid(_rows(sheets[0], name))


def _refuse_bombs(stream: IO[bytes], name: str) -> None:
    try:
        with zipfile.ZipFile(stream) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as fault:  # the last: as above
        raise _refuse(name, str(fault), "an XLSX workbook") from fault
    stream.seek(0)
    total = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS:
        raise _refuse(name, f"{len(parts)} parts", f"at most {MOST_PARTS}")
    if total > LARGEST:
        raise _refuse(name, f"{total:,} bytes unpacked", f"at most {LARGEST:,}")
    for part in parts:
        if part.file_size > SMALL and part.file_size > STEEPEST * max(part.compress_size, 1):
            raise _refuse(name, f"a part that grows {STEEPEST} times and more", "an ordinary workbook")


def _rows(sheet: Any, name: str) -> Iterator[Line]:
    sheet.reset_dimensions()  # what the file says of its size may be wrong
    number = 0
    try:
        for number, row in enumerate(sheet.iter_rows(values_only=True), start=1):
            if number > MOST_ROWS or len(row) > MOST_COLUMNS:
                raise _refuse(
                    name, "a sheet larger than any", f"{MOST_ROWS:,} rows of {MOST_COLUMNS:,} at most"
                )
            cells = [_text(cell) for cell in row]
            if any(cells):
                yield Line(number, cells)
    except _FAULTS as fault:
        raise _refuse(f"{name}:{number + 1}", str(fault), "a sheet that can be read to its end") from fault


def _text(value: object) -> str:
    """A cell as text: numbers to the 15 digits a spreadsheet holds, days as ISO, yes and no in words."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.15g}" if math.isfinite(value) else "not a number"
    if isinstance(value, datetime):
        return (
            value.date().isoformat()
            if value.time() == time(0)
            else value.isoformat(sep=" ", timespec="seconds")
        )
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value)


def _knows(head: bytes) -> bool:
    return head.startswith(b"PK\x03\x04")


FORMAT = Format("spreadsheet", ("xlsx", "xlsm"), _knows, _open)
