"""Everything that only SQLite understands: connecting, upserts, backup, checks, its error messages.

A store on another database needs its own version of these functions and nothing else.
"""

from __future__ import annotations

import contextlib
import errno
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, create_engine, event
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import DBAPIError

from partsdb.errors import BadInput, PartsError, StoreTrouble

_SQLITE = sqlite.dialect()
SUFFIXES = ("", "-wal", "-shm")
"""The files a database consists of, behind its name."""


def engine(path: Path, wait: float, *, foreign_keys: bool = True) -> Engine:
    """An engine on the file: WAL, foreign keys, `wait` seconds of patience with other writers [s].

    Transactions are begun by us: BEGIN to read, BEGIN IMMEDIATE where the connection has option `write`.
    """
    made = create_engine(f"sqlite:///{path}", connect_args={"timeout": wait})

    @event.listens_for(made, "connect")
    def _on_connect(raw: sqlite3.Connection, _: object) -> None:
        raw.isolation_level = None
        raw.execute("PRAGMA journal_mode = WAL")
        raw.execute("PRAGMA synchronous = FULL")
        raw.execute(
            "PRAGMA cache_size = -64000"
        )  # KiB; ids are random, so a small cache reads every page again
        raw.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")

    @event.listens_for(made, "begin")
    def _on_begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("write", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return made


def revision_of(path: Path, wait: float) -> str | None:
    """The schema revision of the file, None when it is missing or empty.

    Raises StoreTrouble when it is a database of something else. Read with sqlite3 alone, to start fast.
    """
    if not path.exists() or path.stat().st_size == 0:
        return None
    with contextlib.closing(sqlite3.connect(path, timeout=wait)) as raw:
        tables = {row[0] for row in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        if not tables:
            return None
        if not {"alembic_version", "meta"} <= tables:
            raise StoreTrouble(f"{path} is a database of another program", "Name another file with --db")
        row = raw.execute("SELECT version_num FROM alembic_version").fetchone()
    return str(row[0]) if row else None


def insert(table: Table, columns: Sequence[str]) -> str:
    """SQL that inserts a row of those columns."""
    names = ", ".join(map(_quoted, columns))
    return f"INSERT INTO {_quoted(table.name)} ({names}) VALUES ({', '.join('?' * len(columns))})"


def upsert(table: Table, columns: Sequence[str], telling: Sequence[str]) -> str:
    """SQL that inserts a row, or replaces those columns where the key is there and a telling column differs."""
    keys = [column.name for column in table.primary_key.columns]
    name = _quoted(table.name)
    sets = ", ".join(f"{_quoted(c)} = excluded.{_quoted(c)}" for c in columns if c not in keys)
    differs = " OR ".join(
        f"{name}.{_quoted(c)} IS NOT excluded.{_quoted(c)}" for c in telling if c not in keys
    )
    conflict = f"ON CONFLICT ({', '.join(map(_quoted, keys))}) DO UPDATE SET {sets} WHERE {differs}"
    return f"{insert(table, columns)} {conflict}"


def _quoted(name: str) -> str:
    return _SQLITE.identifier_preparer.quote(name)


def copy(
    source: Path, target: Path, wait: float, on_progress: Callable[[int, int], None] | None = None
) -> None:
    """An online backup: a consistent copy, even while others write. on_progress gets (pages done, of).

    wait: patience with one who has the whole file to itself [s].
    """
    with (
        appearing(target) as unfinished,
        contextlib.closing(sqlite3.connect(source)) as here,
        contextlib.closing(sqlite3.connect(unfinished)) as there,
    ):
        report = _patience(wait, on_progress)
        here.backup(there, pages=2000 if on_progress else -1, progress=report, sleep=_NAP)
        if found := _faults(there):
            raise StoreTrouble(f"the copy of {source} is not sound: {found[0]}", "Check the disk; try again")


_NAP = 0.05
"""Between two looks at a file that others use [s]."""
_TAKEN = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def _patience(
    wait: float, on_progress: Callable[[int, int], None] | None = None
) -> Callable[[int, int, int], None]:
    """What a backup calls after each step; ends it when it got nowhere for `wait` seconds, because by itself it would
    wait for ever."""
    since = time.monotonic()

    def report(state: int, remaining: int, total: int) -> None:
        nonlocal since
        if state not in _TAKEN:
            since = time.monotonic()
        elif time.monotonic() - since > wait:
            raise sqlite3.OperationalError("database is locked")
        if on_progress is not None:
            on_progress(total - remaining, total)

    return report


@contextlib.contextmanager
def appearing(target: Path) -> Iterator[Path]:
    """A path for a database that gets its final name when the block ends well, and is gone when it doesn't."""
    unfinished = target.with_name(f".{target.name}.part")
    _remove(unfinished)  # what a killed program left
    try:
        yield unfinished
        unfinished.replace(target)
    except BaseException:
        _remove(unfinished)
        raise


def _remove(path: Path) -> None:
    for suffix in (*SUFFIXES, "-journal"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def overwrite(source: Path, target: Path, wait: float) -> None:
    """Puts the content of one database in the place of another's, in one transaction that others wait for."""
    with (
        contextlib.closing(sqlite3.connect(source)) as here,
        contextlib.closing(sqlite3.connect(target, timeout=wait)) as there,
    ):
        there.execute("PRAGMA journal_mode = WAL")
        here.backup(there, progress=_patience(wait), sleep=_NAP)


def write_rows(connection: Connection, sql: str, rows: Sequence[tuple[Any, ...]]) -> None:
    """Runs a statement of `insert` or `upsert` for many rows, by the driver alone."""
    connection.exec_driver_sql(sql, rows if isinstance(rows, list) else list(rows))


def faults(connection: Connection) -> tuple[str, ...]:
    """What SQLite's own integrity and foreign key checks find; empty when all is well."""
    return _faults(_raw(connection))


def faults_in(path: Path) -> tuple[str, ...]:
    """The same for a file that isn't open."""
    with contextlib.closing(sqlite3.connect(path)) as raw:
        return _faults(raw)


def _faults(raw: sqlite3.Connection) -> tuple[str, ...]:
    found = [str(row[0]) for row in raw.execute("PRAGMA integrity_check").fetchall()]
    damage = tuple(f"damaged: {line}" for line in found if line != "ok")
    return damage + tuple(
        f"{table} row {row} names a {parent} that isn't there" for table, row, parent in _dangling(raw)
    )


Dangling = tuple[str, object, str]
"""Table, id or row number, and the table in which what it names is missing."""


def dangling(connection: Connection) -> tuple[Dangling, ...]:
    """Rows whose foreign key names nothing, the first twenty."""
    return _dangling(_raw(connection))


def _dangling(raw: sqlite3.Connection) -> tuple[Dangling, ...]:
    found = []
    for table, rowid, parent, _ in raw.execute("PRAGMA foreign_key_check").fetchmany(20):
        key = next(row[1] for row in raw.execute(f"PRAGMA table_info({table})").fetchall() if row[5] == 1)
        row = raw.execute(f"SELECT {key} FROM {table} WHERE rowid = ?", (rowid,)).fetchone()
        found.append((table, row[0] if row else rowid, parent))
    return tuple(found)


def undo(connection: Connection) -> tuple[Dangling, ...]:
    """Takes back a transaction whose commit was refused; says which rows named something missing, the first three."""
    raw = _raw(connection)
    found = _dangling(raw)[:3]
    raw.execute("ROLLBACK")
    return found


def changes(connection: Connection) -> int:
    """How many rows this connection has written since it was opened."""
    return _raw(connection).total_changes


def _raw(connection: Connection) -> sqlite3.Connection:
    found = connection.connection.driver_connection
    assert isinstance(found, sqlite3.Connection)
    return found


def readable(path: Path, wait: float) -> bool:
    """Whether the file is a database that can be opened at all; a lock is no answer and is raised as it is."""
    try:
        revision_of(path, wait)
    except sqlite3.OperationalError:
        raise
    except (sqlite3.DatabaseError, StoreTrouble):
        return False
    return True


# --------------------------------------------------------------------------- what went wrong, in one line


@contextlib.contextmanager
def explained(path: Path, *, files: bool = True) -> Iterator[None]:
    """Turns whatever the database, and with `files` the file system, raises into one clear line.

    Without `files`, because what is read meanwhile may be a file of the person's, and its trouble isn't ours.
    """
    try:
        yield
    except DBAPIError as fault:
        if fault.orig is None:
            raise
        raise _in_words(fault.orig, path) from fault
    except (sqlite3.Error, OverflowError, UnicodeEncodeError) as fault:
        raise _in_words(fault, path) from fault
    except OSError as fault:
        if not files:
            raise
        raise _in_words(fault, path) from fault


def _in_words(fault: BaseException, path: Path) -> PartsError:
    if isinstance(fault, sqlite3.IntegrityError):
        return BadInput(f"the records don't fit together: {fault}", "Nothing was changed")
    if isinstance(fault, OverflowError | UnicodeEncodeError):
        return BadInput(f"a value can't be stored: {fault}", "Nothing was changed")
    if isinstance(fault, OSError):
        return _file_trouble(fault, path)
    said = str(fault).lower()
    if "disk i/o error" in said and _no_room(path.parent):
        said = "disk is full"  # the engine couldn't even make the file it shares with others
    for part, what, do in _SAYINGS:
        if part in said:
            return StoreTrouble(what.format(path=path, folder=path.parent), do.format(path=path))
    return StoreTrouble(f"the database {path} can't be used: {fault}", "Nothing was changed")


def _no_room(folder: Path) -> bool:
    """Whether the disk of that folder has less room than the engine's own files need."""
    try:
        return shutil.disk_usage(folder).free < _LEAST
    except OSError:
        return False


_LEAST = 100_000
"""Bytes without which nothing works: the shared file has 32 KiB, a page and its log a few."""


def _file_trouble(fault: OSError, path: Path) -> StoreTrouble:
    if fault.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return StoreTrouble(
            f"the disk that holds {path} is full", "Nothing was changed; make room and try again"
        )
    if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return StoreTrouble(f"this program may not write in {path.parent}", _ELSEWHERE)
    return StoreTrouble(f"the database {path} can't be used: {fault.strerror or fault}", _ELSEWHERE)


_ELSEWHERE = "Allow it, or name another file with --db or PARTSDB_DB"
_SAYINGS = (
    (
        "locked",
        "the database {path} is being written by another program",
        "Nothing was changed; wait a moment and try again",
    ),
    ("disk is full", "the disk that holds {path} is full", "Nothing was changed; make room and try again"),
    ("readonly", "{path} or its folder is read-only", _ELSEWHERE),
    ("read-only", "{path} or its folder is read-only", _ELSEWHERE),
    ("unable to open", "can't open or make {path}: its folder is missing or may not be written", _ELSEWHERE),
    ("not a database", "{path} is not a database", "Name the right file with --db, or restore a backup"),
    ("malformed", "the database {path} is damaged", "Restore the newest backup beside it"),
    (
        "disk i/o error",
        "the disk that holds {path} failed to read or write",
        "Check the disk; nothing was changed",
    ),
)
