"""Rows into tables: driver-level SQL on tuples, a chunk at a time.

A row that says what is stored already is left alone, so writing the same records twice changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Connection, delete, select

from partsdb.store import dialect
from partsdb.store.mapping import ALL, BY_RECORD, Child, RecordType

LOT = 500
"""Ids named in one statement."""

_ORIGIN = ("import_id", "import_row")
_SAYS_WHERE_FROM = ("source", "citation")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a chunk of records comes from: the import's number and each record's row in its file."""

    import_id: int
    rows: Sequence[int]


def write(connection: Connection, records: Sequence[object], origin: Origin | None = None) -> None:
    """Stores the records. From an import, a record that says nothing new keeps its older provenance.

    Raises TypeError for something that is not a record.
    """
    kinds = {type(record) for record in records}
    if strange := [one.__name__ for one in kinds if one not in BY_RECORD]:
        raise TypeError(f"not a record of the store: {', '.join(strange)}")
    for kind in ALL:
        if kind.record not in kinds:
            continue
        at = [i for i, record in enumerate(records) if type(record) is kind.record]
        some: list[Any] = [records[i] for i in at]
        row_of = kind.rower()
        rows = [row_of(record) for record in some]
        if origin is not None and "import_id" in kind.table.c:
            rows = [(*row, origin.import_id, origin.rows[i]) for row, i in zip(rows, at, strict=True)]
            dialect.write_rows(connection, _statement(kind, imported=True), rows)
        else:
            dialect.write_rows(connection, _statement(kind, imported=False), rows)
        came: dict[str, tuple[int, int]] = {}
        if origin is not None:
            came = {record.id: (origin.import_id, origin.rows[i]) for record, i in zip(some, at, strict=True)}
        for child in kind.children:
            _write_children(connection, child, some, came)


@cache
def _statement(kind: RecordType, *, imported: bool) -> str:
    columns = kind.columns + (_ORIGIN if imported else ())
    silent = _SAYS_WHERE_FROM + _ORIGIN if imported else ()
    return dialect.upsert(kind.table, columns, [name for name in columns if name not in silent])


def _write_children(
    connection: Connection, child: Child, records: Sequence[Any], came: Mapping[str, tuple[int, int]]
) -> None:
    """Replaces the child rows of those records whose rows differ from what is stored; a row that says nothing new
    stays as it is, with where it came from. came: import and row by record id, empty for what is put in by hand."""
    tracked = _ORIGIN if "import_id" in child.table.c else ()
    columns = child.columns + tracked
    wanted = {
        record.id: [(*row, *came.get(record.id, (None, None))[: len(tracked)]) for row in child.put(record)]
        for record in records
    }
    stored = _stored(connection, child, columns, list(wanted))
    said = _telling(columns, tracked + (_SAYS_WHERE_FROM if came else ()))
    differing = [
        id
        for id, rows in wanted.items()
        if [said(row) for row in rows] != [said(row) for row in stored.get(id, ())]
    ]
    for lot in _lots([id for id in differing if id in stored]):
        connection.execute(delete(child.table).where(*_of(child, lot)))
    shared = child.shared[1:] if child.shared else ()
    fresh = []
    for id in differing:
        before = {said(row): row for row in stored.get(id, ())}
        fresh += [(id, i, *shared, *before.get(said(row), row)) for i, row in enumerate(wanted[id])]
    if fresh:
        names = (child.key, "ordinal", *(child.shared[:1] if child.shared else ()), *columns)
        dialect.write_rows(connection, dialect.insert(child.table, names), fresh)


def _stored(
    connection: Connection, child: Child, columns: Sequence[str], ids: list[str]
) -> dict[str, list[tuple[Any, ...]]]:
    table = child.table
    found: dict[str, list[tuple[Any, ...]]] = {}
    for lot in _lots(ids):
        query = select(table.c[child.key], *(table.c[name] for name in columns)).where(*_of(child, lot))
        for key, *cells in connection.execute(query.order_by(table.c[child.key], table.c.ordinal)):
            found.setdefault(key, []).append(tuple(cells))
    return found


def _of(child: Child, ids: Sequence[str]) -> Sequence[Any]:
    mine = child.table.c[child.key].in_(ids)
    return (mine, child.table.c[child.shared[0]] == child.shared[1]) if child.shared else (mine,)


def says(kind: RecordType, record: Any) -> tuple[Any, ...]:
    """What a record says, without where it says it from: equal means an import of it would change nothing."""
    row = _telling(kind.columns, _SAYS_WHERE_FROM)(kind.row(record))
    items = (
        tuple(_telling(c.columns, _SAYS_WHERE_FROM)(item) for item in c.put(record)) for c in kind.children
    )
    return (row, *items)


@cache
def _telling(columns: tuple[str, ...], silent: tuple[str, ...]) -> Callable[[Sequence[Any]], tuple[Any, ...]]:
    at = [i for i, name in enumerate(columns) if name not in silent]
    return lambda row: tuple(row[i] for i in at)


def _lots(ids: Sequence[str]) -> Iterable[Sequence[str]]:
    return (ids[i : i + LOT] for i in range(0, len(ids), LOT))
