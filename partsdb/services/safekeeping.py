"""Backups, going back, checks, everything out and in again, as a person asks for them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from partsdb.errors import NotFound
from partsdb.store import Store, back_up, backups, check, export_to, import_from, restore

NEWEST = "newest"


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A backup made, and all that there are now, oldest first."""

    made: Path
    kept: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class Restored:
    """The backup that is now the database; aside: where the database that was there is, None when none was."""

    backup: Path
    database: Path
    aside: Path | None


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. faults: empty when all is well; newest: the newest backup beside the database."""

    database: Path
    faults: tuple[str, ...]
    newest: Path | None


@dataclass(frozen=True, slots=True)
class Moved:
    """Everything, exported or brought back: from, to, and how many rows (None: not counted)."""

    origin: Path
    target: Path
    rows: int | None


def make_backup(
    store: Store,
    now: datetime,
    *,
    folder: Path | None,
    keep: int,
    on_progress: Callable[[int, int], None] | None = None,
) -> BackedUp:
    """A checked copy in the folder ("backups" beside the database); the oldest beyond `keep` go."""
    made = back_up(store, now, folder=folder, keep=keep, on_progress=on_progress)
    return BackedUp(made, backups(store.path, folder))


def go_back(backup: str, path: Path, now: datetime) -> Restored:
    """Puts a backup, by file or "newest", in the place of the database, which is kept aside.

    Raises NotFound when there is no backup yet, StoreTrouble when it isn't whole.
    """
    chosen = Path(backup)
    if backup == NEWEST and not chosen.exists():
        there = backups(path)
        if not there:
            raise NotFound(f"there is no backup in {path.parent / 'backups'}", "Name the file of one")
        chosen = there[-1]
    return Restored(chosen, path, restore(chosen, path, now))


def checked(store: Store) -> Checked:
    """Damage, records that name what isn't there, numbers that succeed each other in a circle."""
    there = backups(store.path)
    return Checked(store.path, check(store), there[-1] if there else None)


def everything_out(store: Store, folder: Path) -> Moved:
    """Everything as a folder of CSV files. Raises BadInput when the folder isn't empty."""
    return Moved(store.path, folder, export_to(store, folder))


def everything_in(folder: Path, path: Path, now: datetime) -> Moved:
    """A new database from such a folder.

    Raises BadInput when the file is there already, BadData when the folder isn't whole.
    """
    with import_from(folder, path, now) as store:
        return Moved(folder, store.path, None)
