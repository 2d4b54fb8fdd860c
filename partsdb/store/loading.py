"""Rows out of tables: records with everything that belongs to them, in one reading transaction."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, select

from partsdb.store.mapping import Child, RecordType

CHUNK = 10_000
"""Rows handed to the driver, or values named in a condition, at a time."""

Conditions = list[ColumnElement[bool]]


def conditions_of(kind: RecordType, equals: Mapping[str, object]) -> Iterator[Conditions]:
    """Conditions that columns have those values; in several lots where a list is long. Raises KeyError for a column
    that the kind doesn't have."""
    lots: list[Conditions] = [[]]
    for name, value in equals.items():
        column = kind.table.c[name]
        if isinstance(value, list | tuple | set | frozenset):
            wanted = sorted(set(value))
            slices = [wanted[i : i + CHUNK] for i in range(0, len(wanted), CHUNK)]
            lots = [[*lot, column.in_(some)] for some in slices for lot in lots]
        else:
            empty = value is None or (value == "" and column.nullable)
            lots = [[*lot, column.is_(None) if empty else column == value] for lot in lots]
    yield from lots


def load(connection: Connection, kind: RecordType, conditions: Conditions) -> tuple[Any, ...]:
    """The records of the kind that meet the conditions, by id."""
    table = kind.table
    query = select(*(table.c[name] for name in kind.columns)).where(*conditions).order_by(table.c.id)
    rows = connection.execute(query).all()
    at = kind.columns.index("id")
    items = [_child_rows(connection, kind, child, conditions) for child in kind.children]
    return tuple(kind.record_from(row, [of.get(row[at], ()) for of in items]) for row in rows)


def _child_rows(
    connection: Connection, kind: RecordType, child: Child, conditions: Conditions
) -> dict[str, list[Sequence[Any]]]:
    """The rows of a child table by parent id, in order."""
    table = child.table
    query = select(table.c[child.key], *(table.c[name] for name in child.columns))
    if conditions:
        query = query.where(table.c[child.key].in_(select(kind.table.c.id).where(*conditions)))
    if child.shared is not None:
        query = query.where(table.c[child.shared[0]] == child.shared[1])
    found: dict[str, list[Sequence[Any]]] = {}
    for key, *cells in connection.execute(query.order_by(table.c[child.key], table.c.ordinal)):
        found.setdefault(key, []).append(cells)
    return found
