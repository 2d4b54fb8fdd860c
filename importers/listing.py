"""A list being read: good rows stream out as records, bad ones are kept with every fault they have."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from hashlib import sha256
from importlib import import_module
from typing import IO, Any

from partsdb.errors import BadData, Finding, NotFound
from partsdb.importers.formats import Line, format_of
from partsdb.importers.layout import Layout, plain
from partsdb.importers.mending import FAULT, mend_file, source_of
from partsdb.importers.rows import CONTROLS, References, Row, Sheet, tidy
from partsdb.tables import load

Good = tuple[int, object]
"""Row number and record."""


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A column a subject reads: target name, what it is, whether a list must have it; headers: what else lists
    call it, as `with_headers` finds it."""

    target: str
    title: str
    needed: bool = False
    headers: tuple[str, ...] = ()


def with_headers(subject: str, *columns: ListColumn) -> tuple[ListColumn, ...]:
    """The columns with the headers that table list_headers has for them in lists of that subject."""
    known: dict[str, list[str]] = {}
    for row in load("list_headers").rows:
        if subject in row["lists"].split():
            known.setdefault(row["column"], []).append(row["header"])
    return tuple(replace(column, headers=tuple(known.get(column.target, ()))) for column in columns)


@dataclass(frozen=True, slots=True)
class Subject:
    """What a list is about. read: rows to records; a row with faults yields nothing. attributes: whether columns
    may carry the attributes of families; record: what a row is, in the end."""

    name: str
    title: str
    columns: tuple[ListColumn, ...]
    read: Callable[[Iterable[Row]], Iterator[tuple[Row, Sequence[object]]]]
    record: type[Any] = object
    attributes: bool = False


@cache
def subjects() -> Mapping[str, Subject]:
    """Every subject by its name: the SUBJECTS of each module beside this one."""
    folder = import_module("partsdb.importers")
    names = sorted(module.name for module in pkgutil.iter_modules(folder.__path__))
    modules = (import_module(f"{folder.__name__}.{name}") for name in names)
    return {one.name: one for module in modules for one in getattr(module, "SUBJECTS", ())}


@dataclass(slots=True)
class Listing:
    """Iterate once for the good rows; `findings` and `bad_rows` are complete afterwards.

    headers: as the list has them; ignored: headers nobody reads; bad_rows: (row number, cells) to be mended;
    digest: of the bytes, the subject and the layout; importer: the format, by name.
    """

    sheet: Sheet
    subject: Subject
    rows: Iterator[Line]
    digest: str
    importer: str
    ignored: tuple[str, ...] = ()
    findings: list[Finding] = field(default_factory=list)
    bad_rows: list[tuple[int, tuple[str, ...]]] = field(default_factory=list)
    read: int = 0

    @property
    def headers(self) -> tuple[str, ...]:
        """The header row as the list has it."""
        return self.sheet.headers

    @property
    def source(self) -> str:
        """What the list is called from one time to the next; a mended part of it has the same name."""
        return self.sheet.source

    @property
    def full(self) -> bool:
        """Whether the list says of itself that it is complete."""
        return self.sheet.layout.full

    def mend(self) -> bytes:
        """The bad rows as a CSV file, to be corrected and read again under the name `mending.mend_name`."""
        return mend_file(self.headers, self.bad_rows, self.findings, self.sheet.layout, self.sheet.decimal)

    def __iter__(self) -> Iterator[Good]:
        seen: set[int] = set()  # of hashes: a million ids would take four times the room
        for row, records in self.subject.read(self._rows()):
            mark = hash(records[-1].id) if records else 0  # type: ignore[attr-defined]  # every record has an id
            if records and mark in seen:
                row.findings.append(
                    Finding(row.where, "", _label(row), "a row that isn't in the list already")
                )
            if row.findings:
                self.findings.extend(row.findings)
                self.bad_rows.append((row.number, tuple(row.raw)))
                continue
            for record in records:
                yield row.number, record
            if records:
                seen.add(mark)

    def _rows(self) -> Iterator[Row]:
        for number, cells, fault in self.rows:
            self.read += 1
            tidied = tidy(cells)
            row = Row(self.sheet, number, cells, tidied, self.sheet.said(tidied))
            if fault:
                row.findings.append(Finding(row.where, "", _label(row), fault))
            if tidied is not cells:
                row.findings.extend(_controls(row))
            if len(cells) > len(self.sheet.headers) and any(cells[len(self.sheet.headers) :]):
                found = f"{len(cells)} cells"
                row.findings.append(
                    Finding(row.where, "", found, f"{len(self.sheet.headers)} as in the header")
                )
            yield row


def _controls(row: Row) -> Iterator[Finding]:
    """A fault for each cell with characters that do something to a terminal."""
    for header, cell in zip(row.sheet.headers, row.cells, strict=False):
        if CONTROLS.search(cell):
            yield Finding(row.where, header, cell, "text without control characters")


def _label(row: Row) -> str:
    return " ".join(cell for cell in row.cells if cell)[:60]


def read_list(
    stream: IO[bytes],
    name: str,
    subject: str,
    known: References,
    layout: Layout | None = None,
    source: str = "",
) -> Listing:
    """Begins to read a list; `stream` must be seekable and stay open until the rows are used up.

    name: as findings call the file; source: what the ids hang on, by default the name without ".to-mend" (give a
    price list that comes under a new name each month one source). Raises BadData when nothing can be read at all:
    empty, no known format, columns missing.
    """
    about = subjects().get(subject)
    if about is None:
        raise NotFound(f"there are no lists of {subject!r}", f"There are lists of: {', '.join(subjects())}")
    said = layout or Layout()
    digest = _digest(stream, subject, said)
    form = format_of(stream, name)
    grid = form.open(stream, name, said)
    first = next(grid.rows, None)
    if first is None:
        raise BadData(f"{name} has no rows", (Finding(name, "", "", "a header row and rows below it"),))
    number, headers, _ = first
    titles = tuple(cell.strip() for cell in headers)
    columns = columns_of(titles, about, said)
    sheet = Sheet(name, source or source_of(name), titles, columns, said, known, grid.decimal)
    _refuse_missing(sheet, about, number)
    return Listing(sheet, about, grid.rows, digest, form.name, _ignored(sheet, about))


def _digest(stream: IO[bytes], subject: str, layout: Layout) -> str:
    """Equal for the same bytes read as the same list under the same layout."""
    mark = sha256(repr((subject, layout)).encode())
    while block := stream.read(1 << 20):
        mark.update(block)
    stream.seek(0)
    return mark.hexdigest()


def columns_of(headers: Sequence[str], subject: Subject, layout: Layout) -> dict[str, int]:
    """The place of each of the subject's columns that the header has; what the layout says goes first."""
    known = {plain(word): c.target for c in subject.columns for word in (*c.headers, c.title, c.target)}
    found: dict[str, int] = {}
    for at, header in enumerate(headers):
        said = layout.columns.get(plain(header))
        target = known.get(plain(said or header)) if said != "" else None
        if target is not None and (target not in found or said):
            found[target] = at
    return found


def _refuse_missing(sheet: Sheet, subject: Subject, number: int) -> None:
    have = set(sheet.columns) | set(sheet.layout.fixed)
    findings = tuple(
        Finding(f"{sheet.name}:{number}", "", ", ".join(sheet.headers)[:200], f"a column {c.title!r}")
        for c in subject.columns
        if c.needed and c.target not in have
    )
    if findings:
        titles = ", ".join(c.title for c in subject.columns if c.needed and c.target not in have)
        header = next((h for h in sheet.headers if h), "their header").replace('"', "'")[:40]
        target = next(c.target for c in subject.columns if c.needed and c.target not in have)
        raise BadData(
            f"{sheet.name} lacks columns that a list of {subject.name} must have: {titles}",
            findings,
            f'Say which they are in {source_of(sheet.name)}.layout.toml beside it: [columns], below it "{header}" '
            f'= "{target}"',
        )


def _ignored(sheet: Sheet, subject: Subject) -> tuple[str, ...]:
    read = set(sheet.columns.values())
    if subject.attributes:
        read |= {c.at for family in sheet.known.families.values() for c in sheet.attributes(family)}
    return tuple(
        header for at, header in enumerate(sheet.headers) if at not in read and header and header != FAULT
    )
