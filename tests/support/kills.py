"""Killing the program at a random point of its work, and looking at what is left.

A forked child does the work and is killed with SIGKILL, so that nothing of its own can tidy up. What the parent
then finds must be the state before or the state after, never one between, and sound.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

from partsdb.records import Machine
from partsdb.services.loading import job_file, known
from partsdb.services.orders import Ask, orders_for, plan_job
from partsdb.store import About, Store, back_up, backups, check, logical_dump, open_store, restore
from support import stored
from support.later import later_version
from support.ropeworks import build

ROWS = 12_000
ORDERED = datetime(2026, 6, 1, 9, 40, tzinfo=UTC)


@dataclass(frozen=True)
class Work:
    """Something to be killed in. prepare: makes the folder's state before; act: the work, in the child;
    version: the program's version that does it and looks at what is left."""

    name: str
    prepare: Callable[[Path], None]
    act: Callable[[Path], None]
    version: Callable[[], AbstractContextManager[None]] = contextlib.nullcontext


def _database(folder: Path) -> Store:
    return open_store(folder / "parts.db", now=stored.NOW)


def _filled(folder: Path) -> None:
    with stored.opened(folder) as store:
        store.put(stored.plain_supplier(), stored.plain_part(), Machine("m", "Strander"))
        store.put_many(stored.plain_offer(f"o{i}") for i in range(0, ROWS, 3))


def _import(folder: Path) -> None:
    with _database(folder) as store:
        rows = [(i, stored.plain_offer(f"o{i}", e4=130_000 + i)) for i in range(ROWS)]
        store.bring(rows, About("list", "digest", "delimited", stored.NOW))


def _put(folder: Path) -> None:
    with _database(folder) as store:
        store.put(*(Machine(f"m{i}", f"Winder {i}") for i in range(300)), Machine("m", "Strander, mended"))


def _back_up(folder: Path) -> None:
    with _database(folder) as store:
        back_up(store, stored.NOW + timedelta(days=1), keep=1)


def _with_backup(folder: Path) -> None:
    _filled(folder)
    with _database(folder) as store:
        back_up(store, stored.NOW)
        store.put(Machine("m2", "Winder"))


def _restore(folder: Path) -> None:
    (newest,) = backups(folder / "parts.db")[-1:]
    restore(newest, folder / "parts.db", stored.NOW)


def _older(folder: Path) -> None:
    stored.filled(folder)


def _nothing(folder: Path) -> None:
    folder.mkdir(exist_ok=True)


def _make(folder: Path) -> None:
    _database(folder).close()


WORKS = (
    Work("import", _filled, _import),
    Work("put", _filled, _put),
    Work("backup", _with_backup, _back_up),
    Work("restore", _with_backup, _restore),
    Work("first opening", _nothing, _make),
    Work("upgrade", _older, _make, later_version),
)


def _shop(folder: Path) -> None:
    folder.mkdir(exist_ok=True)
    build(folder / "parts.db")


def _order(folder: Path) -> None:
    """Plans the job and records its orders, as `order place` does, under ids that are the same each time."""
    with _database(folder) as store:
        file, records = job_file(store, "ropes"), known(store)
        made = plan_job(file, records, ORDERED, Ask(runs=2000))
        store.put(*(replace(one, id=f"order {i}") for i, one in enumerate(orders_for(made, ORDERED))))


PLANNING = Work("plan and order", _shop, _order)
"""Apart from the others: the solver keeps threads, so a process that has planned already must not fork to plan."""


def state(folder: Path) -> str:
    """The tables of the folder's database before anybody mends anything, what it then says, and its backups.

    Raises AssertionError when any of them isn't sound.
    """
    seen = [_tables(folder / "parts.db"), _dump(folder / "parts.db")]
    seen += [_dump(one) for one in backups(folder / "parts.db")]
    return " ".join(seen)


def _tables(path: Path) -> str:
    """Schema revision and number of tables as they are in the file, 0 when there are none yet."""
    if not path.exists():
        return "0"
    with contextlib.closing(sqlite3.connect(path)) as raw:
        names = [row[0] for row in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        if "alembic_version" not in names:
            return str(len(names))
        (revision,) = raw.execute("SELECT version_num FROM alembic_version").fetchone()
    return f"{revision}:{len(names)}"


def _dump(path: Path) -> str:
    with open_store(path, now=stored.NOW) as store:
        assert check(store) == (), f"{path} is not sound"
        mark = sha256()
        for line in logical_dump(store):
            if not line.startswith('["meta"'):
                mark.update(line.encode())
    return mark.hexdigest()[:12]


def run_and_kill(work: Work, folder: Path, after: float | None) -> float:
    """Does the work in a child; kills it after that many seconds (None: lets it finish). Returns how long it ran."""
    start = time.perf_counter()
    child = os.fork()
    if child == 0:
        try:
            work.act(folder)
        finally:
            os._exit(0)
    if after is not None:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return time.perf_counter() - start


def torture(work: Work, folder: Path, kills: int, seed: int) -> dict[str, int]:
    """Kills the work that often at random points; returns how often it was found undone and how often done.

    Raises AssertionError when anything between is found, or when the work can't be done afterwards.
    """
    pristine = folder / "pristine"
    work.prepare(pristine)
    with work.version():
        return _torture(work, pristine, folder / "there", kills, random.Random(seed))


def _torture(work: Work, pristine: Path, there: Path, kills: int, chance: random.Random) -> dict[str, int]:
    shutil.copytree(pristine, there)
    lasts = run_and_kill(work, there, None)
    after = state(there)
    shutil.rmtree(there)
    shutil.copytree(pristine, there)
    before = state(there)
    assert before != after, f"{work.name}: nothing to do"
    found = {"before": 0, "after": 0}
    for i in range(kills):
        shutil.rmtree(there)
        shutil.copytree(pristine, there)
        moment = chance.uniform(0.7, 1.2) if i % 2 else chance.uniform(0, 1)  # the end is where it is decided
        run_and_kill(work, there, lasts * moment)
        seen = state(there)
        assert seen in _allowed(work, before, after), f"{work.name}: half done after a kill"
        found["after" if seen == after else "before"] += 1
    work.act(there)
    assert state(there) == after, f"{work.name}: can't be done after a kill"
    return found


def _allowed(work: Work, before: str, after: str) -> set[str]:
    """A backup in rotation has a moment with both the old copy and the new: nothing is lost then either."""
    both = f"{before} {after.split()[-1]}"
    return {before, after, both} if work.name == "backup" else {before, after}
