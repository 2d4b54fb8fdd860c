"""Real trouble for a database: another writer, a disk without room, a folder that may not be written."""

from __future__ import annotations

import contextlib
import os
import resource
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

TINY = "8m"
LITTLE = 4000
"""A file may become this long where files are limited [bytes]: less than a page and its head."""

Trouble = Callable[[Path], AbstractContextManager[None]]
"""What goes wrong with the folder of that database, until the block ends."""


@contextlib.contextmanager
def another_writer(db: Path) -> Iterator[None]:
    """Another program is in the middle of writing."""
    with contextlib.closing(sqlite3.connect(db)) as other:
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        yield


@contextlib.contextmanager
def another_reader(db: Path) -> Iterator[None]:
    """Another program looks at the database, so that the files beside it are there and can be read."""
    if not db.exists():
        yield
        return
    with contextlib.closing(sqlite3.connect(db)) as other:
        other.execute("SELECT count(*) FROM sqlite_master").fetchone()
        yield


@contextlib.contextmanager
def no_room(db: Path) -> Iterator[None]:
    """The disk, which must be one of `disk`, is full to its last byte."""
    filler = db.parent / ".filler"
    try:
        with contextlib.suppress(OSError), filler.open("wb", buffering=0) as stream:
            while stream.write(bytes(1 << 16)):
                pass
        with contextlib.suppress(OSError), filler.open("ab", buffering=0) as stream:
            while stream.write(b"x"):
                pass
        yield
    finally:
        filler.unlink()


@contextlib.contextmanager
def short_files(db: Path, longest: int = LITTLE) -> Iterator[None]:
    """No file of this process may become longer than a few thousand bytes, as under a quota."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (longest, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextlib.contextmanager
def read_only(db: Path) -> Iterator[None]:
    """The folder and all in it may be read and not be written, also where the tests run as root."""
    inside = [db.parent, *db.parent.iterdir()]
    modes = {path: path.stat().st_mode for path in inside}
    me = os.geteuid()
    for path in inside:
        path.chmod(0o555 if path.is_dir() else 0o444)
    if me == 0:
        os.seteuid(65534)
    try:
        yield
    finally:
        if me == 0:
            os.seteuid(0)
        for path, mode in modes.items():
            path.chmod(mode)


@contextlib.contextmanager
def newer(db: Path) -> Iterator[None]:
    """The database was made by a later version of this program."""
    with contextlib.closing(sqlite3.connect(db)) as raw:
        (was,) = raw.execute("SELECT version_num FROM alembic_version").fetchone()
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()
        yield
        raw.execute("UPDATE alembic_version SET version_num = ?", (was,))
        raw.commit()


@contextlib.contextmanager
def disk(*, tiny: bool) -> Iterator[Path]:
    """A folder that everybody may look into; with `tiny` a disk of its own, which only root can make."""
    with tempfile.TemporaryDirectory() as name:
        outer = Path(name)
        outer.chmod(0o755)
        folder = outer / "records"
        folder.mkdir()
        if tiny:
            subprocess.run(
                ["mount", "-t", "tmpfs", "-o", f"size={TINY}", "tmpfs", str(folder)],
                check=True,
                capture_output=True,
            )
        try:
            yield folder
        finally:
            if tiny:
                subprocess.run(["umount", str(folder)], check=True)


def disks_can_be_made() -> bool:
    """Whether this process may make a disk of its own."""
    try:
        with disk(tiny=True):
            return True
    except (OSError, subprocess.CalledProcessError):
        return False
