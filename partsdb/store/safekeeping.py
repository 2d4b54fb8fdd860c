"""Keeping the database from harm: checks, backups in rotation, going back to one.

Copies are SQLite's own online backup: consistent, while others read and write. A file appears under its final
name only when it is complete and checked.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from partsdb.errors import BadInput, StoreTrouble
from partsdb.lineage import circles
from partsdb.records import Succession
from partsdb.store import dialect
from partsdb.store.opening import PATIENCE, refuse_unknown
from partsdb.store.repository import Store

KEEP = 7
"""Backups kept unless the person says otherwise."""


def check(store: Store) -> tuple[str, ...]:
    """Every fault that can be found: damage, records that name what isn't there, numbers that succeed in a circle."""
    with store.reading() as connection:
        found = dialect.faults(connection)
    rounds = circles(store.all(Succession))
    return found + tuple(
        f"these supersede each other in a circle: {' -> '.join((*one, one[0]))}" for one in rounds
    )


def backups(path: Path, folder: Path | None = None) -> tuple[Path, ...]:
    """The backups of that database, oldest first."""
    where = path.parent / "backups" if folder is None else folder
    return tuple(sorted(where.glob(f"{path.stem}-????????T??????Z{path.suffix}")))


def back_up(
    store: Store,
    now: datetime,
    *,
    folder: Path | None = None,
    keep: int = KEEP,
    on_progress: Callable[[int, int], None] | None = None,
) -> Path:
    """Makes a checked copy in `folder` ("backups" beside the database) and removes all but the newest `keep`.

    on_progress is told (pages done, of). Raises BadInput when nothing would be kept.
    """
    if keep < 1:
        raise BadInput("at least one backup must be kept")
    where = store.path.parent / "backups" if folder is None else folder
    with dialect.explained(where / store.path.name):
        fresh = not where.exists()
        where.mkdir(parents=True, exist_ok=True)
        target = where / f"{store.path.stem}-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}{store.path.suffix}"
        try:
            dialect.copy(store.path, target, PATIENCE, on_progress)
        except BaseException:
            if fresh:
                where.rmdir()
            raise
        for old in backups(store.path, where)[:-keep]:
            old.unlink()
    return target


def restore(backup: Path, path: Path, now: datetime, *, wait: float = PATIENCE) -> Path | None:
    """Puts a backup in the place of the database; returns where the database that was there now is.

    The backup is checked first. A database that can't even be opened is moved aside. Raises StoreTrouble when the
    backup isn't whole, isn't one of this program's, or is newer than it.
    """
    with dialect.explained(backup):
        if not backup.is_file():
            raise StoreTrouble(f"there is no backup {backup}", "Name one of those in the folder of backups")
        revision = dialect.revision_of(backup, wait)
        if revision is None:
            raise StoreTrouble(f"{backup} is not a backup this program can read", "Name another backup")
        refuse_unknown(revision, backup)
        if dialect.faults_in(backup):
            raise StoreTrouble(f"the backup {backup} is damaged", "Name another backup")
    with dialect.explained(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        before, moved = _set_aside(path, now, wait)
        try:
            dialect.overwrite(backup, path, wait)
        except BaseException:
            _put_back(path, before, moved)
            raise
    return before


def _set_aside(path: Path, now: datetime, wait: float) -> tuple[Path | None, bool]:
    """A copy of the database as it was; a file that can't be read is moved out of the way instead: (where, moved)."""
    if not path.exists():
        return None, False
    aside = path.with_name(f"{path.stem}-before-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}{path.suffix}")
    if dialect.readable(path, wait):
        if dialect.revision_of(path, wait) is None:
            return None, False
        dialect.copy(path, aside, wait)
        return aside, False
    _move(path, aside)
    return aside, True


def _put_back(path: Path, aside: Path | None, moved: bool) -> None:
    """Makes it as it was before `_set_aside`: what was copied is still in its place."""
    if aside is not None and moved:
        _move(aside, path)
    elif aside is not None:
        aside.unlink(missing_ok=True)


def _move(path: Path, target: Path) -> None:
    """The files of a database under another name; those of the target that it lacks go."""
    for suffix in dialect.SUFFIXES:
        part, place = path.with_name(path.name + suffix), target.with_name(target.name + suffix)
        if part.exists():
            part.replace(place)
        else:
            place.unlink(missing_ok=True)
