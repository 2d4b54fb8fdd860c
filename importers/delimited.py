"""CSV and TSV: encoding, delimiter and quoting are found out by looking, or stated in the layout.

Encodings: UTF-8 with or without a mark, UTF-16, and Windows-1252 for what is neither. The delimiter is the one
of , ; tab | that cuts the first rows into the most equal columns.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import IO

from partsdb.errors import BadData, Finding
from partsdb.importers.formats import HEAD, Format, Grid, Line
from partsdb.importers.layout import Layout

DELIMITERS = ",;\t|"
LONGEST_CELL = 100_000
"""A cell longer than this [characters] is a quote that was never closed."""


def encoding_of(stream: IO[bytes]) -> str:
    """The encoding of the whole stream, which is left at its start."""
    head = stream.read(HEAD)
    stream.seek(0)
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if head.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if head[1::2].count(0) > len(head) // 4:
        return "utf-16-le"
    if head[0::2].count(0) > len(head) // 4:
        return "utf-16-be"
    return "utf-8" if _is_utf8(stream) else "cp1252"


def _is_utf8(stream: IO[bytes]) -> bool:
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while block := stream.read(1 << 20):
            decoder.decode(block)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    finally:
        stream.seek(0)
    return True


def delimiter_of(sample: Sequence[str]) -> str:
    """The delimiter that cuts those first lines into the most columns most of them agree on.

    >>> delimiter_of(["a;b;c", "1,5;2;3", "2,5;3;4"])
    ';'
    """

    def agreement(delimiter: str) -> tuple[float, int]:
        try:
            widths = [len(cells) for cells in csv.reader(sample, delimiter=delimiter) if cells]
        except csv.Error:
            return 0.0, 0
        if not widths:
            return 0.0, 0
        width, often = Counter(widths).most_common(1)[0]
        return (often / len(widths) if width > 1 else 0.0), width

    best = max(DELIMITERS, key=agreement)
    return best if agreement(best)[0] > 0 else ","


def _open(stream: IO[bytes], name: str, layout: Layout) -> Grid:
    encoding = layout.encoding or encoding_of(stream)
    try:
        text = io.TextIOWrapper(stream, encoding=encoding, errors="strict", newline="")
        sample = text.read(HEAD).splitlines()[:50]
    except (UnicodeDecodeError, LookupError) as fault:
        raise _undecodable(name, encoding) from fault
    text.seek(0)
    delimiter = layout.delimiter or delimiter_of(sample)
    return Grid(_rows(text, name, delimiter, encoding), "," if delimiter == ";" else "")


def _rows(text: io.TextIOWrapper, name: str, delimiter: str, encoding: str) -> Iterator[Line]:
    csv.field_size_limit(LONGEST_CELL)
    reader = csv.reader(text, delimiter=delimiter)
    heading = True
    start = 1
    try:
        for cells in reader:
            remark = heading and bool(cells) and cells[0].startswith("#")
            if (
                cells
                and not remark
                and (cells[0].strip() or any(cell and not cell.isspace() for cell in cells))
            ):
                heading = False
                yield Line(start, cells)
            start = reader.line_num + 1
    except csv.Error as fault:
        expected = "every quotation mark closed, and no cell longer than 100,000 characters"
        raise BadData(
            f"{name} can't be read on", (Finding(f"{name}:{start}", "", str(fault), expected),)
        ) from fault
    except UnicodeDecodeError as fault:
        raise _undecodable(name, encoding) from fault
    finally:
        if not text.closed:  # the stream is the caller's to close
            text.detach()


def _undecodable(name: str, encoding: str) -> BadData:
    finding = Finding(name, "", encoding, "UTF-8, UTF-16 or Windows-1252 text; or the encoding in the layout")
    return BadData(f"{name} is not text in {encoding}", (finding,))


def _knows(head: bytes) -> bool:
    """Anything that looks like text: UTF-16 has its zeros, other binary files have more."""
    controls = sum(head.count(bytes([byte])) for byte in (1, 2, 3, 4, 5, 6))
    return controls == 0 and not head.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(
        (b"{", b"[{", b"PK\x03\x04", b"%PDF")
    )


FORMAT = Format("delimited", ("csv", "tsv", "txt"), _knows, _open)
