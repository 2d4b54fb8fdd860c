"""The store: records in, records out. Every call is one transaction; every writing one bumps the version."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, func, select, update
from sqlalchemy.exc import IntegrityError

from partsdb.errors import BadInput, NotFound, Overtaken
from partsdb.records import Part, Shop, Units
from partsdb.source import Provenance
from partsdb.store import dialect, schema
from partsdb.store.bringing import (
    About,
    Brought,
    Rows,
    Steps,
    ValueKey,
    begin,
    bring_rows,
    provenance_of,
    refuse_other_steps,
    remove_missing,
    seen_before,
    steps_before,
    values_provenance,
)
from partsdb.store.columns import moment_text
from partsdb.store.finding import PartNumbers, ids_meant, listed, names_of, part_numbers
from partsdb.store.loading import CHUNK, conditions_of, load
from partsdb.store.mapping import BY_RECORD, BY_TABLE
from partsdb.store.writing import write

R = TypeVar("R")


class _DryRun(Exception):
    """Ends a transaction that was only tried."""


class Store:
    """An open database. Made by `open_store`; a context manager that closes it.

    Every method raises StoreTrouble with one line when the database can't be used, and then nothing is changed.
    """

    def __init__(self, engine: Engine, path: Path) -> None:
        self.engine = engine
        self.path = path
        self._seen: int | None = None

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Closes the database."""
        self.engine.dispose()

    # ----------------------------------------------------------------- writing

    def put(self, *records: object) -> None:
        """Stores the records, each replacing the one of its id; all of them or none.

        They may come in any order. Raises BadInput when one names something that isn't there.
        """
        self.put_many(records)

    def put_many(self, records: Iterable[object], on_progress: Callable[[int], None] | None = None) -> int:
        """Stores a stream of records in one transaction, in chunks; returns how many there were.

        on_progress is told the count so far after each chunk.
        """
        done = 0
        stream = iter(records)
        with self.writing() as connection:
            while chunk := list(islice(stream, CHUNK)):
                write(connection, chunk)
                done += len(chunk)
                if on_progress is not None:
                    on_progress(done)
        return done

    def delete(self, kind: type[Any], *ids: str) -> None:
        """Removes records. Raises NotFound when one isn't there, BadInput when another record still names it."""
        found = BY_RECORD[kind]
        with self.writing() as connection:
            for one in ids:
                gone = connection.execute(found.table.delete().where(found.table.c.id == one))
                if gone.rowcount == 0:
                    raise NotFound(f"there is no {found.word} with the id {one!r}")

    def bring(
        self,
        rows: Rows,
        about: About,
        *,
        dry_run: bool = False,
        on_progress: Callable[[int], None] | None = None,
    ) -> Brought:
        """Brings in a list, read to its end before: (row number, record) pairs, in one transaction.

        dry_run: compares and counts, then undoes everything. Raises StoreTrouble when `about` rests on steps that
        are no longer those on record.
        """
        with contextlib.suppress(_DryRun), self.writing() as connection:
            if seen_before(connection, about):
                return Brought(again=True)
            refuse_other_steps(connection, about)
            number = begin(connection, about, len(rows))
            tally, ids = bring_rows(connection, number, rows, about.complete, on_progress)
            if not about.faults:
                remove_missing(connection, about, ids, tally)
            done = Brought(
                tally.new, tally.changed, tally.removed, tally.same, tally.kept, shown=tuple(tally.shown)
            )
            if dry_run:
                raise _DryRun
        return done

    def brought_before(self, about: About) -> bool:
        """Whether that very list is in already and without a fault, so that it needn't be read."""
        with self.reading() as connection:
            return seen_before(connection, about)

    def steps_before(self, source: str = "") -> Steps:
        """How numbers succeed one another, apart what a complete list from that source would replace."""
        with self.reading() as connection:
            return steps_before(connection, source)

    def provenance(self, kind: type[Any], id: str) -> Provenance | None:
        """Which list last brought the record, from which row, when; None for what was entered by hand.

        What was changed by hand since says so in the source of its own value.
        """
        with self.reading() as connection:
            return provenance_of(connection, BY_RECORD[kind], id)

    def provenance_of_values(self, parts: Iterable[Part]) -> dict[ValueKey, Provenance]:
        """Which list brought each value of those parts, from which row, when and read how; a value that a later
        list only repeats keeps its older one, and a value entered by hand is not in it."""
        with self.reading() as connection:
            return values_provenance(connection, [part.id for part in parts])

    def fetched(self, address: str) -> tuple[str, str]:
        """What the server said of the version last brought in from there: (ETag, Last-Modified), "" when nothing."""
        table = schema.fetches
        with self.reading() as connection:
            query = select(table.c.etag, table.c.modified).where(table.c.address == address)
            row = connection.execute(query).first()
        return ("", "") if row is None else (str(row[0]), str(row[1]))

    def note_fetched(self, address: str, etag: str, modified: str, at: datetime) -> None:
        """Keeps what the server said of a version, once its list is in: the next fetch then asks for news only."""
        columns = ("address", "etag", "modified", "fetched_at")
        statement = dialect.upsert(schema.fetches, columns, columns)
        with self.writing() as connection:
            dialect.write_rows(connection, statement, [(address, etag, modified, moment_text(at))])

    def part_numbers(self) -> PartNumbers:
        """Every number parts go by, to look up many quickly."""
        with self.reading() as connection:
            return part_numbers(connection)

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """One writing transaction: committed at the end, undone when anything goes wrong."""
        with dialect.explained(self.path, files=False), self.engine.connect() as plain_connection:
            connection = plain_connection.execution_options(write=True)
            transaction = connection.begin()
            self._refuse_overtaken(connection)
            before = dialect.changes(connection)
            yield connection
            changed = dialect.changes(connection) != before
            if changed:
                connection.execute(update(schema.meta).values(version=schema.meta.c.version + 1))
            try:
                transaction.commit()
            except IntegrityError as fault:
                rows = dialect.undo(connection)
                raise _dangling(rows) from fault
        if changed and self._seen is not None:
            self._seen += 1

    @contextlib.contextmanager
    def undisturbed(self) -> Iterator[None]:
        """What is written in this block rests on what is read in it: raises Overtaken in place of writing when another
        program has written meanwhile."""
        self._seen = self.version()
        try:
            yield
        finally:
            self._seen = None

    def _refuse_overtaken(self, connection: Connection) -> None:
        if (
            self._seen is not None
            and self._seen != connection.execute(select(schema.meta.c.version)).scalar_one()
        ):
            raise Overtaken(
                f"another program changed the records in {self.path} meanwhile",
                "Nothing was changed; look at them again and try again",
            )

    # ----------------------------------------------------------------- reading

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """One reading transaction: everything read in it is of one moment."""
        with dialect.explained(self.path, files=False), self.engine.begin() as connection:
            yield connection

    def version(self) -> int:
        """A number that grows with every transaction that changed something."""
        with self.reading() as connection:
            return int(connection.execute(select(schema.meta.c.version)).scalar_one())

    def database_id(self) -> str:
        """The database's own id, made with it."""
        with self.reading() as connection:
            return str(connection.execute(select(schema.meta.c.database_id)).scalar_one())

    def count(self, kind: type[Any]) -> int:
        """How many records of the kind there are."""
        with self.reading() as connection:
            return int(
                connection.execute(select(func.count()).select_from(BY_RECORD[kind].table)).scalar_one()
            )

    def shop(self) -> Shop | None:
        """The user's own shop, None until it is set."""
        found = self.all(Shop)
        return found[0] if found else None

    @property
    def units(self) -> Units:
        """What the shop works in; metric until it is set."""
        shop = self.shop()
        return shop.units if shop else "metric"

    def all(self, kind: type[R]) -> tuple[R, ...]:
        """Every record of the kind, by id."""
        with self.reading() as connection:
            return load(connection, BY_RECORD[kind], [])

    def where(self, kind: type[R], **equals: object) -> tuple[R, ...]:
        """The records whose columns have those values; a list or set of values means any of them.

        `store.where(Offer, part_id=["...", "..."])`, `store.where(Position, machine_id=m.id)`.
        """
        found = BY_RECORD[kind]
        with self.reading() as connection:
            return tuple(
                record
                for conditions in conditions_of(found, equals)
                for record in load(connection, found, conditions)
            )

    def get(self, kind: type[R], id: str) -> R:
        """The record of that id. Raises NotFound."""
        found = self.where(kind, id=id)
        if not found:
            raise NotFound(f"there is no {BY_RECORD[kind].word} with the id {id!r}")
        return found[0]

    def find(self, kind: type[R], text: str) -> R:
        """The record a person means: by id, name, or the beginning of either; for parts any number it goes by.

        Raises NotFound with the names there are, BadInput when several fit.
        """
        found = BY_RECORD[kind]
        with self.reading() as connection:
            ids = ids_meant(connection, found, text)
            if len(ids) == 1:
                record: R = load(connection, found, [found.table.c.id == ids[0][0]])[0]
                return record
            if ids:
                raise BadInput(f"{text!r} fits several: {listed(ids)}", "Write more of it, or its id")
            names = names_of(connection, found, 12)
        there = f"There are: {listed(names)}" if names else f"There is no {found.word} in the records yet"
        raise NotFound(f"no {found.word} is called {text!r}", there)


def _dangling(rows: Sequence[dialect.Dangling]) -> BadInput:
    """Which record names what isn't there, in words."""
    lines = "; ".join(
        f"{_word(table)} {id} names a {_word(parent)} that isn't there" for table, id, parent in rows
    )
    return BadInput(f"the records don't fit together: {lines}", "Nothing was changed")


def _word(table: str) -> str:
    return BY_TABLE[table].word if table in BY_TABLE else table
