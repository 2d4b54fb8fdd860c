"""Imports: the records of a list brought in, compared with what is there, as one short transaction.

The same file again is nothing to do. A record that says nothing new stays as it is, with its older provenance.
What a list no longer has is removed only when the list is complete, came from the same source before, and nothing
else names it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime
from itertools import islice
from typing import Any, Protocol

from sqlalchemy import Connection, Table, delete, func, insert, select

from partsdb.errors import StoreTrouble
from partsdb.records import Part, Succession
from partsdb.source import Provenance
from partsdb.store.columns import moment_from, moment_text
from partsdb.store.loading import CHUNK, load
from partsdb.store.mapping import BY_RECORD, BY_TABLE, RecordType
from partsdb.store.schema import METADATA, imports
from partsdb.store.writing import Origin, says, write

SHOWN = 200
"""Changes kept to be shown; all are counted."""
LOT = 500


class Rows(Protocol):
    """(row number, record) pairs of a list that was read to its end: they have a length, as no stream has, so that
    nothing above the store is at work while it writes."""

    def __len__(self) -> int: ...
    def __iter__(self) -> Iterator[tuple[int, object]]: ...


@dataclass(frozen=True, slots=True)
class Steps:
    """How numbers succeed one another on record. goes: what a complete list from `source` replaces; stays: the rest."""

    source: str
    stays: tuple[Succession, ...]
    goes: tuple[Succession, ...]


@dataclass(frozen=True, slots=True)
class About:
    """What is brought in. source: what the list is called from one time to the next; digest: of its bytes and
    layout; complete: the record type of which it is the whole list, None when it isn't; faults: how many of its rows
    were bad; steps: those its rows were held against, None when they hang on none."""

    source: str
    digest: str
    importer: str
    at: datetime
    complete: type[Any] | None = None
    faults: int = 0
    steps: Steps | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One record that is new, changed or removed. fields: (name, before, after) of a changed one."""

    what: str
    word: str
    id: str
    label: str
    fields: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Brought:
    """What an import did, or would do. again: this very file is in already, and nothing was done.

    kept: records the complete list no longer has, which stay because others name them.
    """

    new: int = 0
    changed: int = 0
    removed: int = 0
    same: int = 0
    kept: int = 0
    again: bool = False
    shown: tuple[Change, ...] = ()


ValueKey = tuple[str, str, str, int]
"""A part's id, and attribute, qualifier and connection variant of one of its values."""


@dataclass(slots=True)
class Tally:
    """The counts while an import runs."""

    new: int = 0
    changed: int = 0
    same: int = 0
    removed: int = 0
    kept: int = 0
    shown: list[Change] = field(default_factory=list)

    def show(
        self, what: str, kind: RecordType, record: Any, differs: tuple[tuple[str, str, str], ...] = ()
    ) -> None:
        """Keeps a change to be shown, while there is room."""
        if len(self.shown) < SHOWN:
            self.shown.append(Change(what, kind.word, record.id, str(getattr(record, kind.label)), differs))


def seen_before(connection: Connection, about: About) -> bool:
    """Whether the source's last import was this very file, without a fault."""
    query = select(imports.c.digest, imports.c.importer, imports.c.faults, imports.c.declared_full)
    last = connection.execute(
        query.where(imports.c.source == about.source).order_by(imports.c.id.desc()).limit(1)
    ).first()
    return last is not None and tuple(last) == (about.digest, about.importer, 0, about.complete is not None)


def steps_before(connection: Connection, source: str) -> Steps:
    """The steps on record, apart what a complete list from that source would replace."""
    kind = BY_RECORD[Succession]
    of_source = select(imports.c.id).where(imports.c.source == source)
    goes = load(connection, kind, [kind.table.c.import_id.in_(of_source)]) if source else ()
    gone = {one.id for one in goes}
    stays = tuple(one for one in load(connection, kind, []) if one.id not in gone)
    return Steps(source, stays, goes)


def refuse_other_steps(connection: Connection, about: About) -> None:
    """Raises StoreTrouble when another program wrote steps after the rows were held against those on record."""
    if about.steps is not None and steps_before(connection, about.steps.source) != about.steps:
        raise StoreTrouble(
            "another program brought in how numbers succeed one another just now",
            "Nothing was changed; import the list again",
        )


def begin(connection: Connection, about: About, rows: int) -> int:
    """Notes the import; returns its number."""
    number = int(connection.execute(select(func.coalesce(func.max(imports.c.id), 0))).scalar_one()) + 1
    row = {
        "id": number,
        "source": about.source,
        "digest": about.digest,
        "importer": about.importer,
        "imported_at": moment_text(about.at),
        "declared_full": about.complete is not None,
        "rows": rows,
        "faults": about.faults,
    }
    connection.execute(insert(imports).values(row))
    return number


def bring_rows(
    connection: Connection,
    number: int,
    rows: Rows,
    complete: type[Any] | None,
    on_progress: Callable[[int], None] | None,
) -> tuple[Tally, set[str]]:
    """Writes what is new or changed; returns the counts, and the ids of the type the list is complete in."""
    tally, ids, done = Tally(), set[str](), 0
    fresh = {kind for kind in BY_RECORD if _is_empty(connection, BY_RECORD[kind].table)}
    stream = iter(rows)
    while chunk := list(islice(stream, CHUNK)):
        if complete is not None:
            ids.update(record.id for _, record in chunk if type(record) is complete)  # type: ignore[attr-defined]  # complete has ids
        telling = _telling(connection, chunk, fresh, tally)
        write(connection, [record for _, record in telling], Origin(number, [row for row, _ in telling]))
        done += len(chunk)
        if on_progress is not None:
            on_progress(done)
    return tally, ids


def _is_empty(connection: Connection, table: Table) -> bool:
    return connection.execute(select(table.c.id).limit(1)).first() is None


def _telling(
    connection: Connection, chunk: Sequence[tuple[int, object]], fresh: set[type[Any]], tally: Tally
) -> list[tuple[int, object]]:
    """The rows of the chunk that say something new, counted."""
    stored = {
        kind: _stored(connection, BY_RECORD[kind], [r.id for _, r in chunk if type(r) is kind])  # type: ignore[attr-defined]  # kinds of the store have ids
        for kind in {type(record) for _, record in chunk} - fresh
    }
    if not any(stored.values()):
        for _, record in chunk[: SHOWN - len(tally.shown)]:
            tally.show("new", BY_RECORD[type(record)], record)
        tally.new += len(chunk)
        return list(chunk)
    found = []
    for row, record in chunk:
        kind = BY_RECORD[type(record)]
        before = stored.get(type(record), {}).get(record.id)  # type: ignore[attr-defined]  # likewise
        if before is None:
            tally.new += 1
            tally.show("new", kind, record)
        elif says(kind, before) == says(kind, record):
            tally.same += 1
            continue
        else:
            tally.changed += 1
            tally.show("changed", kind, record, _differences(before, record))
        found.append((row, record))
    return found


def _stored(connection: Connection, kind: RecordType, ids: list[str]) -> dict[str, Any]:
    lots = (ids[i : i + LOT] for i in range(0, len(ids), LOT))
    return {r.id: r for lot in lots for r in load(connection, kind, [kind.table.c.id.in_(lot)])}


def _differences(before: Any, after: Any) -> tuple[tuple[str, str, str], ...]:
    pairs = ((f.name, getattr(before, f.name), getattr(after, f.name)) for f in fields(before))
    return tuple((name, str(old), str(new)) for name, old, new in pairs if old != new and name != "source")


def remove_missing(connection: Connection, about: About, ids: set[str], tally: Tally) -> None:
    """Removes what earlier imports of the source brought and the complete list no longer has."""
    if about.complete is None:
        return
    kind = BY_RECORD[about.complete]
    of_source = select(imports.c.id).where(imports.c.source == about.source)
    query = select(kind.table.c.id).where(kind.table.c.import_id.in_(of_source))
    gone = sorted(row[0] for row in connection.execute(query) if row[0] not in ids)
    for start in range(0, len(gone), LOT):
        lot = gone[start : start + LOT]
        named = _named_elsewhere(connection, kind.table, lot)
        free = [id for id in lot if id not in named]
        for record in load(connection, kind, [kind.table.c.id.in_(free)]):
            tally.show("removed", kind, record)
        connection.execute(delete(kind.table).where(kind.table.c.id.in_(free)))
        tally.removed += len(free)
        tally.kept += len(named)


def _named_elsewhere(connection: Connection, table: Table, ids: Sequence[str]) -> set[str]:
    """Those of the ids that a record of another kind names."""
    named: set[str] = set()
    for other in METADATA.sorted_tables:
        for key in other.foreign_keys:
            if key.column.table is table and other.name in BY_TABLE:
                query = select(key.parent).where(key.parent.in_(ids)).distinct()
                named.update(row[0] for row in connection.execute(query))
    return named


def values_provenance(connection: Connection, ids: Sequence[str]) -> dict[ValueKey, Provenance]:
    """Where each value of those parts came from; what a person entered is not in it."""
    values = BY_RECORD[Part].children[0].table
    found: dict[ValueKey, Provenance] = {}
    for start in range(0, len(ids), LOT):
        query = (
            select(
                *(values.c[name] for name in ("part_id", "attribute", "qualifier", "variant")),
                *(imports.c.source, values.c.import_row, imports.c.importer, imports.c.imported_at),
            )
            .join(imports, values.c.import_id == imports.c.id)
            .where(values.c.part_id.in_(ids[start : start + LOT]))
        )
        for row in connection.execute(query):
            found[row[0], row[1], row[2], row[3]] = Provenance(row[4], row[5], row[6], moment_from(row[7]))
    return found


def provenance_of(connection: Connection, kind: RecordType, id: str) -> Provenance | None:
    """Where the record came from; None for what was entered by hand."""
    if "import_id" not in kind.table.c:
        return None
    query = (
        select(imports.c.source, kind.table.c.import_row, imports.c.importer, imports.c.imported_at)
        .join(imports, kind.table.c.import_id == imports.c.id)
        .where(kind.table.c.id == id)
    )
    row = connection.execute(query).first()
    return None if row is None else Provenance(row[0], row[1], row[2], moment_from(row[3]))
