"""What a person means when they name a record: by id, by name, or by the beginning of either."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from sqlalchemy import ColumnElement, Connection, select

from partsdb.lineage import plain
from partsdb.store import schema
from partsdb.store.mapping import RecordType

Named = tuple[str, str]
"""(id, what a person calls it)."""


def names_of(connection: Connection, kind: RecordType, most: int | None = None) -> list[Named]:
    """The kind's records by name, at most `most` of them."""
    table = kind.table
    label = table.c[kind.label]
    rows = connection.execute(select(table.c.id, label).order_by(label, table.c.id).limit(most))
    return [(str(row[0]), str(row[1])) for row in rows]


def ids_meant(connection: Connection, kind: RecordType, text: str) -> list[Named]:
    """What the text may mean: exact before the beginning, the beginning before a piece of it."""
    if kind.word == "part":
        return _parts_meant(connection, text)
    wanted = text.strip().casefold()
    if not wanted:
        return []
    names = [(id.casefold(), name.casefold(), (id, name)) for id, name in names_of(connection, kind)]
    return (
        [both for id, name, both in names if wanted in (id, name)]
        or [both for _, name, both in names if name.startswith(wanted)]
        or [both for id, _, both in names if len(wanted) >= 4 and id.startswith(wanted)]
        or [both for _, name, both in names if wanted in name]
    )


def _parts_meant(connection: Connection, text: str) -> list[Named]:
    parts, aliases = schema.parts, schema.aliases
    wanted = plain(text)
    by_id = select(parts.c.id, parts.c.designation).where(parts.c.id == text.strip())
    queries = [by_id]
    for fits in (_is(wanted), _begins(wanted)) if wanted else ():
        of_alias = select(aliases.c.part_id).where(fits(aliases.c.plain))
        queries.append(
            select(parts.c.id, parts.c.designation).where(fits(parts.c.plain) | parts.c.id.in_(of_alias))
        )
    for query in queries:
        found = connection.execute(query.order_by(parts.c.designation, parts.c.id).limit(12)).all()
        if found:
            return [(str(row[0]), str(row[1])) for row in found]
    return []


Fits = Callable[[ColumnElement[str]], ColumnElement[bool]]


def _is(wanted: str) -> Fits:
    return lambda column: column == wanted


def _begins(wanted: str) -> Fits:
    return lambda column: column.between(wanted, wanted + "\U0010ffff")


def listed(names: Sequence[Named]) -> str:
    """Names for a message, ids where there is no name."""
    shown = [name if name and name != id else id[:8] for id, name in names[:12]]
    return ", ".join(shown) + (" ..." if len(names) >= 12 else "")


class PartNumbers:
    """Designations and aliases of all parts, for looking up a whole price list."""

    def __init__(self, known: Iterable[tuple[str, str, str]]) -> None:
        self._by_number: dict[str, list[tuple[str, str]]] = {}
        for number, maker, id in known:
            self._by_number.setdefault(number, []).append((maker, id))

    def of(self, designation: str, maker: str = "") -> str | None:
        """The id of the one part of that number, and of that maker where one is named; None when it isn't clear.

        A part whose maker isn't known serves any maker only when no other fits.
        """
        found = self._by_number.get(plain(designation), [])
        if len(found) == 1 and not maker:
            return found[0][1]
        if maker and (same := [one for one in found if plain(one[0]) == plain(maker)]):
            found = same
        elif maker:
            found = [one for one in found if not one[0]]
        ids = {id for _, id in found}
        return ids.pop() if len(ids) == 1 else None


def part_numbers(connection: Connection) -> PartNumbers:
    """Every number that parts go by."""
    parts, aliases = schema.parts, schema.aliases
    own = select(parts.c.plain, parts.c.maker, parts.c.id).where(parts.c.plain != "")
    others = select(aliases.c.plain, parts.c.maker, parts.c.id).join(parts, parts.c.id == aliases.c.part_id)
    rows = (*connection.execute(own).all(), *connection.execute(others.where(aliases.c.plain != "")).all())
    return PartNumbers((str(row[0]), str(row[1]), str(row[2])) for row in rows)
