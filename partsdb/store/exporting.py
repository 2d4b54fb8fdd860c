"""Everything in the database as a folder of CSV files, and back into an identical database.

    manifest.json    what this is: schema revision, and rows and SHA-256 of each file
    machines.csv     one file a table, columns by name, rows by key
    ...

Texts are guarded against acting as formulas; an empty cell of a column that may be NULL is NULL. Numbers are
written so that they read back exactly.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Float, MetaData, Table, Text, select

from partsdb.errors import BadData, BadInput, Finding
from partsdb.guard import guarded, unguarded
from partsdb.store import dialect, schema
from partsdb.store.loading import CHUNK
from partsdb.store.opening import build, open_store
from partsdb.store.repository import Store

FORMAT = 1
MANIFEST = "manifest.json"


def logical_dump(store: Store) -> Iterator[str]:
    """Everything the database says, one line a row, in an order that doesn't hang on how it was stored.

    Two databases with the same dump are the same to anybody who asks them.
    """
    yield json.dumps(["revision", schema.REVISIONS[-1]])
    with store.reading() as connection:
        for table in _tables(schema.METADATA):
            for row in _rows(connection, table):
                yield json.dumps([table.name, *row], ensure_ascii=False)


def export_to(store: Store, folder: Path) -> int:
    """Writes every table into `folder`, which must be empty or new; returns the number of rows."""
    with dialect.explained(folder / MANIFEST):
        fresh = not folder.exists()
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise BadInput(f"the folder {folder} is not empty", "Name a new one")
        files: dict[str, tuple[int, str]] = {}
        try:
            with store.reading() as connection:
                for table in _tables(schema.METADATA):
                    files[table.name] = _write(connection, table, folder / f"{table.name}.csv")
            manifest = {"format": FORMAT, "revision": schema.REVISIONS[-1], "tables": files}
            (folder / MANIFEST).write_text(json.dumps(manifest, indent=1) + "\n", encoding="utf-8")
        except BaseException:
            for left in folder.iterdir():  # the folder was empty, so all of it is ours
                left.unlink()
            if fresh:
                folder.rmdir()
            raise
    return sum(rows for rows, _ in files.values())


def import_from(folder: Path, path: Path, now: datetime) -> Store:
    """Makes the database `path` from an export, upgrades it where it is older, and opens it.

    Raises BadInput when there is something at `path` already, BadData when the export isn't whole.
    """
    manifest = _manifest(folder)
    with dialect.explained(path):
        if path.exists() and path.stat().st_size:
            raise BadInput(f"{path} exists already", "Name a new file for the database")
        with (
            dialect.appearing(path) as unfinished,
            build(unfinished, _built_for(manifest["revision"])) as connection,
        ):
            _fill(connection, manifest, folder)
    return open_store(path, now=now)


def _built_for(revision: str) -> str:
    """The revision whose tables take what was exported from that one."""
    return schema.REVISIONS[0] if revision == schema.DRAFTS[-1] else revision


def _fill(connection: Connection, manifest: dict[str, Any], folder: Path) -> None:
    held = MetaData()
    held.reflect(connection)
    for name in manifest["tables"]:
        _read(connection, held.tables[name], folder / f"{name}.csv")
    if lost := dialect.dangling(connection):
        finding = Finding(f"{lost[0][0]}.csv", "", str(lost[0][1]), f"a record of {lost[0][2]} that is there")
        raise BadData(f"the export {folder} doesn't fit together", (finding,))


def _tables(metadata: MetaData) -> list[Table]:
    return sorted(metadata.tables.values(), key=lambda table: table.name)


def _rows(connection: Connection, table: Table) -> Iterator[tuple[Any, ...]]:
    """The rows by key, in SQLite's own types (no booleans)."""
    query = select(table).order_by(*table.primary_key.columns).execution_options(yield_per=CHUNK)
    for row in connection.execute(query):
        yield tuple(int(cell) if isinstance(cell, bool) else cell for cell in row)


def _write(connection: Connection, table: Table, path: Path) -> tuple[int, str]:
    """Writes a table; returns its rows and the digest of its file."""
    count = 0
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)  # its own line ends, so that a lone carriage return in a text is quoted
        writer.writerow([column.name for column in table.columns])
        for row in _rows(connection, table):
            writer.writerow(
                [_cell(value, nullable) for value, nullable in zip(row, _nullable(table), strict=True)]
            )
            count += 1
    return count, _digest(path)


def _nullable(table: Table) -> list[bool]:
    return [bool(column.nullable) for column in table.columns]


def _cell(value: Any, nullable: bool) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value) if value or not nullable else "'"
    return repr(value)


def _manifest(folder: Path) -> dict[str, Any]:
    """The manifest, once every file is what it says. Raises BadData."""
    try:
        manifest: dict[str, Any] = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        tables = {name: str(about[1]) for name, about in manifest["tables"].items()}
        revision = manifest["revision"]
        known = manifest["format"] == FORMAT and revision in (*schema.DRAFTS, *schema.REVISIONS)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as fault:
        finding = Finding(MANIFEST, "", str(fault), "the file that an export writes last")
        raise BadData(f"{folder} is not a whole export", (finding,)) from fault
    if not known or any(not name.isidentifier() for name in tables):
        raise BadData(f"{folder} was exported by a newer version", (), "Update the program")
    if revision in schema.DRAFTS[:-1]:
        do = f"Export it again with the last version before it (schema {schema.DRAFTS[-1]})"
        raise BadData(f"{folder} was exported before the first release (schema {revision})", (), do)
    wrong = tuple(
        Finding(f"{name}.csv", "", "another content", "the content that was exported")
        for name, digest in tables.items()
        if not (folder / f"{name}.csv").is_file() or _digest(folder / f"{name}.csv") != digest
    )
    if wrong:
        raise BadData(f"the export {folder} was changed or is not whole", wrong)
    return manifest


def _digest(path: Path) -> str:
    mark = sha256()
    with path.open("rb") as stream:
        while block := stream.read(1 << 20):
            mark.update(block)
    return mark.hexdigest()


def _read(connection: Connection, table: Table, path: Path) -> None:
    """Fills a table, in place of what is in it."""
    connection.execute(table.delete())
    csv.field_size_limit(1 << 30)
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.reader(stream)
        names = next(reader)
        columns = [table.c[name] for name in names]
        sql = dialect.insert(table, names)
        lot: list[tuple[Any, ...]] = []
        for cells in reader:
            lot.append(tuple(_value(cell, column) for cell, column in zip(cells, columns, strict=True)))
            if len(lot) == CHUNK:
                dialect.write_rows(connection, sql, lot)
                lot = []
        if lot:
            dialect.write_rows(connection, sql, lot)


def _value(cell: str, column: Any) -> Any:
    if cell == "" and column.nullable:
        return None
    if isinstance(column.type, Text):
        return unguarded(cell)
    return float(cell) if isinstance(column.type, Float) else int(cell)
