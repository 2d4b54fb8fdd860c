"""How long a large price list takes: this program beside plain sqlite3 on the same rows.

    python tests/benchmarks/import_rows.py [rows]          one million by default

Ours reads a CSV file, checks every cell, makes and keeps all records, then stores them in one transaction with
foreign keys and provenance. The peer gets the finished tuples of the same rows as a generator and does executemany
into the same table of the same schema, in one transaction: the least that any program must do. One process each; no
other load.
"""

from __future__ import annotations

import csv
import random
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from partsdb.importers import References, finish, read_list
from partsdb.model import Spec
from partsdb.records import Calendar, Part, Supplier
from partsdb.store import About, open_store

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)
PARTS = 50_000


def write_list(path: Path, rows: int) -> None:
    """A price list: four offers a part and pack, made with a fixed seed."""
    chance = random.Random(4)
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(
            ["order code", "designation", "price", "stock", "lead time (days)", "pack", "quoted on"]
        )
        for i in range(rows):
            price = f"{chance.randint(50, 90_000) / 100:.2f}"
            stock = chance.choice(["in stock", "to order", "", "12"])
            lead = chance.choice(["", "5", "3-8"])
            writer.writerow([f"S-{i:07}", f"ZQ {i % PARTS}", price, stock, lead, 1, "2026-11-04"])


def ours(folder: Path) -> None:
    """Reads the list into a fresh store."""
    supplier = Supplier("s", "Oskarby (invented)", Calendar("Europe/London", "GB"), ())
    with open_store(folder / "ours.db", now=NOW) as store:
        parts = (Part(f"p{i}", "contactor", Spec("contactor"), f"ZQ {i}") for i in range(PARTS))
        store.put(supplier)
        store.put_many(parts)
        start = _now()
        known = References({}, part_id=store.part_numbers().of, supplier="s")
        show = sys.stderr.isatty()
        with (folder / "list.csv").open("rb") as stream:
            listing = read_list(stream, "list.csv", "offers", known)
            about = About("list.csv", listing.digest, listing.importer, NOW)
            with finish(listing) as rows:
                done = store.bring(
                    rows,
                    about,
                    on_progress=lambda n: print(f"\r{n:,}", end="", file=sys.stderr) if show else None,
                )
        _tell(_since(start), done.new, len(listing.findings))


def again(folder: Path) -> None:
    """Reads the list with every row the same but another digest: nothing must change."""
    with open_store(folder / "ours.db", now=NOW) as store:
        start = _now()
        known = References({}, part_id=store.part_numbers().of, supplier="s")
        with (folder / "list.csv").open("rb") as stream:
            listing = read_list(stream, "list.csv", "offers", known)
            with finish(listing) as good:
                done = store.bring(good, About("list.csv", "another", listing.importer, NOW))
        _tell(_since(start), done.same, done.new + done.changed)


def plain(folder: Path) -> None:
    """executemany of the same rows, read back from our database as finished tuples."""
    source = sqlite3.connect(folder / "ours.db")
    target = sqlite3.connect(folder / "plain.db")
    target.execute("PRAGMA journal_mode = WAL")
    tables = source.execute(
        "SELECT sql FROM sqlite_master WHERE tbl_name = 'offers' AND sql IS NOT NULL"
    ).fetchall()
    for (sql,) in tables:
        target.execute(sql)
    rows = source.execute("SELECT * FROM offers ORDER BY import_row")
    width = len(rows.description)
    reading = (0.0, 0.0)

    def finished() -> Iterator[tuple[object, ...]]:
        nonlocal reading
        while True:
            before = _now()
            some = rows.fetchmany(10_000)
            spent = _since(before)
            reading = reading[0] + spent[0], reading[1] + spent[1]
            if not some:
                return
            yield from some

    start = _now()
    target.executemany(f"INSERT INTO offers VALUES ({', '.join('?' * width)})", finished())
    target.commit()
    took = _since(start)
    count = target.execute("SELECT count(*) FROM offers").fetchone()[0]
    _tell((took[0] - reading[0], took[1] - reading[1]), count, 0)


def _now() -> tuple[float, float]:
    """The clock and this process's processor time [s]."""
    return time.perf_counter(), time.process_time()


def _since(start: tuple[float, float]) -> tuple[float, float]:
    clock, processor = _now()
    return clock - start[0], processor - start[1]


def _tell(took: tuple[float, float], rows: int, others: int) -> None:
    """One line for the parent: seconds, processor seconds, largest memory held [MB], rows, other rows."""
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{took[0]:.2f} {took[1]:.2f} {memory} {rows} {others}")


def main() -> None:
    """Runs each in a process of its own and prints the ratio."""
    if len(sys.argv) == 3:
        {"ours": ours, "again": again, "plain": plain}[sys.argv[1]](Path(sys.argv[2]))
        return
    rows = int(sys.argv[1]) if len(sys.argv) == 2 else 1_000_000
    with tempfile.TemporaryDirectory() as folder:
        write_list(Path(folder) / "list.csv", rows)
        took = {}
        for what in ("ours", "plain", "again"):
            command = [sys.executable, __file__, what, folder]
            said = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True).stdout
            clock, processor, memory, count, others = map(float, said.split())
            took[what] = clock, processor
            spent = f"{clock:6.1f} s, processor {processor:6.1f} s, {memory:4.0f} MB"
            print(f"{what:6} {spent}, {count:,.0f} rows, {others:.0f} others")
            assert count == rows, "not every row arrived"
        ratios = (took["ours"][i] / took["plain"][i] for i in (0, 1))
        print("ours / plain = {:.2f} by the clock, {:.2f} by processor time".format(*ratios))


if __name__ == "__main__":
    main()
